"""The arithmetic of a price: pure functions on Decimal, no database.

Money is rounded in one place, `cents`: half up, to the cent. Everything that is added up was rounded before, so that
a column on paper adds up to the figure under it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Literal

from trade.quantities import packages as whole_packages

Kind = Literal["material", "labor", "other"]

MOST = Decimal("9999999999.99")
"""The largest amount that a row can hold."""

MAN_DAY_HOURS = 8
"""One person, one 8-hour day: NAVFAC P-405, as quoted in constructionmanuals.tpub.com/14045."""


class TooMuch(ValueError):
    """An amount that no row can hold: a slipped decimal point."""


def _rounded(value: Decimal | Fraction, places: int) -> Decimal:
    """Half up, exactly: a Fraction isn't turned into a Decimal before it is rounded."""
    scaled = Fraction(value) * 10**places
    sign = -1 if scaled < 0 else 1
    return sign * Decimal(int(abs(scaled) + Fraction(1, 2))).scaleb(-places)


def cents(amount: Decimal | Fraction) -> Decimal:
    """`amount` to the cent, half up (from zero: -0.005 gives -0.01). Raises TooMuch beyond `MOST`."""
    rounded = _rounded(amount, 2)
    if abs(rounded) > MOST:
        raise TooMuch
    return rounded


# ---------------------------------------------------------------- units

# Size of one unit in its dimension's first. The foot is 0.3048 m, the pound 0.45359237 kg (international yard and
# pound agreement, 1959), the US gallon 231 cubic inches.
_UNITS: dict[str, tuple[str, Fraction]] = {
    "m2": ("area", Fraction(1)),
    "ft2": ("area", Fraction("0.3048") ** 2),
    "m": ("length", Fraction(1)),
    "ft": ("length", Fraction("0.3048")),
    "kg": ("mass", Fraction(1)),
    "lb": ("mass", Fraction("0.45359237")),
    "l": ("volume", Fraction(1)),
    "gal": ("volume", 231 * Fraction("0.254") ** 3),
    "piece": ("piece", Fraction(1)),
    "each": ("each", Fraction(1)),
    "trip": ("trip", Fraction(1)),
}


def dimension(unit: str) -> str:
    """What `unit` measures: area, length, mass, volume, or the unit itself where it counts. Raises ValueError."""
    try:
        return _UNITS[unit][0]
    except KeyError:
        raise ValueError(f"no unit {unit!r}") from None


def converted(quantity: Decimal, *, unit: str, to: str) -> Decimal:
    """`quantity` of `unit` in `to`, three places half up. Raises ValueError where the two measure different things."""
    if dimension(unit) != dimension(to):
        raise ValueError(f"{unit} can't be turned into {to}")
    return _rounded(Fraction(quantity) * _UNITS[unit][1] / _UNITS[to][1], 3)


# ---------------------------------------------------------------- one line


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """A rate. `cost` is of one hour where `hours` (for one unit) is given, of one package where `package` (units in
    it) is, else of one unit."""

    cost: Decimal
    package: Decimal | None = None
    hours: Decimal | None = None


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
    count: int | None = None
    hours: Decimal | None = None
    times: Decimal = quantity
    if price.hours is not None:
        times = hours = _rounded(Fraction(quantity) * Fraction(price.hours), 2)
    elif price.package is not None:
        count = whole_packages(quantity=quantity, per_package=price.package)
        times = Decimal(count)
    return Priced(
        quantity=quantity,
        packages=count,
        hours=hours,
        unit_cost=price.cost,
        cost=cents(Fraction(times) * Fraction(price.cost)),
    )


# ---------------------------------------------------------------- all lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """`cost` is what the job costs the shop; `price` is cost and markup; `total` is what the client pays."""

    materials: Decimal
    labor: Decimal
    other: Decimal
    cost: Decimal
    hours: Decimal
    markup_percent: Decimal
    markup: Decimal
    price: Decimal
    tax_percent: Decimal
    tax: Decimal
    total: Decimal

    @property
    def margin_percent(self) -> Decimal:
        """The part of the price that isn't cost, percent to two places: not the markup, which is a part of the cost."""
        return _rounded(Fraction(self.markup) / Fraction(self.price) * 100, 2) if self.price else Decimal(0)

    @property
    def person_days(self) -> int:
        """Days of one person, begun ones counted."""
        return ceil(self.hours / MAN_DAY_HOURS)


def add_up(
    *, lines: Iterable[tuple[Kind, Decimal, Decimal | None]], markup_percent: Decimal, tax_percent: Decimal
) -> Totals:
    """The totals of lines given as (kind, cost, hours).

    Tax is on the cost of materials, and carries no markup: the shop pays it when it buys. Common practice in many
    places, no source; where tax is charged on the price instead, the local law and an accountant decide.
    """
    sums: dict[str, Decimal] = {"material": Decimal(0), "labor": Decimal(0), "other": Decimal(0)}
    hours = Decimal(0)
    for kind, cost, worked in lines:
        sums[kind] += cost
        hours += worked or 0
    cost = sum(sums.values(), Decimal(0))
    markup = cents(Fraction(cost) * Fraction(markup_percent) / 100)
    tax = cents(Fraction(sums["material"]) * Fraction(tax_percent) / 100)
    return Totals(
        materials=sums["material"],
        labor=sums["labor"],
        other=sums["other"],
        cost=cost,
        hours=hours,
        markup_percent=markup_percent,
        markup=markup,
        price=cents(cost + markup),
        tax_percent=tax_percent,
        tax=tax,
        total=cents(cost + markup + tax),
    )


def margin_of(markup_percent: Decimal) -> Decimal:
    """The margin that a markup gives, percent to two places: m / (1 + m)."""
    markup = Fraction(markup_percent) / 100
    return _rounded(markup / (1 + markup) * 100, 2)


def markup_of(margin_percent: Decimal) -> Decimal:
    """The markup that a margin takes, percent to two places: g / (1 - g). Raises ValueError from 100 percent on."""
    margin = Fraction(margin_percent) / 100
    if margin >= 1:
        raise ValueError("a margin is less than 100 percent")
    return _rounded(margin / (1 - margin) * 100, 2)


def share_out(*, amount: Decimal, weights: Sequence[Decimal]) -> list[Decimal]:
    """`amount` in cents, shared by `weights`, so that the shares add up to it exactly.

    Each gets its cents rounded down; what is left goes, a cent each, to those who lost most by that, the first of
    equals first. All zero weights: the first gets everything. Raises ValueError for no or negative weights.
    """
    if not weights or any(weight < 0 for weight in weights):
        raise ValueError("shares go by weights of 0 or more")
    total = sum(weights, Decimal(0))
    if total == 0:
        return [amount, *[Decimal(0)] * (len(weights) - 1)]
    exact = [Fraction(amount) * 100 * Fraction(weight) / Fraction(total) for weight in weights]
    whole = [int(share) for share in exact]
    left = int(amount * 100) - sum(whole)
    for index in sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])[:left]:
        whole[index] += 1
    return [Decimal(share).scaleb(-2) for share in whole]
