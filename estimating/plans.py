"""Which payment steps a job has: its own, or the shop's usual ones."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from estimating.models import PaymentPlan, SignedAt
from estimating.payments import USUAL, Step
from jobs.models import Job


@dataclass(frozen=True, slots=True)
class Plan:
    """`own`: it is the job's (or, without a job, the shop's) and not what it falls back on. `number` is its version's,
    0 for none. `signed_at`: where, one of `SignedAt`; `special_order`: the cost of material on special order, with the
    `special_order_words` that say which."""

    steps: tuple[Step, ...]
    own: bool
    number: int
    signed_at: str = SignedAt.HOME
    special_order: Decimal | None = None
    special_order_words: str = ""


def plan_of(job: Job | None) -> Plan:
    """The steps of a job, or the shop's usual ones. One query."""
    plans = PaymentPlan.objects.filter(Q(job=job) | Q(job=None)).order_by("job_id", "-number").distinct("job_id")
    by_job = {plan.job_id: plan for plan in plans}
    mine = by_job.get(job.pk if job else None)
    usual = by_job.get(None)
    number = mine.number if mine else 0
    if mine and mine.steps is not None:
        return _plan(mine, own=True, number=number)
    if usual and usual.steps is not None:
        return _plan(usual, own=False, number=number)
    return Plan(USUAL, own=False, number=number)


def _plan(row: PaymentPlan, *, own: bool, number: int) -> Plan:
    return Plan(
        steps=tuple(Step.from_json(each) for each in row.steps or ()),
        own=own,
        number=number,
        signed_at=row.signed_at,
        special_order=row.special_order,
        special_order_words=row.special_order_words,
    )
