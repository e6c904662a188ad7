"""An independent judge of a printed layout: lists what is wrong with it by FORMATS.md.

Shares no code with the solver. It reads the checked room (`layout.room`) and the printed JSON, builds the field with
Shapely, and works every figure out again from the printed pieces.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from layout.room import Room, Surface
from layout.verify_cuts import cut_plan_faults
from layout.verify_field import CLOSE, ONE, FieldEdge, Ground, corners_in, ground_of, lines_in, polygons_in
from trade.lengths import LengthError, parse_length

SHARE = 2e-5
"""What a printed share may be off: it has six places, from coordinates that have four."""


@dataclass(slots=True)
class _Tally:
    """What the pieces of all surfaces add up to."""

    legs: list[float]
    least: float = 1.0
    least_mm: float = math.inf
    least_piece: str = ""
    whole: int = 0
    cut: int = 0


def faults(room: Room, result_json: Mapping[str, Any]) -> list[str]:
    """Return what is wrong with a result in `gaugerod-layout/1`, in words; nothing when it is right."""
    found: list[str] = []
    if result_json.get("format") != "gaugerod-layout/1":
        found.append("the format isn't gaugerod-layout/1")
    options = result_json.get("options") or []
    for number, option in enumerate(options, 1):
        found += [f"option {number}: {fault}" for fault in _option_faults(option)]
    laid = [option for option in options if option.get("cut_plan")]
    if not laid:
        laid = [option for option in options if any(each.get("pieces") is not None for each in option["surfaces"])]
    if len(laid) != 1:
        return [*found, f"{len(laid)} options have pieces, one should"]
    return found + _laid_faults(room, laid[0])


def _option_faults(option: Mapping[str, Any]) -> Iterator[str]:
    counts, tiles = option["counts"], option["tiles"]
    if counts["whole"] + counts["cut"] != counts["pieces"]:
        yield "whole and cut don't add up to pieces"
    if not tiles["at_least"] <= tiles["needed"] <= tiles["order"]:
        yield "tiles: at_least, needed and order aren't in rising order"
    if option["score"] != sorted(option["score"]):
        yield "the score isn't rising"
    if option["least_cut_share_drift"] > option["least_cut_share"] + SHARE:
        yield "the least cut share over all drifts is above the planned one"


def _laid_faults(room: Room, option: Mapping[str, Any]) -> list[str]:
    found: list[str] = []
    tally = _Tally([])
    pieces: dict[str, tuple[Surface, Mapping[str, Any], tuple[float, float]]] = {}
    grounds = {surface.id: ground_of(room, surface) for surface in room.surfaces}
    ids = [each["id"] for each in option["surfaces"]]
    if ids != [surface.id for surface in room.surfaces]:
        return ["the surfaces aren't the room's"]
    for each in option["surfaces"]:
        ground = grounds[each["id"]]
        found += [f"{each['id']}: {fault}" for fault in _surface_faults(room, ground, each, tally)]
        for piece in each["pieces"]:
            if piece["id"] in pieces:
                found.append(f"{piece['id']}: this piece is there twice")
            corner = _corner(ground.surface, each["datum"], piece)
            pieces[piece["id"]] = (ground.surface, piece, corner)
    hidden = {name: [e for e in ground.own_edges if e.hidden] for name, ground in grounds.items()}
    lines = {name: [(e.axis, e.at, e.low, e.high) for e in edges] for name, edges in hidden.items()}
    found += cut_plan_faults(room, option["cut_plan"], pieces, lines)
    found += _figure_faults(room, option, tally, {name: ground.surface for name, ground in grounds.items()})
    return found


def _figure_faults(
    room: Room, option: Mapping[str, Any], tally: _Tally, surfaces: Mapping[str, Surface]
) -> Iterator[str]:
    counts = option["counts"]
    if (counts["whole"], counts["cut"]) != (tally.whole, tally.cut):
        yield f"counts: {counts['whole']} whole and {counts['cut']} cut, found {tally.whole} and {tally.cut}"
    if option["tiles"]["needed"] != len(option["cut_plan"]):
        yield "tiles.needed isn't the length of the cut plan"
    boxes = option["tiles"].get("boxes")
    per_box = {surface.tile.per_box for surface in surfaces.values()}
    if boxes is not None and len(per_box) == 1:
        size = per_box.pop()
        if size is None or boxes * size < option["tiles"]["order"]:
            yield "the boxes don't hold the order"
    if abs(option["least_cut_share"] - tally.least) > SHARE:
        yield f"least_cut_share is {option['least_cut_share']}, found {tally.least:.6f}"
    if abs(len(option["score"]) - len(tally.legs)) or any(
        abs(a - b) > SHARE for a, b in zip(option["score"], sorted(tally.legs), strict=True)
    ):
        yield f"the score is {option['score']}, found {[round(leg, 4) for leg in sorted(tally.legs)]}"
    least = option["least_cut"]
    if least is None:
        if tally.least < 1:
            yield "least_cut is missing"
        return
    if abs(least["mm"] - tally.least_mm) > 0.1:
        yield f"least_cut.mm is {least['mm']}, found {tally.least_mm:.2f}"
    if not _reads(least["text"], least["mm"]):
        yield f"least_cut.text {least['text']!r} isn't {least['mm']} mm"


def _reads(text: str, mm: float) -> bool:
    """Whether a text says a length, to 1/16 in or to 0.1 mm."""
    try:
        return abs(float(parse_length(text)) - mm) <= (0.06 if "mm" in text else 25.4 / 32 + 0.06)
    except LengthError:
        return False


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
        tile = _tile_box(surface, _corner(surface, laid["datum"], piece))
        whole = shape.symmetric_difference(tile).area < CLOSE * (surface.tile.width + surface.tile.height)
        tally.whole += whole
        tally.cut += not whole
        if name.split(":")[1:3] != [str(piece["course"]), str(piece["column"])] or not name.startswith(
            f"{surface.id}:"
        ):
            yield f"{name}: the id doesn't say its surface, course and column"
        yield from (f"{name}: {fault}" for fault in _piece_faults(ground, shape, tile))
        yield from (f"{name}: {fault}" for fault in _leg_faults(ground, piece, shape, tile, worst, tally))
    yield from _overlaps(shapes, [piece["id"] for piece in laid["pieces"]])
    yield from _bare(ground, shapes)
    yield from _line_faults(surface, laid)
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


def _bare(ground: Ground, shapes: Sequence[Polygon]) -> Iterator[str]:
    """Yield where the field is bare over more than a joint and 1 mm, both ways.

    A sliver of field no wider than a joint and 1 mm on either side of it can't help it.
    """
    bare = ground.field.difference(shapely.union_all(shapes))
    wide = (ground.surface.joint + ONE) / 2 + CLOSE
    left: BaseGeometry = bare.buffer(-wide, join_style="mitre", mitre_limit=10.0)
    if not left.is_empty:
        sliver = (ground.surface.joint + 2 * ONE) / 2
        wide_field = ground.field.buffer(-sliver, join_style="mitre", mitre_limit=10.0)
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
    least, least_mm = 1.0, math.inf
    for share, mm, ends in _legs(ground, shape, tile):
        if share < least:
            least, least_mm = share, mm
        for edge in ends:
            if edge in worst:
                worst[edge] = min(worst[edge], share)
    if least < tally.least:
        tally.least, tally.least_mm, tally.least_piece = least, least_mm, piece["id"]
    if abs(piece["cut_share"] - least) > SHARE:
        yield f"cut_share is {piece['cut_share']}, found {least:.6f}"
    low, high = piece["range"]
    planned = min(tile.bounds[2] - tile.bounds[0], tile.bounds[3] - tile.bounds[1]) if least == 1 else least_mm
    if not low - 0.06 <= planned <= high + 0.06 and least < 1:
        yield f"its range {low} … {high} mm doesn't hold its own {planned:.1f} mm"


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


def _line_faults(surface: Surface, laid: Mapping[str, Any]) -> Iterator[str]:
    xs, ys = [x for x, _ in surface.outline], [y for _, y in surface.outline]
    wanted = {"x": laid["datum"][0] - min(xs), "y": laid["datum"][1] - min(ys)}
    for line in laid["lines"]:
        if abs(line["mm"] - wanted[line["axis"]]) > CLOSE:
            yield f"{line['name']} stands at {line['mm']} mm, the datum at {wanted[line['axis']]:.3f}"
        if not _reads(line["text"], line["mm"]):
            yield f"{line['name']}: {line['text']!r} isn't {line['mm']} mm"


def _corner(surface: Surface, datum: Sequence[float], piece: Mapping[str, Any]) -> tuple[float, float]:
    """Return where FORMATS.md puts the tile of a piece."""
    course, column = piece["course"], piece["column"]
    across, up = surface.tile.width + surface.joint, surface.tile.height + surface.joint
    pattern = surface.pattern
    number = column if pattern.axis == "columns" else course
    steps = number if pattern.run == "stair" else number % 2
    shift = float(pattern.share) * steps
    if pattern.axis == "columns":
        return datum[0] + column * across, datum[1] + shift * up + course * up
    return datum[0] + shift * across + column * across, datum[1] + course * up


def _tile_box(surface: Surface, corner: tuple[float, float]) -> Polygon:
    x, y = corner
    return box(x, y, x + surface.tile.width, y + surface.tile.height)
