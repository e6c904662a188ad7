"""The rough-in sheet on the phone: what the tape reads off the framing is typed beside it, also without signal."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import key_from, uuid7
from rooms.as_built import differences
from rooms.as_built_form import AsBuiltForm, with_fields
from rooms.as_built_readings import readings_of
from rooms.models import Layout, Room, RoughInPrint
from rooms.queries import current_layout, is_stale, room_with_parts, shop_unit
from rooms.reading_on_site import another_layout, read_on_site
from rooms.relaid import relaid_text
from rooms.rough_in import RoughIn
from shop.models import Staff
from shop.phone import Replay, happened_at, not_taken, receipt, replay_of


def rough_in(request: HttpRequest, room: Room, by: Staff) -> HttpResponse:
    """The page of a room that the person may see; a POST keeps what was measured, for the office to answer."""
    room = room_with_parts(room)
    layout = _sheet_of(request, room) or current_layout(room)
    replay = replay_of(request)
    if layout is None:
        gone = _("There is no sheet any more to measure against. Ask the office.")
        context = {"job": room.job, "room": room}
        return not_taken(replay, gone) if replay else render(request, "rooms/field/rough_in.html", context)
    form = AsBuiltForm(request.POST if request.method == "POST" else None, sheet=RoughIn(layout), unit=shop_unit())
    if request.method == "POST":
        refused = _keep(form, room, layout, replay, by=by, posted=request.POST)
        if replay:
            return not_taken(replay, refused) if refused else receipt(replay)
        if not refused:
            messages.success(request, _("What you measured is kept. What differs stands below."))
            return redirect(reverse("rooms:rough_in", args=[room.pk]) + "#as-built")
    return _page(request, room, layout, form)


def _sheet_of(request: HttpRequest, room: Room) -> Layout | None:
    """The layout whose sheet was measured against."""
    try:
        key = UUID(request.POST.get("sheet", ""))
    except ValueError:
        return None
    return Layout.objects.filter(room=room, pk=key).first()


def _keep(
    form: AsBuiltForm, room: Room, sheet: Layout, replay: Replay | None, *, by: Staff, posted: Mapping[str, str]
) -> AsBuiltForm | Refused | None:
    """None where it is kept; else what was wrong, which the form has as well."""
    if posted.get("sheet") != str(sheet.pk):
        form.add_error(None, another_layout())
    if not form.is_valid():
        return form
    key = replay.key if replay else key_from(posted.get("key", ""))
    try:
        read_on_site(room=room, sheet=sheet, measures=form.measures, read_at=happened_at(replay), key=key, by=by)
    except Refused as error:
        form.add_error(None, str(error))
        return error
    return None


def _page(request: HttpRequest, room: Room, layout: Layout, form: AsBuiltForm) -> HttpResponse:
    sheet, readings = RoughIn(layout), readings_of(layout)
    context: dict[str, Any] = {
        "job": room.job,
        "room": room,
        "layout": layout,
        "stale": is_stale(room, layout),
        "relaid": relaid_text(layout),
        "sheet": sheet,
        "surfaces": with_fields(sheet, form, readings.measures),
        "form": form,
        "unit": shop_unit(),
        # What is mended on this page takes the place of what the phone kept under its key.
        "key": key_from(request.POST.get("key", "")) if form.errors else uuid7(),
        "measured": readings.measures,
        "found": differences(sheet, readings.measures),
        "unanswered": readings.unanswered,
        "replaced": current_layout(room) != layout,
        "print": RoughInPrint.objects.filter(layout=layout).select_related("document").first(),
    }
    return render(request, "rooms/field/rough_in.html", context, status=422 if form.errors else 200)
