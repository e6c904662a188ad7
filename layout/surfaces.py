"""One surface out of a room file: outline, openings, edges, and what it takes from the room."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast, get_args

from shapely.geometry import Polygon

from layout.errors import RoomError
from layout.free_field import circle
from layout.outline import read_outline
from layout.room import (
    TOLERANCE,
    Aim,
    Blocking,
    Edge,
    Kind,
    Movable,
    Opening,
    Pattern,
    Pin,
    PinX,
    PinY,
    Point,
    Surface,
    Tile,
    Units,
)
from layout.values import choice, flag, items, length, mapping, point, shown, text

FINISHES = ("soft", "profile", "bullnose", "miter", "flange", "free")
SIDES = ("left", "right", "top", "bottom")
MOST_OPENINGS = 200


@dataclass(frozen=True, slots=True)
class Defaults:
    """What the room says for all its surfaces."""

    units: Units
    tiles: Mapping[str, Tile]
    tile: Tile | None
    joint: float | None
    joint_high: float | None
    pattern: Pattern
    edge_gap: float | None
    pin: Pin
    read_pattern: Callable[[Any, str], Pattern]


def read_surface(value: Any, place: str, room: Defaults) -> Surface:
    """Return a surface with the room's defaults filled in. Raises RoomError."""
    raw = mapping(value, place)
    units = room.units
    for key in ("id", "kind", "outline"):
        if raw.get(key) is None:
            raise RoomError(f"{place}.{key}", "this is missing")
    surface_id = text(raw["id"], f"{place}.id")
    if ":" in surface_id:
        raise RoomError(f"{place}.id", "a colon can't stand in a surface's id; piece ids are made with it")
    kind = cast(Kind, choice(raw["kind"], f"{place}.kind", get_args(Kind)))
    if raw.get("wrap") not in (None, False):
        raise RoomError(f"{place}.wrap", "wrap is said for the whole room, beside its surfaces")
    tile = _tile(raw, place, room)
    joint, joint_high = _joints(raw, place, room, tile)
    gap = raw.get("edge_gap")
    edge_gap = length(gap, f"{place}.edge_gap", units, most=1000.0) if gap is not None else room.edge_gap
    edge_gap = joint if edge_gap is None else edge_gap
    outline = read_outline(raw["outline"], f"{place}.outline", units)
    edges = _edges(raw.get("edges"), f"{place}.edges", outline, edge_gap, units)
    pattern = raw.get("pattern")
    surface = Surface(
        id=surface_id,
        name=text(raw.get("name") or surface_id, f"{place}.name"),
        kind=kind,
        outline=outline,
        edges=edges,
        openings=_openings(raw.get("openings"), f"{place}.openings", outline, units),
        tile=tile,
        joint=joint,
        joint_high=joint_high,
        pattern=room.pattern if pattern is None else room.read_pattern(pattern, f"{place}.pattern"),
        edge_gap=edge_gap,
        wet=flag(raw.get("wet", False), f"{place}.wet"),
        focal=flag(raw.get("focal", False), f"{place}.focal"),
        build_up=length(raw.get("build_up", 0), f"{place}.build_up", units, most=1000.0),
        level=length(raw.get("level", 0), f"{place}.level", units, signed=True),
        pin=_merged(read_pin(raw.get("pin"), f"{place}.pin", units), room.pin),
        aims=_aims(raw.get("aim"), f"{place}.aim", units),
        blocking=_blocking(raw.get("blocking"), f"{place}.blocking", units),
    )
    return _with_joins(surface, raw.get("joins"), f"{place}.joins")


def read_pin(value: Any, place: str, units: Units) -> Pin:
    """Return what the setter insists on. Raises RoomError."""
    if value is None:
        return Pin()
    raw = mapping(value, place)
    found: dict[str, Any] = {}
    for axis, names in (("x", get_args(PinX)), ("y", get_args(PinY))):
        pinned = raw.get(axis)
        found[f"at_{axis}"] = f"{place}.{axis}"
        if pinned is None or (isinstance(pinned, str) and pinned in names):
            found[axis] = pinned
            continue
        if isinstance(pinned, str) and pinned.strip()[:1].isalpha():
            choice(pinned, f"{place}.{axis}", names)
        found[axis] = length(pinned, f"{place}.{axis}", units, signed=True)
    return Pin(**found)


def _merged(own: Pin, room: Pin) -> Pin:
    x, at_x = (room.x, room.at_x) if own.x is None else (own.x, own.at_x)
    y, at_y = (room.y, room.at_y) if own.y is None else (own.y, own.at_y)
    return Pin(x, y, at_x, at_y)


def _tile(raw: Mapping[str, Any], place: str, room: Defaults) -> Tile:
    name = raw.get("tile")
    if name is None:
        if room.tile is None:
            raise RoomError("tile", "this is missing")
        return room.tile
    if not isinstance(name, str):
        raise RoomError(f"{place}.tile", f"the name of a tile in tiles is needed here, not {shown(name)}")
    if name not in room.tiles:
        raise RoomError(f"{place}.tile", f"there is no {shown(name)} in tiles")
    return room.tiles[name]


def _joints(raw: Mapping[str, Any], place: str, room: Defaults, tile: Tile) -> tuple[float, float]:
    """Return the joint and the widest it may get, mm."""
    own, own_high = raw.get("joint"), raw.get("joint_high")
    if own is None and room.joint is None:
        raise RoomError("joint", "this is missing")
    at = "joint" if own is None else f"{place}.joint"
    at_high = "joint_high" if own_high is None else f"{place}.joint_high"
    joint = cast(float, room.joint) if own is None else length(own, at, room.units)
    if own_high is not None:
        high = length(own_high, at_high, room.units)
    elif own is None and room.joint_high is not None:
        high = room.joint_high
    else:
        # A surface's own joint without its own high drifts no further than it says.
        high = joint
    side = min(tile.width, tile.height)
    if joint >= side:
        raise RoomError(at, f"the joint is {joint:g} mm and the tile's smaller side {side:g} mm; a joint is narrower")
    if high >= side:
        raise RoomError(at_high, f"the widest joint is {high:g} mm, the tile's smaller side {side:g} mm")
    if high < joint:
        raise RoomError(at_high, f"the widest joint, {high:g} mm, is below the joint, {joint:g} mm")
    return joint, high


def _side_names(outline: Sequence[Point]) -> list[str]:
    """Return a name for each edge: a side where it is the only edge on that side of the outline, else `edge 3`.

    Of four edges, two nearer plumb and two nearer level, each has its side even where corners are out of square.
    """
    ends = [(point, outline[(index + 1) % len(outline)]) for index, point in enumerate(outline)]
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    names = [f"edge {index}" for index in range(len(outline))]
    for side, axis, value in zip(SIDES, (0, 0, 1, 1), (min(xs), max(xs), max(ys), min(ys)), strict=True):
        there = [i for i, (a, b) in enumerate(ends) if a[axis] == value and b[axis] == value]
        if len(there) == 1:
            names[there[0]] = side
    plumb = [i for i, (a, b) in enumerate(ends) if abs(b[0] - a[0]) < abs(b[1] - a[1])]
    if len(ends) == 4 and len(plumb) == 2:
        level = [i for i in range(4) if i not in plumb]
        left, right = sorted(plumb, key=lambda i: ends[i][0][0] + ends[i][1][0])
        bottom, top = sorted(level, key=lambda i: ends[i][0][1] + ends[i][1][1])
        for side, index in zip(SIDES, (left, right, top, bottom), strict=True):
            names[index] = side
    return names


def _edges(value: Any, place: str, outline: Sequence[Point], edge_gap: float, units: Units) -> tuple[Edge, ...]:
    edges = [Edge(index, name, edge_gap) for index, name in enumerate(_side_names(outline))]
    by_name = {edge.name: edge.index for edge in edges} | {f"edge {edge.index}": edge.index for edge in edges}
    told: dict[int, str] = {}
    for name, each in mapping(value or {}, place).items():
        if name not in by_name:
            raise RoomError(place, f"there is no edge {shown(name)}; this outline has {', '.join(by_name)[:200]}")
        at = f"{place}.{name}"
        index = by_name[name]
        if index in told:
            raise RoomError(at, f"this is the same edge as {told[index]}")
        told[index] = name
        raw = mapping(each, at)
        gap = raw.get("gap")
        edges[index] = Edge(
            index,
            edges[index].name,
            edge_gap if gap is None else length(gap, f"{at}.gap", units, most=1000.0),
            choice(raw.get("finish", "soft"), f"{at}.finish", FINISHES),
            flag(raw.get("hidden", False), f"{at}.hidden"),
        )
    return tuple(edges)


def _openings(value: Any, place: str, outline: Sequence[Point], units: Units) -> tuple[Opening, ...]:
    found: list[Opening] = []
    for index, each in enumerate(items(value or (), place, most=MOST_OPENINGS)):
        at = f"{place}[{index}]"
        raw = mapping(each, at)
        round_one = _circle(raw["circle"], f"{at}.circle", units) if raw.get("circle") is not None else None
        if round_one and raw.get("outline") is not None:
            raise RoomError(at, "an opening has an outline or a circle, not both")
        for key in ("id",) if round_one else ("id", "outline"):
            if raw.get(key) is None:
                raise RoomError(f"{at}.{key}", "this is missing")
        opening_id = text(raw["id"], f"{at}.id")
        if any(opening.id == opening_id for opening in found):
            raise RoomError(f"{at}.id", f"{shown(opening_id)} is there twice")
        where = f"{at}.circle" if round_one else f"{at}.outline"
        shape = circle(round_one) if round_one else read_outline(raw["outline"], where, units)
        for other in [None, *found]:
            inner, outer = _overlap(shape, outline if other is None else other.outline)
            if other is None and not outer:
                raise RoomError(where, "the opening reaches outside the surface")
            if other is not None and inner:
                raise RoomError(where, f"the opening overlaps {shown(other.id)}")
        movable = raw.get("movable")
        kind = text(raw.get("kind") or "opening", f"{at}.kind")
        found.append(Opening(opening_id, kind, shape, _movable(movable, f"{at}.movable", units), round_one))
    return tuple(found)


def _movable(value: Any, place: str, units: Units) -> Movable | None:
    """Return how far an opening may be moved, None where it may not. Raises RoomError."""
    if value is None:
        return None
    found: dict[str, tuple[float, float]] = {}
    for axis, pair in mapping(value, place).items():
        at = f"{place}.{axis}"
        choice(axis, place, ("x", "y"))
        ends = [length(end, at, units, signed=True) for end in items(pair, at, most=2)]
        if len(ends) != 2 or ends[0] > ends[1]:
            raise RoomError(at, "how far it may move is two lengths, least first")
        found[axis] = (ends[0], ends[1])
    return Movable(**found)


def _circle(value: Any, place: str, units: Units) -> tuple[float, float, float]:
    """Return x, y and radius of a round opening, mm. Raises RoomError."""
    parts = items(value, place, most=3)
    if len(parts) != 3:
        raise RoomError(place, "a circle is three lengths, [x, y, radius]")
    x, y = (length(part, f"{place}[{axis}]", units, signed=True) for axis, part in enumerate(parts[:2]))
    return x, y, length(parts[2], f"{place}[2]", units, least=0.5, most=10_000.0)


def _overlap(a: Sequence[Point], b: Sequence[Point]) -> tuple[bool, bool]:
    """Return whether the two outlines share area, and whether all of `a` lies in `b`, within the tolerance."""
    one, other = Polygon(a), Polygon(b)
    # A circle's polygon reaches beyond it by the tolerance: two that touch may overlap by twice as much.
    slack = 3 * TOLERANCE
    return one.buffer(-slack).intersects(other), bool(other.buffer(slack, join_style="mitre").covers(one))


def _aims(value: Any, place: str, units: Units) -> tuple[Aim, ...]:
    found = []
    for index, each in enumerate(items(value or (), place, most=100)):
        at = f"{place}[{index}]"
        raw = mapping(each, at)
        want = choice(raw.get("want"), f"{at}.want", ("joint-centered", "tile-centered"))
        why = text(raw.get("why", ""), f"{at}.why", empty=True)
        found.append(Aim(point(raw.get("at", ()), f"{at}.at", units), cast(Any, want), why))
    return tuple(found)


def _blocking(value: Any, place: str, units: Units) -> tuple[Blocking, ...]:
    found = []
    for index, each in enumerate(items(value or (), place, most=100)):
        at = f"{place}[{index}]"
        raw = mapping(each, at)
        middle = point(raw.get("at", ()), f"{at}.at", units)
        found.append(Blocking(middle, text(raw.get("for", ""), f"{at}.for", empty=True)))
    return tuple(found)


def _with_joins(surface: Surface, value: Any, place: str) -> Surface:
    """Return the surface with its joins, `{"right": "back"}`: by its own edge, the surface that it meets there."""
    joins: list[tuple[int, str]] = []
    for name, other in mapping(value or {}, place).items():
        edge = surface.edge_named(name) if isinstance(name, str) else None
        if edge is None:
            raise RoomError(place, f"there is no edge {shown(name)}")
        joins.append((edge, text(other, f"{place}.{name}")))
    return replace(surface, joins=tuple(joins))
