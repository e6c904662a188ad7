"""From rows to a room file."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from rooms.models import Corner, Opening, Room, Surface, Tile
from rooms.tiles.worn import MEASURES
from trade.lengths import Unit

FORMAT = "gaugerod-room/1"

_Data = dict[str, Any]


def room_to_file(room: Room, *, units: Unit | None = None) -> dict[str, Any]:
    """The room as `gaugerod-room/1`: plain data that `layout.read_room` takes, lengths as texts in mm.

    `units` is what the engine's texts are to be in; without it, the file says what it said when it came in.
    Reads surfaces with openings and corners: prefetch them (`rooms.queries.with_parts`).
    """
    more = dict(room.more)
    own_tile, own_pattern = more.pop("tile", {}), more.pop("pattern", {})
    data: _Data = {
        "format": FORMAT,
        "name": room.name,
        "place": room.place,
        "demolition": room.demolition,
        "units": "mm",
        **more,
        "tile": own_tile if isinstance(own_tile, str) else _own_tile(room.tile, own_tile),
        "joint": mm_text(room.joint),
        "pattern": {**_pattern_to_file(room), **own_pattern},
        "surfaces": [_surface_to_file(surface) for surface in room.surfaces.all()],
    }
    _add(data, "joint_high", room.joint_high, mm_text)
    _add(data, "edge_gap", room.edge_gap, mm_text)
    if corners := [_corner_to_file(room, corner) for corner in room.corners.all()]:
        data["corners"] = corners
    if units:
        data["units"] = units
    return data


def layout_input(room: Room, *, units: Unit) -> dict[str, Any]:
    """What the engine gets of a room: the file without what a layout doesn't depend on."""
    data = room_to_file(room, units=units)
    del data["place"], data["demolition"]
    if tiles := data.get("tiles"):
        data["tiles"] = {name: {key: raw[key] for key in raw if key != "data_sheet"} for name, raw in tiles.items()}
    return data


def same_measures(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two inputs of the engine describe the same room, whatever it is called and read in."""
    return _measures(one) == _measures(other)


def _measures(data: Mapping[str, Any]) -> _Data:
    rest = {key: data[key] for key in data if key not in ("name", "units", "place", "demolition", "tile")}
    tile = data.get("tile")
    if isinstance(tile, Mapping):
        tile = {key: tile[key] for key in tile if key != "name"}
    return {**rest, "tile": tile}


def tile_to_file(tile: Tile) -> dict[str, Any]:
    """A tile as it stands in a room file."""
    data: _Data = {"name": tile.name, "width": mm_text(tile.width), "height": mm_text(tile.height), "edge": tile.edge}
    for key in ("thickness", "size_spread", "warp"):
        _add(data, key, getattr(tile, key), mm_text)
    if tile.turns:
        data["turns"] = list(tile.turns)
    _add(data, "per_box", tile.per_box)
    if tile.finish:
        data["finish"] = tile.finish
    if tile.stone:
        data["stone"] = True
    return data


def measures_to_file(tile: Tile) -> dict[str, Any]:
    """Every measure of a tile as a room file has it, None for what it would leave out."""
    data = tile_to_file(tile)
    return {key: data.get(key) for key in MEASURES}


def mm_text(mm: Decimal) -> str:
    """A length exactly, as a room file takes it in either unit."""
    return f"{mm.normalize():f} mm"


def _own_tile(tile: Tile, own: Mapping[str, Any]) -> _Data:
    """The shop's tile with what the room says otherwise of it; None takes a measure away."""
    data = {**tile_to_file(tile), **own}
    return {key: value for key, value in data.items() if value is not None or key not in MEASURES}


def _pattern_to_file(room: Room) -> _Data:
    pattern: _Data = {"kind": room.pattern, "run": room.run, "axis": room.axis}
    if room.pattern == "offset":
        pattern["share"] = f"{room.share_of}/{room.share_in}"
    return pattern


def _surface_to_file(surface: Surface) -> _Data:
    data: _Data = {
        "id": surface.key,
        "kind": surface.kind,
        "wet": surface.wet,
        "focal": surface.focal,
        "outline": _points_to_file(surface.outline),
        **surface.more,
    }
    if surface.name:
        data["name"] = surface.name
    _add(data, "build_up", surface.build_up, mm_text)
    if openings := [_opening_to_file(opening) for opening in surface.openings.all()]:
        data["openings"] = openings
    return data


def _opening_to_file(opening: Opening) -> _Data:
    data: _Data = {"id": opening.key, **opening.more}
    if opening.kind:
        data["kind"] = opening.kind
    if opening.circle:
        data["circle"] = [mm_text(part) for part in opening.circle]
    else:
        data["outline"] = _points_to_file(opening.outline or [])
    return data


def _corner_to_file(room: Room, corner: Corner) -> _Data:
    keys = {surface.pk: surface.key for surface in room.surfaces.all()}
    data: _Data = {
        "first": f"{keys[corner.first_id]}.{corner.first_side}",
        "second": f"{keys[corner.second_id]}.{corner.second_side}",
        **corner.more,
    }
    _add(data, "soft", corner.soft, mm_text)
    return data


def _points_to_file(points: list[list[Decimal]]) -> list[list[str]]:
    return [[mm_text(part) for part in point] for point in points]


def _add(data: _Data, key: str, value: Any, turn: Callable[[Any], Any] = lambda value: value) -> None:
    if value is not None:
        data[key] = turn(value)
