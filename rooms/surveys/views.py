"""The survey pages, for everybody on the job: what was read in a room, a new survey, and what one says."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from base.keys import key_from
from layout import RoomError
from rooms.access import get_room, get_survey
from rooms.models import Room, Surface, Survey, SurveyKind, SurveyVerdict
from rooms.outlines import is_rectangle
from rooms.queries import room_with_parts, shop_unit, surveys_of_room
from rooms.surveys.filing import file_survey
from rooms.surveys.form import SurveyForm
from rooms.surveys.keeping import keep_survey
from rooms.surveys.shown import shown
from rooms.surveys.state import (
    State,
    grown,
    shrunk,
    spaced,
    state_of_data,
    state_of_post,
    state_of_start,
    surfaces_for,
)
from shop.access import require_staff
from shop.models import Staff
from shop.phone import keep_on_phone
from trade.lengths import LengthError, Unit


@require_safe
@keep_on_phone
def of_room(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What was surveyed in a room, and where a new survey starts."""
    room = room_with_parts(get_room(request.user, pk))
    starts = [
        (kind, label, surfaces_for(room, kind))
        for kind, label in (
            (SurveyKind.STUDS, _("Studs")),
            (SurveyKind.WALL, _("A wall’s face")),
            (SurveyKind.FLOOR, _("A floor")),
            (SurveyKind.BED, _("A shower floor’s mortar bed")),
        )
    ]
    context = {"surveys": surveys_of_room(room), "starts": starts}
    return render(request, "rooms/surveys/list.html", _framed(request, room, context))


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A survey is typed in; saved as far as it goes."""
    room = room_with_parts(get_room(request.user, pk))
    unit = shop_unit()
    asked = request.POST if request.method == "POST" else request.GET
    kind = asked.get("kind", "")
    if kind not in SurveyKind.values:
        return redirect("rooms:surveys", room.pk)
    surface = next((each for each in surfaces_for(room, kind) if each.key == asked.get("surface")), None)
    focus = ""
    if request.method == "POST":
        form, focus = _form_from_post(request, kind, surface, unit=unit)
        if "save" in request.POST and form.is_valid() and (kept := _keep(request, form, room=room, surface=surface)):
            said = _("The survey is kept.") if kept.result else _("Kept unfinished. What is missing stands below.")
            messages.success(request, said)
            return redirect("rooms:survey", kept.pk)
    else:
        state = _start(request, room, kind, surface, unit=unit)
        form = SurveyForm(state, unit=unit, outlined=_outlined(kind, surface))
    if focus:
        form.fields[focus].widget.attrs["autofocus"] = True
    context = {
        "form": form,
        "kind": kind,
        "kind_name": SurveyKind(kind).label,
        "surface": surface,
        "key": key_from(request.POST.get("key", "")),
        "taps": _TAPS[unit],
    }
    return render(request, "rooms/surveys/new.html", _framed(request, room, context))


@require_safe
@keep_on_phone
def detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What a survey says, as it was judged when it was kept."""
    survey = get_survey(request.user, pk)
    context = {"survey": survey, "shown": shown(survey), "unit": survey.data["units"]}
    return render(request, "rooms/surveys/detail.html", _framed(request, survey.room, context))


_TAPS: dict[Unit, tuple[str, ...]] = {
    "in": ("0", "1/16", "1/8", "3/16", "1/4", "-1/16", "-1/8", "-3/16", "-1/4"),
    "mm": ("0", "1", "2", "3", "5", "-1", "-2", "-3", "-5"),
}
"""Readings to be tapped; any other is typed."""


def _form_from_post(request: HttpRequest, kind: str, surface: Surface | None, *, unit: Unit) -> tuple[SurveyForm, str]:
    """The form as it came back, with one more or less of something where that was asked for; the field to go to."""
    state, focus = state_of_post(request.POST, kind), ""
    bound = "save" in request.POST
    if "add" in request.POST:
        state, focus = grown(state, request.POST["add"], unit=unit)
    elif "remove" in request.POST:
        state = shrunk(state, request.POST["remove"])
    elif "space" in request.POST:
        try:
            state = spaced(state, unit=unit)
        except LengthError:
            bound = True
    form = SurveyForm(state, unit=unit, outlined=_outlined(kind, surface), bound=bound)
    if bound and "space" in request.POST:
        form.say_spacing()
    return form, focus


def _keep(request: HttpRequest, form: SurveyForm, *, room: Room, surface: Surface | None) -> Survey | None:
    """The survey, kept; None where the engine or the shop refuses it: the form says why, beside the field."""
    filed = file_survey(form, surface)
    try:
        return keep_survey(
            room=room,
            kind=form.kind,
            surface=surface,
            data=filed.data,
            happened_at=timezone.now(),
            key=key_from(request.POST.get("key", "")),
            by=require_staff(request.user),
        )
    except RoomError as error:
        field = filed.field_of(error.place)
        said = error.reason if field or not error.place else f"{error.place}: {error.reason}"
        form.add_error(field, said)
    except Refused as error:
        form.add_error(None, str(error))
    return None


def _start(request: HttpRequest, room: Room, kind: str, surface: Surface | None, *, unit: Unit) -> State:
    """A new page; `after` an earlier survey of the room its lines again, and of an unfinished one its readings too."""
    start = state_of_start(room, kind, surface, unit=unit)
    try:
        earlier = room.surveys.filter(pk=UUID(request.GET.get("after", "")), kind=kind).first()
    except ValueError:
        earlier = None
    if earlier is None or earlier.data["units"] != unit:
        return start
    return state_of_data(earlier.data, kind, start, readings=earlier.verdict == SurveyVerdict.CANT_TELL)


def _outlined(kind: str, surface: Surface | None) -> bool:
    """Whether a shower's floor has the outline of its surface, since no two measures say it."""
    return kind == SurveyKind.BED and surface is not None and not is_rectangle([(x, y) for x, y in surface.outline])


def _framed(request: HttpRequest, room: Room, context: dict[str, Any]) -> dict[str, Any]:
    """The same page at the desk and on the installer's phone."""
    office = isinstance(request.user, Staff) and request.user.runs_the_office
    return {"frame": "job.html" if office else "field.html", "job": room.job, "room": room, **context}
