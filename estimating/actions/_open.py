"""What every change of an estimate begins with: the job open and locked, and its estimate."""

from decimal import Decimal

from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.actions._locks import lock_job
from estimating.catalogue import MINIMUM_TRIP
from estimating.hours import Hour, cost_by, how_by
from estimating.models import Estimate, EstimateLine, Rate, RateKind
from estimating.pricing import Price, Priced, TooMuch, cents, converted, price_line
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
        raise CannotChange(_("%(rate)s comes to an absurd amount: check its rate.") % {"rate": rate}) from None


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
        line.low_hours = min(priced.hours, round(priced.quantity * rate.hours_low + rate.setup_hours, 2))
        line.high_hours = max(priced.hours, round(priced.quantity * rate.hours_high + rate.setup_hours, 2))
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
        line.high_hours = max(line.hours, round(line.high_hours * line.hours / before, 2))


def write_by_unit(line: EstimateLine, quantity: Decimal) -> None:
    """Prices a line that no rate of the engine prices: so many units, or so many hours, at so much."""
    counts_hours = line.kind == RateKind.LABOR and line.key in ("", MINIMUM_TRIP)
    before = line.hours
    line.quantity, line.packages = quantity, None
    line.hours = quantity if counts_hours else None
    _stretch(line, before)
    line.cost = checked_cost(quantity * line.unit_cost)


def checked_cost(amount: Decimal) -> Decimal:
    """`amount` to the cent. Raises CannotChange for one that no row can hold."""
    try:
        return cents(amount)
    except TooMuch:
        raise CannotChange(_("That comes to an absurd amount: check the decimal point.")) from None
