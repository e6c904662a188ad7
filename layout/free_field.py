"""The field of a surface that isn't all level and plumb, or whose tiles aren't: as a polygon with named sides."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from layout.field import NO_EDGE, FieldEdge
from layout.outline import signed_area
from layout.room import SOFT, TOLERANCE, Point, Surface

Floats = NDArray[np.float64]

FINE = 1e-6
"""mm. Corners are kept to this, as the file's lengths are."""

LIMIT = 10.0
"""How many gaps a mitered corner may reach before it is cut off."""

SHARP = 200.0
"""The same where a shape is drawn in and grown again: corners down to half a degree stay whole."""

REACH = SOFT + 1e-6

NEAR = 10.0 + 2 * REACH
"""mm. How far around a cut the side is looked for that cuts."""


@dataclass(frozen=True, eq=False)
class FreeField:
    """The field as polygons; `sides` (n, 4) are its sides, the field on their left, `side_edges` their edges."""

    shape: BaseGeometry
    edges: tuple[FieldEdge, ...]
    sides: Floats
    side_edges: NDArray[np.int32]
    rounds: Mapping[int, tuple[float, float, float]] = data_field(default_factory=dict)
    """Of the edges that are round: x, y and radius, mm."""

    @property
    def empty(self) -> bool:
        return self.shape.is_empty

    @property
    def area(self) -> float:
        """mm²"""
        return float(self.shape.area)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top, mm. Raises ValueError when the field is empty."""
        if self.empty:
            raise ValueError("an empty field has no bounds")
        left, bottom, right, top = self.shape.bounds
        return left, bottom, right, top

    @cached_property
    def grown(self) -> BaseGeometry:
        """The field and what the soft joint takes up around it (rule 1)."""
        found = self.shape.buffer(REACH, join_style="mitre", mitre_limit=LIMIT)
        shapely.prepare(found)
        return found

    @cached_property
    def edge_lengths(self) -> dict[int, float]:
        """How long the field's rim is on each edge, mm."""
        found: dict[int, float] = {}
        lengths = np.hypot(self.sides[:, 2] - self.sides[:, 0], self.sides[:, 3] - self.sides[:, 1])
        for edge, length in zip(self.side_edges.tolist(), lengths.tolist(), strict=True):
            if edge != NO_EDGE:
                found[edge] = found.get(edge, 0.0) + length
        return found

    def like(self, other: FreeField, tiles: NDArray[Any]) -> NDArray[np.bool_]:
        """Return which tiles lie where this field of a surface and another one of it are the same, sides and all."""
        apart = [self.shape.symmetric_difference(other.shape)]
        # A side that slants is cut elsewhere by a hair where it ends elsewhere.
        slants = [
            {*map(tuple, each[(each[:, :2] != each[:, 2:]).all(axis=1)].tolist())} for each in (self.sides, other.sides)
        ]
        apart += [shapely.LineString([side[:2], side[2:]]) for side in slants[0] ^ slants[1]]
        found: NDArray[np.bool_] = ~np.any([shapely.dwithin(each, tiles, NEAR + REACH) for each in apart], axis=0)
        return found

    def edges_at(self, starts: Floats, ends: Floats) -> NDArray[np.int32]:
        """Return the edge of the field that each cut side (n, 2) … (n, 2) lies on: the nearest about parallel one.

        One that isn't parallel counts as 10 mm further away; cut sides lie within a soft joint of the field's rim.
        """
        middle = (starts + ends) / 2
        point, side = self.tree.query(shapely.points(middle), predicate="dwithin", distance=NEAR)
        a = self.sides[side, :2]
        along = self.sides[side, 2:] - a
        size = np.hypot(along[:, 0], along[:, 1])
        unit = along / size[:, None]
        to = middle[point] - a
        on = np.clip((to * unit).sum(axis=1), 0.0, size)
        gap = np.hypot(to[:, 0] - on * unit[:, 0], to[:, 1] - on * unit[:, 1])
        way = ends - starts
        way = (way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-12)[:, None])[point]
        slant = np.abs(way[:, 0] * unit[:, 1] - way[:, 1] * unit[:, 0])
        order = np.lexsort((side, gap + 10.0 * (slant > 0.05), point))
        points, first = np.unique(point[order], return_index=True)
        assert len(points) == len(starts)
        found: NDArray[np.int32] = self.side_edges[side[order[first]]]
        return found

    @cached_property
    def tree(self) -> shapely.STRtree:
        """The field's sides, by where they are."""
        return shapely.STRtree(np.asarray(shapely.linestrings(self.sides.reshape(-1, 2, 2))))


def free_field(surface: Surface, gaps: Sequence[float]) -> FreeField:
    """Return the field of a surface whose edges are drawn in by `gaps`, mm, its openings grown by its edge gap."""
    edges = [FieldEdge(edge.name, edge.hidden) for edge in surface.edges]
    shape: BaseGeometry = Polygon(surface.outline)
    lines = [_Line(index, *_offset(surface.outline, gaps, index)) for index in range(len(surface.outline))]
    taken = [_taken(surface.outline, gaps, index) for index, gap in enumerate(gaps) if gap]
    shape = shape.difference(shapely.union_all([each for each in taken if each is not None]))
    rounds: dict[int, tuple[float, float, float]] = {}
    for opening in surface.openings:
        first = len(edges)
        if opening.circle is not None:
            x, y, r = opening.circle
            rounds[first] = (x, y, r + surface.edge_gap)
            outline = circle(rounds[first])
            shape = shape.difference(Polygon(outline))
            edges.append(FieldEdge(opening.id, False))
            lines += [_Line(first, outline[n - 1], outline[n]) for n in range(len(outline))]
            continue
        count = len(opening.outline)
        grown = [-surface.edge_gap] * count
        hole = Polygon(opening.outline)
        if surface.edge_gap:
            hole = hole.buffer(surface.edge_gap, join_style="mitre", mitre_limit=LIMIT)
        shape = shape.difference(hole)
        edges += [FieldEdge(f"{opening.id} edge {index}", False) for index in range(count)]
        lines += [_Line(first + index, *_offset(opening.outline, grown, index)) for index in range(count)]
    shape = shapely.set_precision(_without_hairs(shape), FINE)
    parts = [orient(part) for part in _polygons(shape) if part.area > 1.0]
    whole: BaseGeometry = MultiPolygon(parts) if len(parts) != 1 else parts[0]
    shapely.prepare(whole)
    sides = [side for part in parts for ring in (part.exterior, *part.interiors) for side in _sides(ring.coords)]
    array = np.array(sides).reshape(-1, 4)
    return FreeField(whole, tuple(edges), array, _named(array, lines), rounds)


def _without_hairs(shape: BaseGeometry) -> BaseGeometry:
    """Return a field without what is left where an opening lies on an edge, or on another, within the tolerance."""
    wide = 2 * TOLERANCE
    opened = shape.buffer(-wide, join_style="mitre", mitre_limit=SHARP)
    opened = opened.buffer(wide + FINE, join_style="mitre", mitre_limit=SHARP)
    hairs = [part for part in _polygons(shape.difference(opened)) if part.length > 2 * SOFT]
    if not hairs:
        return shape
    return shape.difference(shapely.union_all([hair.buffer(FINE, join_style="mitre") for hair in hairs]))


def circle(of: tuple[float, float, float]) -> tuple[Point, ...]:
    """Return a circle (x, y, r) as a polygon that keeps within 0.01 mm of it."""
    x, y, r = of
    count = max(16, 4 * math.ceil(math.pi / math.acos(max(-1.0, 1 - 0.02 / max(r, 0.02))) / 4))
    rim = r + 0.5 * r * (1 - math.cos(math.pi / count))
    turns = [2 * math.pi * n / count for n in range(count)]
    return tuple((round(x + rim * math.cos(turn), 6), round(y + rim * math.sin(turn), 6)) for turn in turns)


@dataclass(frozen=True, slots=True)
class _Line:
    """Where an edge's gap puts it."""

    edge: int
    start: Point
    end: Point


def _inward(outline: Sequence[Point], index: int) -> Point:
    """The unit vector from an edge into the outline."""
    (x0, y0), (x1, y1) = outline[index], outline[(index + 1) % len(outline)]
    length = math.hypot(x1 - x0, y1 - y0)
    way = 1 if signed_area(outline) > 0 else -1
    return (-(y1 - y0) / length * way, (x1 - x0) / length * way)


def _offset(outline: Sequence[Point], gaps: Sequence[float], index: int) -> tuple[Point, Point]:
    """An edge moved in by its gap (out where negative)."""
    x, y = _inward(outline, index)
    gap = gaps[index]
    (x0, y0), (x1, y1) = outline[index], outline[(index + 1) % len(outline)]
    return (x0 + x * gap, y0 + y * gap), (x1 + x * gap, y1 + y * gap)


def _corner(outline: Sequence[Point], gaps: Sequence[float], index: int) -> tuple[Point, Point]:
    """Where the moved edges before and after corner `index` meet: twice the same, or each one's own end in a line."""
    a, b = _offset(outline, gaps, (index - 1) % len(outline))
    c, d = _offset(outline, gaps, index)
    along, other = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    turn = along[0] * other[1] - along[1] * other[0]
    if abs(turn) < 1e-6 * math.hypot(*along) * math.hypot(*other):
        return b, c
    part = ((c[0] - a[0]) * other[1] - (c[1] - a[1]) * other[0]) / turn
    meet = (a[0] + along[0] * part, a[1] + along[1] * part)
    if math.dist(meet, outline[index]) > LIMIT * max(gaps[index - 1], gaps[index], FINE):
        return b, c
    return meet, meet


def _taken(outline: Sequence[Point], gaps: Sequence[float], index: int) -> BaseGeometry | None:
    """Return what an edge's gap takes: from the edge to where it is moved to, between its mitered corners."""
    after = (index + 1) % len(outline)
    corners = [outline[index], outline[after], _corner(outline, gaps, after)[0], _corner(outline, gaps, index)[1]]
    found = Polygon(corners)
    if found.is_valid:
        return found
    # A side shorter than its neighbors' gaps: the corners have passed each other.
    return shapely.MultiPoint(corners).convex_hull


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    return [part for each in getattr(shape, "geoms", ()) for part in _polygons(each)]


def _sides(coords: Sequence[Point]) -> list[tuple[float, ...]]:
    return [(*a, *b) for a, b in pairwise(coords)]


def _named(sides: Floats, lines: Sequence[_Line]) -> NDArray[np.int32]:
    """Return the edge of each side of the field: the moved edge that it lies on, else the nearest."""
    if not len(sides):
        return np.zeros(0, dtype=np.int32)
    ends = np.array([(line.start, line.end) for line in lines])
    edges = np.array([line.edge for line in lines], dtype=np.int32)
    middles = (sides[:, :2] + sides[:, 2:]) / 2
    tree = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
    side, line = tree.query(shapely.points(middles), predicate="dwithin", distance=1.0)
    worst = _off(sides[side], ends[line])
    order = np.lexsort((line, worst, side))
    some, first = np.unique(side[order], return_index=True)
    best = order[first]
    held = worst[best] <= 0.1
    found = np.full(len(sides), NO_EDGE, dtype=np.int32)
    found[some[held]] = edges[line[best[held]]]
    for index in np.setdiff1d(np.arange(len(sides)), some[held]).tolist():
        found[index] = edges[int(np.argmin(_off(sides[index : index + 1], ends)))]
    return found


def _off(sides: Floats, lines: Floats) -> Floats:
    """Return how badly each side (n, 4) lies on its line (n, 2, 2), or one side on many: mm aside, and a little for
    what it lies beyond the line's ends and for its slant.
    """
    way = sides[:, 2:] - sides[:, :2]
    way = way / np.hypot(way[:, 0], way[:, 1])[:, None]
    to = (sides[:, :2] + sides[:, 2:]) / 2 - lines[:, 0]
    along = lines[:, 1] - lines[:, 0]
    size = np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    unit = along / size[:, None]
    on = (to * unit).sum(axis=1)
    aside = np.abs(to[:, 0] * unit[:, 1] - to[:, 1] * unit[:, 0])
    slant = np.abs(way[:, 0] * unit[:, 1] - way[:, 1] * unit[:, 0])
    found: Floats = aside + 1e-3 * np.maximum(0.0, np.maximum(-on, on - size)) + slant
    return found


def inside(shape: BaseGeometry, point: Point) -> bool:
    """Whether a point lies in a shape."""
    return bool(shape.contains(Dot(point)))
