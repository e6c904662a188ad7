"""Units that rates and takeoffs use, and how one is turned into another."""

from decimal import Decimal
from fractions import Fraction

from estimating.pricing.money import rounded
from trade.lengths import KM_PER_MILE

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
    "ft3": ("volume", 1000 * Fraction("0.3048") ** 3),
    "gal": ("volume", 231 * Fraction("0.254") ** 3),
    "piece": ("piece", Fraction(1)),
    "each": ("each", Fraction(1)),
    "trip": ("trip", Fraction(1)),
    "hour": ("hour", Fraction(1)),
    "day": ("day", Fraction(1)),
    "week": ("week", Fraction(1)),
    "load": ("load", Fraction(1)),
    "bag": ("bag", Fraction(1)),
    "sheet": ("sheet", Fraction(1)),
    "roll": ("roll", Fraction(1)),
    "km": ("distance", Fraction(1)),
    "mi": ("distance", KM_PER_MILE),
    "t": ("mass", Fraction(1000)),
    # 2,000 lb.
    "ton": ("mass", 2000 * Fraction("0.45359237")),
}


def dimension(unit: str) -> str:
    """What `unit` measures: area, length, mass, volume, distance (driven), or the unit itself where it counts. Raises
    ValueError."""
    try:
        return _UNITS[unit][0]
    except KeyError:
        raise ValueError(f"no unit {unit!r}") from None


def converted(quantity: Decimal, *, unit: str, to: str) -> Decimal:
    """`quantity` of `unit` in `to`, three places half up. Raises ValueError where the two measure different things."""
    if dimension(unit) != dimension(to):
        raise ValueError(f"{unit} can't be turned into {to}")
    return rounded(Fraction(quantity) * _UNITS[unit][1] / _UNITS[to][1], 3)
