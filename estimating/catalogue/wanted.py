"""What a rate of the catalogue is, its units, and its example figures."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from estimating.models import RateKind
from estimating.pricing import dimension

UNIT_NAMES: dict[str, Promise] = {
    "m2": _("m²"),
    "ft2": _("sq ft"),
    "m": _("m"),
    "ft": _("ft"),
    "kg": _("kg"),
    "lb": _("lb"),
    "l": _("L"),
    "gal": _("gal"),
    "ft3": _("cu ft"),
    "piece": _("pieces"),
    "each": _("each"),
    "trip": _("trips"),
    "hour": _("hours"),
    "day": _("days"),
    "week": _("weeks"),
    "load": _("loads"),
    "bag": _("bags"),
    "sheet": _("sheets"),
    "roll": _("rolls"),
    "mi": _("miles"),
    "km": _("km"),
    "ton": _("tons"),
    "t": _("t"),
}

# After "per" and 1, where the name above is a plural.
ONE = {
    "piece": _("piece"),
    "each": _("one"),
    "trip": _("trip"),
    "hour": _("hour"),
    "day": _("day"),
    "week": _("week"),
    "load": _("load"),
    "bag": _("bag"),
    "sheet": _("sheet"),
    "roll": _("roll"),
    "mi": _("mile"),
    "ton": _("ton"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """An example figure: as in `pricing.Price`, in `unit`."""

    unit: str
    cost: Decimal
    package: Decimal | None = None
    hours: Decimal | None = None
    hours_low: Decimal | None = None
    hours_high: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A rate that the engine asks for. `inch` and `metric` are the examples for shops that measure so."""

    key: str
    kind: RateKind
    name: Promise
    help: Promise
    inch: Example
    metric: Example
    # Without it nothing is missing: the line it would make is left out.
    needed: bool = True
    # The key of what this is one class of, whose rate counts where this one isn't set.
    class_of: str = ""

    @property
    def units(self) -> tuple[str, str]:
        """The units that it may be priced by: those of one dimension."""
        return (self.inch.unit, self.metric.unit)

    def example(self, *, metric: bool) -> Example:
        return self.metric if metric else self.inch

    def fits(self, unit: str) -> bool:
        return unit in UNIT_NAMES and dimension(unit) == dimension(self.inch.unit)


def material(
    key: str, name: Promise, help: Promise, *, inch: tuple[str, str, str | None], metric: tuple[str, str, str | None]
) -> Wanted:
    """`inch` and `metric`: unit, cost, and units in a package where it is sold so."""

    def example(unit: str, cost: str, package: str | None) -> Example:
        return Example(unit=unit, cost=Decimal(cost), package=Decimal(package) if package else None)

    return Wanted(key=key, kind=RateKind.MATERIAL, name=name, help=help, inch=example(*inch), metric=example(*metric))


def counted(
    key: str, kind: RateKind, name: Promise, help: Promise, *, inch: tuple[str, str], metric: tuple[str, str]
) -> Wanted:
    """What is neither bought in packages nor worked by the hour; no shop needs it. `inch` and `metric`: unit, cost."""
    examples = [Example(unit=unit, cost=Decimal(cost)) for unit, cost in (inch, metric)]
    return Wanted(key=key, kind=kind, name=name, help=help, inch=examples[0], metric=examples[1], needed=False)


_HOUR = Decimal("62.00")

_METRIC = {"ft2": ("m2", Decimal("10.76391")), "ft": ("m", Decimal("3.28084")), "ft3": ("l", Decimal("0.0353147"))}
"""What a metric shop counts instead, and how many of the inch shop's units one of it holds."""

Hours = tuple[Decimal, Decimal, Decimal]


def labor(key: str, name: Promise, help: Promise, *, unit: str, hours: str | Hours, needed: bool = True) -> Wanted:
    """`hours` for one unit; or at best, likely and at worst."""
    low, likely, high = hours if isinstance(hours, tuple) else (None, Decimal(hours), None)
    other, factor = _METRIC.get(unit, (unit, Decimal(1)))

    def example(unit: str, factor: Decimal) -> Example:
        low_hours, hours, high_hours = (
            None if each is None else round(each * factor, 4) for each in (low, likely, high)
        )
        return Example(unit=unit, cost=_HOUR, hours=hours, hours_low=low_hours, hours_high=high_hours)

    return Wanted(
        key=key,
        kind=RateKind.LABOR,
        name=name,
        help=help,
        inch=example(unit, Decimal(1)),
        metric=example(other, factor),
        needed=needed,
    )


def unit_name(unit: str) -> str:
    return str(UNIT_NAMES.get(unit, unit))


def one_unit(unit: str) -> str:
    """The unit's name after "per", and after 1."""
    return str(ONE.get(unit) or unit_name(unit))


def unit_choices(units: Iterable[str]) -> list[tuple[str, Promise]]:
    return [(unit, UNIT_NAMES[unit]) for unit in dict.fromkeys(units)]
