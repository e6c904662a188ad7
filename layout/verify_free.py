"""The judge's part on sloped and round fields and on patterns other than straight courses. Shares no code with the
solver: tiles by their formulas, the field and the chords by Shapely."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from itertools import pairwise
from typing import Any

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Dot
from shapely.geometry.base import BaseGeometry

from layout.room import Room, Surface
from layout.verify_field import CLOSE, ONE, gaps_at, lines_in, offset_field, only_thin, polygons_in
from layout.verify_tiles import tile_at

SHARE = 1e-4
"""What a printed share may be off: from coordinates that have four places, by chords that run slanting."""


FAR = 60
"""Courses each way in which another pattern is looked at for where it comes round."""


@dataclass(frozen=True, slots=True)
class FreeEdge:
    """An edge where its gap puts it: its line, or the rim of a circle."""

    line: BaseGeometry
    level: bool
    plumb: bool
    """Judged by chords over the height, over the width. A circle is both, by where it is met."""
    hidden: bool
    round: bool = False


@dataclass(slots=True)
class Seen:
    """What a surface adds to the room's figures."""

    faults: list[str] = data_field(default_factory=list)
    legs: list[float] = data_field(default_factory=list)
    whole: int = 0
    cut: int = 0
    shares: dict[str, tuple[float, tuple[float, ...]]] = data_field(default_factory=dict)
    """Of each cut piece its share, and in mm the legs that have it."""
    shapes: list[Polygon] = data_field(default_factory=list)
    field: BaseGeometry = data_field(default_factory=Polygon)


def is_free(surface: Surface) -> bool:
    """Whether a surface isn't all level, plumb and in straight courses."""
    loops = [surface.outline, *(opening.outline for opening in surface.openings)]
    slanted = any(min(abs(a[0] - b[0]), abs(a[1] - b[1])) > 0 for loop in loops for a, b in pairwise((*loop, loop[0])))
    return slanted or surface.pattern.kind not in ("stack", "offset")


def judge(room: Room, surface: Surface, laid: Mapping[str, Any]) -> Seen:
    """Return the faults of a surface's pieces and what they add up to."""
    gaps, seen_gaps = gaps_at(room, surface)
    field = offset_field(surface, gaps)
    seen_field = field if gaps == seen_gaps else offset_field(surface, seen_gaps)
    edges = [edge for edge in _edges(surface, seen_gaps) if _bounds(seen_field, edge)]
    found = Seen(field=field)
    worst = {index: room.enough for index, edge in enumerate(edges) if not edge.hidden}
    reach = field.buffer(ONE, join_style="mitre", mitre_limit=10.0)
    rim = field.boundary.buffer(4 * CLOSE, cap_style="square")
    near = field.boundary.buffer(ONE, cap_style="square", join_style="mitre")
    for shape in (reach, rim, near):
        shapely.prepare(shape)
    for piece in laid["pieces"]:
        name = piece["id"]
        shape = Polygon(piece["outline"], piece["holes"])
        if not shape.is_valid or shape.area < ONE:
            found.faults.append(f"{name}: the outline is no shape")
            continue
        found.shapes.append(shape)
        tile, turn, corner = tile_at(surface, laid["datum"], piece["course"], piece["column"])
        whole = is_whole(shape, tile)
        found.whole += whole
        found.cut += not whole
        if not whole and reach.covers(tile) and only_thin(tile.difference(field)):
            found.faults.append(f"{name}: it is cut, though its tile passes the field's edge by no more than 1 mm")
        found.faults += [f"{name}: {fault}" for fault in _place_faults(shape, tile, reach, rim, near)]
        legs = list(_legs(surface, shape, tile, turn, corner, seen_field, edges))
        for share, _, cut_by in legs:
            for edge in cut_by:
                if edge in worst:
                    worst[edge] = min(worst[edge], share)
        least, lengths = least_of(legs, SHARE)
        if legs:
            found.shares[name] = least, lengths
        found.faults += [f"{name}: {fault}" for fault in share_faults(piece, least, lengths, SHARE)]
    found.legs = list(worst.values())
    return found


def is_whole(shape: Polygon, tile: Polygon) -> bool:
    """Whether a piece is all of its tile."""
    return bool(shape.buffer(2 * CLOSE, join_style="mitre").covers(tile))


def least_of(legs: Sequence[tuple[float, float, object]], off: float) -> tuple[float, tuple[float, ...]]:
    """Return the least share, and the mm of all legs that have it: over the width and over the height it may be one."""
    least = min((share for share, *_ in legs), default=1.0)
    return least, tuple(mm for share, mm, _ in legs if share <= least + off)


def share_faults(piece: Mapping[str, Any], least: float, lengths: Sequence[float], off: float) -> Iterator[str]:
    """Yield where the printed share, or the range, isn't what the chords say."""
    if abs(piece["cut_share"] - least) > off:
        yield f"cut_share is {piece['cut_share']}, found {least:.6f}"
    low, high = piece["range"]
    if lengths and not any(low - 0.06 <= mm <= high + 0.06 for mm in lengths):
        yield f"its range {low} … {high} mm doesn't hold its own {min(lengths):.1f} mm"


def _place_faults(
    shape: Polygon, tile: Polygon, reach: BaseGeometry, rim: BaseGeometry, near: BaseGeometry
) -> Iterator[str]:
    if not tile.buffer(2 * CLOSE, join_style="mitre").covers(shape):
        yield "it leaves its tile"
    if not reach.covers(shape):
        yield "it leaves the field by more than 1 mm"
    frame = tile.exterior.buffer(2 * CLOSE, cap_style="square")
    strip = near.union(tile.exterior.buffer(ONE, cap_style="square", join_style="mitre"))
    for ring in (shape.exterior, *shape.interiors):
        for a, b in pairwise(ring.coords):
            side = LineString([a, b])
            if side.length <= ONE or frame.covers(side) or rim.covers(side):
                continue
            # Where rule 1 passes over an edge for 1 mm, a side may run on beside it.
            if strip.covers(side) and rim.intersection(side).length > side.length / 2:
                continue
            yield "it has a side that is neither the tile's nor the field's"
            return


def _edges(surface: Surface, gaps: Sequence[float]) -> list[FreeEdge]:
    """Return all edges, each where its gap puts it, with what its neighbors' gaps may lengthen it by."""
    found: list[FreeEdge] = []
    reach = max(*gaps, surface.edge_gap, 0.1)
    loops = [(surface.outline, list(gaps), [edge.hidden for edge in surface.edges], 1.0)]
    for opening in surface.openings:
        if opening.circle is None:
            count = len(opening.outline)
            loops.append((opening.outline, [surface.edge_gap] * count, [False] * count, -1.0))
    for outline, moved, hidden, way in loops[:1]:
        found += _loop_edges(outline, moved, hidden, way, reach)
    later = iter(loops[1:])
    for opening in surface.openings:
        if opening.circle is not None:
            x, y, r = opening.circle
            ring = Dot(x, y).buffer(r + surface.edge_gap, quad_segs=256).exterior
            found.append(FreeEdge(ring, level=True, plumb=True, hidden=False, round=True))
        else:
            outline, moved, hidden, way = next(later)
            found += _loop_edges(outline, moved, hidden, way, reach)
    return found


def _loop_edges(
    outline: Sequence[tuple[float, float]], gaps: Sequence[float], hidden: Sequence[bool], way: float, reach: float
) -> Iterator[FreeEdge]:
    inward = way if Polygon(outline).exterior.is_ccw else -way
    for index, (a, gap) in enumerate(zip(outline, gaps, strict=True)):
        b = outline[(index + 1) % len(outline)]
        length = math.dist(a, b)
        along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        push = (-along[1] * gap * inward, along[0] * gap * inward)
        ends = [
            (a[0] + push[0] - along[0] * reach, a[1] + push[1] - along[1] * reach),
            (b[0] + push[0] + along[0] * reach, b[1] + push[1] + along[1] * reach),
        ]
        over, up = abs(along[0]), abs(along[1])
        yield FreeEdge(LineString(ends), level=over >= up - 1e-9, plumb=up >= over - 1e-9, hidden=hidden[index])


def _bounds(field: BaseGeometry, edge: FreeEdge) -> bool:
    touch = field.boundary.intersection(edge.line.buffer(2 * CLOSE, cap_style="flat"))
    # A line that crosses the rim touches it too, but hardly.
    return any(part.length > 12 * CLOSE for part in lines_in(shapely.line_merge(touch)))


def _legs(
    surface: Surface,
    shape: Polygon,
    tile: Polygon,
    turn: float,
    corner: tuple[float, float],
    seen_field: BaseGeometry,
    edges: Sequence[FreeEdge],
) -> Iterator[tuple[float, float, list[int]]]:
    """Yield (share, mm, edges) of what a piece has that is shorter than its tile, as far as it is seen."""
    # What the soft joint takes up is seen; what a later wall covers isn't.
    beyond = [part for part in polygons_in(shape.difference(seen_field)) if not part.buffer(-ONE / 2).is_empty]
    seen = shape.difference(shapely.union_all(beyond)) if beyond else shape
    seen = shapely.union_all([part for part in polygons_in(seen) if not part.buffer(-ONE / 2).is_empty])
    if surface.pattern.kind in ("stack", "offset"):
        for axis in (0, 1):
            yield from _chords(seen, tile, axis, edges)
        return
    frame = tile.exterior.buffer(2 * CLOSE, cap_style="square")
    cut = seen.boundary.difference(frame)
    by = [n for n, edge in enumerate(edges) if cut.intersection(edge.line.buffer(4 * CLOSE)).length > ONE]
    turned = affinity.rotate(seen, -turn, origin=corner).bounds
    for axis, full in enumerate((surface.tile.width, surface.tile.height)):
        mm = turned[axis + 2] - turned[axis]
        if full - mm > ONE:
            yield mm / full, mm, by


def _chords(
    seen: BaseGeometry, tile: Polygon, axis: int, edges: Sequence[FreeEdge]
) -> Iterator[tuple[float, float, list[int]]]:
    low_side, high_side = tile.bounds[axis], tile.bounds[axis + 2]
    levels: list[float] = []
    corners = (point[1 - axis] for part in polygons_in(seen) for ring in (part.exterior, *part.interiors)
               for point in ring.coords)  # fmt: skip
    for level in sorted(corners):
        if not levels or level - levels[-1] > CLOSE:
            levels.append(level)
    bands = list(pairwise(levels))
    for low, high in bands:
        if high - low <= ONE and len(bands) > 1:
            continue
        first, last = (_across(seen, axis, low + part * (high - low)) for part in (0.25, 0.75))
        if len(first) != len(last):
            continue
        for (a0, b0), (a1, b1) in zip(first, last, strict=True):
            ends = []
            aside = False
            for at0, at1, own in ((a0, a1, low_side), (b0, b1, high_side)):
                if abs(at0 - own) <= CLOSE and abs(at1 - own) <= CLOSE:
                    continue
                middle = ((at0 + at1) / 2, (low + high) / 2)
                by, judged = _edge_at(edges, axis, middle, (at1 - at0) / ((high - low) / 2))
                ends += by
                aside = aside or not judged
            if not ends or aside:
                continue
            # Chords grow evenly within a band: out to its ends.
            at_quarter, at_three = b0 - a0, b1 - a1
            grows = (at_three - at_quarter) / 2
            mm = max(0.0, min(at_quarter - grows, at_three + grows))
            mm = 0.0 if mm <= 10 * CLOSE else mm
            yield mm / (high_side - low_side), mm, ends


def _edge_at(edges: Sequence[FreeEdge], axis: int, middle: tuple[float, float], slope: float) -> tuple[list[int], bool]:
    """Return the edge that a chord ends on, and whether it is judged along the chord."""
    spot = Dot(middle if axis == 0 else (middle[1], middle[0]))
    steep = abs(slope) <= 1 + 1e-6
    gaps = [edge.line.distance(spot) for edge in edges]
    even = abs(abs(slope) - 1) < 1e-6
    fits = [
        n for n, edge in enumerate(edges) if edge.round or even or (edge.plumb if axis == 0 else edge.level) == steep
    ]
    if not fits:
        return [], steep
    nearest = min(fits, key=lambda n: gaps[n])
    return ([nearest] if gaps[nearest] <= 2 * ONE else []), steep


def _across(shape: BaseGeometry, axis: int, at: float) -> list[tuple[float, float]]:
    low, high = shape.bounds[axis] - 10, shape.bounds[axis + 2] + 10
    line = LineString([(low, at), (high, at)] if axis == 0 else [(at, low), (at, high)])
    met = [part for part in lines_in(shape.intersection(line)) if not part.is_empty]
    ends = [sorted(point[axis] for point in part.coords) for part in met]
    return sorted((each[0], each[-1]) for each in ends)


def wrap_faults(room: Room, datums: Mapping[str, Sequence[float]]) -> list[str]:
    """Return corners round which a wrapped pattern doesn't go on: seen, hidden, kerf and rest make one tile."""
    found: list[str] = []
    met: list[tuple[str, str]] = []
    joined = [((c.first, c.first_edge), (c.second, c.second_edge)) for c in room.corners] if room.wrap else []
    for surface in room.surfaces if room.wrap else ():
        for edge, name in surface.joins:
            far = {"left": "right", "right": "left"}.get(surface.edges[edge].name, "")
            there = room.surface(name).edge_named(far)
            pair = ((surface.id, edge), (name, -1 if there is None else there))
            if there is not None and pair not in joined and pair[::-1] not in joined:
                joined.append(pair)
    for (one, one_edge), (other, other_edge) in joined:
        a, b = room.surface(one), room.surface(other)
        names = (a.edges[one_edge].name, b.edges[other_edge].name)
        alike = (a.tile, a.joint, a.pattern) == (b.tile, b.joint, b.pattern)
        if set(names) != {"left", "right"} or not alike:
            continue
        ends = {}
        for surface, edge, name in ((a, one_edge, names[0]), (b, other_edge, names[1])):
            gaps, _ = gaps_at(room, surface)
            spot = (surface.outline[edge][0] + surface.outline[(edge + 1) % len(surface.outline)][0]) / 2
            ends[name] = spot + (gaps[edge] if name == "left" else -gaps[edge]) - datums[surface.id][0]
        over = ends["left"] - ends["right"] - room.kerf
        off = _off_pattern(a, over, datums[a.id][1] + a.level - datums[b.id][1] - b.level)
        met.append((one, other))
        if off > CLOSE:
            found.append(f"{one} and {other}: the pattern doesn't go on round their corner, it is {off:.2f} mm off")
    # The last corner of a ring can't wrap as well.
    return found if len(found) > max(0, len(met) - len(room.surfaces) + 1) else []


def _off_pattern(surface: Surface, over: float, up: float) -> float:
    """Return how far moving a pattern by (over, up) is from bringing it onto itself, mm."""
    if surface.pattern.kind == "offset" or surface.pattern.kind == "stack":
        # Courses run level round the corner; a shift by a course is another pattern.
        if surface.pattern.axis == "columns":
            cycle = 2 if surface.pattern.run == "alternate" and surface.pattern.share else 1
            return abs(math.remainder(over, cycle * (surface.tile.width + surface.joint)))
        return abs(math.remainder(over, surface.tile.width + surface.joint))
    own = tile_at(surface, (0.0, 0.0), 0, 0)[2]
    x, y = tile_at(surface, (0.0, 0.0), 0, 2 if surface.pattern.kind == "herringbone" else 1)[2]
    along = (x - own[0], y - own[1])
    found = math.inf
    for course in range(-FAR, FAR + 1):
        x, y = tile_at(surface, (0.0, 0.0), course, 0)[2]
        left = (over - x + own[0], up - y + own[1])
        times = round((left[0] * along[0] + left[1] * along[1]) / (along[0] ** 2 + along[1] ** 2))
        found = min(found, math.hypot(left[0] - times * along[0], left[1] - times * along[1]))
    return found
