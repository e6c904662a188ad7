"""Cuts any field into pieces under any pattern (FORMATS.md, "What a good layout is", rules 1 and 2)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.free_field import FINE, REACH, SHARP, FreeField, _polygons
from layout.free_legs import box_legs, chord_legs
from layout.grid import Grid
from layout.lattice import Lattice
from layout.pieces import Laid, Part
from layout.room import TOLERANCE, Point

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]
Shapes = NDArray[Any]

POLYGON = 3
"""Shapely's number for the type."""


def lay_free(
    grid: Grid | Lattice,
    field: FreeField,
    datum: Point,
    drift: Point = (0.0, 0.0),
    like: tuple[FreeField, Laid] | None = None,
) -> Laid:
    """Return the tiles of a field on a datum (x, y). What takes time is the tiles at the field's rim.

    `like`: another field of the same surface laid on the same datum; where the two are alike it isn't cut again.
    """
    laid = Laid(as_drawn=True)
    if field.empty:
        return laid
    lines, places, corners, outlines = grid.near(field.bounds, datum, drift)
    outlines = np.round(outlines, 6)
    if not len(lines):
        return laid
    at_rim = _at_rim(grid, field, lines, corners) if isinstance(grid, Grid) else np.ones(len(lines), dtype=bool)
    whole = ~at_rim
    whole[whole] = shapely.contains_xy(field.shape, outlines[whole].mean(axis=1))
    rim = np.flatnonzero(at_rim)
    tiles = np.asarray(shapely.polygons(outlines[rim]))
    held = np.asarray(shapely.contains_properly(field.shape, tiles))
    touched = np.flatnonzero(~held)
    touched = touched[np.asarray(shapely.intersects(field.shape, tiles[touched]), dtype=bool)]
    held[touched] = shapely.covers(field.grown, tiles[touched])
    whole[rim] = held
    us, vs = corners[:, 0].tolist(), corners[:, 1].tolist()
    rows, columns = lines.tolist(), places.tolist()
    laid.whole = [(rows[n], columns[n], us[n], vs[n]) for n in np.flatnonzero(whole).tolist()]
    cut = touched[~held[touched]]
    index = rim[cut]
    if like is not None:
        same = field.like(like[0], tiles[cut])
        known = {(line, place): parts for line, place, _u, _v, parts in like[1].cut}
        for n in index[same].tolist():
            if parts := known.get((rows[n], columns[n])):
                laid.cut.append((rows[n], columns[n], us[n], vs[n], parts))
        cut, index = cut[~same], index[~same]
    for at, parts in _parts(grid, field, tiles[cut], outlines[index], places[index], corners[index]):
        n = int(index[at])
        laid.cut.append((rows[n], columns[n], us[n], vs[n], parts))
    return laid


def _at_rim(grid: Grid, field: FreeField, lines: Whole, corners: Floats) -> Flags:
    """Return which tiles have a side of the field in or near them: on each course, by the stretch that it sweeps there.

    The tiles come course by course, each from its lower end.
    """
    along = 1 if grid.turned else 0
    us, vs = corners[:, along], corners[:, 1 - along]
    firsts = np.flatnonzero(np.diff(lines, prepend=lines[0] - 1))
    levels = vs[firsts]
    # One rising scale for all tiles: the courses one after the other.
    origin = float(us.min()) - grid.u.pitch
    length = float(us.max()) - origin + 4 * grid.u.pitch
    scale = (us - origin) + np.repeat(np.arange(len(firsts)), np.diff(np.append(firsts, len(lines)))) * length
    sides = field.sides if along == 0 else field.sides[:, [1, 0, 3, 2]]
    low, high = np.minimum(sides[:, 1], sides[:, 3]) - REACH, np.maximum(sides[:, 1], sides[:, 3]) + REACH
    first = np.searchsorted(levels, low - grid.v.side, side="left")
    last = np.searchsorted(levels, high, side="right")
    many = np.maximum(last - first, 0)
    side = np.repeat(np.arange(len(sides)), many)
    course = np.repeat(first - np.cumsum(many) + many, many) + np.arange(int(many.sum()))
    u0, v0, u1, v1 = sides[side].T
    rise = np.where(v0 == v1, 1.0, v1 - v0)
    ends = []
    for level in (levels[course] - 2 * REACH, levels[course] + grid.v.side + 2 * REACH):
        part = np.where(v0 == v1, 0.0, np.clip((level - v0) / rise, 0.0, 1.0))
        ends.append(u0 + part * (u1 - u0))
    ends += [np.where(v0 == v1, u0, ends[0]), np.where(v0 == v1, u1, ends[1])]
    start, end = np.minimum.reduce(ends), np.maximum.reduce(ends)
    start = np.clip(start - grid.u.side - 2 * REACH - origin, 0.0, length - 1.0) + course * length
    end = np.clip(end + 2 * REACH - origin, 0.0, length - 1.0) + course * length
    counts = np.zeros(len(lines) + 1, dtype=np.int64)
    np.add.at(counts, np.searchsorted(scale, start, side="left"), 1)
    np.add.at(counts, np.searchsorted(scale, end, side="right"), -1)
    found: Flags = np.cumsum(counts[:-1]) > 0
    return found


def _parts(
    grid: Grid | Lattice, field: FreeField, tiles: Shapes, outlines: Floats, places: Whole, corners: Floats
) -> Iterator[tuple[int, list[Part]]]:
    """Yield for each cut tile in which some of the field lies its number and its parts, from the lowest up."""
    if not len(tiles):
        return
    shapes = _boxes(field, outlines) if isinstance(grid, Grid) else np.full(len(tiles), None)
    rest = [n for n, shape in enumerate(shapes) if shape is None]
    shapes[rest] = shapely.intersection(field.shape, tiles[rest])
    for n, hardly in enumerate(_overhung(field, outlines)):
        if hardly:
            shapes[n] = _with_soft(field, tiles[n], shapes[n], hardly)
    parts, owner = _polygons_of(shapes)
    trimmed = _without_strips(parts)
    if trimmed is not parts:
        parts, again = _polygons_of(trimmed)
        owner = owner[again]
    kept = are_pieces(parts)
    parts, owner = parts[kept], owner[kept]
    parts = np.asarray(shapely.orient_polygons(parts))
    left, bottom, _, _ = shapely.bounds(parts).T if len(parts) else np.zeros((4, 0))
    order = np.lexsort((np.round(left, 3), np.round(bottom, 3), owner))
    parts, owner = parts[order], owner[order]
    loops = _loops(parts)
    found = _edges_of(field, outlines[owner], loops)
    dots = shapely.get_coordinates(shapely.point_on_surface(parts)).tolist()
    by_tile: dict[int, list[Part]] = {}
    for n, at in enumerate(owner.tolist()):
        sides = [
            (loop[k - 1], point, edges[k])
            for loop, edges in zip(loops[n], found[n], strict=True)
            for k, point in enumerate(loop)
        ]
        if isinstance(grid, Lattice):
            corner = (float(corners[at, 0]), float(corners[at, 1]))
            legs = tuple(box_legs(grid, int(places[at]), corner, loops[n][0], sides))
        else:
            wide, high = grid.surface.tile.width, grid.surface.tile.height
            legs = (*chord_legs(sides, 0, wide), *chord_legs(sides, 1, high))
        outline, *holes = (tuple(loop) for loop in loops[n])
        by_tile.setdefault(at, []).append(Part(outline, tuple(holes), legs, (dots[n][0], dots[n][1])))
    yield from by_tile.items()


def _boxes(field: FreeField, outlines: Floats) -> Shapes:
    """Return what one level or plumb side that runs right through it leaves of each tile (n, 4, 2), None of others.

    Most tiles at a rim are cut so; it spares working out where they meet the whole field.
    """
    found: Shapes = np.full(len(outlines), None)
    low, high = outlines.min(axis=1), outlines.max(axis=1)
    a, b = field.sides[:, :2], field.sides[:, 2:]
    side_low, side_high = np.minimum(a, b), np.maximum(a, b)
    for first in range(0, len(outlines), 2000):
        least, most = low[first : first + 2000], high[first : first + 2000]
        meets = np.all((least[:, None] - REACH <= side_high) & (most[:, None] + REACH >= side_low), axis=2)
        for axis in (0, 1):
            tile = np.flatnonzero(meets.sum(axis=1) == 1)
            side = meets[tile].argmax(axis=1)
            place, along = a[side, axis], b[side, 1 - axis] - a[side, 1 - axis]
            through = (side_low[side, 1 - axis] < least[tile, 1 - axis] - REACH) & (
                side_high[side, 1 - axis] > most[tile, 1 - axis] + REACH
            )
            through &= (b[side, axis] == place) & (least[tile, axis] < place) & (place < most[tile, axis])
            tile, place, along = tile[through], place[through], along[through]
            ends = least[tile], most[tile]
            # The field lies on a side's left: below a plumb one's place where it runs up, above a level one's right.
            below = along > 0 if axis == 0 else along < 0
            ends[1][below, axis], ends[0][~below, axis] = place[below], place[~below]
            found[first + tile] = shapely.box(*ends[0].T, *ends[1].T)
    return found


def _polygons_of(shapes: Shapes) -> tuple[Shapes, Whole]:
    """Return the polygons in shapes, and which shape each is from."""
    parts, owner = shapely.get_parts(shapes, return_index=True)
    # What GEOS gives as a collection holds polygons beside lines and points.
    deeper, again = shapely.get_parts(parts, return_index=True)
    areas = np.asarray(shapely.get_type_id(deeper) == POLYGON) & ~np.asarray(shapely.is_empty(deeper), dtype=bool)
    return deeper[areas], owner[again][areas]


def are_pieces(parts: Shapes) -> Flags:
    """Which parts are wider than 1 mm somewhere."""
    found: Flags = np.asarray(shapely.area(parts) > REACH * shapely.length(parts) / 2, dtype=bool)
    rest = np.flatnonzero(~found)
    if rest.size:
        found[rest] = ~np.asarray(shapely.is_empty(shapely.buffer(parts[rest], -REACH / 2)), dtype=bool)
    return found


def _without_strips(parts: Shapes) -> Shapes:
    """Return the parts without strips of no more than 1 mm that hang on something wider: these are no piece (rule 1).

    A strip that grows wider than 1 mm is a piece that tapers, and stays.
    """
    hollow = np.flatnonzero(
        np.asarray(shapely.area(shapely.convex_hull(parts)) - shapely.area(parts) > TOLERANCE, dtype=bool)
    )
    found = parts
    for n in hollow.tolist():
        part = parts[n]
        opened = part.buffer(-REACH / 2, join_style="mitre", mitre_limit=SHARP)
        opened = opened.buffer(REACH / 2 + FINE, join_style="mitre", mitre_limit=SHARP)
        if opened.is_empty:
            continue
        strips = [
            each
            for each in _polygons(part.difference(opened))
            if each.area > TOLERANCE and _length_on(each, opened) < REACH - 2 * TOLERANCE
        ]
        if strips:
            found = parts.copy() if found is parts else found
            found[n] = part.difference(shapely.union_all([each.buffer(FINE, join_style="mitre") for each in strips]))
    return found


def _length_on(strip: BaseGeometry, body: BaseGeometry) -> float:
    """Return how wide a strip hangs on a body, mm; nothing where it doesn't hang on it."""
    on = strip.boundary.intersection(body.buffer(10 * FINE))
    return float(on.length) if not on.is_empty else 0.0


def _loops(parts: Shapes) -> list[list[list[Point]]]:
    """Return each part's loops, the outer first; corners that lie on the way between their neighbors are left out."""
    found: list[list[list[Point]]] = [[] for _ in range(len(parts))]
    rings, owner = shapely.get_rings(parts, return_index=True)
    coordinates, ring = shapely.get_coordinates(rings, return_index=True)
    ends = np.flatnonzero(np.diff(ring, append=-1))
    points = coordinates.tolist()
    start = 0
    for of, end in zip(owner.tolist(), ends.tolist(), strict=True):
        found[of].append(_loop(points[start:end]))
        start = end + 1
    return found


def _edges_of(field: FreeField, outlines: Floats, loops: Sequence[Sequence[Sequence[Point]]]) -> list[list[list[int]]]:
    """Return for each part's loops the edge that cuts the side before each corner, -1 where it is the tile's own."""
    if not loops:
        return []
    sizes = [[len(loop) for loop in part] for part in loops]
    ends = np.array([point for part in loops for loop in part for point in loop])
    starts = np.array([loop[k - 1] for part in loops for loop in part for k in range(len(loop))])
    of = np.repeat(np.arange(len(loops)), [sum(each) for each in sizes])
    own = np.zeros(len(ends), dtype=bool)
    a, b = np.roll(outlines, 1, axis=1), outlines
    normals = np.stack([b[..., 1] - a[..., 1], a[..., 0] - b[..., 0]], axis=2)
    normals /= np.hypot(normals[..., 0], normals[..., 1])[..., None]
    for n in range(outlines.shape[1]):
        origin, normal = a[of, n], normals[of, n]
        from_start = np.abs(((starts - origin) * normal).sum(axis=1))
        own |= (from_start <= 1e-4) & (np.abs(((ends - origin) * normal).sum(axis=1)) <= 1e-4)
    edges = np.full(len(ends), -1, dtype=np.int64)
    rest = np.flatnonzero(~own)
    for first in range(0, len(rest), 1000):
        part = rest[first : first + 1000]
        edges[part] = field.edges_at(starts[part], ends[part])
    flat = iter(edges.tolist())
    return [[[next(flat) for _ in range(size)] for size in part] for part in sizes]


def _overhung(field: FreeField, outlines: Floats) -> list[list[int]]:
    """Return for each tile the field's sides that it passes by no more than the soft joint takes up."""
    found: list[list[int]] = [[] for _ in range(len(outlines))]
    low, high = outlines.min(axis=1) - FINE, outlines.max(axis=1) + FINE
    a, b = field.sides[:, :2], field.sides[:, 2:]
    side_low, side_high = np.minimum(a, b), np.maximum(a, b)
    for first in range(0, len(outlines), 2000):
        part = slice(first, first + 2000)
        meets = np.all((low[part, None] <= side_high) & (high[part, None] >= side_low), axis=2)
        tile, side = np.nonzero(meets)
        past = _passed(outlines[part][tile], a[side], b[side])
        hardly = (past > FINE) & (past <= REACH)
        for index, of in zip(tile[hardly].tolist(), side[hardly].tolist(), strict=True):
            found[first + index].append(of)
    return found


def _passed(tiles: Floats, a: Floats, b: Floats) -> Floats:
    """Return how far each tile (n, k, 2), corners counter-clockwise, passes the side a … b with the field on its left.

    Measured square to the side, along the stretch of it that lies in the tile; less than 0 where none does.
    """
    count = tiles.shape[1]
    along = b - a
    length = np.hypot(along[:, 0], along[:, 1])
    unit = along / length[:, None]
    out = np.stack([unit[:, 1], -unit[:, 0]], axis=1)
    to = tiles - a[:, None]
    on, off = (to * unit[:, None]).sum(axis=2), (to * out[:, None]).sum(axis=2)
    # The stretch of the side in the tile: between where the tile's own sides cross the line.
    start, end = np.zeros(len(a)), length.copy()
    crossings = np.full((len(a), count), np.nan)
    for n in range(count):
        before = off[:, n - 1] - off[:, n]
        crosses = (off[:, n - 1] > 0) != (off[:, n] > 0)
        part = np.where(crosses, off[:, n - 1] / np.where(crosses, before, 1.0), 0.0)
        crossings[:, n] = np.where(crosses, on[:, n - 1] + part * (on[:, n] - on[:, n - 1]), np.nan)
    none = np.isnan(crossings).all(axis=1)
    ends = np.where(none[:, None], 0.0, crossings)
    start, end = np.maximum(start, np.nanmin(ends, axis=1)), np.minimum(end, np.nanmax(ends, axis=1))
    found = np.full(len(a), -1.0)
    # Square to the side the tile is widest beyond it at one of its corners, or at an end of the stretch.
    for n in range(count):
        over = (on[:, n] >= start) & (on[:, n] <= end)
        found = np.where(over, np.maximum(found, off[:, n]), found)
        for place in (start, end):
            run = on[:, n] - on[:, n - 1]
            beside = (np.minimum(on[:, n], on[:, n - 1]) <= place) & (np.maximum(on[:, n], on[:, n - 1]) >= place)
            part = np.where(run == 0, 0.0, (place - on[:, n - 1]) / np.where(run == 0, 1.0, run))
            depth = off[:, n - 1] + part * (off[:, n] - off[:, n - 1])
            found = np.where(beside, np.maximum(found, depth), found)
    return np.where(none | (end - start <= FINE), -1.0, found)


def _with_soft(field: FreeField, tile: Polygon, shape: BaseGeometry, sides: Sequence[int]) -> BaseGeometry:
    """Return a tile's part of the field with what the soft joint takes up at the sides it hardly passes."""
    strips = []
    for x0, y0, x1, y1 in field.sides[list(sides)].tolist():
        length = float(np.hypot(x1 - x0, y1 - y0))
        x, y = (y1 - y0) / length * 2 * REACH, (x0 - x1) / length * 2 * REACH
        strips.append(Polygon([(x0, y0), (x1, y1), (x1 + x, y1 + y), (x0 + x, y0 + y)]))
    grown = shapely.union_all([shape, *(tile.intersection(strip) for strip in strips)], grid_size=FINE)
    left = shapely.difference(tile, grown, grid_size=FINE)
    waste = [part for part in _polygons(left) if not part.buffer(-REACH / 2).is_empty]
    return shapely.difference(tile, shapely.union_all(waste), grid_size=FINE) if waste else tile


def _loop(points: Sequence[Sequence[float]]) -> list[Point]:
    """Return the corners of a loop: what lies on the way between its neighbors is left out."""
    kept = [(x, y) for x, y in points]
    if len(kept) == 4 and all(kept[n - 1][0] == x or kept[n - 1][1] == y for n, (x, y) in enumerate(kept)):
        # A box, as most are, has corners only.
        return kept
    n = 0
    while n < len(kept) and len(kept) > 3:
        (ax, ay), (x, y), (bx, by) = kept[n - 1], kept[n], kept[(n + 1) % len(kept)]
        length = math.hypot(bx - ax, by - ay)
        if abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) <= 1e-5 * max(length, 1e-5):
            kept.pop(n)
        else:
            n += 1
    return kept
