"""The owner's sum for a job, by hand: its terms, its lines, and what may be found behind the wall."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.errors import KeyTaken
from base.figures import digits
from base.keys import uuid7
from base.seen import check_seen
from estimating.actions._following import bring_along
from estimating.actions._open import (
    CannotChange,
    checked_cost,
    estimate_of,
    open_job,
    price_anew,
    price_as_before,
    write_by_unit,
)
from estimating.catalogue import MINIMUM_TRIP
from estimating.following import FOLLOWING, JOB_LINES
from estimating.hours import hour_for
from estimating.models import Contingency, Estimate, EstimateLine, OverheadBy, Rate, RateKind
from estimating.pricing import TooMuch
from estimating.queries import lowest_margin
from estimating.seen import seen_line, seen_terms
from estimating.terms import price_rules
from jobs.models import Job
from rooms.models import Room
from shop.audit import change
from shop.languages import for_clients
from shop.models import Staff

_MOST_OWN = 500
_MOST_CONTINGENCIES = 50
_SENT_BEFORE = gettext_lazy(
    "Something else was sent with this form before, and is kept. If this is one more, send it again."
)


def change_estimate(
    *,
    job: Job,
    markup_percent: Decimal,
    tax_percent: Decimal,
    by: Staff,
    overhead_by: str = OverheadBy.NONE,
    overhead: Decimal = Decimal(0),
    minimum: Decimal = Decimal(0),
    round_to: int = 0,
    discount_percent: Decimal = Decimal(0),
    discount_amount: Decimal = Decimal(0),
    discount_reason: str = "",
    thin_reason: str = "",
    seen: str | None = None,
) -> Estimate:
    """The estimate with its terms. `thin_reason` is kept, with the least margin that a client's choice comes to, only
    where that is below the shop's least. `seen`: `seen_terms` of what was changed.

    Raises ChangedMeanwhile; CannotChange, also for a discount without a reason or by both percent and amount.
    """
    discount_reason, thin_reason = (" ".join(text.split())[:200] for text in (discount_reason, thin_reason))
    if discount_percent and discount_amount:
        raise CannotChange(_("A discount is an amount or a percent, not both."))
    if (discount_percent or discount_amount) and not discount_reason:
        raise CannotChange(_("Say why there is a discount: the client reads it beside it."))
    with change(by):
        estimate, _fresh = estimate_of(open_job(job))
        now = seen_terms(estimate)
        estimate.markup_percent, estimate.tax_percent = markup_percent, tax_percent
        estimate.overhead_by, estimate.overhead = overhead_by, overhead if overhead_by else Decimal(0)
        estimate.minimum, estimate.round_to = minimum, round_to
        estimate.discount_percent, estimate.discount_amount = discount_percent, discount_amount
        estimate.discount_reason = discount_reason if discount_percent or discount_amount else ""
        try:
            margin = lowest_margin(estimate)
        except TooMuch:
            raise CannotChange(_("The estimate comes to an absurd amount: check the decimal point.")) from None
        thin = bool(thin_reason) and margin < price_rules().minimum_margin
        estimate.thin_reason, estimate.thin_margin = (thin_reason, margin) if thin else ("", None)
        check_seen(now, seen, wanted=seen_terms(estimate))
        estimate.save()
    return estimate


def add_contingency(
    *,
    job: Job,
    text: str,
    unit: str,
    unit_cost: Decimal,
    by: Staff,
    hours: Decimal = Decimal(0),
    key: UUID | None = None,
) -> Contingency:
    """A price for each unit of what may be found, `hours` of labor in it; it is in no total. The same `key` with the
    same content returns the same. Raises CannotChange, KeyTaken."""
    said = {"text": text, "unit": unit, "unit_cost": unit_cost, "hours": hours}
    with change(by):
        estimate, _fresh = estimate_of(open_job(job))
        if earlier := Contingency.objects.filter(pk=key).first() if key else None:
            if earlier.estimate_id != estimate.pk or any(getattr(earlier, name) != said[name] for name in said):
                raise KeyTaken(str(_SENT_BEFORE))
            return earlier
        if estimate.contingencies.count() >= _MOST_CONTINGENCIES:
            raise CannotChange(
                _("An estimate holds %(most)s prices of what may be found.") % {"most": _MOST_CONTINGENCIES}
            )
        return Contingency.objects.create(pk=key or uuid7(), estimate=estimate, **said)


def remove_contingency(*, contingency: Contingency, by: Staff) -> None:
    """Removes it; removing it twice changes nothing. Raises CannotChange."""
    with change(by):
        open_job(contingency.estimate.job)
        Contingency.objects.filter(pk=contingency.pk).delete()


def _open_line(line: EstimateLine) -> EstimateLine:
    open_job(line.estimate.job)
    now = EstimateLine.objects.select_related("estimate__job", "room", "rate").filter(pk=line.pk).first()
    if now is None:
        raise CannotChange(_("This line was removed meanwhile."))
    return now


@for_clients
def change_line(
    *,
    line: EstimateLine,
    quantity: Decimal,
    by: Staff,
    cost: Decimal | None = None,
    hours_range: tuple[Decimal | None, Decimal | None] | None = None,
    reason: str = "",
    seen: str | None = None,
) -> EstimateLine:
    """The line with another quantity, priced as before; or with another `cost`, whatever the quantity gives.

    `hours_range`: what its hours may turn out to be at best and at worst; both None forget what a person said of it. A
    computed line takes a reason, and keeps what was computed beside it; so does a line of one's own at a rate, where
    its figures aren't those of the rate. Without a rate, a computed line takes a cost. `seen`: `seen_line` of what was
    changed. Raises CannotChange, ChangedMeanwhile.
    """
    reason = " ".join(reason.split())[:200]
    with change(by):
        line = _open_line(line)
        now = seen_line(line)
        if line.unpriced and cost is None:
            raise CannotChange(_("No rate prices this line: say what it costs, 0 for nothing."), field="cost")
        ranged = None if hours_range == (None, None) else hours_range
        if line.follows_rate and cost is None and ranged is None:
            reason = ""
        elif (line.key or line.follows_rate) and not reason:
            raise CannotChange(_("Say why this figure is changed by hand: the next fill will keep it."))
        if hours_range == (None, None):
            line.low_hours = line.high_hours = None
        price_as_before(line, quantity)
        if cost is not None:
            line.cost = checked_cost(cost)
        if ranged is not None:
            _set_range(line, *ranged)
        line.override_reason = reason
        check_seen(now, seen, wanted=seen_line(line))
        line.save()
        bring_along(line.estimate)
    return line


def _set_range(line: EstimateLine, low: Decimal | None, high: Decimal | None) -> None:
    if line.hours is None:
        raise CannotChange(_("Only labor has hours that may run low or high."))
    low, high = line.hours if low is None else low, line.hours if high is None else high
    if not low <= line.hours <= high:
        raise CannotChange(
            _("Likely are %(hours)s hours: at best it is that or less, at worst that or more.")
            % {"hours": digits(line.hours)}
        )
    line.low_hours, line.high_hours = low, high


@for_clients
def restore_line(*, line: EstimateLine, by: Staff) -> EstimateLine:
    """The line as it was computed last, the figure by hand forgotten; one of one's own at its rate. Raises CannotChange
    for a line of one's own without a rate."""
    with change(by):
        line = _open_line(line)
        quantity = line.quantity if line.follows_rate else line.computed_quantity
        if quantity is None:
            raise CannotChange(_("Nothing was computed for this line: change it, or remove it."))
        line.override_reason = ""
        if line.rate and line.key != MINIMUM_TRIP:
            rate = Rate.objects.in_force().filter(key=line.rate.key, tile=line.rate.tile_id).first() or line.rate
            price_anew(line, quantity, rate, hour_for(line.estimate.job_id, [rate]))
            if line.key:
                line.computed_quantity, line.computed_cost = line.quantity, line.cost
        else:
            write_by_unit(line, quantity)
        line.save()
        bring_along(line.estimate)
    return line


@for_clients
def add_line(
    *,
    job: Job,
    kind: RateKind,
    text: str,
    quantity: Decimal,
    unit: str,
    unit_cost: Decimal,
    by: Staff,
    room: Room | None = None,
    allowance: bool = False,
    key: UUID | None = None,
) -> EstimateLine:
    """A line of one's own. For labor the quantity is in hours, and it is no `allowance`. The same `key` with the same
    content returns the same. Raises CannotChange, KeyTaken."""
    unit = _("hours") if kind == RateKind.LABOR else unit
    said = {
        **{"kind": kind, "text": text, "quantity": quantity, "unit": unit, "unit_cost": unit_cost},
        **{"room": room, "allowance": allowance, "rate": None},
    }
    with change(by):
        job = open_job(job)
        if earlier := _sent_before(job, key, said):
            return earlier
        line = _own_line(job, room, key)
        line.kind, line.text, line.unit_cost, line.allowance = kind, text, unit_cost, allowance
        line.unit = unit
        write_by_unit(line, quantity)
        line.save(force_insert=True)
        bring_along(line.estimate)
    return line


@for_clients
def add_rate_line(
    *,
    job: Job,
    rate: Rate,
    quantity: Decimal,
    by: Staff,
    text: str = "",
    room: Room | None = None,
    key: UUID | None = None,
) -> EstimateLine:
    """A line of one's own at `rate`, in whole packages where it is sold so; `text` in place of the rate's name. The
    same `key` with the same content returns the same.

    Raises CannotChange, also for a rate that isn't in force any more; KeyTaken.
    """
    text = text or rate.name
    with change(by):
        job = open_job(job)
        if earlier := _sent_before(job, key, {"text": text, "quantity": quantity, "room": room, "rate": rate}):
            return earlier
        line = _own_line(job, room, key)
        if not Rate.objects.in_force().filter(pk=rate.pk).exclude(key__in=FOLLOWING).exists():
            raise CannotChange(
                _("“%(rate)s” got another price meanwhile, or was put away: choose again.") % {"rate": rate}
            )
        line.kind, line.text, line.unit = RateKind(rate.kind), text, rate.unit
        price_anew(line, quantity, rate, hour_for(job.pk, [rate]))
        line.save(force_insert=True)
        bring_along(line.estimate)
    return line


def _sent_before(job: Job, key: UUID | None, said: Mapping[str, Any]) -> EstimateLine | None:
    """The line of this key, where it was sent before. Raises KeyTaken where it isn't what is said now."""
    earlier = EstimateLine.objects.select_related("estimate", "room", "rate").filter(pk=key).first() if key else None
    if earlier and (
        earlier.estimate.job_id != job.pk or any(getattr(earlier, name) != value for name, value in said.items())
    ):
        raise KeyTaken(str(_SENT_BEFORE))
    return earlier


def _own_line(job: Job, room: Room | None, key: UUID | None) -> EstimateLine:
    """Behind the others, unsaved, its job open and locked by the caller. Raises CannotChange."""
    if room is not None and room.job_id != job.pk:
        raise CannotChange(_("That room is of another job."))
    estimate, _fresh = estimate_of(job)
    last = estimate.lines.aggregate(last=Max("position"))["last"] or 0
    if estimate.lines.filter(key="").count() >= _MOST_OWN:
        raise CannotChange(_("An estimate holds %(most)s lines of your own.") % {"most": _MOST_OWN})
    return EstimateLine(pk=key or uuid7(), estimate=estimate, room=room, position=max(last, JOB_LINES) + 1)


def remove_line(*, line: EstimateLine, by: Staff) -> None:
    """Removes a line of one's own. Raises CannotChange for a computed one, which the next fill would bring back."""
    with change(by):
        line = _open_line(line)
        if line.computed_quantity is not None or line.lacks_rate:
            raise CannotChange(_("A computed line would come back: set its quantity to 0 instead, and say why."))
        estimate = line.estimate
        line.delete()
        bring_along(estimate)
