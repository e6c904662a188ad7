"""The pages of a room's surveys that a phone takes along for the day without signal."""

from collections.abc import Iterable
from urllib.parse import quote
from uuid import UUID

from django.db.models import F, Window
from django.db.models.functions import RowNumber
from django.urls import reverse

from rooms.models import Room, Surface, Survey, SurveyKind
from rooms.surveys.entering import starts

NEWEST = 5
"""Of a room's surveys, those that are taken along."""


def start_addresses(page: str, begins: Iterable[tuple[str, str, list[Surface]]]) -> list[str]:
    """The page of each start (`starts`), as the list of starts links to it from `page`."""
    return [
        f"{page}?kind={kind}{key}"
        for kind, _label, surfaces in begins
        for key in ([f"&surface={quote(surface.key)}" for surface in surfaces] or [""])
    ]


def survey_addresses(rooms: Iterable[Room]) -> list[str]:
    """Of each room, as `with_parts` reads it: what was surveyed last, and where a new survey is typed. One query."""
    rooms, pages = list(rooms), list[str]()
    newest = _newest_of(rooms)
    for room in rooms:
        pages.append(reverse("rooms:surveys", args=[room.pk]))
        pages += [reverse("rooms:survey", args=[pk]) for pk in newest.get(room.pk, ())]
        pages += start_addresses(reverse("rooms:survey_new", args=[room.pk]), starts(room, SurveyKind.values))
    return pages


def _newest_of(rooms: list[Room]) -> dict[UUID, list[UUID]]:
    place = Window(RowNumber(), partition_by=F("room_id"), order_by=F("happened_at").desc())
    rows = Survey.objects.filter(room__in=rooms).annotate(place=place).filter(place__lte=NEWEST)
    found: dict[UUID, list[UUID]] = {}
    for room, pk in rows.order_by("room_id", "place").values_list("room_id", "pk"):
        found.setdefault(room, []).append(pk)
    return found
