"""The survey pages, for everybody on the job: what was read in a room, a new survey, and what one says."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from rooms.access import get_room, get_survey
from rooms.models import SurveyKind
from rooms.queries import room_with_parts, surveys_of_room
from rooms.surveys.entering import NO_KEY, Purpose, framed, starts, survey_page
from rooms.surveys.keeping import keep_survey
from rooms.surveys.shown import shown
from shop.phone import keep_on_phone


@require_safe
@keep_on_phone
def of_room(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What was surveyed in a room, and where a new survey starts."""
    room = room_with_parts(get_room(request.user, pk))
    context = {
        "surveys": surveys_of_room(room),
        "starts": starts(room, SurveyKind.values),
        "address": reverse("rooms:survey_new", args=[room.pk]),
    }
    return render(request, "rooms/surveys/list.html", framed(request, room, context))


@require_http_methods(["GET", "POST"])
@keep_on_phone
def new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A survey is typed in; saved as far as it goes."""
    room = get_room(request.user, pk)
    back = reverse("rooms:surveys", args=[room.pk])
    purpose = Purpose(keep=keep_survey, back=back, then=reverse("rooms:survey", args=[NO_KEY]))
    return survey_page(request, room, purpose) or redirect(back)


@require_safe
@keep_on_phone
def detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What a survey says, as it was judged when it was kept."""
    survey = get_survey(request.user, pk)
    context = {"survey": survey, "shown": shown(survey), "unit": survey.data["units"]}
    return render(request, "rooms/surveys/detail.html", framed(request, survey.room, context))
