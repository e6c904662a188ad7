"""The joints between pieces: how long they are, where they cross, and the clips and spacers that go in them."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from layout.grid import Grid
from layout.lattice import Lattice
from layout.outline import signed_area
from layout.result import Piece, SurfaceLayout
from layout.room import Point, Surface

Side = tuple[float, float, float]
"""A side of a piece: where it stands, from, to."""

CLIP_END_MM, CLIP_APART_MM, CLIP_ONE_MM = 50.8, 304.8, 203.2
"""Clips stand 2 in from where joints cross and 12 in apart at most; a joint shorter than 8 in gets one in its middle.
Common practice, no source: the maker's instructions govern."""


def piece_area(piece: Piece) -> float:
    """Return a piece's area, mm², its holes off."""
    return abs(signed_area(piece.outline)) - sum(abs(signed_area(hole)) for hole in piece.holes)


def joint_length(surface: Surface, pieces: Sequence[Piece]) -> float:
    """Return the length of the joints between pieces, mm: where sides face each other a joint apart.

    Takes time about proportional to the pieces. Where sides don't all stand level and plumb, half of all the pieces'
    own sides counts: a side at the field's edge is a cut, but for a tile that just meets it.
    """
    if not surface.pattern.square:
        return sum(_own_sides(surface, pieces)) / 2
    return sum(_stretches(surface, pieces))


def clips(surface: Surface, pieces: Sequence[Piece]) -> int:
    """Return the leveling clips of a surface: along each stretch of joint between two pieces, `clips_along`.

    Exact in stacks and offsets; in other patterns half of those along all the pieces' own sides.
    """
    if not surface.pattern.square:
        return math.ceil(sum(clips_along(side) for side in _own_sides(surface, pieces)) / 2)
    return sum(clips_along(stretch) for stretch in _stretches(surface, pieces))


def clips_along(stretch: float) -> int:
    """Return how many clips a stretch of joint (mm) takes."""
    if stretch < CLIP_ONE_MM:
        return 1
    return 1 + math.ceil(round((stretch - 2 * CLIP_END_MM) / CLIP_APART_MM, 9))


def crossings(grid: Grid | Lattice, laid: SurfaceLayout, shape: BaseGeometry) -> int:
    """Return in how many places of a field (`shape`) joints meet: where corners of two or more tiles point.

    A corner points to the place half a joint off both its sides; corners within a third of a joint point to one.
    """
    joint = grid.surface.joint
    tips: list[Point] = []
    for piece, tile in zip(laid.pieces, tile_outlines(grid, laid), strict=True):
        for n, (x, y) in enumerate(tile):
            if any(abs(a - x) < 0.05 and abs(b - y) < 0.05 for a, b in piece.outline):
                tips.append(_tip(tile[n - 1], (x, y), tile[(n + 1) % len(tile)], joint))
    if not tips:
        return 0
    places = np.array(tips)
    places = places[shapely.contains_xy(shape, places[:, 0], places[:, 1])]
    if not len(places):
        return 0
    spots = np.asarray(shapely.points(places))
    one, other = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=max(joint / 3, 0.1))
    first = np.full(len(places), len(places))
    np.minimum.at(first, one, other)
    _, count = np.unique(first, return_counts=True)
    return int((count > 1).sum())


def tile_outlines(grid: Grid | Lattice, laid: SurfaceLayout) -> Iterable[tuple[Point, ...]]:
    """Yield for each piece the outline of the whole tile that it is of, mm."""
    if isinstance(grid, Lattice):
        courses, columns = (np.array([getattr(piece, of) for piece in laid.pieces], int) for of in ("course", "column"))
        corners = grid.corners(courses, columns, laid.datum, (0.0, 0.0)).tolist()
        for piece, (x, y) in zip(laid.pieces, corners, strict=True):
            yield grid.outline(piece.column, (x, y))
        return
    start, level = grid.swap(laid.datum)
    for piece in laid.pieces:
        line, place = grid.number(piece.course, piece.column)
        corner = grid.swap((start + place * grid.u.pitch + grid.shift(line), level + line * grid.v.pitch))
        yield grid.outline(piece.column, corner)


def _tip(before: Point, corner: Point, after: Point, joint: float) -> Point:
    """Return the place that a tile's corner points to, half a joint off both sides."""
    ways = []
    for other in (before, after):
        size = math.dist(other, corner)
        ways.append(((corner[0] - other[0]) / size, (corner[1] - other[1]) / size))
    over, up = ways[0][0] + ways[1][0], ways[0][1] + ways[1][1]
    # Along both sides' ways out, each as long as brings it half a joint off the other side.
    sine = abs(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0])
    return corner[0] + over * joint / 2 / sine, corner[1] + up * joint / 2 / sine


def _stretches(surface: Surface, pieces: Sequence[Piece]) -> Iterable[float]:
    """Yield the length of each stretch of joint between two pieces, mm."""
    for axis in (0, 1):
        fronts: dict[int, list[Side]] = {}
        backs: dict[int, list[Side]] = {}
        for piece in pieces:
            for at, low, high, faces_on in _facing(piece, axis):
                (fronts if faces_on else backs).setdefault(round(at), []).append((at, low, high))
        longest = max(surface.tile.width, surface.tile.height) + 1.0
        for sides in backs.values():
            sides.sort(key=lambda side: side[1])
        for sides in fronts.values():
            for at, low, high in sides:
                yield from _met(at + surface.joint, low, high, backs, longest)


def _own_sides(surface: Surface, pieces: Sequence[Piece]) -> Iterable[float]:
    """Yield the lengths of the pieces' sides that run as a whole tile's do, mm."""
    ways = _ways(next((piece.outline for piece in pieces if piece.whole), ()))
    if surface.pattern.kind == "herringbone":
        ways |= {(-y, x) for x, y in ways}
    for piece in pieces:
        for n, (x, y) in enumerate(piece.outline):
            over, up = x - piece.outline[n - 1][0], y - piece.outline[n - 1][1]
            size = math.hypot(over, up)
            if any(abs(over * way[1] - up * way[0]) <= 1e-3 * size for way in ways):
                yield size


def _ways(outline: Sequence[Point]) -> set[Point]:
    """Return the directions of an outline's sides."""
    found = set()
    for n, (x, y) in enumerate(outline):
        over, up = x - outline[n - 1][0], y - outline[n - 1][1]
        size = math.hypot(over, up)
        found.add((over / size, up / size))
    return found


def _met(at: float, low: float, high: float, backs: dict[int, list[Side]], longest: float) -> Iterable[float]:
    """Yield how much of low … high faces each of the sides that stand at `at`; none is longer than `longest`."""
    for key in {math.floor(at), math.ceil(at)}:
        sides = backs.get(key, [])
        for other, other_low, other_high in sides[bisect_left(sides, low - longest, key=lambda side: side[1]) :]:
            if other_low >= high:
                break
            if abs(other - at) <= 0.05:
                met = min(high, other_high) - max(low, other_low)
                if met > 0:
                    yield met


def _facing(piece: Piece, axis: int) -> Iterable[tuple[float, float, float, bool]]:
    """Yield a piece's sides across an axis: where, from, to, and whether the piece lies before it."""
    for loop in (piece.outline, *piece.holes):
        for n, end in enumerate(loop):
            start = loop[n - 1]
            if start[axis] == end[axis]:
                low, high = sorted((start[1 - axis], end[1 - axis]))
                # A piece lies left of its sides: before one that goes up, after one that goes right.
                rising = end[1 - axis] > start[1 - axis]
                yield end[axis], low, high, rising == (axis == 0)
