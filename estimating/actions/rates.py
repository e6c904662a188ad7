"""What things cost the shop. A new price is a new row that ends the old one: what was priced before stays as it was."""

from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, RATES, TILE
from estimating.models import Rate, RateKind
from rooms.models import Tile
from shop.audit import change
from shop.languages import for_clients
from shop.models import ShopSettings, Staff, Units
from shop.queries import shop_settings


class BadRate(ValueError):
    """A rate that the engine couldn't price with. The message names what is wrong."""


def set_rate(
    *,
    key: str,
    cost: Decimal,
    unit: str,
    by: Staff,
    tile: Tile | None = None,
    package: Decimal | None = None,
    hours: Decimal | None = None,
    hours_low: Decimal | None = None,
    hours_high: Decimal | None = None,
    setup_hours: Decimal | None = None,
    crew: int | None = None,
    example: bool = False,
) -> Rate:
    """The rate now in force for `key` (of `tile`, where key is "tile"); the one before ends today.

    `cost` is of one package where `package` (units in it) is given, of one hour where `hours` (for one unit) is,
    else of one unit. `hours_low` and `hours_high`: what `hours` may come to; `setup_hours` come once to a line; `crew`
    persons are at it. The same figures again change nothing and return the rate that stands. Raises BadRate.
    """
    name, kind = _checked(key=key, tile=tile, unit=unit, package=package, hours=hours)
    _check_labor(hours, low=hours_low, high=hours_high, only_labor=(hours_low, hours_high, setup_hours, crew))
    today = timezone.localdate()
    figures = {
        "unit": unit,
        "cost": cost,
        "package": package,
        "hours": hours,
        "hours_low": hours_low,
        "hours_high": hours_high,
        "setup_hours": setup_hours or Decimal(0),
        "crew": crew or 1,
        "example": example,
    }
    with change(by):
        # Two people who set one rate at once take turns: on the shop's row, since a first rate has no row to lock.
        ShopSettings.objects.select_for_update(no_key=True).filter(pk=1).first()
        old = Rate.objects.select_for_update().filter(key=key, tile=tile, valid_to=None).first()
        if old and all(getattr(old, field) == value for field, value in figures.items()):
            return old
        if old:
            old.valid_to = today
            old.save(update_fields=["valid_to"])
        rate = Rate.objects.create(key=key, tile=tile, kind=kind, name=name, valid_from=today, **figures)
    return rate


def _checked(
    *, key: str, tile: Tile | None, unit: str, package: Decimal | None, hours: Decimal | None
) -> tuple[str, RateKind]:
    """Name and kind of the rate. Raises BadRate for one that makes no sense."""
    if key == TILE:
        if tile is None:
            raise BadRate(_("Say which tile this price is for."))
        if unit != "piece":
            raise BadRate(_("Tile is priced by the piece, or by the box with its pieces."))
        name, kind = tile.name, RateKind.MATERIAL
    else:
        wanted = BY_KEY.get(key)
        if wanted is None or tile is not None:
            raise BadRate(_("There is no such rate."))
        if not wanted.fits(unit):
            raise BadRate(_("%(rate)s can't be priced by that unit.") % {"rate": wanted.name})
        name, kind = str(wanted.name), wanted.kind
    if (kind == RateKind.LABOR) != (hours is not None):
        raise BadRate(_("Labor needs the hours for one unit, and nothing else has them."))
    if hours is not None and package is not None:
        raise BadRate(_("Labor isn't bought in packages."))
    return name, kind


def _check_labor(
    hours: Decimal | None, *, low: Decimal | None, high: Decimal | None, only_labor: tuple[Decimal | int | None, ...]
) -> None:
    if hours is None:
        if any(only_labor):
            raise BadRate(_("Only labor has a range of hours, set-up hours and a crew."))
        return
    if (low is None) != (high is None):
        raise BadRate(_("Hours at best and at worst: both, or neither."))
    if low is not None and high is not None and not low <= hours <= high:
        raise BadRate(_("Hours at best are at most the usual ones, hours at worst at least."))


@for_clients
def install_example_rates(*, by: Staff) -> int:
    """Example figures, marked as such, for every rate that the shop hasn't set yet; returns how many there were."""
    metric = shop_settings().units == Units.MM
    with change(by):
        there = set(Rate.objects.filter(valid_to=None).values_list("key", flat=True))
        missing = [wanted for wanted in RATES if wanted.key not in there]
        for wanted in missing:
            figure = wanted.example(metric=metric)
            set_rate(
                key=wanted.key,
                cost=figure.cost,
                unit=figure.unit,
                package=figure.package,
                hours=figure.hours,
                hours_low=figure.hours_low,
                hours_high=figure.hours_high,
                example=True,
                by=by,
            )
    return len(missing)
