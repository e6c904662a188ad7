"""The figures of a rate: which make sense together, and which say the same."""

from datetime import date
from decimal import Decimal
from typing import Any, Required, TypedDict

from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, TILE
from estimating.models import Rate, RateKind
from rooms.models import Tile


class BadRate(ValueError):
    """A rate that the engine couldn't price with. The message names what is wrong."""


class RateFigures(TypedDict, total=False):
    """`cost` is of one package where `package` (units in it) is given, of one hour where `hours` (for one unit) is,
    else of one unit. `hours_low` and `hours_high`: what `hours` may come to; `setup_hours` come once to a line; `crew`
    persons are at it; `by_people`: an hour costs what those on the job cost. `product` and `supplier`: of a material,
    as the shop knows it. `tile`, where `key` is "tile".
    """

    key: Required[str]
    cost: Required[Decimal]
    unit: Required[str]
    tile: Tile | None
    package: Decimal | None
    hours: Decimal | None
    hours_low: Decimal | None
    hours_high: Decimal | None
    setup_hours: Decimal | None
    crew: int | None
    by_people: bool
    product: str
    supplier: str
    example: bool


_COMPARED = (
    *("unit", "cost", "package", "hours", "hours_low", "hours_high", "setup_hours", "crew", "by_people"),
    *("product", "supplier", "example"),
)


def same_rate(one: Rate, other: Rate) -> bool:
    """Whether both say the same, whenever they were set."""
    return all(getattr(one, field) == getattr(other, field) for field in _COMPARED)


def figures_of(rate: Rate) -> RateFigures:
    """What a row says, to set it again with something changed."""
    return RateFigures(key=rate.key, tile=rate.tile, **{field: getattr(rate, field) for field in _COMPARED})  # type: ignore[typeddict-item]


def rate_of(figures: RateFigures, valid_from: date | None = None) -> Rate:
    """A row, not saved yet. Raises BadRate."""
    given: dict[str, Any] = {name: value for name, value in figures.items() if value is not None}
    name, kind = check_rate(figures)
    return Rate(**{"setup_hours": Decimal(0), "crew": 1, **given, "name": name, "kind": kind, "valid_from": valid_from})


def check_rate(figures: RateFigures) -> tuple[str, RateKind]:
    """Name and kind of the rate. Raises BadRate for one that makes no sense."""
    tile, hours = figures.get("tile"), figures.get("hours")
    name, kind = _named(key=figures["key"], tile=tile, unit=figures["unit"])
    if (kind == RateKind.LABOR) != (hours is not None):
        raise BadRate(_("Labor needs the hours for one unit, and nothing else has them."))
    if hours is not None and figures.get("package") is not None:
        raise BadRate(_("Labor isn't bought in packages."))
    if kind != RateKind.LABOR and figures.get("by_people"):
        raise BadRate(_("Only labor is priced by the people on the job."))
    if kind != RateKind.MATERIAL and (figures.get("product") or figures.get("supplier")):
        raise BadRate(_("Only a material has a product and a supplier."))
    _check_labor(figures)
    return name, kind


def _named(*, key: str, tile: Tile | None, unit: str) -> tuple[str, RateKind]:
    if key == TILE:
        if tile is None:
            raise BadRate(_("Say which tile this price is for."))
        if unit != "piece":
            raise BadRate(_("Tile is priced by the piece, or by the box with its pieces."))
        return tile.name, RateKind.MATERIAL
    wanted = BY_KEY.get(key)
    if wanted is None or tile is not None:
        raise BadRate(_("There is no such rate."))
    if not wanted.fits(unit):
        raise BadRate(_("%(rate)s can't be priced by that unit.") % {"rate": wanted.name})
    return str(wanted.name), wanted.kind


def _check_labor(figures: RateFigures) -> None:
    hours, low, high = figures.get("hours"), figures.get("hours_low"), figures.get("hours_high")
    if hours is None:
        if any((low, high, figures.get("setup_hours"), figures.get("crew"))):
            raise BadRate(_("Only labor has a range of hours, set-up hours and a crew."))
        return
    if (low is None) != (high is None):
        raise BadRate(_("Hours at best and at worst: both, or neither."))
    if low is not None and high is not None and not low <= hours <= high:
        raise BadRate(_("Hours at best are at most the usual ones, hours at worst at least."))
