"""Phases, checks and punch items are seen by whoever may see their job."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser

from inspections.models import Check, Entry, Phase, PunchItem, PunchListPrint, SignOff
from jobs.access import jobs_of
from shop.access import not_found
from shop.models import Staff


def get_phase(user: Staff | AnonymousUser, pk: UUID) -> Phase:
    phases = Phase.objects.select_related("room__job__site", "room__job__client")
    return phases.filter(pk=pk, room__job__in=jobs_of(user)).first() or not_found()


def get_check(user: Staff | AnonymousUser, pk: UUID) -> Check:
    checks = Check.objects.select_related("phase__room__job__site")
    return checks.filter(pk=pk, phase__room__job__in=jobs_of(user)).first() or not_found()


def get_entry(user: Staff | AnonymousUser, pk: UUID) -> Entry:
    entries = Entry.objects.select_related("check_done__phase__room__job__site")
    return entries.filter(pk=pk, check_done__phase__room__job__in=jobs_of(user)).first() or not_found()


def get_sign_off(user: Staff | AnonymousUser, pk: UUID) -> SignOff:
    sign_offs = SignOff.objects.select_related("phase__room__job__site")
    return sign_offs.filter(pk=pk, phase__room__job__in=jobs_of(user)).first() or not_found()


def get_punch_item(user: Staff | AnonymousUser, pk: UUID) -> PunchItem:
    items = PunchItem.objects.select_related("job__site", "room", "photo")
    return items.filter(pk=pk, job__in=jobs_of(user)).first() or not_found()


def get_print(user: Staff | AnonymousUser, pk: UUID) -> PunchListPrint:
    prints = PunchListPrint.objects.select_related("job", "document")
    return prints.filter(pk=pk, job__in=jobs_of(user)).first() or not_found()
