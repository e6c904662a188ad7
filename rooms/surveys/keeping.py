"""Judges a survey by the shop's limits, and keeps it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

import layout
from base.errors import KeyTaken
from base.keys import uuid7
from layout.survey import read_survey, survey
from layout.survey.picture import contour_svg, pictures
from rooms.models import Room, Surface, Survey, SurveyKind, SurveyVerdict
from rooms.surveys.filing import missing_in
from shop.audit import change
from shop.models import Staff
from shop.queries import shop_limits
from trade.shop_limits import ShopLimits


@dataclass(frozen=True, slots=True)
class _Judged:
    result: dict[str, Any] | None = None
    verdict: str = SurveyVerdict.CANT_TELL
    drawings: list[dict[str, str]] = field(default_factory=list)


def keep_survey(
    *,
    room: Room,
    kind: str,
    surface: Surface | None,
    data: Mapping[str, Any],
    happened_at: datetime,
    key: UUID | None = None,
    by: Staff,
) -> Survey:
    """The survey beside the earlier ones, judged by the shop's limits at `happened_at`; with something missing it is
    kept unjudged.

    `data`: a survey file. A form sent twice has the same `key`: one survey. Raises layout.RoomError, whose `place`
    names where the file is wrong, and KeyTaken.
    """
    happened_at = min(happened_at, timezone.now())
    judged = _Judged() if missing_in(data, kind) else _judge(data, kind, limits=shop_limits(at=happened_at))
    frozen = {
        "room": room,
        "kind": kind,
        "surface": surface.key if surface else "",
        "surface_name": str(surface) if surface else "",
        "data": data,
        "result": judged.result,
        "drawings": judged.drawings,
        "verdict": judged.verdict,
        "engine_version": layout.ENGINE_VERSION,
        "by": by,
        "happened_at": happened_at,
    }
    with change(by):
        kept, made = Survey.objects.get_or_create(pk=key or uuid7(), defaults=frozen)
    if not made and (kept.room_id, kept.by_id, kept.data) != (room.pk, by.pk, data):
        raise KeyTaken(_("This survey was kept already, with other readings. Start a new one."))
    return kept


def _judge(data: Mapping[str, Any], kind: str, *, limits: ShopLimits) -> _Judged:
    read = replace(read_survey(data), limits=limits)
    result = survey(read)
    drawn = [{"id": what, "svg": contour_svg(read, result, what=what)} for what in pictures(read, result)]
    # Of a shower's floor the wanted slope is judged: its mortar makes up for what lies under it.
    verdict = result.bed.ways[0].verdict if kind == SurveyKind.BED and result.bed else result.flat.verdict
    return _Judged(result.to_json(), verdict, drawn)
