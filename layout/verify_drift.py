"""The judge lays the pattern itself, on any datum and drift, and says what each tile's parts are worth.

Shares no code with the solver: tiles by the formulas of FORMATS.md and `docs/decisions/0011`, cut with Shapely and
measured chord by chord. It looks at samples, so it can prove a printed figure too good, never that it is good enough.

Drift in the other patterns: rule 5 as it stands, along the way that columns count, and the way that courses count. In a
herringbone that is along the pairs, and up the stair.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.room import Room, Surface
from layout.verify_field import CLOSE, ONE, gaps_at, offset_field, only_thin, polygons_in
from layout.verify_tiles import tile_at

Floats = NDArray[np.float64]
Home = tuple[int, int]
"""Course and column of a tile."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a part of a tile is worth: its least leg as a share and in mm, and in how many places it is cut."""

    share: float
    mm: float
    legs: int
    ties: tuple[float, ...] = ()
    """mm of all legs whose share is the least."""


UNCUT = Worth(1.0, math.inf, 0)
Laid = dict[Home, list[Worth]]


@dataclass(frozen=True, slots=True)
class Ground:
    """A surface with the part of its field that is seen, and that grown by rule 1's 1 mm."""

    room: Room
    surface: Surface
    seen: BaseGeometry
    reach: BaseGeometry


def ground(room: Room, surface: Surface) -> Ground:
    # A circle's sides as long as the tolerance lets them be: bands of 1 mm or less aren't looked at.
    seen = offset_field(surface, gaps_at(room, surface)[1]).simplify(CLOSE)
    reach = seen.buffer(ONE, join_style="mitre", mitre_limit=10.0)
    shapely.prepare(seen)
    shapely.prepare(reach)
    return Ground(room, surface, seen, reach)


def spread_of(surface: Surface) -> float:
    """How much wider than planned a joint may end up, mm."""
    return surface.joint_high - surface.joint


def cell_of(surface: Surface) -> tuple[int, int]:
    """After how many courses and columns the pattern is the same again, save for where it stands."""
    kind, pattern = surface.pattern.kind, surface.pattern
    if kind == "herringbone":
        return 1, 2
    if kind == "hex":
        return 2, 1
    if kind == "offset" and pattern.run == "alternate":
        return (2, 1) if pattern.axis == "rows" else (1, 2)
    return 1, 1


def steps_of(surface: Surface) -> tuple[Floats, Floats]:
    """Return how far one cell of courses, and one of columns, carries a tile, mm."""
    courses, columns = cell_of(surface)
    start, up, over = (
        np.array(tile_at(surface, (0.0, 0.0), *home)[2]) for home in ((0, 0), (courses, 0), (0, columns))
    )
    return up - start, over - start


def lay(ground: Ground, datum: Sequence[float], drift: tuple[float, float] = (0.0, 0.0)) -> Laid:
    """Return what is seen of each tile, its parts' worth, with each joint wider by `drift` (across, up) mm."""
    if ground.seen.is_empty:
        return {}
    homes, outlines, ways = _tiles(ground, datum)
    tiles = np.asarray(shapely.polygons(outlines + (ways @ np.array(drift))[:, None, :]))
    met = shapely.intersects(ground.seen, tiles)
    whole = met & shapely.covers(ground.reach, tiles)
    for n in np.flatnonzero(whole & ~shapely.covers(ground.seen, tiles)).tolist():
        whole[n] = only_thin(tiles[n].difference(ground.seen))
    found: Laid = {homes[n]: [UNCUT] for n in np.flatnonzero(whole).tolist()}
    for n in np.flatnonzero(met & ~whole).tolist():
        parts = [part for part in polygons_in(ground.seen.intersection(tiles[n])) if _is_piece(part)]
        if parts:
            found[homes[n]] = [_worth(ground.surface, homes[n], part, tiles[n]) for part in parts]
    return found


def bare_tiles(
    room: Room, surface: Surface, field: BaseGeometry, datum: Sequence[float], shapes: Sequence[Polygon]
) -> Iterator[str]:
    """Yield where more than 1 mm of the field under a tile isn't covered, both ways.

    Tile by tile: where joints cross beside a slant, ground that belongs to no tile is wider than a joint and 1 mm.
    """
    if field.is_empty:
        return
    reach = field.buffer(ONE, join_style="mitre", mitre_limit=10.0)
    homes, outlines, _ = _tiles(Ground(room, surface, field, reach), datum)
    tiles = np.asarray(shapely.polygons(outlines))
    rest = shapely.difference(shapely.intersection(tiles, field), shapely.union_all(shapes))
    for n in np.flatnonzero(shapely.area(rest) > ONE * ONE).tolist():
        left = rest[n].buffer(-ONE / 2 - CLOSE, join_style="mitre", mitre_limit=10.0)
        if not left.is_empty:
            x, y = left.representative_point().coords[0]
            yield f"the field is bare around {x:.1f}, {y:.1f}, under {homes[n][0]}:{homes[n][1]}"


def samples(surface: Surface, count: int) -> list[tuple[float, float]]:
    """Return an even grid of drifts, its ends among them; none but (0, 0) where the joint can't drift."""
    spread = spread_of(surface)
    if spread <= 0:
        return [(0.0, 0.0)]
    amounts = [spread * n / (count - 1) for n in range(count)]
    return list(product(amounts, amounts))


def _tiles(ground: Ground, datum: Sequence[float]) -> tuple[list[Home], Floats, Floats]:
    """Return the tiles that a drift might bring into the field: numbers, outlines (n, k, 2), (n, 2, 2) mm per mm."""
    surface, room = ground.surface, ground.room
    up, over = steps_of(surface)
    courses, columns = cell_of(surface)
    x0, y0, x1, y1 = ground.seen.bounds
    most = _fresh(surface, room.regrid)
    slack = 2 * (surface.tile.width + surface.tile.height) + max(most) * 2 * spread_of(surface)
    corners = np.array(list(product((x0 - slack, x1 + slack), (y0 - slack, y1 + slack)))) - np.array(datum)
    ends = np.linalg.solve(np.array([up, over]).T, corners.T)
    (k0, i0), (k1, i1) = np.floor(ends.min(axis=1)).astype(int), np.ceil(ends.max(axis=1)).astype(int)
    unit_up, unit_over = _ways(surface)
    shapes = {
        (k, i): np.array(tile_at(surface, datum, k, i)[0].exterior.coords[:-1])
        for k, i in product(range(courses), range(columns))
    }
    homes: list[Home] = []
    outlines, ways = [], []
    for a, b in product(range(k0, k1 + 1), range(i0, i1 + 1)):
        for (k, i), shape in shapes.items():
            moved = shape + a * up + b * over
            low, high = moved.min(axis=0), moved.max(axis=0)
            reach = slack - surface.tile.width - surface.tile.height
            if high[0] < x0 - reach or low[0] > x1 + reach or high[1] < y0 - reach or low[1] > y1 + reach:
                continue
            course, column = a * courses + k, b * columns + i
            counted = column // 2 if surface.pattern.kind == "herringbone" else column
            m = _clip(counted, most[0]), _clip(course, most[1])
            homes.append((course, column))
            outlines.append(moved)
            ways.append(np.array([unit_over * m[0], unit_up * m[1]]).T)
    return homes, np.array(outlines), np.array(ways)


def _clip(number: int, most: int) -> int:
    return max(-most, min(most, number))


def _fresh(surface: Surface, regrid: float) -> tuple[int, int]:
    """Return after how many columns and courses the setter snaps a fresh line (rule 5)."""
    tile, joint, kind = surface.tile, surface.joint, surface.pattern.kind
    pitches = (tile.width + joint, tile.height + joint)
    if kind == "hex":
        pitches = (tile.width + joint, (tile.width + joint) * math.sqrt(0.75))
    if kind == "herringbone":
        # One course up the stair is as far over as it is up.
        stair = abs(tile_at(surface, (0.0, 0.0), 1, 0)[2][1] - tile_at(surface, (0.0, 0.0), 0, 0)[2][1])
        if surface.pattern.angle:
            stair = math.dist(tile_at(surface, (0.0, 0.0), 1, 0)[2], tile_at(surface, (0.0, 0.0), 0, 0)[2]) / math.sqrt(
                2
            )
        pitches = (max(tile.width, tile.height) + joint, stair)
    across, up = (max(1, math.floor(regrid / pitch)) for pitch in pitches)
    return across, up


def _ways(surface: Surface) -> tuple[Floats, Floats]:
    """Return the unit vectors along which courses and columns count."""
    if surface.pattern.kind in ("stack", "offset", "hex"):
        return np.array([0.0, 1.0]), np.array([1.0, 0.0])
    up, over = steps_of(surface)
    return up / np.hypot(*up), over / np.hypot(*over)


def _is_piece(part: Polygon) -> bool:
    return part.area > ONE * part.length / 2 or not part.buffer(-ONE / 2).is_empty


def _worth(surface: Surface, home: Home, part: Polygon, tile: Polygon) -> Worth:
    if surface.pattern.kind in ("stack", "offset"):
        legs = [*_chords(part, tile, 0), *_chords(part, tile, 1)]
    else:
        legs = list(_box(surface, home, part))
    if not legs:
        return UNCUT
    share = min(each[0] for each in legs)
    ties = tuple(mm for each, mm in legs if each <= share + 1e-4)
    return Worth(share, min(ties), len(legs), ties)


def _box(surface: Surface, home: Home, part: Polygon) -> Iterator[tuple[float, float]]:
    turn = math.radians(tile_at(surface, (0.0, 0.0), *home)[1])
    points = np.array(part.exterior.coords)
    for axis, full in enumerate(box_of(surface)):
        way = np.array([math.cos(turn), math.sin(turn)] if axis == 0 else [-math.sin(turn), math.cos(turn)])
        along = points @ way
        mm = float(along.max() - along.min())
        if full - mm > ONE:
            yield mm / full, mm


def box_of(surface: Surface) -> tuple[float, float]:
    """Return a tile's sides as it comes out of the box, mm; of a hexagon the box around it."""
    tile = surface.tile
    return (tile.width, 2 * tile.width / math.sqrt(3)) if surface.pattern.kind == "hex" else (tile.width, tile.height)


def _chords(part: Polygon, tile: Polygon, axis: int) -> Iterator[tuple[float, float]]:
    """Yield (share, mm) of the chords along an axis that end on a cut judged along it, each at its narrow end."""
    up = 1 - axis
    own = tile.bounds[axis], tile.bounds[axis + 2]
    sides = [
        (a, b) if a[up] < b[up] else (b, a)
        for ring in (part.exterior, *part.interiors)
        for a, b in pairwise(ring.coords)
    ]
    levels = _levels({point[up] for side in sides for point in side}, (tile.bounds[up], tile.bounds[up + 2]))
    bands = list(pairwise(levels))
    for low, high in bands:
        if high - low <= ONE and len(bands) > 1:
            continue
        middle = (low + high) / 2
        crossing = sorted((_at(side, axis, middle), side) for side in sides if side[0][up] < middle < side[1][up])
        for (start, left), (end, right) in zip(crossing[::2], crossing[1::2], strict=True):
            if end - start <= ONE and len(bands) > 1:
                continue
            length, aside, cut = [own[1] - own[0]] * 2, False, False
            for side, edge, sign in ((left, own[0], 1), (right, own[1], -1)):
                past = [sign * (_at(side, axis, at) - edge) for at in (low, high)]
                slope = abs(past[1] - past[0]) / (high - low)
                if max(past) <= ONE * math.hypot(1, slope) and _overhang(side, axis, tile, sign) <= ONE:
                    continue
                cut = True
                aside = aside or slope > 1 + 1e-6
                length = [mm - gone for mm, gone in zip(length, past, strict=True)]
            if cut and not aside:
                mm = max(0.0, min(length))
                mm = 0.0 if mm <= 10 * CLOSE else mm
                yield mm / (own[1] - own[0]), mm


def _levels(places: Iterable[float], sides: tuple[float, float]) -> list[float]:
    found: list[float] = []
    for place in sorted({next((side for side in sides if abs(place - side) <= CLOSE), place) for place in places}):
        if not found or place - found[-1] > CLOSE:
            found.append(place)
    return found


def _at(side: tuple[Sequence[float], Sequence[float]], axis: int, level: float) -> float:
    a, b = side
    part = (level - a[1 - axis]) / (b[1 - axis] - a[1 - axis])
    return float(a[axis] + part * (b[axis] - a[axis]))


def _overhang(side: tuple[Sequence[float], Sequence[float]], axis: int, tile: Polygon, sign: int) -> float:
    """Return how far the tile passes a side's line, square to it, mm; `sign` 1: the piece lies on its high side."""
    (ax, ay), (bx, by) = side[0][:2], side[1][:2]
    normal = np.array([by - ay, ax - bx]) / math.hypot(bx - ax, by - ay)
    if normal[axis] * sign > 0:
        normal = -normal
    return float(((np.array(tile.exterior.coords) - (ax, ay)) @ normal).max())
