"""From the chosen layouts to what has to be bought and done: quantities with how they were got, before any price."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, TILE
from layout.room import Point
from rooms.chosen import chosen_room
from rooms.models import Layout, Place, Room, Tile

# What a takeoff's lines are priced as. The keys of TELLS cost nothing by themselves: they tell how others were got.
PRICED = {
    "tile": TILE,
    "mortar": "mortar",
    "grout": "grout",
    "membrane_area": "membrane",
    "board_area": "board",
    "sealant_length": "sealant",
    "edge_trim_length": "edge-trim",
}
TELLS = {
    *("joint_length", "grout_volume", "tile_weight", "movement_joint_length"),
    *("board_sheets", "board_fasteners", "membrane_laps", "membrane_band_length", "membrane_corners"),
    *("leveling_clips", "spacers", "leveling_volume", "primer_area", "mud_bed_volume", "sealer_area"),
}
# The signs that a takeoff prints, as the units of `pricing`.
SIGNS = {"m²": "m2", "m³": "m3", "L": "l", "pieces": "piece", "tiles": "piece", "ea": "each"}

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing to price. `tile` is the shop's tile where `key` is "tile" and the shop knows it."""

    room: Room
    key: str
    text: str
    quantity: Decimal
    unit: str
    how: str
    source: str
    tile: Tile | None = None

    @property
    def identity(self) -> tuple[UUID, str, str]:
        """The same in the next fill: a room's several tiles are told apart by their text."""
        return (self.room.pk, self.key, self.text if self.key == TILE else "")


def needs_of(*, rooms: Sequence[Room], layouts: Mapping[UUID, Layout]) -> list[Need]:
    """What every room with a chosen layout needs, materials before labor. Rooms without one give nothing."""
    found: list[Need] = []
    for room in rooms:
        if layout := layouts.get(room.pk):
            found += [*_materials(room, layout), *_labor(room, layout)]
    return found


def _materials(room: Room, layout: Layout) -> Iterator[Need]:
    board = False
    for line in layout.takeoff["lines"]:
        key = line["key"]
        if key in TELLS:
            continue
        board = board or key == "board_area"
        priced_as = PRICED.get(key, key.replace("_", "-"))
        tile = _tile_of(room, line) if priced_as == TILE else None
        if priced_as == TILE:
            text = _("Tile: %(name)s") % {"name": tile.name if tile else line.get("tile", room.tile.name)}
        else:
            text = str(BY_KEY[priced_as].name) if priced_as in BY_KEY else key.replace("_", " ")
        yield Need(
            room=room,
            key=priced_as,
            text=text[:200],
            quantity=Decimal(str(line["quantity"])),
            unit=SIGNS.get(line["unit"], line["unit"]),
            how=line.get("how", ""),
            source=line.get("source", "")[:300],
            tile=tile,
        )
    areas = areas_of(layout)
    if not board and areas.walls and room.place in (Place.SHOWER, Place.TUB_SURROUND):
        yield _need(
            room, "board", areas.walls, "m2", _("Walls, less openings: the walls of a shower or tub get a board.")
        )


def _tile_of(room: Room, line: Mapping[str, object]) -> Tile | None:
    """The shop's tile that a takeoff's line means: the room's, or the one of the name that the line gives."""
    name = line.get("tile") or line.get("name")
    if not name or name in (room.tile.name, "tile"):
        return room.tile
    named = (room.more or {}).get("tiles", {})
    if name in named and named[name].get("name"):
        name = named[name]["name"]
    return Tile.objects.filter(name=name).order_by("created_at", "id").first()


@dataclass(frozen=True, slots=True, kw_only=True)
class Areas:
    """Of a room as laid out, m² to four places, less openings: floors, and all that stands or hangs."""

    floors: Decimal
    walls: Decimal
    niches: int

    @property
    def all(self) -> Decimal:
        return self.floors + self.walls


def areas_of(layout: Layout) -> Areas:
    """Areas of the room as it will be set, whose outlines are of the substrate."""
    room = chosen_room(layout).room
    floors = walls = 0.0
    niches = 0
    for surface in room.surfaces:
        area = _area(surface.outline) - sum(_area(opening.outline) for opening in surface.openings)
        niches += sum(opening.kind == "niche" for opening in surface.openings)
        if surface.kind == "floor":
            floors += area
        else:
            walls += area
    return Areas(floors=_square_meters(floors), walls=_square_meters(walls), niches=niches)


def _area(outline: Sequence[Point]) -> float:
    """mm², by the shoelace formula."""
    ends = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in ends)) / 2


def _square_meters(mm2: float) -> Decimal:
    return round(Decimal(mm2) / 1_000_000, 4)


def _labor(room: Room, layout: Layout) -> Iterator[Need]:
    areas = areas_of(layout)
    floor_and_wall = _("Floors and walls, less openings.")
    if room.demolition:
        yield _need(room, "labor_demolition", areas.all, "m2", floor_and_wall)
    yield _need(room, "labor_substrate", areas.all, "m2", floor_and_wall)
    for line in layout.takeoff["lines"]:
        if line["key"] == "membrane_area":
            quantity = Decimal(str(line["quantity"]))
            yield _need(room, "labor_waterproof", quantity, "m2", _("As much as the membrane."))
    if areas.floors:
        yield _need(room, "labor_set_floor", areas.floors, "m2", _("Floors, less openings."))
    if areas.walls:
        yield _need(room, "labor_set_wall", areas.walls, "m2", _("Walls and all that stands or hangs, less openings."))
    if areas.niches:
        yield _need(room, "labor_niche", Decimal(areas.niches), "each", _("Counted on the drawing."))
    yield _need(room, "labor_grout", areas.all, "m2", floor_and_wall)


def _need(room: Room, key: str, quantity: Decimal, unit: str, how: str) -> Need:
    text = str(BY_KEY[key].name)
    return Need(room=room, key=key, text=text, quantity=quantity, unit=unit, how=how, source=NO_SOURCE)
