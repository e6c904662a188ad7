"""The rates that the shop needs before it can price: what they are for, and example figures to begin with.

Example figures are invented, except where a source stands beside them; they are marked wherever they show, until the
shop puts its own in their place. Labor costs are what an hour costs the shop with all that comes on top of the wage.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from estimating.models import RateKind
from estimating.pricing import dimension
from trade.quantities import labor

TILE = "tile"
MINIMUM_TRIP = "labor_minimum_trip"

UNIT_NAMES: dict[str, Promise] = {
    "m2": _("m²"),
    "ft2": _("sq ft"),
    "m": _("m"),
    "ft": _("ft"),
    "kg": _("kg"),
    "lb": _("lb"),
    "l": _("L"),
    "gal": _("gal"),
    "piece": _("pieces"),
    "each": _("each"),
    "trip": _("trip"),
}

# After "per", where the name above is a plural.
ONE = {"piece": _("piece"), "each": _("one")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """An example figure: as in `pricing.Price`, in `unit`."""

    unit: str
    cost: Decimal
    package: Decimal | None = None
    hours: Decimal | None = None


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

    @property
    def units(self) -> tuple[str, str]:
        """The units that it may be priced by: those of one dimension."""
        return (self.inch.unit, self.metric.unit)

    def example(self, *, metric: bool) -> Example:
        return self.metric if metric else self.inch

    def fits(self, unit: str) -> bool:
        return unit in UNIT_NAMES and dimension(unit) == dimension(self.inch.unit)


def _material(
    key: str, name: Promise, help: Promise, *, inch: tuple[str, str, str | None], metric: tuple[str, str, str | None]
) -> Wanted:
    def example(unit: str, cost: str, package: str | None) -> Example:
        return Example(unit=unit, cost=Decimal(cost), package=Decimal(package) if package else None)

    return Wanted(key=key, kind=RateKind.MATERIAL, name=name, help=help, inch=example(*inch), metric=example(*metric))


_HOUR = Decimal("62.00")
_SQFT_PER_M2 = Decimal("10.76391")


def _labor(key: str, name: Promise, help: Promise, *, unit: str, hours: Decimal, needed: bool = True) -> Wanted:
    inch = Example(unit=unit, cost=_HOUR, hours=hours)
    metric = inch
    if unit == "ft2":
        metric = Example(unit="m2", cost=_HOUR, hours=round(hours * _SQFT_PER_M2, 2))
    return Wanted(key=key, kind=RateKind.LABOR, name=name, help=help, inch=inch, metric=metric, needed=needed)


def _hours_per_sqft(work: str) -> Decimal:
    """The middle of the rough range that `trade` has, weak and from memory."""
    thousand_square_feet = Decimal("92.90304")
    return labor(area_m2=thousand_square_feet, work=work).amount / 1000  # type: ignore[arg-type]


RATES: tuple[Wanted, ...] = (
    _material(
        "mortar",
        _("Thin-set mortar"),
        _("By weight; the bag is the package."),
        inch=("lb", "26.00", "50"),
        metric=("kg", "26.00", "20"),
    ),
    _material(
        "grout",
        _("Grout"),
        _("By weight; the bag is the package."),
        inch=("lb", "19.50", "10"),
        metric=("kg", "19.50", "5"),
    ),
    _material(
        "membrane",
        _("Waterproofing membrane"),
        _("By area, laps and corners included in the price of the area."),
        inch=("ft2", "1.95", None),
        metric=("m2", "21.00", None),
    ),
    _material(
        "board",
        _("Backer board"),
        _("By area, fasteners and tape included; a sheet is the package."),
        inch=("ft2", "17.50", "15"),
        metric=("m2", "16.00", "1.2"),
    ),
    _material(
        "sealant",
        _("Sealant for soft joints"),
        _("By length of joint; the package is what one cartridge fills."),
        inch=("ft", "11.00", "12"),
        metric=("m", "11.00", "3.6"),
    ),
    _material(
        "edge-trim",
        _("Edge profile"),
        _("By length; the stick is the package."),
        inch=("ft", "14.00", "8"),
        metric=("m", "14.00", "2.5"),
    ),
    _labor(
        "labor_demolition",
        _("Demolition"),
        _("Old tile and board out, by area. Check for lead and asbestos first: law and license decide."),
        unit="ft2",
        hours=Decimal("0.06"),
    ),
    _labor(
        "labor_substrate",
        _("Prepare the substrate"),
        _("Board up, joints taped, planes true, by area."),
        unit="ft2",
        hours=Decimal("0.05"),
    ),
    _labor(
        "labor_waterproof",
        _("Waterproof"),
        _("By area of membrane, with its test."),
        unit="ft2",
        hours=Decimal("0.04"),
    ),
    _labor(
        "labor_set_floor",
        _("Set floor tile"),
        _("By area. The example is the middle of a rough range, from memory: your own time cards are worth more."),
        unit="ft2",
        hours=_hours_per_sqft("floor"),
    ),
    _labor(
        "labor_set_wall",
        _("Set wall tile"),
        _("By area: walls, ceilings, curbs, benches. The example is the middle of a rough range, from memory."),
        unit="ft2",
        hours=_hours_per_sqft("wall"),
    ),
    _labor(
        "labor_niche",
        _("Niche"),
        _("Each: framed, waterproofed and tiled."),
        unit="each",
        hours=Decimal("2.5"),
    ),
    _labor(
        "labor_grout",
        _("Grout and soft joints"),
        _("By area, with the soft joints at corners and edges."),
        unit="ft2",
        hours=Decimal("0.04"),
    ),
    _labor(
        MINIMUM_TRIP,
        _("Minimum trip"),
        _("The fewest hours that a job is worth driving to: labor below it is brought up to it."),
        unit="trip",
        hours=Decimal("4"),
        needed=False,
    ),
)

BY_KEY: dict[str, Wanted] = {rate.key: rate for rate in RATES}

TILE_HELP = _("Price of a box with its pieces as the package, or of one piece with the package left empty.")


def unit_name(unit: str) -> str:
    return str(UNIT_NAMES.get(unit, unit))


def one_unit(unit: str) -> str:
    """The unit's name after "per"."""
    return str(ONE.get(unit) or unit_name(unit))


def unit_choices(units: Iterable[str]) -> list[tuple[str, Promise]]:
    return [(unit, UNIT_NAMES[unit]) for unit in dict.fromkeys(units)]
