"""Pages at the site, for everybody on the job: reading a substrate, and what the readings say."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.keys import uuid7
from layout import RoomError
from rooms import actions
from rooms.access import get_room, get_survey
from rooms.models import SurveyKind
from rooms.queries import room_with_parts, shop_unit, surveys_of
from rooms.survey_forms import TAPS, SurveyForm
from rooms.survey_view import SurveyView
from shop.models import Staff


@require_safe
def surveys(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What was read in this room, the newest first, and what can be read."""
    room = get_room(request.user, pk)
    context = {"room": room, "job": room.job, "surveys": surveys_of(room), "kinds": SurveyKind.choices}
    return render(request, "rooms/surveys.html", _shell(request, context))


@require_http_methods(["GET", "POST"])
def new_survey(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The grid of readings. `grid` makes it larger or smaller and keeps what was typed; `save` judges it."""
    room = room_with_parts(get_room(request.user, pk))
    kind = request.POST.get("kind") or request.GET.get("kind", "")
    if kind not in SurveyKind.values:
        return redirect("rooms:surveys", room.pk)
    unit = shop_unit()
    judge = "save" in request.POST
    form = SurveyForm(room, kind, request.POST or None, unit=unit, judge=judge)
    key = _key(request)
    if judge and form.is_valid():
        assert isinstance(request.user, Staff)
        try:
            kept = actions.keep_survey(
                room=room, where=form.where_text(), data=form.to_data(), key=key, by=request.user
            )
        except RoomError as error:
            form.say(error)
        else:
            messages.success(request, _("The readings are kept."))
            return redirect("rooms:survey", kept.pk)
    context: dict[str, Any] = {
        "room": room,
        "job": room.job,
        "form": form,
        "kind": kind,
        "kind_name": SurveyKind(kind).label,
        "key": key,
        "taps": TAPS[unit],
    }
    return render(request, "rooms/survey_entry.html", _shell(request, context))


@require_safe
def survey(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What a survey says: the verdict, the work, the pictures."""
    kept = get_survey(request.user, pk)
    context = {"survey": kept, "room": kept.room, "job": kept.room.job, "view": SurveyView(kept, unit=shop_unit())}
    return render(request, "rooms/survey.html", _shell(request, context))


def _shell(request: HttpRequest, context: dict[str, Any]) -> dict[str, Any]:
    """The page as this person's pages look: with the job's rod for owner and office, for the phone else."""
    office = isinstance(request.user, Staff) and request.user.runs_the_office
    return {**context, "shell": "job.html" if office else "field.html"}


def _key(request: HttpRequest) -> UUID:
    """The key of the survey to be made, which the form carries."""
    try:
        return UUID(request.POST.get("key", ""))
    except ValueError:
        return uuid7()
