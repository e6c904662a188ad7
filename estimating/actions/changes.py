"""Change orders while they are worked on. Each action decides under its job's lock."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from base.seen import check_seen
from estimating.actions._locks import lock_job
from estimating.change_queries import ChangeView, field_limit, view_of
from estimating.hours import Hour, cost_by, hour_for_changes
from estimating.models import Acceptance, ChangeLine, ChangeOrder, EstimateLine, FieldLimit, OwnRate, Rate, RateKind
from estimating.pricing import Price, TooMuch, cents, hours_of, price_line
from jobs.models import Job, Photo, Stage
from shop.audit import change as change_by
from shop.models import Staff

OPEN_STAGES = (Stage.WORKING, Stage.PUNCH_LIST)
_MOST_LINES = 100
ZERO = Decimal(0)


class CannotChangeOrder(Refused):
    """The change order can't be worked on as things stand. The message is for whoever tried."""


def lock_open_job(pk: UUID) -> Job:
    """The job, locked. Raises CannotChangeOrder unless its work was accepted and isn't closed out."""
    job = lock_job(pk)
    if job.stage not in OPEN_STAGES or not Acceptance.objects.filter(job=job).exists():
        raise CannotChangeOrder(
            _("This job is at “%(stage)s”: a change order belongs to accepted work that isn’t closed out.")
            % {"stage": job.get_stage_display()}
        )
    return job


def lock_change(change: ChangeOrder) -> ChangeView:
    """The change order as it stands, nobody else deciding on its job. Raises CannotChangeOrder."""
    lock_open_job(change.job_id)
    return view_of(change)


def _editable(change: ChangeOrder, seen: str | None = None) -> ChangeOrder:
    now = lock_change(change)
    if now.standing == "approved":
        raise CannotChangeOrder(_("This change order is approved: it stays. Write another one for what comes now."))
    if now.standing == "open":
        raise CannotChangeOrder(_("This change order is with the client: withdraw it first, then change it."))
    check_seen(now.said, seen)
    return now.change


def raise_change(
    *,
    job: Job,
    what: str,
    by: Staff,
    happened_at: datetime | None = None,
    why: str = "",
    on_site: bool = False,
    word_of: str = "",
    directed_by: str = "",
    photo: Photo | None = None,
    settles: EstimateLine | None = None,
    key: UUID | None = None,
) -> ChangeOrder:
    """The new change order, with the next number of its job; the same `key` with the same content returns the same.

    `word_of`: who of the client's said yes on site, which needs a field limit. Raises CannotChangeOrder, KeyTaken.
    """
    said = {"what": what, "why": why, "on_site": on_site, "word_of": word_of, "raised_by": by}
    with change_by(by):
        earlier = ChangeOrder.objects.filter(pk=key).first() if key else None
        if earlier:
            if earlier.job_id != job.pk or any(getattr(earlier, name) != value for name, value in said.items()):
                raise KeyTaken(
                    _("Another change was sent with this form before, and is kept. If this is one more, send it again.")
                )
            return earlier
        job = lock_open_job(job.pk)
        if photo and photo.job_id != job.pk:
            raise CannotChangeOrder(_("The photo has to be of this job."))
        limit = field_limit(job) if word_of else None
        if word_of and limit is None:
            raise CannotChangeOrder(
                _("No field limit was agreed for this job: the change waits until the client approves it in writing.")
            )
        last = ChangeOrder.objects.filter(job=job).aggregate(last=Max("number"))["last"] or 0
        change = ChangeOrder.objects.create(
            pk=key or uuid7(),
            job=job,
            number=last + 1,
            raised_at=happened_at or timezone.now(),
            word_limit=limit.amount if limit else None,
            directed_by=directed_by or word_of,
            settles=settles,
            **said,
        )
        if photo:
            change.photos.add(photo)
    return change


def edit_change(
    *,
    change: ChangeOrder,
    what: str,
    why: str,
    directed_by: str,
    days: int,
    not_to_exceed: Decimal | None,
    photos: Sequence[Photo],
    by: Staff,
    seen: str | None = None,
) -> ChangeOrder:
    """The change order, said anew. One that was given up is taken up again. `seen`: `ChangeView.said` of what the form
    was opened on. Raises CannotChangeOrder, ChangedMeanwhile."""
    with change_by(by):
        now = _editable(change, seen)
        if any(photo.job_id != now.job_id for photo in photos):
            raise CannotChangeOrder(_("The photo has to be of this job."))
        now.what, now.why, now.directed_by, now.days = what, why, directed_by, days
        now.not_to_exceed, now.dropped_reason = not_to_exceed, ""
        now.save(update_fields=["what", "why", "directed_by", "days", "not_to_exceed", "dropped_reason"])
        now.photos.set(photos)
    return now


def add_change_line(
    *,
    change: ChangeOrder,
    quantity: Decimal,
    by: Staff,
    rate: Rate | None = None,
    kind: RateKind = RateKind.OTHER,
    text: str = "",
    unit: str = "",
    unit_cost: Decimal = Decimal(0),
    credit: bool = False,
    key: UUID | None = None,
) -> ChangeLine:
    """A line by `rate`, or one of one's own: so many units (for labor: hours) at so much. The same `key` with the same
    content returns the same. Raises CannotChangeOrder, KeyTaken."""
    said: dict[str, Any] = {"quantity": quantity, "rate": rate, "credit": credit}
    if rate:
        said |= {"text": text or rate.name}
    else:
        unit = _("hours") if kind == RateKind.LABOR else unit
        said |= {"text": text, "kind": kind, "unit": unit, "unit_cost": unit_cost}
    with change_by(by):
        now = _editable(change)
        if earlier := ChangeLine.objects.select_related("rate").filter(pk=key).first() if key else None:
            if earlier.change_id != now.pk or any(getattr(earlier, name) != value for name, value in said.items()):
                raise KeyTaken(
                    _("Another line was sent with this form before, and is kept. If this is one more, send it again.")
                )
            return earlier
        if now.lines.count() >= _MOST_LINES:
            raise CannotChangeOrder(_("A change order holds %(most)s lines.") % {"most": _MOST_LINES})
        position = (now.lines.aggregate(last=Max("position"))["last"] or 0) + 1
        line = ChangeLine(pk=key or uuid7(), change=now, position=position, **said)
        if rate:
            if rate.own_id and OwnRate.objects.filter(key=rate.own_id).exclude(archived_on=None).exists():
                raise CannotChangeOrder(_("“%(rate)s” was put away meanwhile: choose another rate.") % {"rate": rate})
            _price_by_rate(line, rate, hour_for_changes(now.job_id, [rate]))
        else:
            _price_by_hand(line)
        line.save(force_insert=True)
    return line


def _price_by_rate(line: ChangeLine, rate: Rate, hour: Hour | None) -> None:
    """What is added takes its set-up as in an estimate; a credit gives back the work alone."""
    setup = ZERO if line.credit else rate.setup_hours
    price = Price(cost=cost_by(rate, hour), package=rate.package, hours=rate.hours, setup=setup)
    try:
        priced = price_line(quantity=line.quantity, price=price)
    except TooMuch:
        raise _absurd() from None
    line.kind, line.unit = rate.kind, rate.unit
    line.packages, line.hours = priced.packages, priced.hours
    line.unit_cost, line.cost = priced.unit_cost, priced.cost


def _price_by_hand(line: ChangeLine) -> None:
    try:
        line.hours = hours_of(line.quantity) if line.kind == RateKind.LABOR else None
        line.cost = cents(line.quantity * line.unit_cost)
    except TooMuch:
        raise _absurd() from None


def _absurd() -> CannotChangeOrder:
    return CannotChangeOrder(_("That comes to an absurd amount: check the decimal point."), field="quantity")


def remove_change_line(*, line: ChangeLine, by: Staff) -> None:
    """Removes a line; one that is gone already stays gone. Raises CannotChangeOrder."""
    with change_by(by):
        _editable(line.change)
        ChangeLine.objects.filter(pk=line.pk).delete()


def agree_field_limit(*, job: Job, amount: Decimal | None, agreed_with: str, by: Staff) -> FieldLimit:
    """The limit in force from now on for what is raised on this job; without `amount`, none. What was raised before
    keeps the limit of its day."""
    with change_by(by):
        return FieldLimit.objects.create(job=lock_job(job.pk), amount=amount or None, agreed_with=agreed_with, by=by)
