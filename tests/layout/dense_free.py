"""The slow, plain way on sloped fields: every datum on a grid, by chords a fraction of a mm apart.

Shares no code with the solver; the field comes from the judge. A chord is a straight stretch of the field along x or y.
It counts where a tile is shorter for it (FORMATS.md, rule 2), at an end that stands on a side which runs less along the
chord than across it (docs/decisions/0011).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layout.room import Room, Surface
from layout.verify_field import gaps_at, offset_field, polygons_in

Floats = NDArray[np.float64]
Stretch = tuple[float, float, bool, bool]
"""From, to, and whether each end is judged along the chord."""

APART = 0.4
"""mm between chords: on a slope of 1 a cut is told to within that."""


def dense_least(room: Room, step: float = 25.4 / 16) -> float:
    """Return the largest least cut share of a room's only surface on a grid of datums, at the planned joint."""
    (surface,) = room.surfaces
    pattern = surface.pattern
    pitch = (surface.tile.width + surface.joint, surface.tile.height + surface.joint)
    cycle = 1 if not pattern.share else pattern.share.denominator if pattern.run == "stair" else 2
    spans = [pitch[0], pitch[1]]
    spans[1 if pattern.axis == "rows" else 0] *= cycle
    grids = [np.arange(0.0, span, step) for span in spans]
    legs = [_legs(room, surface, axis, *grids) for axis in (0, 1)]
    return float(np.minimum(np.minimum(legs[0], legs[1]), 1.0).max())


def _legs(room: Room, surface: Surface, axis: int, xs: Floats, ys: Floats) -> Floats:
    """Return (xs, ys) the least share of the chords along an axis."""
    tile, joint, pattern = (surface.tile.width, surface.tile.height), surface.joint, surface.pattern
    side, other = tile[axis], tile[1 - axis]
    starts, levels = (xs, ys) if axis == 0 else (ys, xs)
    cycle = 1 if not pattern.share else pattern.share.denominator if pattern.run == "stair" else 2
    shifts = [float(pattern.share) * n % 1 for n in range(cycle)]
    along = (axis == 0) == (pattern.axis == "rows")
    found = np.full((len(starts), len(levels)), np.inf)
    for at, stretches in _chords(room, surface, axis):
        for n, shift in enumerate(shifts):
            # Along the courses the shift moves the tiles on the chord; across them it moves which stretch they hold.
            if along:
                away = (at - levels) % ((other + joint) * cycle) - n * (other + joint)
                table = _least(stretches, starts + shift * (side + joint), side, side + joint)
            else:
                away = (at - levels - shift * (other + joint)) % (other + joint)
                table = _least(stretches, starts + n * (side + joint), side, (side + joint) * cycle)
            held = np.flatnonzero((away >= 0) & (away <= other))
            found[:, held] = np.minimum(found[:, held], table[:, None])
    return (found if axis == 0 else found.T) / side


def _least(stretches: list[Stretch], starts: Floats, side: float, pitch: float) -> Floats:
    """Return the least length that a chord's end leaves of the tile it stands in, for each start; inf for none."""
    found = np.full(len(starts), np.inf)
    for low, high, low_judged, high_judged in stretches:
        for mark, judged, far_judged in ((low, low_judged, high_judged), (high, high_judged, low_judged)):
            left = starts + np.floor((mark - starts) / pitch) * pitch
            right = left + side
            cut = (low - left > 1) if mark == low else (right - high > 1)
            far_in_tile = (right - high > 1) if mark == low else (low - left > 1)
            length = np.minimum(right, high) - np.maximum(left, low)
            counts = judged & cut & (mark < right) & (far_judged | ~far_in_tile) & (length > 1)
            found = np.minimum(found, np.where(counts, length, np.inf))
    return found


def _chords(room: Room, surface: Surface, axis: int) -> list[tuple[float, list[Stretch]]]:
    """Return (level, stretches) of the field along an axis."""
    shape = offset_field(surface, gaps_at(room, surface)[0])
    sides = [
        (a, b) if a[1 - axis] < b[1 - axis] else (b, a)
        for part in polygons_in(shape)
        for ring in (part.exterior, *part.interiors)
        for a, b in pairwise(ring.coords)
        if abs(a[1 - axis] - b[1 - axis]) > 1e-9
    ]
    first, last = shape.bounds[1 - axis], shape.bounds[3 - axis]
    found = []
    for level in np.arange(first + APART / 2, last, APART).tolist():
        ends = []
        for a, b in sides:
            if a[1 - axis] <= level < b[1 - axis]:
                slope = (b[axis] - a[axis]) / (b[1 - axis] - a[1 - axis])
                ends.append((a[axis] + slope * (level - a[1 - axis]), abs(slope) <= 1))
        ends.sort()
        pairs = zip(ends[::2], ends[1::2], strict=True)
        found.append((level, [(low, high, one, other) for (low, one), (high, other) in pairs]))
    return found
