"""An independent judge of a printed layout: lists what is wrong with it by FORMATS.md.

Shares no code with the solver. It reads the checked room (`layout.room`) and the printed JSON, builds the field with
Shapely, and works every figure out again from the printed pieces. What drift does it samples (`verify_range`).

It is made to be right, not fast: a shower takes some tenths of a second, a floor of 30,000 pieces far too long.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from itertools import pairwise
from typing import Any

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from layout.room import Room, Surface
from layout.verify_changes import with_changes
from layout.verify_cuts import Blank, blank_of, cut_plan_faults
from layout.verify_drift import bare_tiles
from layout.verify_field import CLOSE, ONE, FieldEdge, Ground, corners_in, ground_of, lines_in, only_thin, polygons_in
from layout.verify_figures import SHARE, course_faults, id_faults, line_faults, option_faults, result_faults
from layout.verify_free import is_free, is_whole, judge, least_of, share_faults, wrap_faults
from layout.verify_pins import asked_faults
from layout.verify_range import drift_faults
from layout.verify_tiles import tile_at


@dataclass(slots=True)
class _Tally:
    """What the pieces of all surfaces add up to."""

    legs: list[float]
    shares: dict[str, tuple[float, tuple[float, ...]]] = data_field(default_factory=dict)
    """Of each cut piece its share, and in mm the legs that have it."""
    whole: int = 0
    cut: int = 0


def faults(room: Room, result_json: Mapping[str, Any], *, dense: int | None = None) -> list[str]:
    """Return what is wrong with a result in `gaugerod-layout/1`, in words; nothing when it is right.

    `dense`: how many amounts of drift to try each way; fewer the more pieces there are unless it is said.
    """
    found = list(result_faults(room, result_json))
    options = result_json.get("options") or []
    for number, option in enumerate(options, 1):
        as_changed, wrong = with_changes(room, option)
        found += [f"option {number}: {fault}" for fault in (*wrong, *option_faults(as_changed, option))]
    found += asked_faults(room, result_json)
    laid = [option for option in options if option.get("cut_plan")]
    if not laid:
        laid = [option for option in options if any(each.get("pieces") is not None for each in option["surfaces"])]
    if len(laid) != 1:
        return [*found, f"{len(laid)} options have pieces, one should"]
    room, _ = with_changes(room, laid[0])
    return found + _laid_faults(room, laid[0], dense)


def _laid_faults(room: Room, option: Mapping[str, Any], dense: int | None) -> list[str]:
    found: list[str] = []
    tally = _Tally([])
    pieces: dict[str, Blank] = {}
    grounds = {surface.id: ground_of(room, surface) for surface in room.surfaces}
    ids = [each["id"] for each in option["surfaces"]]
    if ids != [surface.id for surface in room.surfaces]:
        return ["the surfaces aren't the room's"]
    for each in option["surfaces"]:
        ground = grounds[each["id"]]
        surface = ground.surface
        one = _free_faults if is_free(surface) else _surface_faults
        wrong = [
            *one(room, ground, each, tally),
            *id_faults(surface, each["pieces"]),
            *line_faults(surface, each),
            *course_faults(room, surface, each),
        ]
        found += [f"{surface.id}: {fault}" for fault in wrong]
        for piece in each["pieces"]:
            if piece["id"] in pieces:
                found.append(f"{piece['id']}: this piece is there twice")
            pieces[piece["id"]] = blank_of(room, surface, each["datum"], piece)
    found += wrap_faults(room, {each["id"]: each["datum"] for each in option["surfaces"]})
    found += cut_plan_faults(room, option["cut_plan"], pieces)
    found += _figure_faults(option, tally)
    return found + list(drift_faults(room, option, dense))


def _free_faults(room: Room, ground: Ground, laid: Mapping[str, Any], tally: _Tally) -> Iterator[str]:
    """Yield the faults of a surface that isn't all level, plumb and in courses."""
    surface = ground.surface
    seen = judge(room, surface, laid)
    yield from seen.faults
    names = [piece["id"] for piece in laid["pieces"]]
    if len(seen.shapes) == len(names):
        yield from _overlaps(seen.shapes, names)
    yield from bare_tiles(room, surface, seen.field, laid["datum"], seen.shapes)
    tally.legs += seen.legs
    tally.shares.update(seen.shares)
    tally.whole += seen.whole
    tally.cut += seen.cut


def _figure_faults(option: Mapping[str, Any], tally: _Tally) -> Iterator[str]:
    counts = option["counts"]
    if (counts["whole"], counts["cut"]) != (tally.whole, tally.cut):
        yield f"counts: {counts['whole']} whole and {counts['cut']} cut, found {tally.whole} and {tally.cut}"
    if option["tiles"]["needed"] != len(option["cut_plan"]):
        yield "tiles.needed isn't the length of the cut plan"
    found = min((share for share, _ in tally.shares.values()), default=1.0)
    if abs(option["least_cut_share"] - found) > SHARE:
        yield f"least_cut_share is {option['least_cut_share']}, found {found:.6f}"
    score = sorted(tally.legs)
    if len(option["score"]) != len(score) or any(
        abs(a - b) > SHARE for a, b in zip(option["score"], score, strict=True)
    ):
        yield f"the score is {option['score']}, found {[round(leg, 4) for leg in score]}"
    least = option["least_cut"]
    if least is None:
        return
    share, lengths = tally.shares.get(least["piece"], (1.0, ()))
    if abs(share - found) > SHARE:
        yield f"least_cut.piece {least['piece']!r} isn't the piece with the least cut"
    elif not any(abs(least["mm"] - mm) <= 0.1 for mm in lengths):
        yield f"least_cut.mm is {least['mm']}, found {min(lengths):.2f}"


def _surface_faults(room: Room, ground: Ground, laid: Mapping[str, Any], tally: _Tally) -> Iterator[str]:
    surface = ground.surface
    shapes: list[Polygon] = []
    worst: dict[FieldEdge, float] = {edge: room.enough for edge in ground.edges if not edge.hidden}
    for piece in laid["pieces"]:
        shape = Polygon(piece["outline"], piece["holes"])
        name = piece["id"]
        if not shape.is_valid or shape.area < ONE:
            yield f"{name}: the outline is no shape"
            continue
        shapes.append(shape)
        tile = tile_at(surface, laid["datum"], piece["course"], piece["column"])[0]
        whole = is_whole(shape, tile)
        tally.whole += whole
        tally.cut += not whole
        if not whole and ground.reach.covers(tile) and only_thin(tile.difference(ground.field)):
            yield f"{name}: it is cut, though its tile passes the field's edge by no more than 1 mm"
        yield from (f"{name}: {fault}" for fault in _piece_faults(ground, shape, tile))
        yield from (f"{name}: {fault}" for fault in _leg_faults(ground, piece, shape, tile, worst, tally))
    yield from _overlaps(shapes, [piece["id"] for piece in laid["pieces"]])
    yield from _bare(surface, ground.field, shapes)
    tally.legs += worst.values()


def _piece_faults(ground: Ground, shape: Polygon, tile: Polygon) -> Iterator[str]:
    """Yield where a piece leaves its tile or the field, or has a side that neither of them has."""
    x0, y0, x1, y1 = (a - b for a, b in zip(shape.bounds, tile.bounds, strict=True))
    if x0 < -CLOSE or y0 < -CLOSE or x1 > CLOSE or y1 > CLOSE:
        yield "it leaves its tile"
    if not ground.reach.covers(shape):
        yield "it leaves the field by more than 1 mm"
    frame = tile.exterior.buffer(2 * CLOSE, cap_style="square")
    for ring in (shape.exterior, *shape.interiors):
        for a, b in pairwise(ring.coords):
            side = LineString([a, b])
            if not (frame.covers(side) or ground.rim.covers(side) or _along(side, tile, ground.field)):
                yield "it has a side that is neither the tile's nor the field's"
                return


def _along(side: LineString, tile: Polygon, field: BaseGeometry) -> bool:
    """Whether a side keeps within 1 mm of the field's edge, on a line that some edge of the field lies on.

    Where a notch or strip of 1 mm or less is passed over, a side runs on beyond the edge's end.
    """
    (x0, y0), (x1, _y1) = side.coords
    axis = 0 if abs(x0 - x1) <= CLOSE else 1
    at = (x0, y0)[axis]
    near = field.boundary.intersection(tile.buffer(ONE, join_style="mitre"))
    on_line = any(
        abs(a[axis] - at) <= CLOSE and abs(b[axis] - at) <= CLOSE
        for line in lines_in(near)
        for a, b in pairwise(line.coords)
    )
    strip = field.boundary.union(tile.exterior).buffer(ONE, cap_style="square", join_style="mitre")
    return on_line and bool(strip.covers(side))


def _overlaps(shapes: Sequence[Polygon], names: Sequence[str]) -> Iterator[str]:
    if not shapes:
        return
    tree = shapely.STRtree(shapes)
    for a, b in tree.query(shapes, predicate="intersects").T.tolist():
        if a < b and shapes[a].intersection(shapes[b]).buffer(-CLOSE, join_style="mitre").area > 0:
            yield f"{names[a]} and {names[b]} overlap"


def _bare(surface: Surface, field: BaseGeometry, shapes: Sequence[Polygon]) -> Iterator[str]:
    """Yield where the field is bare over more than a joint and 1 mm, both ways.

    A sliver of field no wider than a joint and 1 mm on either side of it can't help it.
    """
    bare = field.difference(shapely.union_all(shapes))
    wide = (surface.joint + ONE) / 2 + CLOSE
    left: BaseGeometry = bare.buffer(-wide, join_style="mitre", mitre_limit=10.0)
    if not left.is_empty:
        sliver = (surface.joint + 2 * ONE) / 2
        wide_field = field.buffer(-sliver, join_style="mitre", mitre_limit=10.0)
        left = left.intersection(wide_field.buffer(sliver, join_style="mitre", mitre_limit=10.0))
    if left.area > 0:
        x, y = left.representative_point().coords[0]
        yield f"the field is bare around {x:.1f}, {y:.1f}"


def _leg_faults(
    ground: Ground,
    piece: Mapping[str, Any],
    shape: Polygon,
    tile: Polygon,
    worst: dict[FieldEdge, float],
    tally: _Tally,
) -> Iterator[str]:
    """Yield where the printed share or range isn't what the seen part's chords say; tally the legs."""
    legs = list(_legs(ground, shape, tile))
    for share, _, ends in legs:
        for edge in ends:
            if edge in worst:
                worst[edge] = min(worst[edge], share)
    least, lengths = least_of(legs, SHARE)
    if legs:
        tally.shares[piece["id"]] = least, lengths
    yield from share_faults(piece, least, lengths, SHARE)


def _legs(ground: Ground, shape: Polygon, tile: Polygon) -> Iterator[tuple[float, float, list[FieldEdge]]]:
    """Yield (share, mm, edges) of the seen part's chords that are shorter than the tile."""
    seen = shape if ground.seen is ground.field else shape.intersection(ground.seen)
    for axis in (0, 1):
        low_side, high_side = tile.bounds[axis], tile.bounds[axis + 2]
        side = high_side - low_side
        across = (tile.bounds[1 - axis], tile.bounds[3 - axis])
        corners = (point[1 - axis] for part in polygons_in(seen) for point in corners_in(part))
        levels = sorted({_near(_snapped(at, across)) for at in corners})
        bands = [(a, b) for a, b in pairwise(levels) if b - a > CLOSE]
        for a, b in bands:
            if b - a <= ONE and len(bands) > 1:
                continue
            middle = (a + b) / 2
            for chord in _chords(seen, axis, middle):
                start, end = (_snapped(at, (low_side, high_side)) for at in chord)
                cut = [
                    (at, way) for at, own, way in ((start, low_side, 1), (end, high_side, -1)) if abs(at - own) > CLOSE
                ]
                if cut and end - start > ONE:
                    ends = [edge for at, way in cut for edge in _edges_at(ground, axis, at, (a, b), way)]
                    yield (end - start) / side, end - start, ends


def _snapped(at: float, sides: tuple[float, float]) -> float:
    """Return the tile's side that a place lies within 1 mm of (rule 1), or the place."""
    return next((side for side in sides if abs(at - side) <= ONE), at)


def _near(value: float) -> float:
    return round(value, 3)


def _chords(shape: BaseGeometry, axis: int, at: float) -> list[tuple[float, float]]:
    """Return the stretches of a shape along an axis on the line that stands at `at` on the other."""
    low, high = shape.bounds[axis] - 10, shape.bounds[axis + 2] + 10
    line = LineString([(low, at), (high, at)] if axis == 0 else [(at, low), (at, high)])
    found = []
    for part in lines_in(shape.intersection(line)):
        ends = sorted(point[axis] for point in part.coords)
        found.append((ends[0], ends[-1]))
    return sorted(found)


def _edges_at(ground: Ground, axis: int, at: float, band: tuple[float, float], way: int) -> list[FieldEdge]:
    """Return the edges of the seen field that a band's chords end on: those beside it on the nearest line, else the
    one whose stretch, which a neighbor's gap may lengthen, is nearest."""
    low, high = band
    near = [edge for edge in ground.edges if (edge.axis, edge.side) == (axis, way) and abs(edge.at - at) <= ONE]
    if not near:
        return []
    line = min(abs(edge.at - at) for edge in near) + CLOSE
    beside = [edge for edge in near if abs(edge.at - at) <= line and min(edge.high, high) - max(edge.low, low) > ONE]
    gaps = {edge: max(edge.low - high, low - edge.high) for edge in near}
    return beside or [edge for edge in near if gaps[edge] == min(gaps.values()) <= ground.widest_gap + ONE][:1]
