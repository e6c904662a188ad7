from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet

from jobs.access import jobs_of
from rooms.models import Layout, Room, RoughInPrint, SheetPrint, Standing, Survey, Unfinished
from shop.access import not_found
from shop.models import Staff


def _seen_by(user: Staff | AnonymousUser, room: str = "") -> Q:
    """Of the rooms that `room` leads to, those of the person's jobs; of options an installer sees only the taken."""
    seen = Q(**{f"{room}job__in": jobs_of(user)})
    office = isinstance(user, Staff) and user.runs_the_office
    return seen if office else seen & Q(**{f"{room}standing": Standing.IN})


def rooms_of(user: Staff | AnonymousUser) -> QuerySet[Room]:
    return Room.objects.filter(_seen_by(user)).select_related("job__client", "job__site", "tile")


def get_room(user: Staff | AnonymousUser, pk: UUID) -> Room:
    """The room, if its job is this person's to see; else Http404."""
    return rooms_of(user).filter(pk=pk).first() or not_found()


def get_unfinished(user: Staff | AnonymousUser, pk: UUID) -> Unfinished:
    """The unfinished room, if its job is this person's to see; else Http404."""
    found = Unfinished.objects.filter(pk=pk, job__in=jobs_of(user))
    return found.select_related("room", "job__client", "job__site").first() or not_found()


def get_survey(user: Staff | AnonymousUser, pk: UUID) -> Survey:
    """The survey with its room and who read it, if its job is this person's to see; else Http404."""
    surveys = Survey.objects.filter(_seen_by(user, "room__"), pk=pk)
    return surveys.select_related("by", "room__tile", "room__job__client", "room__job__site").first() or not_found()


def get_rough_in_print(user: Staff | AnonymousUser, pk: UUID) -> RoughInPrint:
    """The printed rough-in sheet, if its job is this person's to see; else Http404."""
    prints = RoughInPrint.objects.filter(_seen_by(user, "layout__room__"), pk=pk)
    return prints.select_related("document").first() or not_found()


def get_sheet_print(user: Staff | AnonymousUser, pk: UUID) -> SheetPrint:
    """The printed sheet with its document, if its job is this person's to see; else Http404."""
    prints = SheetPrint.objects.select_related("document").defer("document__input")
    return prints.filter(_seen_by(user, "layout__room__"), pk=pk).first() or not_found()


def get_layout(user: Staff | AnonymousUser, pk: UUID) -> Layout:
    """A layout that was chosen, with its room, if its job is this person's to see; else Http404."""
    layouts = Layout.objects.filter(_seen_by(user, "room__"), pk=pk)
    related = ("chosen_by", "room__tile", "room__job__client", "room__job__site")
    return layouts.select_related(*related).first() or not_found()
