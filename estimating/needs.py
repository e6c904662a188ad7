"""One thing to price, and the measures of a room as it will be set, from which much of it follows."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from shapely.geometry import Polygon, box

from estimating.catalogue import BY_KEY, TILE
from layout.room import Point, Surface
from rooms.chosen import chosen_room
from rooms.models import Layout, Room, Tile
from trade.rules import LARGE_EDGE_MM

NO_SOURCE = "common practice, no source"

SMALL_EDGE_MM = 114.3
"""4-1/2 in: up to here tile is set as mosaic is, engineerfix.com/what-size-trowel-do-you-need-for-wall-tile."""
REACH_MM = 2133.6
"""7 ft: higher work takes a step or a platform. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing to price. `tile` is the shop's tile where `key` is "tile" and the shop knows it; `by_class` the key of
    the rate for its class, which goes before that of `key` where the shop has it."""

    room: Room
    key: str
    text: str
    quantity: Decimal
    unit: str
    how: str
    source: str
    tile: Tile | None = None
    by_class: str = ""

    @property
    def identity(self) -> tuple[UUID, str, str]:
        """The same in the next fill: a room's several tiles are told apart by their text."""
        return (self.room.pk, self.key, self.text if self.key == TILE else "")


def need(room: Room, key: str, quantity: Decimal, unit: str, how: str, source: str = NO_SOURCE) -> Need:
    """A need of the catalogue's, by its name there."""
    return Need(
        room=room, key=key, text=str(BY_KEY[key].name), quantity=quantity, unit=unit, how=how, source=source[:300]
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Areas:
    """Of a room as laid out: areas in m² to four places, less openings, floors apart from all that stands or hangs
    (`walls`); of both, what is ceiling, large or small tile, in a pattern that isn't straight, or high. `miters` in m.
    """

    floors: Decimal
    walls: Decimal
    ceilings: Decimal
    large: Decimal
    small: Decimal
    patterned: Decimal
    high: Decimal
    surfaces: int
    niches: int
    holes: int
    curb: bool
    bench: bool
    miters: Decimal

    @property
    def all(self) -> Decimal:
        return self.floors + self.walls


def areas_of(layout: Layout) -> Areas:
    """The measures of the room as it will be set, whose outlines are of the substrate."""
    surfaces = chosen_room(layout).room.surfaces
    openings = [opening for surface in surfaces for opening in surface.openings]
    kinds = {surface.kind for surface in surfaces}

    def sum_of(*, where: Sequence[bool]) -> Decimal:
        return _square_meters(sum(_net(each) for each, counts in zip(surfaces, where, strict=True) if counts))

    longest = [max(surface.tile.width, surface.tile.height) for surface in surfaces]
    bottom = min(surface.level + min(y for _, y in surface.outline) for surface in surfaces)
    return Areas(
        floors=sum_of(where=[surface.kind == "floor" for surface in surfaces]),
        walls=sum_of(where=[surface.kind != "floor" for surface in surfaces]),
        ceilings=sum_of(where=[surface.kind == "ceiling" for surface in surfaces]),
        large=sum_of(where=[edge >= float(LARGE_EDGE_MM) for edge in longest]),
        small=sum_of(where=[edge <= SMALL_EDGE_MM for edge in longest]),
        patterned=sum_of(where=[not surface.pattern.square for surface in surfaces]),
        high=_square_meters(sum(_above(each, bottom + REACH_MM) for each in surfaces if each.kind == "wall")),
        surfaces=len(surfaces),
        niches=sum(opening.kind == "niche" for opening in openings),
        holes=sum(opening.circle is not None for opening in openings),
        curb="curb" in kinds,
        bench="bench" in kinds,
        miters=round(Decimal(sum(_mitered(surface) for surface in surfaces)) / 1000, 3),
    )


def net_areas(layout: Layout) -> dict[str, Decimal]:
    """m² of each surface of the room as it will be set, less openings, by its key."""
    return {surface.id: _square_meters(_net(surface)) for surface in chosen_room(layout).room.surfaces}


def _net(surface: Surface) -> float:
    """mm², less openings."""
    return _area(surface.outline) - sum(_area(opening.outline) for opening in surface.openings)


def _area(outline: Sequence[Point]) -> float:
    """mm², by the shoelace formula."""
    ends = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in ends)) / 2


def _above(surface: Surface, height: float) -> float:
    """mm² of a wall, less openings, above a height in mm."""
    left, _bottom, right, top = surface.bounds
    if surface.level + top <= height:
        return 0.0
    band = box(left, height - surface.level, right, top)
    shapes = (Polygon(each).intersection(band).area for each in (opening.outline for opening in surface.openings))
    return float(Polygon(surface.outline).intersection(band).area - sum(shapes))


def _mitered(surface: Surface) -> float:
    """mm of the surface's edges that are mitered."""
    total = 0.0
    for edge in surface.edges:
        if edge.finish == "miter":
            (x1, y1), (x2, y2) = (surface.outline[(edge.index + step) % len(surface.outline)] for step in (0, 1))
            total += ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    return total


def _square_meters(mm2: float) -> Decimal:
    return round(Decimal(mm2) / 1_000_000, 4)
