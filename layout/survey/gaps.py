"""The gap under a straightedge, exactly: over all windows of its length on a line, from the upper hull to the profile.

The profile is straight between readings, so the hull of a window less the profile is greatest at a reading. There it is
the highest of all chords that pass over the reading, with both ends on the profile and no longer than the straightedge.
Slide an end of a chord along a straight stretch of the profile, and the chord's height over the reading rises or
falls throughout: so a highest chord runs from reading to reading, or is exactly as long as the straightedge. In the
second case the profile beside each end lies under the chord, so the far stretch is steeper than the near one and the
height, quadratic in the chord's place, is concave: one stationary point for each reading and each pair of stretches,
or an end of the pair's range. (Where stretches and chord are all equally steep, a chord between readings is as high.)
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SAME = 1e-9
"""mm. Gaps as close as this are one gap, so that which window is named doesn't hang on rounding."""

_CELLS = 400_000
"""Numbers worked on at once."""


def worst_gap(along: Floats, out: Floats, length: float) -> tuple[float, float] | None:
    """Return the widest gap under a straightedge of `length` and where such a window starts, mm.

    `along` rises; a straightedge longer than the line is taken as the line's length. None where a single reading
    leaves nothing to lay it on.
    """
    if len(along) < 2:
        return None
    first, last = float(along[0]), float(along[-1])
    length = min(length, last - first)
    found = [*_between_readings(along, out, length)]
    if length < last - first:
        found += _of_full_length(along, out, length)
    gaps = np.concatenate([each[0] for each in found])
    starts = np.concatenate([each[1] for each in found])
    worst = float(gaps.max())
    if worst <= SAME:
        return 0.0, first
    start = float(starts[gaps >= worst - SAME].min())
    return worst, min(max(start, first), last - length)


def _between_readings(along: Floats, out: Floats, length: float) -> Iterator[tuple[Floats, Floats]]:
    """Yield for chords from reading to reading: the widest gap under those from each, and their windows' starts."""
    ends = along + length + SAME
    reach = np.searchsorted(along, ends, side="right")
    last_start = along[-1] - length
    row = 0
    while row < len(along) - 1:
        stop = row + 1
        while stop < len(along) - 1 and (stop + 1 - row) * (reach[stop] - row) <= _CELLS:
            stop += 1
        columns = slice(row, int(reach[stop - 1]))
        rise = out[None, columns] - out[row:stop, None]
        run = along[None, columns] - along[row:stop, None]
        inside = (run > 0) & (along[None, columns] <= ends[row:stop, None])
        slope = np.full(run.shape, -np.inf)
        np.divide(rise, run, out=slope, where=inside)
        # The steepest chord from here to anything at or beyond a reading is the one that passes highest over it.
        steepest = np.maximum.accumulate(slope[:, ::-1], axis=1)[:, ::-1]
        gap = np.multiply(steepest, run, out=rise.copy(), where=inside) - rise
        yield gap.max(axis=1), np.minimum(along[row:stop], last_start)
        row = stop


def _of_full_length(along: Floats, out: Floats, length: float) -> Iterator[tuple[Floats, Floats]]:
    """Yield for chords as long as the straightedge: the widest gap of each pair of stretches, and where it starts.

    Only pairs whose far stretch is steeper than the near one can hold a highest chord.
    """
    latest = along[-1] - length
    events = np.concatenate((along, along - length))
    events = np.unique(events[(events >= along[0]) & (events <= latest)])
    low, high = events[:-1], events[1:]
    middle = (low + high) / 2
    near = np.searchsorted(along, middle, side="right") - 1
    far = np.minimum(np.searchsorted(along, middle + length, side="right") - 1, len(along) - 2)
    slopes = np.diff(out) / np.diff(along)
    use = (slopes[far] > slopes[near]) & (far > near)
    low, high, near, far = low[use], high[use], near[use], far[use]
    near_slope, turn = slopes[near], slopes[far] - slopes[near]
    near_out = out[near] + near_slope * (low - along[near])
    far_out = out[far] + slopes[far] * (low + length - along[far])
    row = 0
    while row < len(low):
        stop = row + 1
        while stop < len(low) and (stop + 1 - row) * (far[stop] - near[row]) <= _CELLS:
            stop += 1
        columns = slice(int(near[row]) + 1, int(far[stop - 1]) + 1)
        here = np.arange(columns.start, columns.stop)
        inside = (here[None, :] > near[row:stop, None]) & (here[None, :] <= far[row:stop, None])
        beyond = along[None, columns] - low[row:stop, None]
        climb, bend = (far_out - near_out)[row:stop, None], turn[row:stop, None]
        slide = (near_slope[row:stop, None] * length + bend * beyond - climb) / (2 * bend)
        slide = np.clip(slide, 0.0, (high - low)[row:stop, None])
        chord = near_out[row:stop, None] + near_slope[row:stop, None] * slide
        chord = chord + (climb + bend * slide) * (beyond - slide) / length
        gap = np.where(inside, chord - out[None, columns], -np.inf)
        best = gap.argmax(axis=1)
        rows = np.arange(stop - row)
        yield gap[rows, best], low[row:stop] + slide[rows, best]
        row = stop
