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
    gaps, seen_gaps = gaps_at(room, surface)
    field = _field(surface, gaps)
    seen = field if seen_gaps == gaps else _field(surface, seen_gaps)
    own = tuple(_edges(surface, gaps, field))
    reach = field.buffer(ONE, join_style="mitre", mitre_limit=10.0)
    rim = field.boundary.buffer(2 * CLOSE, cap_style="square")
    for shape in (field, reach, rim):
        shapely.prepare(shape)
    widest = max(*seen_gaps, surface.edge_gap)
    return Ground(surface, field, seen, tuple(_edges(surface, seen_gaps, seen)), own, reach, widest, rim)


def gaps_at(room: Room, surface: Surface) -> tuple[list[float], list[float]]:
    """Return how far each edge is drawn in, and from where on it is seen; steps under a joint are straightened."""
    gaps = [edge.gap for edge in surface.edges]
    behind: dict[int, float] = {}
    for corner in room.corners:
        if corner.second == surface.id:
            gaps[corner.second_edge] = room.surface(corner.first).build_up + corner.soft
        if corner.first == surface.id:
            behind[corner.first_edge] = room.surface(corner.second).build_up + corner.soft
    _straighten(surface, gaps)
    return gaps, [max(gap, behind.get(index, 0.0)) for index, gap in enumerate(gaps)]


def _straighten(surface: Surface, gaps: list[float]) -> None:
    """Draw the outer of two edges in one direction, less than a joint apart, in to the line of the inner one."""
    points = surface.outline
    count, ring = len(points), Polygon(points)
    done: set[int] = set()
    for middle in range(count if count >= 6 else 0):
        trio = [(middle - 1) % count, middle, (middle + 1) % count]
        if done.intersection(trio):
            continue
        ends = [(points[n], points[(n + 1) % count]) for n in trio]
        bearings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in ends]
        if abs(math.remainder(bearings[2] - bearings[0], math.tau)) > 1e-4:
            continue
        length = math.dist(*ends[1])
        sideways = length * math.sin(bearings[1] - bearings[0])
        if not CLOSE < abs(sideways) < surface.joint or abs(sideways) < 0.5 * length:
            continue
        left_is_in = ring.exterior.is_ccw
        outer, inner = (trio[0], trio[2]) if (sideways > 0) == left_is_in else (trio[2], trio[0])
        line = max(gaps[outer], gaps[inner] + abs(sideways))
        gaps[outer], gaps[inner] = line, line - abs(sideways)
        done.update(trio)


def offset_field(surface: Surface, gaps: Sequence[float]) -> BaseGeometry:
    """Return any surface's field: its outline drawn in by the gaps, less its openings, round ones round."""
    return _field(surface, gaps)


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
        if opening.circle is not None:
            x, y, r = opening.circle
            shape = shape.difference(shapely.Point(x, y).buffer(r + surface.edge_gap, quad_segs=128))
            continue
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
    way = 1.0 if Polygon(outline).exterior.is_ccw else -1.0
    ends = []
    for point, neighbor, sign in ((a, (index - 1) % count, -1.0), (b, (index + 1) % count, 1.0)):
        p, q = outline[neighbor], outline[(neighbor + 1) % count]
        other = ((q[0] - p[0]) / math.dist(p, q), (q[1] - p[1]) / math.dist(p, q))
        sine = way * sign * (along[0] * other[1] - along[1] * other[0])
        cosine = along[0] * other[0] + along[1] * other[1]
        # Where the two moved edges meet, measured along this one from the corner; back from it needs nothing.
        reach = 0.0 if abs(sine) < 1e-6 else max(0.0, (gaps[index] * cosine - gaps[neighbor]) / sine)
        reach = min(reach, 10 * max(gaps[index], gaps[neighbor]))
        ends.append((point[0] + sign * along[0] * reach, point[1] + sign * along[1] * reach))
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


def only_thin(rest: BaseGeometry) -> bool:
    """Whether nothing of what is left is wider than 1 mm: a notch of 1 mm or less is no notch."""
    return all(part.buffer(-ONE / 2, join_style="mitre").is_empty for part in polygons_in(rest))
