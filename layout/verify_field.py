"""The judge's ground: a surface's field by FORMATS.md, built with Shapely from the checked room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from layout.room import Room, Surface

CLOSE = 0.01
"""mm. The engine's tolerance."""

ONE = 1.0 + 1e-3
"""mm. Rule 1's 1 mm, and what printing rounds away."""


@dataclass(frozen=True, slots=True)
class FieldEdge:
    """An edge of the field: the line it lies on (`axis` 0: x = at), its stretch, on which side the field lies."""

    axis: int
    at: float
    low: float
    high: float
    side: int
    hidden: bool


@dataclass(frozen=True, slots=True)
class Ground:
    """A surface's field, the seen part of it, and the edges of the seen part."""

    surface: Surface
    field: BaseGeometry
    seen: BaseGeometry
    edges: tuple[FieldEdge, ...]
    own_edges: tuple[FieldEdge, ...]
    reach: BaseGeometry
    """The field, 1 mm further on every side."""
    widest_gap: float
    rim: BaseGeometry
    """Within the tolerance of the field's edge."""


def ground_of(room: Room, surface: Surface) -> Ground:
    gaps = [edge.gap for edge in surface.edges]
    behind: dict[int, float] = {}
    for corner in room.corners:
        if corner.second == surface.id:
            gaps[corner.second_edge] = room.surface(corner.first).build_up + corner.soft
        if corner.first == surface.id:
            behind[corner.first_edge] = room.surface(corner.second).build_up + corner.soft
    field = _field(surface, gaps)
    seen_gaps = [max(gap, behind.get(index, 0.0)) for index, gap in enumerate(gaps)]
    seen = field if seen_gaps == gaps else _field(surface, seen_gaps)
    own = tuple(_edges(surface, gaps, field))
    reach = field.buffer(ONE, join_style="mitre", mitre_limit=10.0)
    rim = field.boundary.buffer(2 * CLOSE, cap_style="square")
    for shape in (field, reach, rim):
        shapely.prepare(shape)
    widest = max(*seen_gaps, surface.edge_gap)
    return Ground(surface, field, seen, tuple(_edges(surface, seen_gaps, seen)), own, reach, widest, rim)


def _field(surface: Surface, gaps: Sequence[float]) -> BaseGeometry:
    """Return the outline drawn in by each edge's gap, less the openings grown."""
    outline = Polygon(surface.outline)
    shape: BaseGeometry = outline
    if len(set(gaps)) == 1:
        shape = outline.buffer(-gaps[0], join_style="mitre", mitre_limit=10.0) if gaps[0] else outline
    else:
        for index, gap in enumerate(gaps):
            if gap:
                shape = shape.difference(_strip(surface.outline, gaps, index))
    for opening in surface.openings:
        grown = Polygon(opening.outline)
        if surface.edge_gap:
            grown = grown.buffer(surface.edge_gap, join_style="mitre", mitre_limit=10.0)
        shape = shape.difference(grown)
    return shape


def _strip(outline: Sequence[tuple[float, float]], gaps: Sequence[float], index: int) -> Polygon:
    """Return what one edge's gap takes off: the edge swept both ways, on by its neighbors' gaps where corners open."""
    count = len(outline)
    a, b = outline[index], outline[(index + 1) % count]
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    whole = Polygon(outline)
    ends = []
    for point, neighbor, way in ((a, (index - 1) % count, -1), (b, (index + 1) % count, 1)):
        # A corner opens where going straight on stays inside.
        probe = shapely.Point(point[0] + way * along[0] * 0.05, point[1] + way * along[1] * 0.05)
        reach = gaps[neighbor] if whole.buffer(-CLOSE).contains(probe) else 0.0
        ends.append((point[0] + way * along[0] * reach, point[1] + way * along[1] * reach))
    return LineString(ends).buffer(gaps[index], cap_style="flat")


def _edges(surface: Surface, gaps: Sequence[float], field: BaseGeometry) -> list[FieldEdge]:
    """Return the edges that bound the field, each where its gap puts it.

    An edge counts by its own stretch; by what its neighbors' gaps lengthen it only where no other edge's own one is.
    """
    loops = [(surface.outline, gaps, [edge.hidden for edge in surface.edges], 1)]
    for opening in surface.openings:
        count = len(opening.outline)
        loops.append((opening.outline, [surface.edge_gap] * count, [False] * count, -1))
    every: list[FieldEdge] = []
    for outline, grown, hidden, inward in loops:
        shape = Polygon(outline)
        for index, (a, gap) in enumerate(zip(outline, grown, strict=True)):
            b = outline[(index + 1) % len(outline)]
            axis = 0 if abs(a[0] - b[0]) <= CLOSE else 1
            middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]
            middle[axis] += 0.02
            way = (1 if shape.contains(shapely.Point(middle)) else -1) * inward
            low, high = sorted((a[1 - axis], b[1 - axis]))
            every.append(FieldEdge(axis, a[axis] + way * gap, low, high, way, hidden[index]))
    reach = max(*gaps, surface.edge_gap)
    own = [edge for edge in every if _bounds(field, _stretch(edge, 0.0), edge)]
    taken = shapely.union_all([_stretch(edge, 0.0) for edge in own])
    return [edge for edge in every if edge in own or _bounds(field, _stretch(edge, reach).difference(taken), edge)]


def _stretch(edge: FieldEdge, reach: float) -> BaseGeometry:
    """Return an edge as a strip as thin as the tolerance, longer by `reach`."""
    ends = [(edge.at, edge.low - reach), (edge.at, edge.high + reach)]
    return LineString(ends if edge.axis == 0 else [(y, x) for x, y in ends]).buffer(CLOSE, cap_style="flat")


def _bounds(field: BaseGeometry, strip: BaseGeometry, edge: FieldEdge) -> bool:
    """Whether some of the field's rim lies in an edge's strip, with the field on the edge's side of it."""
    for part in lines_in(field.boundary.intersection(strip)):
        for a, b in pairwise(part.coords):
            if abs(a[edge.axis] - b[edge.axis]) > CLOSE or abs(a[1 - edge.axis] - b[1 - edge.axis]) <= 2 * CLOSE:
                continue
            beside = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]
            beside[edge.axis] += edge.side * 3 * CLOSE
            if field.contains(shapely.Point(beside)):
                return True
    return False


def lines_in(shape: BaseGeometry) -> Iterator[LineString]:
    if isinstance(shape, LineString):
        yield shape
    for part in getattr(shape, "geoms", ()):
        yield from lines_in(part)


def polygons_in(shape: BaseGeometry) -> Iterator[Polygon]:
    if isinstance(shape, Polygon) and not shape.is_empty:
        yield shape
    for part in getattr(shape, "geoms", ()):
        yield from polygons_in(part)


def corners_in(shape: Polygon) -> Iterator[tuple[float, ...]]:
    for ring in (shape.exterior, *shape.interiors):
        yield from ring.coords
