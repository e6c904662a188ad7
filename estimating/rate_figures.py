"""The figures of a rate: which make sense together, and which say the same."""

from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple, Required, TypedDict

from django.utils.translation import gettext as _

from base.figures import trimmed
from estimating.catalogue import BY_KEY, TILE, UNIT_NAMES
from estimating.models import OwnRate, Rate, RateKind
from rooms.models import Tile


class BadRate(ValueError):
    """A rate that the engine couldn't price with. The message names what is wrong."""


class Figures(TypedDict, total=False):
    """`cost` is of one package where `package` (units in it) is given, of one hour where `hours` (for one unit) is,
    else of one unit. `hours_low` and `hours_high`: what `hours` may come to; `setup_hours` come once to a line; `crew`
    persons are at it; `by_people`: an hour costs what those on the job cost. `product` and `supplier`: of a material,
    as the shop knows it. `valid_from`: the day from which all that holds, today where there is none.
    """

    cost: Required[Decimal]
    unit: Required[str]
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
    valid_from: date | None


class RateFigures(Figures, total=False):
    """What the figures are of: `tile`, where `key` is "tile"; `own`, where it is the key of one of the shop's own."""

    key: Required[str]
    tile: Tile | None
    own: OwnRate | None


class NewRate(NamedTuple):
    """A rate of the shop's own that isn't there yet."""

    name: str
    kind: RateKind
    figures: Figures


_COMPARED = (
    *("unit", "cost", "package", "hours", "hours_low", "hours_high", "setup_hours", "crew", "by_people"),
    *("product", "supplier", "example"),
)


def same_rate(one: Rate, other: Rate) -> bool:
    """Whether both say the same, whenever they were set."""
    return all(getattr(one, field) == getattr(other, field) for field in _COMPARED)


def figures_of(rate: Rate) -> RateFigures:
    """What a row says, to set it again with something changed."""
    said = {field: getattr(rate, field) for field in _COMPARED}
    return RateFigures(key=rate.key, tile=rate.tile, own=rate.own, **said)  # type: ignore[typeddict-item]


def typed_figures(rate: Rate) -> dict[str, Any]:
    """As a form shows them: no zeros that the database keeps behind a figure."""
    figures = {
        name: None if value is None else trimmed(value)
        for name in ("cost", "package", "hours", "hours_low", "hours_high", "setup_hours")
        for value in (getattr(rate, name),)
    }
    as_is = {name: getattr(rate, name) for name in ("unit", "crew", "by_people", "product", "supplier")}
    return {**as_is, **figures}


def rate_of(figures: RateFigures, valid_from: date | None = None) -> Rate:
    """A row, not saved yet. Raises BadRate."""
    given: dict[str, Any] = {name: value for name, value in figures.items() if value is not None}
    name, kind = check_rate(figures)
    return Rate(**{"setup_hours": Decimal(0), "crew": 1, **given, "name": name, "kind": kind, "valid_from": valid_from})


def check_rate(figures: RateFigures) -> tuple[str, RateKind]:
    """Name and kind of the rate. Raises BadRate for one that makes no sense."""
    own, hours = figures.get("own"), figures.get("hours")
    if own is None:
        name, kind = _named(key=figures["key"], tile=figures.get("tile"), unit=figures["unit"])
    else:
        name, kind = _named_own(own, figures)
    if (kind == RateKind.LABOR) != (hours is not None):
        raise BadRate(_("Labor needs the hours for one unit, and nothing else has them."))
    if hours is not None and figures.get("package") is not None:
        raise BadRate(_("Labor isn't bought in packages."))
    if kind != RateKind.MATERIAL and figures.get("package") is not None:
        raise BadRate(_("Only a material is bought in packages."))
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


def _named_own(own: OwnRate, figures: RateFigures) -> tuple[str, RateKind]:
    if figures["key"] != own.key or figures.get("tile") is not None:
        raise BadRate(_("There is no such rate."))
    if figures["unit"] not in UNIT_NAMES:
        raise BadRate(_("%(rate)s can't be priced by that unit.") % {"rate": own.name})
    if own.kind != RateKind.MATERIAL and figures.get("package") is not None:
        raise BadRate(_("Only a material is bought in packages."))
    return own.name, RateKind(own.kind)


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
