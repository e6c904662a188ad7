"""Prices are for owner and office: an installer meets 403 before a row is looked for. The owner decides on them."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import QuerySet

from estimating.models import (
    ChangeLink,
    ChangeOrder,
    Contingency,
    EstimateLine,
    Option,
    OptionGroup,
    OwnRate,
    Proposal,
    ProposalLink,
    Question,
    TaxRule,
)
from jobs.access import get_job, jobs_of
from jobs.models import Job
from rooms.models import Tile
from shop.access import get_staff, not_found, require_office, require_owner
from shop.models import Staff

User = Staff | AnonymousUser


def see_rates(user: User) -> Staff:
    return require_office(user)


def change_rates(user: User) -> Staff:
    return require_owner(user)


def change_wages(user: User) -> Staff:
    """What persons earn is the owner's to know and to set; PermissionDenied for all others."""
    return require_owner(user)


def get_person(user: User, pk: UUID) -> Staff:
    """The person whose hour the owner sets; PermissionDenied, Http404."""
    return get_staff(user, pk)


def get_tile(user: User, pk: UUID) -> Tile:
    """The tile whose price the owner sets; Http404."""
    require_owner(user)
    return Tile.objects.filter(pk=pk).first() or not_found()


def get_own_rate(user: User, pk: UUID) -> OwnRate:
    """One of the shop's own rates, for the owner; PermissionDenied, Http404."""
    require_owner(user)
    return OwnRate.objects.filter(pk=pk).first() or not_found()


def get_tax_rule(user: User, key: str) -> TaxRule:
    """The tax of the shop's table, for the owner; Http404, also for what is no key."""
    require_owner(user)
    try:
        return TaxRule.objects.filter(pk=UUID(key)).first() or not_found()
    except ValueError:
        return not_found()


def change_contingency_of(user: User, pk: UUID) -> Contingency:
    """A price of what may be found, for the owner; PermissionDenied, Http404."""
    require_owner(user)
    found = Contingency.objects.select_related("estimate__job")
    return found.filter(pk=pk, estimate__job__in=jobs_of(user)).first() or not_found()


def see_price(user: User, pk: UUID) -> Job:
    """The job, for owner and office; PermissionDenied for an installer, Http404."""
    require_office(user)
    return get_job(user, pk)


def change_price(user: User, pk: UUID) -> Job:
    """The job, for the owner, who prices and signs proposals; PermissionDenied, Http404."""
    require_owner(user)
    return get_job(user, pk)


def change_line_of(user: User, pk: UUID) -> EstimateLine:
    """The line of an estimate, for the owner; PermissionDenied, Http404."""
    require_owner(user)
    lines = EstimateLine.objects.select_related("estimate__job__client", "estimate__job__site", "room", "rate__own")
    return lines.filter(pk=pk, estimate__job__in=jobs_of(user)).first() or not_found()


def change_option(user: User, pk: UUID) -> Option:
    """The option, for the owner; PermissionDenied, Http404."""
    require_owner(user)
    found = Option.objects.select_related("group__job__client", "group__job__site", "room")
    return found.filter(pk=pk, group__job__in=jobs_of(user)).first() or not_found()


def change_option_group(user: User, pk: UUID) -> OptionGroup:
    """The options to choose among, for the owner; PermissionDenied, Http404."""
    require_owner(user)
    found = OptionGroup.objects.select_related("job__client", "job__site")
    return found.filter(pk=pk, job__in=jobs_of(user)).first() or not_found()


def _proposals_of(user: User) -> QuerySet[Proposal]:
    require_office(user)
    return Proposal.objects.filter(job__in=jobs_of(user)).select_related(
        "job__client", "job__site", "document", "made_by"
    )


def get_proposal(user: User, pk: UUID) -> Proposal:
    """The proposal, for owner and office; PermissionDenied, Http404."""
    return _proposals_of(user).filter(pk=pk).first() or not_found()


def own_proposal(user: User, pk: UUID) -> Proposal:
    """The proposal, for the owner to send, renew or withdraw; PermissionDenied, Http404."""
    require_owner(user)
    return get_proposal(user, pk)


def get_question(user: User, pk: UUID) -> Question:
    """A client's question, for owner and office to answer; PermissionDenied, Http404."""
    require_office(user)
    questions = Question.objects.select_related("proposal__job__client", "proposal__job__site", "proposal__document")
    return questions.filter(pk=pk, proposal__job__in=jobs_of(user)).first() or not_found()


def link_of(token: str) -> ProposalLink | None:
    """The live link of a client's token, with its proposal; None for one that is unknown, expired or revoked, which
    a page must not tell apart."""
    link = ProposalLink.live(token)
    if link is None:
        return None
    return ProposalLink.objects.select_related("proposal__job__client", "proposal__document").get(pk=link.pk)


def get_change(user: User, pk: UUID) -> ChangeOrder:
    """The change order, for owner and office; PermissionDenied, Http404."""
    require_office(user)
    changes = ChangeOrder.objects.select_related("job__client", "job__site", "raised_by")
    return changes.filter(pk=pk, job__in=jobs_of(user)).first() or not_found()


def change_link_of(token: str) -> ChangeLink | None:
    """The live link of a client's token to a change order; None for one that is unknown, expired or revoked, which a
    page must not tell apart."""
    link = ChangeLink.live(token)
    if link is None:
        return None
    return ChangeLink.objects.select_related("change__job__client").get(pk=link.pk)
