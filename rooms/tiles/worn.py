"""The tiles that a room wears, with their measures there: rows of `Tile` made for reading, not to be saved."""

from collections.abc import Collection, Mapping
from copy import copy
from decimal import Decimal
from typing import Any

from rooms.models import Room, Surface, SurfaceKind, Tile
from trade.lengths import parse_length

LENGTHS = ("width", "height", "thickness", "size_spread", "warp")
MEASURES = (*LENGTHS, "edge", "turns", "per_box", "finish", "stone")
"""What a room file says of a tile beside its name."""

SHEET_FIGURES: Mapping[str, int] = {
    "absorption": 100,
    "friction": 2,
    "breaking_lbf": 99_999,
    "weight_kg": 9_999,
    "ribs": 100,
}
"""Figures off a data sheet and the most that each can be; `ribs` in mm."""
SHEET_FACTS = ("friction_declared", "glass", "mosaic", "moisture_sensitive", "face_scratches")

_UNSAID: Mapping[str, Any] = {"edge": "calibrated", "turns": [], "finish": "", "stone": False}


def room_tile(room: Room) -> Tile:
    """The room's own tile as it was measured for this room."""
    own = room.more.get("tile", {})
    raw = room.more["tiles"][own] if isinstance(own, str) else own
    said = {key: raw[key] for key in MEASURES if key in raw}
    return _with(copy(room.tile), said) if said else room.tile


def named_tile(room: Room, name: str) -> Tile:
    """One of the room's further tiles. KeyError for a name that isn't there."""
    raw = room.more["tiles"][name]
    sheet = raw.get("data_sheet", {})
    figures = {key: Decimal(sheet[key]) for key in SHEET_FIGURES if sheet.get(key) is not None}
    facts = {key: sheet[key] for key in SHEET_FACTS if sheet.get(key) is not None}
    tile = Tile(name=raw.get("name") or name, **figures, **facts)
    return _with(tile, {key: raw.get(key) for key in MEASURES})


def tile_called(room: Room, name: str) -> Tile:
    """The tile of that name among the room's; the room's own for any other."""
    return named_tile(room, name) if name in room.more.get("tiles", {}) else room_tile(room)


def tiles_of(room: Room) -> list[tuple[str, Tile]]:
    """The room's tiles by what they are for, its own under an empty name before the others."""
    own = room.more.get("tile")
    names = [name for name in room.more.get("tiles", {}) if name != own]
    return [("", room_tile(room)), *((name, named_tile(room, name)) for name in names)]


def worn_by(surface: Surface, room: Room) -> Tile:
    """The tile that goes on a surface."""
    return named_tile(room, surface.more["tile"]) if "tile" in surface.more else room_tile(room)


def largest_tile(room: Room, kinds: Collection[str] = tuple(SurfaceKind.values)) -> Tile:
    """Of the tiles on the room's surfaces of some kinds the one with the longest edge, by which limits go; without such
    surfaces the room's own. Reads the surfaces: prefetch them."""
    tiles = [worn_by(surface, room) for surface in room.surfaces.all() if surface.kind in kinds]
    return max(tiles, key=lambda tile: max(tile.width, tile.height), default=room_tile(room))


def _with(tile: Tile, said: Mapping[str, Any]) -> Tile:
    """The tile with what a room file says of it, its lengths texts with their unit; None where it says nothing."""
    for key, value in said.items():
        if value is None:
            value = _UNSAID.get(key)
        elif key in LENGTHS:
            value = parse_length(value, unit="mm")
        setattr(tile, key, value)
    return tile
