"""A surface as the search sees it: the legs at its edges as a function of the datum, without cutting a piece.

Along the courses a leg depends on the datum u and on which courses meet which band of the field; across them it depends
on the datum v only. Which courses meet which band depends on v only, and on few values of it: so the search solves u
once for each such set (`keys`) and looks it up again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.field import Band, Field, Flags, leg_spans
from layout.grid import Axis, Grid
from layout.pieces import REACH

Floats = NDArray[np.float64]
Key = bytes

NUDGE = 0.02
"""mm. How far beside a place where a leg jumps the search looks: more than the noise, less than anybody sees."""

MOST_AT_ONCE = 100_000
"""Legs worked out in one go, which bounds the memory."""

BESIDE = np.array([0.0, -1.0, 1.0])[:, None, None]
"""A tile and its neighbors."""

MOST_CROSSINGS = 20_000
"""Pairs of a rising and a falling leg in one direction before an even grid of 1/64 in takes their crossings' place."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What is optimized: legs capped at `cap`, hidden edges or not, at the planned joint or at the worst drift."""

    cap: float
    hidden: bool
    drift: bool


@dataclass(frozen=True, eq=False, slots=True)
class Ends:
    """Where stretches of field end along one direction, less their course's shift: lower ends first, then upper ones.

    `marks`: where; `widths`: how long the stretch is, at most a tile's side, mm; `weights`: about how many tiles are
    cut there; `low`: whether it's a lower end. Sorted by edge among the lower and among the upper ends, as `edges`
    says: `starts` are the places where another edge begins.
    """

    marks: Floats
    widths: Floats
    weights: Floats
    low: Flags
    starts: NDArray[np.intp]
    edges: NDArray[np.intp]
    lows: int
    """How many of `edges` are at lower ends."""
    each: Marks


@dataclass(frozen=True, eq=False, slots=True)
class Marks:
    """The marks at lower and at upper ends, and the widths of stretches narrower than a tile, mm, each once."""

    low: Floats
    high: Floats
    narrow: Floats


@dataclass(frozen=True, eq=False)
class Model:
    """One surface's field (what is seen of it) under its pattern."""

    grid: Grid
    looked: Field
    ends: dict[Key, Ends] = data_field(default_factory=dict)
    """The stretches along the courses, by key, once they have been looked for."""

    @cached_property
    def phases(self) -> tuple[float, ...]:
        """The distinct shifts of the courses, mm, by course modulo their number.

        Under drift a stair's whole pitches count: a tile drifts by its column's number (FORMATS.md, rule 5), and the
        columns run on with the stair. So there each course that can carry tile has a shift of its own.
        """
        pattern = self.grid.surface.pattern
        if pattern.run != "stair" or not pattern.share or not self.grid.u.spread:
            return self.grid.phases()
        lows, highs = self.looked.row_ends
        most = math.ceil((highs.max(initial=0.0) - lows.min(initial=0.0)) / self.grid.v.pitch) + 4
        return tuple(self.grid.shift(line if line < most else line - 2 * most) for line in range(2 * most))

    @cached_property
    def across(self) -> Ends:
        """The stretches across the courses."""
        columns = [(band, 0.0, (band.high - band.low) / self.grid.u.pitch) for band in self.looked.columns]
        return _ends(columns, self.grid.v.side)

    def along(self, key: Key) -> Ends:
        """The stretches along the courses for one set of courses and bands."""
        if key in self.ends:
            return self.ends[key]
        phases = self.phases
        cycle = len(phases)
        met = np.frombuffer(key, dtype=bool).reshape(-1, cycle)
        numbers = len(self.grid.phases())
        pairs = [
            (band, phases[phase], (band.high - band.low) / self.grid.v.pitch / max(numbers, int(row.sum())))
            for row, band in zip(met, self.looked.rows, strict=True)
            for phase in np.flatnonzero(row).tolist()
        ]
        found = self.ends[key] = _ends(pairs, self.grid.u.side)
        return found

    def keys(self, starts: Floats, *, drift: bool) -> list[Key]:
        """Return for each datum v which bands meet courses of which shift, over all drifts where asked."""
        axis, cycle = self.grid.v, len(self.phases)
        spread = axis.spread if drift else 0.0
        lows, highs = self.looked.row_ends
        heights = highs - lows
        # Whatever the datum, so high a band meets courses of every shift.
        every = heights > cycle * (axis.pitch + spread) - axis.side + 2 * REACH
        some = np.flatnonzero(~every & (heights > REACH))
        met = np.zeros((len(starts), len(lows), cycle), dtype=bool)
        met[:, every] = True
        if not some.size:
            return [met[0].tobytes()] * len(starts)
        low, high = lows[some, None], highs[some, None]
        slack = axis.most * spread
        steps = np.arange(int((heights[some].max() + axis.side + 2 * slack) / axis.pitch) + 3)
        size = len(starts) * some.size * len(steps)
        if len(starts) > 1 and size > MOST_AT_ONCE:
            parts = np.array_split(starts, 1 + size // MOST_AT_ONCE)
            return [key for part in parts if len(part) for key in self.keys(part, drift=drift)]
        at = starts[:, None, None]
        line = np.floor((low - at - axis.side - slack) / axis.pitch) + steps
        place, moved = at + line * axis.pitch, spread * clipped(line, axis)
        # With drift a course sweeps from one place to the other.
        meets = (place + np.minimum(moved, 0.0) < high - REACH) & (
            place + np.maximum(moved, 0.0) + axis.side > low + REACH
        )
        index, band, _ = found = np.nonzero(meets)
        met[index, some[band], line[found].astype(np.int64) % cycle] = True
        return [row.tobytes() for row in met]

    def counts(self, aim: Aim) -> Flags:
        """Which edges count, by their number."""
        return np.array([aim.hidden or not edge.hidden for edge in self.looked.edges])

    def across_table(self, starts: Floats, aim: Aim) -> tuple[Floats, Floats]:
        """Return (datums, edges) worst legs across the courses, and (datums) about how many tiles are cut there."""
        return leg_table(self.across, starts, self.grid.v, len(self.looked.edges), drift=aim.drift)

    def along_table(self, key: Key, starts: Floats, aim: Aim) -> tuple[Floats, Floats]:
        """Return (datums, edges) worst legs along the courses, and (datums) about how many tiles are cut there."""
        return leg_table(self.along(key), starts, self.grid.u, len(self.looked.edges), drift=aim.drift)


def _ends(pairs: list[tuple[Band, float, float]], side: float) -> Ends:
    """Return where the bands' stretches end, shifted back, each kind once; bands no wider than 1 mm hold no piece.

    `pairs`: a band, the shift of the courses that meet it, mm, and about how many tiles of theirs end at a side of it.
    """
    weights: dict[tuple[bool, int, float, float], float] = {}
    for band, shift, weight in pairs:
        if band.high - band.low <= REACH and len(pairs) > 1:
            continue
        for low, high, low_edge, high_edge in leg_spans(band):
            # Of a stretch longer than a tile, only that it is longer matters.
            width = min(high - low, side)
            for end in ((False, low_edge, low - shift, width), (True, high_edge, high - shift, width)):
                weights[end] = weights.get(end, 0.0) + weight
    ends = sorted(weights)
    kinds = [end[:2] for end in ends]
    starts = [n for n, kind in enumerate(kinds) if not n or kind != kinds[n - 1]]
    return Ends(
        np.array([end[2] for end in ends]),
        np.array([end[3] for end in ends]),
        np.array([weights[end] for end in ends]),
        np.array([not end[0] for end in ends], dtype=bool),
        np.array(starts, dtype=np.intp),
        np.array([kinds[n][1] for n in starts], dtype=np.intp),
        sum(not kinds[n][0] for n in starts),
        Marks(
            _once(end[2] for end in ends if not end[0]),
            _once(end[2] for end in ends if end[0]),
            _once(end[3] for end in ends if end[3] < side),
        ),
    )


def _once(values: Iterable[float]) -> Floats:
    return np.array(sorted(set(values)))


def together(several: Sequence[tuple[Marks, float]]) -> Marks:
    """Return the marks of several surfaces as one, each raised by its offset."""
    return Marks(
        distinct(np.concatenate([marks.low + offset for marks, offset in several])),
        distinct(np.concatenate([marks.high + offset for marks, offset in several])),
        distinct(np.concatenate([marks.narrow for marks, _ in several])),
    )


def leg_table(ends: Ends, starts: Floats, axis: Axis, edges: int, *, drift: bool) -> tuple[Floats, Floats]:
    """Return (starts, edges) the worst leg's share at each edge (inf: no cut), and (starts) about how many cuts.

    With `drift` over all drifts: a leg sweeps an interval, and is worst at its lower end, or 0 where it is swallowed.
    """
    if len(starts) > 1 and len(starts) * ends.marks.size > MOST_AT_ONCE:
        some = np.array_split(starts, 1 + len(starts) * ends.marks.size // MOST_AT_ONCE)
        parts = [leg_table(ends, each, axis, edges, drift=drift) for each in some if len(each)]
        return np.vstack([each[0] for each in parts]), np.concatenate([each[1] for each in parts])
    # A field's edge that is nobody's stands in a last column, and falls off.
    table = np.full((len(starts), edges + 1), np.inf)
    if not ends.marks.size:
        return table[:, :-1], np.zeros(len(starts))
    past = ends.marks - starts[:, None]
    index = np.floor(past / axis.pitch)
    past -= index * axis.pitch
    spread = axis.spread if drift else 0.0
    if spread:
        # Near a joint the tile on its other side can be carried over the mark: the neighbors are looked at too.
        past, index = past - BESIDE * axis.pitch, index + BESIDE
        legs = _swept(past, index, ends.widths, ends.low, axis, spread).min(axis=0)
    else:
        legs = _swept(past, index, ends.widths, ends.low, axis, spread)
    worst = np.minimum.reduceat(legs, ends.starts, axis=1)
    table[:, ends.edges[: ends.lows]] = worst[:, : ends.lows]
    upper = ends.edges[ends.lows :]
    table[:, upper] = np.minimum(table[:, upper], worst[:, ends.lows :])
    return table[:, :-1] / axis.side, np.isfinite(legs) @ ends.weights


def _swept(past: Floats, index: Floats, widths: Floats, low: Flags, axis: Axis, spread: float) -> Floats:
    """Return the worst leg in mm that tiles have at a mark, inf where it doesn't cut them at any drift.

    `past`: how far from a tile's place the mark lies; `index`: the tile's number, which tells how far it drifts.
    """
    far, near = past, past
    if spread:
        moved = spread * clipped(index, axis)
        far, near = past - np.minimum(moved, 0.0), past - np.maximum(moved, 0.0)
    legs = np.where(low, axis.side - far, near)
    gone = legs <= REACH
    legs = np.where(legs <= widths + REACH, legs, widths)
    legs[gone] = 0.0
    legs[(far <= REACH) | (near >= axis.side - REACH)] = np.inf
    return legs


def events(marks: Marks, axis: Axis, middle: float, cap: float, extra: Floats, *, drift: bool) -> Floats:
    """Return the datums among which the best lies, in one pitch around `middle`: where a leg jumps or reaches the cap,
    where a rising leg meets a falling one or equals a narrow stretch, and `extra`.

    A datum x cuts a tile at a lower mark to x + side − low, at an upper one to high − x, as the mark looks from a tile
    that stands at the end of its drift that makes the leg least.
    """
    if not marks.low.size:
        return np.array([middle])
    side, widths = axis.side, marks.narrow
    low, *swept_low = _from_tiles(marks.low, axis, middle, axis.spread if drift else 0.0)
    *swept_high, high = _from_tiles(marks.high, axis, middle, axis.spread if drift else 0.0)
    low_jumps, high_jumps = np.concatenate([low, *swept_low]), np.concatenate([*swept_high, high])
    jumps = np.concatenate([low_jumps, high_jumps])
    low, high = distinct(low), distinct(high)
    found = [low_jumps, high_jumps - side]
    found += [jumps + apart + nudge for apart in (-REACH, REACH - side) for nudge in (-NUDGE, NUDGE)]
    if cap < 1:
        found += [low - side * (1 - cap), high - side * cap]
    if widths.size:
        found += [np.add.outer(low - side, widths).ravel(), np.subtract.outer(high, widths).ravel()]
    if low.size * high.size <= MOST_CROSSINGS:
        crossings, legs = (np.add.outer(low, high) - side) / 2, (np.subtract.outer(-low, -high) + side) / 2
        found.append(crossings[(legs > 0) & (legs <= side)])
    else:
        found.append(middle + np.arange(-axis.pitch / 2, axis.pitch / 2, 25.4 / 64))
    values = np.concatenate(found)
    values = values[np.abs(values - middle) <= axis.pitch / 2]
    ends = (middle - axis.pitch / 2, middle + axis.pitch / 2 - NUDGE)
    return distinct(np.round(np.concatenate([values, around(extra, axis.pitch, middle), ends]), 4))


def _from_tiles(marks: Floats, axis: Axis, middle: float, spread: float) -> list[Floats]:
    """Return marks as they look from the tiles that can meet them on a datum near `middle`: less whole pitches and the
    tile's least drift, and less its greatest; only the one where nothing drifts.
    """
    index = np.floor((marks - middle) / axis.pitch - 0.5)[:, None] + np.arange(-1, 3)
    moved = spread * clipped(index, axis)
    planned = marks[:, None] - index * axis.pitch
    least, most = np.minimum(moved, 0.0), np.maximum(moved, 0.0)
    meets = (planned - least >= middle - axis.pitch / 2) & (planned - most <= middle + axis.pitch / 2 + axis.side)
    if not spread:
        return [planned[meets]]
    return [(planned - least)[meets], (planned - most)[meets]]


def clipped(index: NDArray[Any], axis: Axis) -> Floats:
    """Return numbers of tiles, none further from 0 than fresh lines are snapped: `numpy.clip`, only faster."""
    found: Floats = np.minimum(np.maximum(index, -axis.most), axis.most)
    return found


def distinct(values: Floats) -> Floats:
    """Return the values, each once, rising: `numpy.unique`, only faster."""
    values = np.sort(values)
    kept = np.ones(len(values), dtype=bool)
    np.not_equal(values[1:], values[:-1], out=kept[1:])
    return values[kept]


def around(values: Floats, pitch: float, middle: float) -> Floats:
    """Return the values, whole pitches moved to within half a pitch of `middle`, each once, rising."""
    moved = values - np.floor((values - middle) / pitch + 0.5) * pitch
    return distinct(np.round(moved, 4))
