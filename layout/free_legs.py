"""The legs of a piece of any outline (FORMATS.md, "What a good layout is", rule 2).

In a stack or an offset a leg is a chord that ends at an edge of the field. A sloped edge is judged across the tile's
side that it runs less along: chords over the width where it is nearer plumb, over the height where it is nearer level,
both at 45 degrees. In the other patterns the piece's bounding box in the tile's axes counts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from layout.free_field import REACH
from layout.lattice import Lattice
from layout.pieces import Leg
from layout.room import TOLERANCE, Point

ASIDE = -2
"""In place of the edge of a chord's end that isn't judged along the chord."""

Side = tuple[Point, Point, int]
"""A side of a piece and the field's edge it is cut by, or -1 for the tile's own."""


def box_legs(grid: Lattice, place: int, corner: Point, outline: Sequence[Point], sides: list[Side]) -> Iterator[Leg]:
    points = grid.to_tile(place, corner, tuple(outline))
    edges = tuple(sorted({edge for a, b, edge in sides if edge >= 0 and np.hypot(b[0] - a[0], b[1] - a[1]) > REACH}))
    for axis in (0, 1):
        length = max(point[axis] for point in points) - min(point[axis] for point in points)
        if grid.box[axis] - length > REACH:
            yield Leg(length / grid.box[axis], length, edges)


def chord_legs(sides: list[Side], axis: int, full: float) -> Iterator[Leg]:
    """Yield the legs along an axis: between two levels a chord's length runs straight, so its ends tell the least."""
    up = 1 - axis
    if len(sides) == 4 and (ends := _box_ends(sides, axis)):
        (start, _), (end, _) = ends
        edges = tuple(edge for _, edge in ends if edge >= 0)
        if edges:
            yield Leg((end - start) / full, end - start, edges)
        return
    levels: list[float] = []
    for level in sorted(point[up] for a, b, _ in sides for point in (a, b)):
        if not levels or level - levels[-1] > TOLERANCE:
            levels.append(level)
    bands = list(pairwise(levels))
    rising = list(_rising(sides, axis))
    for low, high in bands:
        if high - low <= REACH and len(bands) > 1:
            continue
        crossing = []
        least, most = low + TOLERANCE, high - TOLERANCE
        for bottom, top, start, slope, cuts in rising:
            if bottom <= least and top >= most:
                at = (start + slope * (low - bottom), start + slope * (high - bottom))
                crossing.append((at[0] + at[1], at, cuts))
        crossing.sort()
        for (_, left, left_edge), (_, right, right_edge) in zip(crossing[::2], crossing[1::2], strict=False):
            edges = tuple(edge for edge in (left_edge, right_edge) if edge >= 0)
            if edges and ASIDE not in (left_edge, right_edge):
                length = min(right[0] - left[0], right[1] - left[1])
                length = length if length > 10 * TOLERANCE else 0.0
                yield Leg(length / full, length, edges)


def _rising(sides: list[Side], axis: int) -> Iterator[tuple[float, float, float, float, int]]:
    """Yield of each side that rises across an axis from where to where, its lower end along it, its slope, its edge."""
    up = 1 - axis
    for a, b, edge in sides:
        bottom, top = (a, b) if a[up] <= b[up] else (b, a)
        if top[up] - bottom[up] > TOLERANCE:
            slope = (top[axis] - bottom[axis]) / (top[up] - bottom[up])
            # An edge that runs more along the chord than across it is judged the other way.
            yield bottom[up], top[up], bottom[axis], slope, edge if edge < 0 or abs(slope) <= 1 + 1e-9 else ASIDE


def _box_ends(sides: list[Side], axis: int) -> tuple[tuple[float, int], tuple[float, int]] | None:
    """Return where a box ends along an axis and by which edges, or None of what is no box; most pieces are one."""
    across = [(a[axis], edge) for a, b, edge in sides if a[axis] == b[axis]]
    along = [a[1 - axis] for a, b, _ in sides if a[1 - axis] == b[1 - axis]]
    if len(across) != 2 or len(along) != 2:
        return None
    left, right = sorted(across)
    wide = right[0] - left[0] > 10 * TOLERANCE and abs(along[0] - along[1]) > TOLERANCE
    return (left, right) if wide else None
