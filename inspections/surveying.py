"""A check of flatness or plumb read along a straightedge: which surface, the survey's page, and back to the card."""

from functools import partial
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from base.keys import key_from
from inspections.access import get_check
from inspections.actions import survey_check
from inspections.field import card_of
from inspections.models import Check
from inspections.queries import PhaseView, phase_view
from inspections.surveyed import MEASURES, figure_of
from rooms.models import Room, Surface, Survey
from rooms.queries import room_with_parts
from rooms.surveys.entering import NO_KEY, Purpose, framed, starts, survey_page
from rooms.surveys.offline import start_addresses
from shop.phone import keep_on_phone
from trade.specification import Specification


@require_http_methods(["GET", "POST"])
@keep_on_phone
def survey(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A survey for a check. Without a kind: which surface is read. With `kept`, the key of a survey: back to the card
    where it was entered, else to its page again, since it can't tell."""
    check = get_check(request.user, pk)
    if check.key not in MEASURES:
        raise Http404
    if "kept" in request.GET:
        return _after(request, check)
    room = room_with_parts(check.phase.room)
    if page := survey_page(request, room, _purpose(request, check)):
        return page
    context = {"about": _(check.text), "back": card_of(check), "starts": _starts(check, room), "address": request.path}
    return render(request, "inspections/survey_start.html", framed(request, room, context))


def addresses(phase: PhaseView, room: Room) -> list[str]:
    """The pages on which checks of the phase that hold it still are surveyed; `room` as `with_parts` reads it."""
    found = []
    for check in (view.check for view in phase.checks if view.holds and view.check.key in MEASURES):
        address = reverse("inspections:survey", args=[check.pk])
        found += [address, *start_addresses(address, _starts(check, room))]
    return found


def _starts(check: Check, room: Room) -> list[tuple[str, str, list[Surface]]]:
    """What can be read for the check: those surfaces that it is proved on apart, or any of the room; of a room without
    surfaces every kind, of none in particular."""
    every = starts(room, MEASURES[check.key].kinds)
    if keys := {surface["key"] for surface in check.surfaces}:
        every = [(kind, label, [each for each in found if each.key in keys]) for kind, label, found in every]
    return [each for each in every if each[2]] or every


def _purpose(request: HttpRequest, check: Check) -> Purpose:
    measure, address = MEASURES[check.key], reverse("inspections:survey", args=[check.pk])
    view = next(view for view in phase_view(check.phase).checks if view.check.pk == check.pk)
    return Purpose(
        keep=partial(survey_check, check=check, seen=request.POST.get("seen", "")),
        back=card_of(check),
        then=f"{address}?kept={NO_KEY}",
        group=str(check.phase_id),
        kinds=measure.kinds,
        about=view.text,
        longest_edge=Specification.from_json(check.phase.specification).tile_longest_edge_mm,
        apart=measure.apart,
        hidden={"seen": str(view.last_arrived.pk) if view.last_arrived else "none"},
        goes_on=lambda survey: figure_of(survey, check) is None,
    )


def _after(request: HttpRequest, check: Check) -> HttpResponse:
    kept = Survey.objects.filter(room=check.phase.room_id, pk=key_from(request.GET["kept"])).first()
    if kept is None or kept.entries.filter(check_done=check).exists():
        return redirect(card_of(check))
    said = _("The survey is kept, but it can’t tell yet: nothing is entered on the check. Read more and save again.")
    messages.warning(request, said)
    again = {"kind": kept.kind, "surface": kept.surface, "after": str(kept.pk)}
    return redirect(f"{reverse('inspections:survey', args=[check.pk])}?{urlencode(again)}")
