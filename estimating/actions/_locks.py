"""The locks that are taken before anything is decided: the job's row for its price, a link's for who comes by it."""

from uuid import UUID

from django.utils import timezone

from clients.models import PrivateLink
from estimating.models import ChangeOffer, Proposal, ProposalLink
from jobs.models import Job


def lock_job(pk: UUID) -> Job:
    """The job as it is now, nobody else deciding on it until this transaction ends."""
    return Job.objects.select_for_update(no_key=True).get(pk=pk)


def lock_proposal(pk: UUID) -> tuple[Job, Proposal]:
    """The proposal's job, locked, and the proposal. Proposals are only ever added, so the app's role can't lock one:
    everything that decides on a proposal locks its job."""
    proposal = Proposal.objects.select_related("document").get(pk=pk)
    proposal.job = lock_job(proposal.job_id)
    return proposal.job, proposal


def lock_offer(pk: UUID) -> tuple[Job, ChangeOffer]:
    """The job of an offer of a change order, locked, and the offer as it is then."""
    job = lock_job(ChangeOffer.objects.values_list("change__job", flat=True).get(pk=pk))
    return job, ChangeOffer.objects.select_related("document", "change__job__client").get(pk=pk)


def lock_link(pk: UUID) -> ProposalLink:
    """The link as it is now: nobody else revokes it, or asks through it, until this transaction ends."""
    return ProposalLink.objects.select_for_update(no_key=True).get(pk=pk)


def is_dead(link: PrivateLink) -> bool:
    return link.revoked_at is not None or timezone.now() >= link.expires_at
