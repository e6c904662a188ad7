"""The rough-in sheet, as a page and on paper: the office answers what was built otherwise, or measures it in."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from base.errors import Refused
from base.keys import uuid7
from documents.responses import send, send_state
from jobs.models import Stage
from layout import RoomError
from rooms import field_rough_in
from rooms.access import get_room, get_rough_in_print
from rooms.actions import why_locked
from rooms.as_built import Again, Difference, differences, lay_again
from rooms.as_built_actions import keep_as_built, print_rough_in, take_over_as_built
from rooms.as_built_form import AsBuiltForm, with_fields
from rooms.as_built_readings import readings_of
from rooms.models import Layout, Room, RoughInPrint
from rooms.queries import current_layout, is_stale, room_with_parts, shop_unit
from rooms.reading_on_site import another_layout
from rooms.relaid import relaid_text
from rooms.rough_in import RoughIn
from shop.access import require_staff
from shop.models import Staff
from shop.phone import keep_on_phone, replay_of

_MOST_KEPT = 20


@dataclass(slots=True)
class _Compared:
    """What was measured beside the sheet: what differs, and the room laid out again, or why it can't be."""

    found: list[Difference]
    again: Again | None = None
    error: str = ""
    rows: list[tuple[str, str, str]] = field(default_factory=list)


@require_http_methods(["GET", "HEAD", "POST"])
@keep_on_phone
def rough_in(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What framer and plumber need, with what was built otherwise. Buttons of the office: compare, keep, take_over; and
    save, which keeps what the tape reads, as the installer's."""
    room = get_room(request.user, pk)
    staff = require_staff(request.user)
    if not staff.runs_the_office or replay_of(request) or "save" in request.POST:
        return field_rough_in.rough_in(request, room, staff)
    return office_page(request, room, by=staff)


def office_page(
    request: HttpRequest, room: Room, *, by: Staff, take_over: Callable[..., object] = take_over_as_built
) -> HttpResponse:
    """The page of owner and office. `take_over` is what its button does: a higher app has more to do by it."""
    room = room_with_parts(room)
    layout = current_layout(room)
    if layout is None:
        return render(request, "rooms/office/rough_in.html", {"job": room.job, "room": room})
    sheet, readings = RoughIn(layout), readings_of(layout)
    form = AsBuiltForm(request.POST or None, sheet=sheet, unit=shop_unit(), kept=readings.measures)
    stale = is_stale(room, layout)
    compared = None
    if request.method == "POST" and form.is_valid() and request.POST.get("sheet") != str(layout.pk):
        form.add_error(None, another_layout())
    if request.method == "POST" and form.is_valid():
        if ("keep" in request.POST or "take_over" in request.POST) and _keep(request, layout, form, take_over, by=by):
            return redirect("rooms:rough_in", room.pk)
        compared = _compare(sheet, form.measures, stale=stale)
    elif request.method != "POST" and readings.rows:
        compared = _compare(sheet, readings.measures, stale=stale)
    context = {
        "job": room.job,
        "room": room,
        "layout": layout,
        "stale": stale,
        "relaid": relaid_text(layout),
        "key": uuid7(),
        "sheet": sheet,
        "surfaces": with_fields(sheet, form, readings.measures if form.errors else ()),
        "form": form,
        "kept": readings.rows[:_MOST_KEPT],
        "unanswered": readings.unanswered,
        # Who was told that something came meanwhile has it before them now.
        "seen": readings.seen if form.errors else request.POST.get("seen", readings.seen),
        "compared": compared,
        "locked": why_locked(room.job, as_built=True),
        "under_way": room.job.stage == Stage.WORKING,
        "print": RoughInPrint.objects.filter(layout=layout).select_related("document").first(),
    }
    status = 422 if form.errors else 200
    return render(request, "rooms/office/rough_in.html", context, status=status)


def _keep(
    request: HttpRequest, layout: Layout, form: AsBuiltForm, take_over: Callable[..., object], *, by: Staff
) -> bool:
    seen = request.POST.get("seen")
    try:
        if "take_over" in request.POST:
            take_over(layout=layout, measures=form.measures, seen=seen, by=by)
            messages.success(request, _("The room is as built now, and its layout is chosen for it."))
        else:
            keep_as_built(layout=layout, measures=form.measures, seen=seen, by=by)
            messages.success(request, _("What was measured is on record. The layout stays as it was chosen."))
    except (RoomError, Refused) as error:
        form.add_error(None, str(error))
    return not form.errors


def _compare(sheet: RoughIn, measures: list[dict[str, Any]], *, stale: bool) -> _Compared:
    compared = _Compared(differences(sheet, measures))
    if stale or not any(each.moves for each in compared.found):
        return compared
    try:
        compared.again = lay_again(sheet.layout, compared.found)
        compared.rows = compared.again.figures
    except ValueError as error:
        compared.error = str(error)
    return compared


@require_POST
def print_sheet(request: HttpRequest, pk: UUID) -> HttpResponse:
    room: Room = get_room(request.user, pk)
    staff = require_staff(request.user)
    if layout := current_layout(room_with_parts(room)):
        print_rough_in(layout=layout, by=staff)
        messages.success(request, _("The rough-in sheet is being printed."))
    return redirect("rooms:rough_in", room.pk)


def state(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far the printed sheet is; a POST tries a failed one again."""
    the_print = get_rough_in_print(request.user, pk)
    return send_state(
        request,
        the_print.document,
        state_url=reverse("rooms:rough_in_state", args=[pk]),
        file_url=reverse("rooms:rough_in_file", args=[pk]),
        by=require_staff(request.user),
    )


@require_GET
def file(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    return send(get_rough_in_print(request.user, pk).document)
