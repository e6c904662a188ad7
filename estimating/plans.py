"""Which payment steps a job has: its own, or the shop's usual ones."""

from dataclasses import dataclass

from django.db.models import Q

from estimating.models import PaymentPlan
from estimating.payments import USUAL, Step
from jobs.models import Job


@dataclass(frozen=True, slots=True)
class Plan:
    """`own`: it is the job's (or, without a job, the shop's) and not what it falls back on. `number` is its version's,
    0 for none."""

    steps: tuple[Step, ...]
    own: bool
    number: int


def plan_of(job: Job | None) -> Plan:
    """The steps of a job, or the shop's usual ones. One query."""
    plans = PaymentPlan.objects.filter(Q(job=job) | Q(job=None)).order_by("job_id", "-number").distinct("job_id")
    by_job = {plan.job_id: plan for plan in plans}
    mine = by_job.get(job.pk if job else None)
    usual = by_job.get(None)
    number = mine.number if mine else 0
    if mine and mine.steps is not None:
        return Plan(_steps(mine), own=True, number=number)
    if usual and usual.steps is not None:
        return Plan(_steps(usual), own=False, number=number)
    return Plan(USUAL, own=False, number=number)


def _steps(plan: PaymentPlan) -> tuple[Step, ...]:
    return tuple(Step.from_json(each) for each in plan.steps or ())
