"""The one lock that everything about a job's price is decided under: the job's row."""

from uuid import UUID

from estimating.models import Proposal
from jobs.models import Job


def lock_job(pk: UUID) -> Job:
    """The job as it is now, nobody else deciding on it until this transaction ends."""
    return Job.objects.select_for_update(no_key=True).get(pk=pk)


def lock_proposal(pk: UUID) -> tuple[Job, Proposal]:
    """The proposal's job, locked, and the proposal. Proposals are only ever added, so the app's role can't lock one:
    everything that decides on a proposal locks its job."""
    proposal = Proposal.objects.select_related("document").get(pk=pk)
    return lock_job(proposal.job_id), proposal
