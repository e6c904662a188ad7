from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from jobs.access import jobs_of
from rooms.models import Layout, Room, RoughInPrint, SheetPrint, Survey, Unfinished
from shop.access import not_found
from shop.models import Staff


def rooms_of(user: Staff | AnonymousUser) -> QuerySet[Room]:
    return Room.objects.filter(job__in=jobs_of(user)).select_related("job__client", "job__site", "tile")


def get_room(user: Staff | AnonymousUser, pk: UUID) -> Room:
    """The room, if its job is this person's to see; else Http404."""
    return rooms_of(user).filter(pk=pk).first() or not_found()


def get_unfinished(user: Staff | AnonymousUser, pk: UUID) -> Unfinished:
    """The unfinished room, if its job is this person's to see; else Http404."""
    found = Unfinished.objects.filter(pk=pk, job__in=jobs_of(user))
    return found.select_related("room", "job__client", "job__site").first() or not_found()


def get_survey(user: Staff | AnonymousUser, pk: UUID) -> Survey:
    """The survey with its room and who read it, if its job is this person's to see; else Http404."""
    surveys = Survey.objects.filter(pk=pk, room__job__in=jobs_of(user))
    return surveys.select_related("by", "room__tile", "room__job__client", "room__job__site").first() or not_found()


def get_rough_in_print(user: Staff | AnonymousUser, pk: UUID) -> RoughInPrint:
    """The printed rough-in sheet, if its job is this person's to see; else Http404."""
    prints = RoughInPrint.objects.filter(pk=pk, layout__room__job__in=jobs_of(user))
    return prints.select_related("document").first() or not_found()


def get_sheet_print(user: Staff | AnonymousUser, pk: UUID) -> SheetPrint:
    """The printed sheet with its document, if its job is this person's to see; else Http404."""
    prints = SheetPrint.objects.select_related("document").defer("document__input")
    return prints.filter(pk=pk, layout__room__job__in=jobs_of(user)).first() or not_found()


def get_layout(user: Staff | AnonymousUser, pk: UUID) -> Layout:
    """A layout that was chosen, with its room, if its job is this person's to see; else Http404."""
    layouts = Layout.objects.filter(pk=pk, room__job__in=jobs_of(user))
    related = ("chosen_by", "room__tile", "room__job__client", "room__job__site")
    return layouts.select_related(*related).first() or not_found()
