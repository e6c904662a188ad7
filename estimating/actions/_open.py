"""What every change of an estimate begins with: the job open and locked, and its estimate."""

from copy import copy
from decimal import Decimal

from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.actions._locks import lock_job
from estimating.catalogue import MINIMUM_TRIP
from estimating.hours import Hour, cost_by, hour_kept, how_by
from estimating.models import Estimate, EstimateLine, Rate, RateKind
from estimating.pricing import Price, Priced, TooMuch, cents, converted, hours_of, price_line
from estimating.terms import price_rules, taxes_in
from jobs.models import Job, Stage
from shop.queries import shop_settings

OPEN_STAGES = (Stage.MEASURING, Stage.PRICING, Stage.PROPOSED)


class CannotChange(Refused):
    """The estimate can't be worked on as things stand. The message is for whoever tried."""


def open_job(job: Job) -> Job:
    """The job, locked. Raises CannotChange where its price is settled or no longer wanted."""
    job = lock_job(job.pk)
    if job.stage not in OPEN_STAGES:
        raise CannotChange(
            _("This job is at “%(stage)s”: its estimate can't be changed.") % {"stage": job.get_stage_display()}
        )
    return job


def estimate_of(job: Job) -> tuple[Estimate, bool]:
    """The job's estimate, and whether it begins now: with the shop's rules of today."""
    if there := Estimate.objects.filter(job=job).first():
        return there, False
    shop, rules = shop_settings(), price_rules()
    begun = Estimate.objects.create(
        job=job,
        markup_percent=shop.markup_percent,
        tax_percent=shop.tax_percent,
        overhead_by=rules.overhead_by,
        overhead=rules.overhead,
        minimum=rules.minimum,
        round_to=rules.round_to,
        taxes=taxes_in(job.site.region),
        way_km=job.site.distance_km,
    )
    return begun, True


def price_at(quantity: Decimal, rate: Rate, hour: Hour | None) -> Priced:
    """`quantity` at a rate, by `hour` where the rate follows the people. Raises CannotChange for an amount that no row
    can hold."""
    price = Price(cost=cost_by(rate, hour), package=rate.package, hours=rate.hours, setup=rate.setup_hours)
    try:
        return price_line(quantity=quantity, price=price)
    except TooMuch:
        raise _absurd_at(rate) from None


def _absurd_at(rate: Rate) -> CannotChange:
    return CannotChange(
        _("%(rate)s comes to an absurd amount: check the quantity, and its rate.") % {"rate": rate}, field="quantity"
    )


def price_anew(line: EstimateLine, quantity: Decimal, rate: Rate, hour: Hour | None) -> None:
    """The line at `rate`, which measures what it is in now. Raises CannotChange."""
    quantity = converted(quantity, unit=line.unit, to=rate.unit)
    line.rate, line.unit = rate, rate.unit
    write(line, price_at(quantity, rate, hour), hour)


def write(line: EstimateLine, priced: Priced, hour: Hour | None) -> None:
    """Puts a line's figures, with whose `hour` is in them, and the range of its hours: of its rate where that has one,
    else stretched along."""
    before = line.hours
    line.quantity, line.packages, line.hours = priced.quantity, priced.packages, priced.hours
    line.unit_cost, line.cost = priced.unit_cost, priced.cost
    rate = line.rate
    line.hour_how = how_by(rate, hour)
    if priced.hours is None or not priced.quantity:
        line.low_hours = line.high_hours = None
    elif rate and rate.hours_low is not None and rate.hours_high is not None:
        try:
            low, high = (
                hours_of(priced.quantity * each + rate.setup_hours) for each in (rate.hours_low, rate.hours_high)
            )
        except TooMuch:
            raise _absurd_at(rate) from None
        line.low_hours, line.high_hours = min(priced.hours, low), max(priced.hours, high)
    else:
        _stretch(line, before)


def _stretch(line: EstimateLine, before: Decimal | None) -> None:
    """Keeps a range that a person gave in proportion to the hours, which were `before`."""
    if line.low_hours is None or line.high_hours is None:
        return
    if not before or not line.hours:
        line.low_hours = line.high_hours = None
    elif before != line.hours:
        line.low_hours = min(line.hours, round(line.low_hours * line.hours / before, 2))
        line.high_hours = max(line.hours, _checked_hours(line.high_hours * line.hours / before))


def price_as_before(line: EstimateLine, quantity: Decimal) -> None:
    """The line at another quantity, by the rate and the hour that it has. Raises CannotChange."""
    if line.rate and line.key != MINIMUM_TRIP:
        hour = hour_kept(line)
        write(line, price_at(quantity, line.rate, hour), hour)
    else:
        write_by_unit(line, quantity)


def cost_by_hand(line: EstimateLine) -> Decimal | None:
    """The cost that a person put in the place of what the quantity gives; None where nobody did."""
    if line.unpriced:
        return line.cost if line.override_reason else None
    by_quantity = copy(line)
    try:
        price_as_before(by_quantity, line.quantity)
    except CannotChange:
        return line.cost
    return None if by_quantity.cost == line.cost else line.cost


def write_by_unit(line: EstimateLine, quantity: Decimal) -> None:
    """Prices a line that no rate of the engine prices: so many units, or so many hours, at so much."""
    counts_hours = line.kind == RateKind.LABOR and line.key in ("", MINIMUM_TRIP)
    before = line.hours
    line.quantity, line.packages = quantity, None
    line.hours = _checked_hours(quantity) if counts_hours else None
    _stretch(line, before)
    line.cost = checked_cost(quantity * line.unit_cost)


def checked_cost(amount: Decimal) -> Decimal:
    """`amount` to the cent. Raises CannotChange for one that no row can hold."""
    try:
        return cents(amount)
    except TooMuch:
        raise _absurd() from None


def _checked_hours(worked: Decimal) -> Decimal:
    try:
        return hours_of(worked)
    except TooMuch:
        raise _absurd() from None


def _absurd() -> CannotChange:
    return CannotChange(_("That comes to an absurd amount: check the decimal point."), field="quantity")
