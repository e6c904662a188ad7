"""What pages read about rates, each in a number of queries that doesn't grow with rows."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, RATES, TILE, Wanted
from estimating.models import OwnRate, Rate, RateKind, TaxRule
from rooms.models import Tile


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRow:
    """A rate that the shop has or lacks: `rate` is the one in force."""

    key: str
    name: str
    help: str
    rate: Rate | None
    kind: RateKind = RateKind.MATERIAL
    tile: Tile | None = None
    own: OwnRate | None = None
    needed: bool = True
    # What it is one class of, whose rate counts where this one isn't set.
    class_of: str = ""


def rate_rows() -> tuple[list[RateRow], list[RateRow]]:
    """Rates of the catalogue in its order; and of the tiles that rooms have. 2 queries."""
    in_force = {(rate.key, rate.tile_id): rate for rate in Rate.objects.in_force()}
    rows = [
        RateRow(
            key=wanted.key,
            name=str(wanted.name),
            help=str(wanted.help),
            rate=in_force.get((wanted.key, None)),
            kind=wanted.kind,
            needed=wanted.needed,
            class_of=str(BY_KEY[wanted.class_of].name) if wanted.class_of else "",
        )
        for wanted in RATES
    ]
    tiles = Tile.objects.annotate(used=Count("rooms")).order_by("name", "id")
    tile_rows = [
        RateRow(
            key=TILE,
            name=tile.name,
            help="",
            rate=in_force.get((TILE, tile.pk)),
            tile=tile,
            needed=bool(tile.used),
        )
        for tile in tiles
    ]
    return rows, tile_rows


def wanted_rate(key: str) -> Wanted | None:
    return BY_KEY.get(key)


def rate_in_force(*, key: str, tile: Tile | None = None) -> Rate | None:
    """The one that holds today."""
    return Rate.objects.in_force().filter(key=key, tile=tile).first()


def rate_history(*, key: str, tile: Tile | None = None) -> QuerySet[Rate]:
    """All rates there ever were for this, the newest first."""
    return Rate.objects.filter(key=key, tile=tile).order_by("-valid_from", "-created_at", "-id")


def tax_rules() -> QuerySet[TaxRule]:
    return TaxRule.objects.all()


@dataclass(frozen=True, slots=True, kw_only=True)
class RateGroup:
    """`help`: what its rates are counted for."""

    name: str
    help: str
    rows: list[RateRow]


def grouped_rates(rows: Iterable[RateRow]) -> list[RateGroup]:
    """The rows of the catalogue, each kind under a heading of its own."""
    rows = list(rows)
    headings: list[tuple[RateKind, str, str]] = [
        (
            RateKind.MATERIAL,
            _("Materials"),
            _("Where a class of a material has a price of its own, that goes first in rooms that ask for the class."),
        ),
        (RateKind.LABOR, _("Labor"), _("By task: hours for one unit, and what an hour costs.")),
        (
            RateKind.EQUIPMENT,
            _("Equipment"),
            _("By the day, counted from the hours of the work that it is for. Without a rate there is no line."),
        ),
        (RateKind.DISPOSAL, _("Disposal"), _("Of rooms with demolition. Without a rate there is no line.")),
        (
            RateKind.TRAVEL,
            _("Travel"),
            _(
                "For each drive to the site: as many as the days of work and the waits ask for. Set the flat sum, the "
                "distance, or both; without a rate there is no line."
            ),
        ),
    ]
    return [
        RateGroup(name=name, help=help, rows=[row for row in rows if row.kind == kind]) for kind, name, help in headings
    ]
