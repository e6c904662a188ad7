"""Reads a room file (`gaugerod-room/1`): everything checked, every default filled in, or one error with its place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, cast, get_args

from layout.errors import RoomError
from layout.outline import signed_area
from layout.room import TOLERANCE, Corner, OutlinesOf, Pattern, Room, Setting, Surface, Tile, Units
from layout.surfaces import Defaults, read_pin, read_surface
from layout.values import choice, flag, items, length, mapping, number, share, shown, text, whole

FORMAT = "gaugerod-room/1"
MOST_SURFACES = 200
MOST_PIECES = 500_000
LEAST_SIDE = 5.0
"""mm. Smaller chips come on sheets; rule 1's 1 mm would eat them."""

LONGER = 1.0
"""mm. How much longer than wide a tile for a herringbone has to be at least."""


def read_room(data: Mapping[str, Any]) -> Room:
    """Return the room that the data describes. Raises RoomError, whose `place` names where the data is wrong."""
    data = mapping(data, "room")
    if data.get("format") != FORMAT:
        raise RoomError("format", f'"{FORMAT}" is needed here, not {shown(data.get("format"))}')
    units = cast(Units, choice(data.get("units"), "units", ("in", "mm")))
    defaults = _defaults(data, units)
    raw = items(_needed(data, "surfaces"), "surfaces", most=MOST_SURFACES)
    if not raw:
        raise RoomError("surfaces", "a room needs at least one surface")
    surfaces = tuple(read_surface(each, f"surfaces[{index}]", defaults) for index, each in enumerate(raw))
    surfaces = _fitted(surfaces)
    _refuse_twins(surfaces)
    _check_joins(surfaces)
    corners = _corners(data.get("corners", ()), surfaces, units)
    _refuse_too_many(surfaces)
    return Room(
        name=text(_needed(data, "name"), "name"),
        units=units,
        surfaces=surfaces,
        corners=corners,
        groups=_groups(surfaces, corners),
        wrap=flag(data.get("wrap", False), "wrap"),
        enough=number(data.get("enough", 0.5), "enough", least=0.0, most=1.0),
        kerf=length(data.get("kerf", 2.5), "kerf", "mm", most=20.0),
        reuse=cast(Any, choice(data.get("reuse", "factory-edge"), "reuse", ("factory-edge", "any-edge", "none"))),
        regrid=length(data.get("regrid", "36 in"), "regrid", units, least=1.0),
        setting=_setting(data.get("setting")),
        outlines_of=cast(Any, choice(data.get("outlines_of", "board"), "outlines_of", get_args(OutlinesOf))),
    )


def read_tile(value: Any, place: str, units: Units, name: str) -> Tile:
    """Return a tile. Raises RoomError."""
    raw = mapping(value, place)
    sides = {}
    for side in ("width", "height"):
        at = f"{place}.{side}"
        sides[side] = length(_needed(raw, side, place), at, units, least=1e-6, most=10_000.0)
        if sides[side] < LEAST_SIDE:
            raise RoomError(at, f"a tile side under {LEAST_SIDE:g} mm can't be laid out; enter the sheet it comes on")
    turns = items(raw.get("turns", (0, 90, 180, 270)), f"{place}.turns", most=4)
    if not turns or any(isinstance(turn, bool) or turn not in (0, 90, 180, 270) for turn in turns):
        raise RoomError(f"{place}.turns", "turns are some of 0, 90, 180 and 270")
    if 0 not in turns:
        raise RoomError(f"{place}.turns", "0 is missing: a piece may always lie as it hangs")
    thickness = raw.get("thickness")
    per_box = raw.get("per_box")
    return Tile(
        name=name,
        width=sides["width"],
        height=sides["height"],
        thickness=None if thickness is None else length(thickness, f"{place}.thickness", units, least=1e-6, most=100.0),
        edge=cast(Any, choice(raw.get("edge", "calibrated"), f"{place}.edge", ("natural", "calibrated", "rectified"))),
        size_spread=_optional(raw, "size_spread", place, most=50.0),
        warp=_optional(raw, "warp", place, most=50.0),
        turns=tuple(sorted({int(turn) for turn in turns})),
        per_box=None if per_box is None else whole(per_box, f"{place}.per_box", least=1, most=100_000),
        finish=text(raw.get("finish", ""), f"{place}.finish", empty=True),
        stone=raw.get("stone") is True,
    )


def read_pattern(value: Any, place: str) -> Pattern:
    """Return a pattern. Raises RoomError."""
    raw = mapping(value, place)
    kind = choice(raw.get("kind"), f"{place}.kind", ("stack", "offset", "diagonal", "herringbone", "hex"))
    if kind == "herringbone":
        angle = raw.get("angle", 45)
        if isinstance(angle, bool) or angle not in (0, 45):
            raise RoomError(f"{place}.angle", "a herringbone is turned by 45 degrees, or 0")
        return Pattern("herringbone", angle=int(angle))
    if kind in ("diagonal", "hex"):
        return Pattern(cast(Any, kind))
    axis = choice(raw.get("axis", "rows"), f"{place}.axis", ("rows", "columns"))
    if kind == "stack":
        return Pattern(axis=cast(Any, axis))
    run = choice(raw.get("run", "alternate"), f"{place}.run", ("alternate", "stair"))
    part = share(_needed(raw, "share", place), f"{place}.share")
    return Pattern("offset", part, cast(Any, run), cast(Any, axis))


def _fitted(surfaces: Sequence[Surface]) -> tuple[Surface, ...]:
    """Return the surfaces with the tiles that their patterns need. Raises RoomError where a tile can't be laid so."""
    found = []
    hexes = {surface.tile.name for surface in surfaces if surface.pattern.kind == "hex"}
    for index, surface in enumerate(surfaces):
        place, tile = f"surfaces[{index}].pattern", surface.tile
        if surface.pattern.kind == "hex":
            # A regular hexagon's height follows from its width across the flats.
            surface = replace(surface, tile=replace(tile, height=round(2 * tile.width / math.sqrt(3), 6)))
        elif tile.name in hexes:
            raise RoomError(place, f"{shown(tile.name)} is laid as a hexagon elsewhere; give this surface its own tile")
        if surface.pattern.kind == "herringbone" and abs(tile.width - tile.height) <= LONGER:
            raise RoomError(place, "a herringbone needs a tile that is longer than wide")
        names = (surface.pin.x, surface.pin.y)
        oblong = surface.pattern.kind == "diagonal" and abs(tile.width - tile.height) > TOLERANCE
        if oblong and any(isinstance(name, str) for name in names):
            reason = "a diagonal of tiles that aren't square has no such line; pin it by a length"
            raise RoomError(f"surfaces[{index}].pin", reason)
        found.append(surface)
    return tuple(found)


def _optional(raw: Mapping[str, Any], key: str, place: str, *, most: float) -> float | None:
    """Return a length whose bare numbers are mm always, or None where nobody measured it."""
    return None if raw.get(key) is None else length(raw[key], f"{place}.{key}", "mm", most=most)


def _needed(raw: Mapping[str, Any], key: str, place: str = "") -> Any:
    if raw.get(key) is None:
        raise RoomError(f"{place}.{key}" if place else key, "this is missing")
    return raw[key]


def _defaults(data: Mapping[str, Any], units: Units) -> Defaults:
    """Return what a surface takes from the room where it says nothing itself."""
    tiles = {
        text(name, "tiles"): read_tile(raw, f"tiles.{name}", units, name)
        for name, raw in mapping(data.get("tiles", {}), "tiles").items()
    }
    tile = data.get("tile")
    if isinstance(tile, str):
        if tile not in tiles:
            raise RoomError("tile", f"there is no {shown(tile)} in tiles")
        main: Tile | None = tiles[tile]
    elif tile is None:
        main = None
    else:
        main = read_tile(tile, "tile", units, "tile")
    joint = data.get("joint")
    joint_high = data.get("joint_high")
    gap = data.get("edge_gap")
    return Defaults(
        units=units,
        tiles=tiles,
        tile=main,
        joint=None if joint is None else length(joint, "joint", units),
        joint_high=None if joint_high is None else length(joint_high, "joint_high", units),
        pattern=read_pattern(data.get("pattern", {"kind": "stack"}), "pattern"),
        edge_gap=None if gap is None else length(gap, "edge_gap", units, most=1000.0),
        pin=read_pin(data.get("pin"), "pin", units),
        read_pattern=read_pattern,
    )


def _setting(value: Any) -> Setting:
    if value is None:
        return Setting()
    raw = mapping(value, "setting")
    coverage = raw.get("coverage")
    return Setting(
        coverage=None if coverage is None else number(coverage, "setting.coverage", least=0.0, most=1.0),
        back_butter=flag(raw.get("back_butter", False), "setting.back_butter"),
        trowel=text(raw.get("trowel", ""), "setting.trowel", empty=True),
    )


def _refuse_twins(surfaces: Sequence[Surface]) -> None:
    seen: set[str] = set()
    for index, surface in enumerate(surfaces):
        if surface.id in seen:
            raise RoomError(f"surfaces[{index}].id", f"{shown(surface.id)} is there twice")
        seen.add(surface.id)


def _check_joins(surfaces: Sequence[Surface]) -> None:
    ids = {surface.id for surface in surfaces}
    for index, surface in enumerate(surfaces):
        for edge, other in surface.joins:
            place = f"surfaces[{index}].joins.{surface.edges[edge].name}"
            if other not in ids:
                raise RoomError(place, f"there is no surface {shown(other)}")
            if other == surface.id:
                raise RoomError(place, "a surface can't join itself")


def _corners(value: Any, surfaces: Sequence[Surface], units: Units) -> tuple[Corner, ...]:
    """Return the corners, each with both ends found. Raises RoomError."""
    found: list[Corner] = []
    taken: set[tuple[str, int]] = set()
    by_id = {surface.id: surface for surface in surfaces}
    for index, each in enumerate(items(value, "corners", most=4 * MOST_SURFACES)):
        place = f"corners[{index}]"
        raw = mapping(each, place)
        ends: list[tuple[Surface, int]] = []
        for key in ("first", "second"):
            at = f"{place}.{key}"
            name = text(_needed(raw, key, place), at)
            surface_id, _, edge_name = name.rpartition(".")
            if surface_id not in by_id:
                raise RoomError(at, f"there is no surface {shown(surface_id or name)}; a corner end is like back.left")
            surface = by_id[surface_id]
            edge = surface.edge_named(edge_name)
            if edge is None:
                raise RoomError(at, f"{shown(surface_id)} has no edge {shown(edge_name)}")
            if (surface_id, edge) in taken:
                raise RoomError(at, f"{name} already has a corner")
            taken.add((surface_id, edge))
            ends.append((surface, edge))
        (first, first_edge), (second, second_edge) = ends
        if first.id == second.id:
            raise RoomError(place, "a surface can't make a corner with itself")
        soft = raw.get("soft")
        width = second.edge_gap if soft is None else length(soft, f"{place}.soft", units, most=1000.0)
        found.append(Corner(first.id, first_edge, second.id, second_edge, width))
    return tuple(found)


def _groups(surfaces: Sequence[Surface], corners: Sequence[Corner]) -> tuple[tuple[str, ...], ...]:
    """Return the surfaces in groups that share one datum height: those that meet at a plumb edge."""
    leader = {surface.id: surface.id for surface in surfaces}
    by_id = {surface.id: surface for surface in surfaces}

    def lead(name: str) -> str:
        while leader[name] != name:
            name = leader[name]
        return name

    meetings = [(c.first, c.second) for c in corners if _upright(by_id[c.first], c.first_edge)]
    meetings += [(s.id, other) for s in surfaces for edge, other in s.joins if _upright(s, edge)]
    for a, b in meetings:
        leader[lead(b)] = lead(a)
    groups: dict[str, list[str]] = {}
    for surface in surfaces:
        groups.setdefault(lead(surface.id), []).append(surface.id)
    return tuple(tuple(group) for group in groups.values())


def _upright(surface: Surface, edge: int) -> bool:
    (x0, y0), (x1, y1) = surface.outline[edge], surface.outline[(edge + 1) % len(surface.outline)]
    return abs(x1 - x0) < abs(y1 - y0)


def _refuse_too_many(surfaces: Sequence[Surface]) -> None:
    total = 0.0
    for surface in surfaces:
        area = abs(signed_area(surface.outline)) - sum(abs(signed_area(each.outline)) for each in surface.openings)
        total += area / ((surface.tile.width + surface.joint) * (surface.tile.height + surface.joint))
    # A little over before refusing here, since gaps take some of the area. Pieces are counted when they are cut.
    if total > 1.05 * MOST_PIECES:
        raise RoomError("surfaces", f"about {total:,.0f} pieces; at most {MOST_PIECES:,} are laid out")
