"""What a job comes to, and until when it is worked on: the accepted proposal and the approved changes, always."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Count, Max, Sum
from django.utils import timezone

from estimating.models import Acceptance, ChangeApproval
from jobs.models import Booking, BookingKind, Job
from shop.queries import shop_settings

MONDAY_TO_FRIDAY = (1, 2, 3, 4, 5)
"""Where a shop never said on which days it works. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSum:
    """`total` is what was accepted, and the `count` changes that were approved since."""

    accepted: Decimal
    changes: Decimal
    count: int

    @property
    def total(self) -> Decimal:
        return self.accepted + self.changes


def job_sum(job: Job) -> JobSum | None:
    """The job's sum; None before a proposal is accepted. 2 queries.

    `models.changes.JOB_SUM_SQL` says the same to the database, whose triggers hold every offer and approval to it.
    """
    accepted = Acceptance.objects.filter(job=job).values_list("total", flat=True).first()
    if accepted is None:
        return None
    approved = ChangeApproval.objects.filter(job=job).aggregate(sum=Sum("offer__amount"), count=Count("id"))
    return JobSum(accepted=accepted, changes=approved["sum"] or Decimal(0), count=approved["count"])


def job_finish(job: Job) -> date | None:
    """The last day of work, by what was said last: the job's bookings, or an approved change. 3 queries at most."""
    booked = Booking.objects.filter(job=job, kind=BookingKind.PHASE, canceled_at=None).aggregate(
        last=Max("during__endswith"), said=Max("created_at")
    )
    approved = ChangeApproval.objects.filter(job=job, offer__finish__isnull=False).select_related("offer").last()
    if approved and (booked["said"] is None or approved.created_at > booked["said"]):
        return approved.offer.finish
    return timezone.localtime(booked["last"]).date() if booked["last"] else None


def moved(day: date, days: int) -> date:
    """`day`, so many of the shop's working days later, or earlier for fewer than 0."""
    return _moved(day, days, shop_settings().work_days or MONDAY_TO_FRIDAY)


def _moved(day: date, days: int, working: Collection[int]) -> date:
    step = timedelta(days=1 if days > 0 else -1)
    while days:
        day += step
        if day.isoweekday() in working:
            days -= 1 if days > 0 else -1
    return day
