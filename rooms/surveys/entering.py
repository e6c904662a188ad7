"""The page that a survey is typed into, whoever asks for it: a room's own page, or a check that wants its readings."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.errors import Refused
from base.keys import key_from
from layout import RoomError
from rooms.forms import exact_text
from rooms.models import Room, Surface, Survey, SurveyKind, SurveyVerdict
from rooms.outlines import is_rectangle
from rooms.queries import room_with_parts, shop_unit
from rooms.surveys.filing import file_survey
from rooms.surveys.form import SurveyForm, grid_words
from rooms.surveys.state import (
    MOST_CELLS,
    MOST_LINES,
    MOST_PLACES,
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
from shop.phone import Replay, happened_at, not_taken, receipt, replay_of
from trade.lengths import LengthError, Unit

NO_KEY = UUID(int=0)
"""Stands in `Purpose.then` for the key of the survey, which the phone makes when it keeps the form."""

_LABELS: Mapping[str, Any] = {
    SurveyKind.STUDS: gettext_lazy("Studs"),
    SurveyKind.WALL: gettext_lazy("A wall’s face"),
    SurveyKind.FLOOR: gettext_lazy("A floor"),
    SurveyKind.BED: gettext_lazy("A shower floor’s mortar bed"),
}

_TAPS: dict[Unit, tuple[str, ...]] = {
    "in": ("0", "1/16", "1/8", "3/16", "1/4", "-1/16", "-1/8", "-3/16", "-1/4"),
    "mm": ("0", "1", "2", "3", "5", "-1", "-2", "-3", "-5"),
}
"""Readings to be tapped; any other is typed."""


def unfinished(survey: Survey) -> bool:
    """Whether what was read can't tell: a page that goes on with it has its readings again."""
    return survey.verdict == SurveyVerdict.CANT_TELL


@dataclass(frozen=True, slots=True, kw_only=True)
class Purpose:
    """What a survey is read for.

    `keep` takes room, kind, surface, data, happened_at, key and by, and raises what `keep_survey` raises. `back`: the
    page that it was asked for on; `then`: the page after it is kept, with `NO_KEY` for its key. `longest_edge`, mm:
    the tile whose limits are asked about, where that isn't for the person to say; `apart`, mm: readings stand no
    farther apart on a new page. `hidden`: fields that come back with the form, with what they are on a new page.
    """

    keep: Callable[..., Survey]
    back: str
    then: str
    group: str = ""
    kinds: Sequence[str] = tuple(SurveyKind.values)
    about: str = ""
    longest_edge: Decimal | None = None
    apart: Decimal | None = None
    hidden: Mapping[str, str] = field(default_factory=dict)
    goes_on: Callable[[Survey], bool] = unfinished


def starts(room: Room, kinds: Sequence[str]) -> list[tuple[str, str, list[Surface]]]:
    """Of each kind its name and the surfaces that can be surveyed so. Reads what `with_parts` has prefetched."""
    return [(kind, str(_LABELS[kind]), surfaces_for(room, kind)) for kind in kinds]


def survey_page(request: HttpRequest, room: Room, purpose: Purpose) -> HttpResponse | None:
    """The page, with one line or place more or less where that was pressed; after saving the way on. For the phone's
    queue a receipt, or why it isn't taken. None where the request names no kind of survey that is wanted."""
    room, unit, replay = room_with_parts(room), shop_unit(), replay_of(request)
    asked = request.POST if request.method == "POST" else request.GET
    kind = asked.get("kind", "")
    if kind not in purpose.kinds:
        return not_taken(replay, _("Say what was read.")) if replay else None
    surface = next((each for each in surfaces_for(room, kind) if each.key == asked.get("surface")), None)
    focus = ""
    if request.method == "POST":
        form, focus = _form_from_post(request.POST, kind, surface, purpose, unit=unit)
        try:
            if "save" in request.POST and form.is_valid() and (kept := _keep(request, form, purpose, room, surface)):
                return receipt(replay) if replay else redirect(purpose.then.replace(str(NO_KEY), str(kept.pk)))
        except Refused as error:
            if replay:
                return not_taken(replay, error)
            form.add_error(None, str(error))
        if replay:
            return _refused(replay, form)
    else:
        state = _start(request, room, kind, surface, purpose, unit=unit)
        form = SurveyForm(state, unit=unit, outlined=_outlined(kind, surface))
    if focus:
        form.fields[focus].widget.attrs["autofocus"] = True
    context = {
        "form": form,
        "kind": kind,
        "kind_name": SurveyKind(kind).label,
        "surface": surface,
        "purpose": purpose,
        "hidden": {name: request.POST.get(name, text) for name, text in purpose.hidden.items()},
        "key": key_from(request.POST.get("key", "")),
        "taps": _TAPS[unit],
        "blank": SurveyForm(State(kind, 1, 1, {}), unit=unit),
        "grid": grid_words(kind) | {"units": unit, "lines": MOST_LINES, "places": MOST_PLACES, "cells": MOST_CELLS},
    }
    return render(request, "rooms/surveys/new.html", framed(request, room, context))


def framed(request: HttpRequest, room: Room, context: Mapping[str, Any]) -> dict[str, Any]:
    """The same page at the desk and on the installer's phone."""
    office = isinstance(request.user, Staff) and request.user.runs_the_office
    return {"frame": "job.html" if office else "field.html", "job": room.job, "room": room, **context}


def _form_from_post(
    post: QueryDict, kind: str, surface: Surface | None, purpose: Purpose, *, unit: Unit
) -> tuple[SurveyForm, str]:
    """The form as it came back, with one more or less of something where that was asked for; the field to go to."""
    state, focus = _for_its_tile(state_of_post(post, kind), purpose, unit=unit), ""
    bound = "save" in post
    if "add" in post:
        state, focus = grown(state, post.get("add", ""), unit=unit)
    elif "remove" in post:
        state = shrunk(state, post.get("remove", ""))
    elif "space" in post:
        try:
            state = spaced(state, unit=unit)
        except LengthError:
            bound = True
    form = SurveyForm(state, unit=unit, outlined=_outlined(kind, surface), bound=bound)
    if bound and "space" in post:
        form.say_spacing()
    return form, focus


def _keep(
    request: HttpRequest, form: SurveyForm, purpose: Purpose, room: Room, surface: Surface | None
) -> Survey | None:
    """The survey, kept; None where the engine can't read it: the form says why, beside the field. Raises Refused."""
    filed, replay = file_survey(form, surface), replay_of(request)
    try:
        return purpose.keep(
            room=room,
            kind=form.kind,
            surface=surface,
            data=filed.data,
            happened_at=happened_at(replay),
            key=replay.key if replay else key_from(request.POST.get("key", "")),
            by=require_staff(request.user),
        )
    except RoomError as error:
        name = filed.field_of(error.place)
        said = error.reason if name or not error.place else f"{error.place}: {error.reason}"
        form.add_error(name, said)
    return None


def _refused(replay: Replay, form: SurveyForm) -> JsonResponse:
    """Why the phone's survey isn't taken, and in which fields: the page there may be another by now."""
    told = [
        f"{form[name].label}: {text}" if name in form.fields else str(text)
        for name, texts in form.errors.items()
        for text in texts
    ]
    return not_taken(replay, " ".join(told))


def _start(
    request: HttpRequest, room: Room, kind: str, surface: Surface | None, purpose: Purpose, *, unit: Unit
) -> State:
    """A new page; `after` an earlier survey of the room its lines again, and of an unfinished one its readings too."""
    start = _for_its_tile(state_of_start(room, kind, surface, unit=unit, apart=purpose.apart), purpose, unit=unit)
    try:
        earlier = room.surveys.filter(pk=UUID(request.GET.get("after", "")), kind=kind).first()
    except ValueError:
        earlier = None
    if earlier is None or earlier.data["units"] != unit:
        return start
    again = state_of_data(earlier.data, kind, start, readings=purpose.goes_on(earlier))
    return _for_its_tile(again, purpose, unit=unit)


def _for_its_tile(state: State, purpose: Purpose, *, unit: Unit) -> State:
    if purpose.longest_edge is None:
        return state
    return replace(state, values={**state.values, "tile_longest_edge": exact_text(purpose.longest_edge, unit=unit)})


def _outlined(kind: str, surface: Surface | None) -> bool:
    """Whether a shower's floor has the outline of its surface, since no two measures say it."""
    return kind == SurveyKind.BED and surface is not None and not is_rectangle([(x, y) for x, y in surface.outline])
