"""A surface as the search sees it: the legs at its edges as a function of the datum, without cutting a piece.

Along the courses a leg depends on the datum u and on which courses meet which band of the field; across them it depends
on the datum v only. Which courses meet which band depends on v only, and on few values of it: so the search solves u
once for each such set (`keys`) and looks it up again.
"""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as data_field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from layout.field import Band, Field, Flags, leg_spans
from layout.grid import Axis, Grid
from layout.pieces import REACH

Floats = NDArray[np.float64]
Key = bytes

NUDGE = 0.02
"""mm. How far beside a place where a leg jumps the search looks: more than the noise, less than anybody sees."""

MOST_CROSSINGS = 4000
"""Crossings of legs in one direction before an even grid of 1/64 in takes their place."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What is optimized: legs capped at `cap`, hidden edges or not, at the planned joint or at the worst drift."""

    cap: float
    hidden: bool
    drift: bool


@dataclass(frozen=True, eq=False, slots=True)
class Ends:
    """Stretches of field along one direction, each (low, high) with the edges that bound it, less its course's shift.

    `weight`: how many tiles about are cut at each end.
    """

    low: Floats
    high: Floats
    low_edge: NDArray[np.int32]
    high_edge: NDArray[np.int32]
    weight: Floats


@dataclass(frozen=True, eq=False)
class Model:
    """One surface's field (what is seen of it) under its pattern."""

    grid: Grid
    looked: Field
    ends: dict[Key, Ends] = data_field(default_factory=dict)
    """The stretches along the courses, by key, once they have been looked for."""

    @cached_property
    def across(self) -> Ends:
        """The stretches across the courses."""
        return _ends([(band, 0.0) for band in self.looked.columns], self.grid.u.pitch)

    def along(self, key: Key) -> Ends:
        """The stretches along the courses for one set of courses and bands."""
        if key in self.ends:
            return self.ends[key]
        cycle = len(self.grid.phases())
        met = np.frombuffer(key, dtype=bool).reshape(-1, cycle)
        phases = self.grid.phases()
        pairs = [
            (band, phases[phase])
            for row, band in zip(met, self.looked.rows, strict=True)
            for phase in np.flatnonzero(row).tolist()
        ]
        found = self.ends[key] = _ends(pairs, self.grid.v.pitch * cycle)
        return found

    def keys(self, starts: Floats, *, drift: bool) -> list[Key]:
        """Return for each datum v which bands meet courses of which shift, over all drifts where asked."""
        axis = self.grid.v
        cycle = len(self.grid.phases())
        met = np.zeros((len(starts), len(self.looked.rows), cycle), dtype=bool)
        amounts = (0.0, axis.spread) if drift and axis.spread else (0.0,)
        slack = axis.most * (axis.spread if drift else 0.0)
        for index, band in enumerate(self.looked.rows):
            if band.high - band.low > (cycle + 1) * axis.pitch + 2 * slack:
                met[:, index, :] = True
                continue
            if band.high - band.low <= REACH:
                continue
            first = np.floor((band.low - starts - axis.side - slack) / axis.pitch)
            for step in range(int((band.high - band.low + axis.side + 2 * slack) / axis.pitch) + 3):
                line = first + step
                for amount in amounts:
                    v = starts + line * axis.pitch + amount * np.clip(line, -axis.most, axis.most)
                    meets = (band.low < v + axis.side - REACH) & (band.high > v + REACH)
                    rows = np.flatnonzero(meets)
                    met[rows, index, (line[rows] % cycle).astype(int)] = True
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


def _ends(pairs: list[tuple[Band, float]], pitch: float) -> Ends:
    """Return the distinct stretches of the bands, shifted back; bands no wider than 1 mm hold no piece."""
    weights: dict[tuple[float, float, int, int], float] = {}
    for band, shift in pairs:
        if band.high - band.low <= REACH and len(pairs) > 1:
            continue
        for low, high, low_edge, high_edge in leg_spans(band):
            span = (low - shift, high - shift, low_edge, high_edge)
            weights[span] = weights.get(span, 0.0) + (band.high - band.low) / pitch
    spans = sorted(weights)
    return Ends(
        np.array([span[0] for span in spans]),
        np.array([span[1] for span in spans]),
        np.array([span[2] for span in spans], dtype=np.int32),
        np.array([span[3] for span in spans], dtype=np.int32),
        np.array([weights[span] for span in spans]),
    )


def joined(several: list[tuple[Ends, float]]) -> Ends:
    """Return the stretches of several surfaces together, each raised by its offset."""
    return Ends(
        np.concatenate([ends.low + offset for ends, offset in several]),
        np.concatenate([ends.high + offset for ends, offset in several]),
        np.concatenate([ends.low_edge for ends, _ in several]),
        np.concatenate([ends.high_edge for ends, _ in several]),
        np.concatenate([ends.weight for ends, _ in several]),
    )


def leg_table(ends: Ends, starts: Floats, axis: Axis, edges: int, *, drift: bool) -> tuple[Floats, Floats]:
    """Return (starts, edges) the worst leg's share at each edge (inf: no cut), and (starts) about how many cuts.

    With `drift` over all drifts: a leg sweeps an interval, and is worst at its lower end, or 0 where it is swallowed.
    """
    table = np.full((len(starts), edges), np.inf)
    if not ends.low.size:
        return table, np.zeros(len(starts))
    low, high, start = ends.low[None, :], ends.high[None, :], starts[:, None]
    spread = axis.spread if drift else 0.0
    at_low = np.full((len(starts), ends.low.size), np.inf)
    at_high = at_low.copy()
    for step in (-1, 0, 1) if spread else (0,):
        for mark, found in ((low, at_low), (high, at_high)):
            index = np.floor((mark - start) / axis.pitch) + step
            tile = start + index * axis.pitch
            moved = tile + spread * np.clip(index, -axis.most, axis.most)
            least, most = np.minimum(tile, moved), np.maximum(tile, moved)
            cut = (mark - least > REACH) & (mark - most < axis.side - REACH)
            if mark is low:
                length = np.where(high >= least + axis.side - REACH, least + axis.side - low, high - low)
                gone = low - least >= axis.side - REACH
            else:
                length = np.where(low <= most + REACH, high - most, high - low)
                gone = high - most <= REACH
            np.minimum(found, np.where(cut, np.where(gone, 0.0, length), np.inf), out=found)
    cuts = (np.isfinite(at_low) * ends.weight).sum(axis=1) + (np.isfinite(at_high) * ends.weight).sum(axis=1)
    for edge in range(edges):
        for which, found in ((ends.low_edge == edge, at_low), (ends.high_edge == edge, at_high)):
            if which.any():
                np.minimum(table[:, edge], found[:, which].min(axis=1), out=table[:, edge])
    return table / axis.side, cuts


def events(ends: Ends, axis: Axis, middle: float, cap: float, extra: Floats, *, drift: bool) -> Floats:
    """Return the datums among which the best lies, in one pitch around `middle`: where a leg jumps or reaches the cap,
    where a rising leg meets a falling one, and `extra`.
    """
    if not ends.low.size:
        return np.array([middle])
    lows, highs = np.unique(ends.low), np.unique(ends.high)
    low = _moved(lows, axis, middle, drift=drift)
    high = _moved(highs, axis, middle, drift=drift)
    jumps = np.concatenate([low - REACH, low - axis.side + REACH, high - REACH, high - axis.side + REACH])
    caps = np.concatenate([low - axis.side * (1 - cap), high - axis.side * cap]) if cap < 1 else np.array([])
    narrow = (ends.high - ends.low)[ends.high - ends.low < axis.side]
    ties = np.concatenate([np.add.outer(low - axis.side, narrow).ravel(), np.subtract.outer(high, narrow).ravel()])
    full = [low, high - axis.side]
    if low.size * high.size <= MOST_CROSSINGS:
        crossings = np.add.outer(low, high).ravel() / 2 - axis.side / 2
        meets = np.concatenate([crossings, crossings + axis.pitch / 2])
    else:
        meets = np.arange(0.0, axis.pitch, 25.4 / 64)
    found = np.concatenate([jumps - NUDGE, jumps + NUDGE, caps, ties, meets, extra, *full])
    return around(found, axis.pitch, middle)


def around(values: Floats, pitch: float, middle: float) -> Floats:
    """Return the values, whole pitches moved to within half a pitch of `middle`, each once, rising."""
    moved = values - np.floor((values - middle) / pitch + 0.5) * pitch
    return np.unique(np.round(moved, 4))


def _moved(marks: Floats, axis: Axis, middle: float, *, drift: bool) -> Floats:
    """Return the marks, and where drift counts as they look from a tile that drift has carried."""
    if not (drift and axis.spread):
        return marks
    nearest = np.floor((marks - middle) / axis.pitch)
    found = [marks]
    for step in (-1, 0, 1, 2):
        found.append(marks - axis.spread * np.clip(nearest + step, -axis.most, axis.most))
    return np.unique(np.round(np.concatenate(found), 6))
