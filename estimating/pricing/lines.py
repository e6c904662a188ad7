"""One line: so much of something at a rate."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimating.pricing.money import MOST_PACKAGES, MOST_QUANTITY, TooMuch, cents, hours_of
from estimating.pricing.totals import MAN_DAY_HOURS
from trade.quantities import packages as whole_packages


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """A rate. `cost` is of one hour where `hours` (for one unit) is given, of one package where `package` (units in
    it) is, else of one unit. `setup` hours come once to a line that has anything in it."""

    cost: Decimal
    package: Decimal | None = None
    hours: Decimal | None = None
    setup: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A line's figures: each can be recomputed from the others as they are shown."""

    quantity: Decimal
    packages: int | None
    hours: Decimal | None
    unit_cost: Decimal
    cost: Decimal


def price_line(*, quantity: Decimal, price: Price) -> Priced:
    """What `quantity` costs: whole packages, rounded up; hours to a hundredth; cents half up.

    Raises ValueError for a negative quantity, TooMuch for an absurd amount.
    """
    if not (quantity.is_finite() and quantity >= 0):
        raise ValueError("a quantity is 0 or more")
    if quantity > MOST_QUANTITY:
        raise TooMuch
    count: int | None = None
    hours: Decimal | None = None
    times: Decimal = quantity
    if price.hours is not None:
        once = Fraction(price.setup) if quantity else 0
        times = hours = hours_of(Fraction(quantity) * Fraction(price.hours) + once)
    elif price.package is not None:
        count = whole_packages(quantity=quantity, per_package=price.package)
        if count > MOST_PACKAGES:
            raise TooMuch
        times = Decimal(count)
    return Priced(
        quantity=quantity,
        packages=count,
        hours=hours,
        unit_cost=price.cost,
        cost=cents(Fraction(times) * Fraction(price.cost)),
    )


def crew_days(lines: Iterable[tuple[Decimal | None, int]], *, day: int = MAN_DAY_HOURS) -> Decimal:
    """Days on site, a tenth at a time and up, of lines given as (hours of all persons, persons at it)."""
    days = sum((Fraction(hours) / (persons * day) for hours, persons in lines if hours), Fraction(0))
    return Decimal(ceil(days * 10)) / 10
