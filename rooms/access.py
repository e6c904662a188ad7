from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from jobs.access import jobs_of
from rooms.models import Room, Survey
from shop.access import not_found
from shop.models import Staff


def rooms_of(user: Staff | AnonymousUser) -> QuerySet[Room]:
    return Room.objects.filter(job__in=jobs_of(user)).select_related("job__client", "job__site", "tile")


def get_room(user: Staff | AnonymousUser, pk: UUID) -> Room:
    """The room, if its job is this person's to see; else Http404."""
    return rooms_of(user).filter(pk=pk).first() or not_found()


def get_survey(user: Staff | AnonymousUser, pk: UUID) -> Survey:
    """The survey with its room and who read it, if its job is this person's to see; else Http404."""
    surveys = Survey.objects.filter(pk=pk, room__job__in=jobs_of(user))
    return surveys.select_related("by", "room__tile", "room__job__client", "room__job__site").first() or not_found()
