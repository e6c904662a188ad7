"""What stands beside an estimate's total, so that its owner can trust it: days, price by area, like jobs, risk."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db.models import DecimalField, ExpressionWrapper, F, Sum
from django.db.models.functions import Abs, Coalesce
from django.utils import timezone

from estimating.hours import Hour
from estimating.models import Acceptance, Estimate, EstimateLine, PriceRules, RateKind
from estimating.pricing import Terms, Totals, cents, converted, crew_days, overhead_on
from estimating.pricing.risk import Ranged, Spread, covered_part, spread_of
from estimating.terms import terms_of
from shop.models import Units
from shop.queries import shop_settings

_MOST_LIKE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ByArea:
    """`area` in `unit`, and what one of it costs."""

    area: Decimal
    unit: str
    price: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class LikeJob:
    """An accepted job with the same kinds of rooms; `total` is its sum, with its approved changes, as in `job_sum`."""

    number: int
    title: str
    total: Decimal
    by_area: ByArea


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """`covered_percent`: of the labor hours, how many carry a range. `old`: names of lines whose rate is older than
    the shop's limit; `old_hour`: the day of the people's figures, where the oldest of them is."""

    crew_days: Decimal
    by_area: ByArea | None
    like: list[LikeJob]
    spread: Spread | None
    covered_percent: int
    old: list[str]
    old_hour: date | None


def weigh(
    *, estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals, rules: PriceRules, hour: Hour | None
) -> Weighed:
    """One query, for like jobs. `lines` come with their rates; `hour` is that of the people on the job now."""
    labor = ranged_lines(estimate, lines)
    return Weighed(
        crew_days=crew_days((line.hours, line.persons) for line in lines),
        by_area=by_area(totals.total, estimate.area_m2),
        like=like_jobs(estimate),
        spread=spread_of(lines=labor, fixed=_fixed(labor, totals), price=totals.kept),
        covered_percent=int(covered_part(labor) * 100),
        old=old_rates(lines, rules),
        old_hour=old_hour(lines, hour, rules),
    )


def by_area(total: Decimal, area_m2: Decimal | None) -> ByArea | None:
    """The price of one unit of area as the shop measures it; None where no area is known."""
    unit = "ft2" if shop_settings().units == Units.INCH else "m2"
    area = converted(area_m2 or Decimal(0), unit="m2", to=unit)
    return ByArea(area=round(area, 1), unit=unit, price=cents(Fraction(total) / Fraction(area))) if area else None


def like_jobs(estimate: Estimate) -> list[LikeJob]:
    """The accepted jobs with the same kinds of rooms whose tiled area comes nearest, up to three. One query."""
    if not estimate.area_m2 or not estimate.places:
        return []
    off = ExpressionWrapper(F("proposal__job__estimate__area_m2") - estimate.area_m2, output_field=DecimalField())
    rows = (
        Acceptance.objects.filter(
            proposal__job__estimate__places=estimate.places, proposal__job__estimate__area_m2__gt=0
        )
        .exclude(proposal__job=estimate.job_id)
        .annotate(sum=F("total") + Coalesce(Sum("job__change_approvals__offer__amount"), Decimal(0)))
        .order_by(Abs(off), "-created_at", "id")
        .values_list("proposal__job__number", "proposal__job__title", "sum", "proposal__job__estimate__area_m2")
    )
    found = []
    for number, title, total, area in rows[:_MOST_LIKE]:
        if each := by_area(total, area):
            found.append(LikeJob(number=number, title=title, total=total, by_area=each))
    return found


def ranged_lines(estimate: Estimate, lines: Sequence[EstimateLine]) -> list[Ranged]:
    """The labor lines with what an hour of each costs, overhead on it."""
    terms = terms_of(estimate)
    return [
        Ranged(
            name=line.full_text,
            likely=line.hours,
            hour=_hour(line, line.hours, terms),
            low=line.low_hours,
            high=line.high_hours,
        )
        for line in lines
        if line.kind == RateKind.LABOR and line.hours
    ]


def _hour(line: EstimateLine, hours: Decimal, terms: Terms) -> Decimal:
    overhead = overhead_on(terms, cost=line.cost, hours=hours)
    return (line.cost + Decimal(overhead.numerator) / overhead.denominator) / hours


def _fixed(labor: Sequence[Ranged], totals: Totals) -> Decimal:
    """What costs the same however long the work takes."""
    return totals.full_cost - sum((line.likely * line.hour for line in labor), Decimal(0))


def old_rates(lines: Sequence[EstimateLine], rules: PriceRules) -> list[str]:
    """Names of the lines priced by a rate in force that is older than the shop's limit, each once."""
    before = not_older_than(rules)
    old = [line.text for line in lines if line.rate and not line.rate.ended and line.rate.as_of < before]
    return list(dict.fromkeys(old))


def old_hour(lines: Sequence[EstimateLine], hour: Hour | None, rules: PriceRules) -> date | None:
    """The day of the oldest figure in the people's hour, where lines are priced by it and it is older than the shop's
    limit."""
    if hour is None or hour.as_of is None or not any(line.rate and line.rate.by_people for line in lines):
        return None
    return hour.as_of if hour.as_of < not_older_than(rules) else None


def not_older_than(rules: PriceRules) -> date:
    """The day before which a figure is old."""
    return timezone.localdate() - timedelta(days=rules.rate_days)
