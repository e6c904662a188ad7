"""The sides of a free field as chords meet them: which side ends a chord, over which levels, what ends it beyond.

Chords lie along an axis (0: x, 1: y), at levels on the other one. A side that runs more along the chords than across
them isn't judged by them (see `free_pieces`); it may still be what a chord ends on at its far end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layout.room import SOFT, TOLERANCE

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight side: where it stands at a level is at + slope * level, mm.

    `judged`: whether chords that end on it are legs.
    """

    start: float
    slope: float
    judged: bool

    @property
    def mirrored(self) -> Line:
        """The side with the chords turned about."""
        return Line(-self.start, -self.slope, self.judged)

    def at(self, levels: Floats) -> Floats:
        return np.asarray(self.start + self.slope * levels, dtype=np.float64)

    def span(self, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        """Return the least and the greatest place between levels."""
        a, b = self.at(low), self.at(high)
        return (a, b) if self.slope >= 0 else (b, a)

    def beyond(self, place: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        """Return the levels between which it stands at or beyond a place; from high to low where nowhere."""
        if not self.slope:
            return np.where(self.start >= place, low, high), high
        meet = (place - self.start) / self.slope
        return (np.maximum(low, meet), high) if self.slope > 0 else (low, np.minimum(high, meet))

    def turn(self, low: Floats, high: Floats) -> Floats:
        """The level at which it stands furthest out; the middle one of a straight side."""
        return (low + high) / 2


@dataclass(frozen=True, slots=True)
class Arc:
    """A part of a round opening's rim: at its `middle` at `level`, plus (`way` 1) or minus (-1) what the radius gives.

    `half`: 1 the part above `level`, -1 the part below, 0 what lies to both sides of it.
    """

    middle: float
    level: float
    radius: float
    way: int
    half: int
    judged: bool

    @property
    def mirrored(self) -> Arc:
        return Arc(-self.middle, self.level, self.radius, -self.way, self.half, self.judged)

    def at(self, levels: Floats) -> Floats:
        return np.asarray(self.middle + self.way * self._half_chord(levels - self.level), dtype=np.float64)

    def span(self, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        a, b, out = self.at(low), self.at(high), self.at(self.turn(low, high))
        return (np.minimum(a, b), out) if self.way > 0 else (out, np.maximum(a, b))

    def beyond(self, place: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
        depth = place - self.middle
        apart = self._half_chord(depth)
        if self.way > 0:
            low, high = (
                np.where(depth <= 0, low, np.maximum(low, self.level - apart)),
                np.where(depth <= 0, high, np.minimum(high, self.level + apart)),
            )
            return np.where(depth > self.radius, high, low), high
        # Only halves are asked for, which run one way.
        if self.half > 0:
            return np.where(depth > 0, high, np.maximum(low, self.level + apart)), high
        return np.where(depth > 0, high, low), np.minimum(high, self.level - apart)

    def turn(self, low: Floats, high: Floats) -> Floats:
        return np.minimum(np.maximum(self.level, low), high)

    def _half_chord(self, away: Floats) -> Floats:
        return np.asarray(np.sqrt(np.maximum(self.radius**2 - away**2, 0.0)), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Run:
    """A judged side between two levels, at the lower end of the field's chords (`first`) or at their upper end.

    `far`: what ends the chords at their other end where that is nearer than a tile's side; None where no tile can be
    cut by both. Runs of one side may overlap.
    """

    low: float
    high: float
    line: Line | Arc
    edge: int
    first: bool
    far: Line | Arc | None


def runs_of(
    sides: Floats, edges: NDArray[np.int32], rounds: Mapping[int, tuple[float, float, float]], axis: int, tile: float
) -> list[Run]:
    """Return the runs of a field's sides (n, 4) for chords along an axis; `tile`: the tile's side along it, mm.

    `rounds`: x, y and radius of the edges that are round.
    """
    lines: list[Line | Arc | None] = [
        _arc(side, rounds[edge], axis) if edge in rounds else _line(side, axis)
        for side, edge in zip(sides.tolist(), edges.tolist(), strict=True)
    ]
    alone: dict[tuple[Line | Arc, int, bool], list[tuple[float, float]]] = {}
    found: list[Run] = []
    for low, high, left, right in _trapezoids(sides, lines, axis):
        one, other = lines[left], lines[right]
        assert one
        assert other
        free, close = _shared(low, high, one, other, tile)
        for index, first, line, far in ((left, True, one, other), (right, False, other, one)):
            if not line.judged:
                continue
            if free:
                alone.setdefault((line, int(edges[index]), first), []).append(free)
            if close:
                found.append(Run(*close, line, int(edges[index]), first, far))
    for (line, edge, first), ranges in alone.items():
        found += [Run(*each, line, edge, first, None) for each in _merged(ranges)]
    return found


def _shared(
    low: float, high: float, one: Line | Arc, other: Line | Arc, tile: float
) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
    """Return between which levels no tile can be cut by both sides, and where some may be.

    The two overlap, so that neither is left too thin.
    """
    if isinstance(one, Line) and isinstance(other, Line):
        widths = [other.start - one.start + (other.slope - one.slope) * level for level in (low, high)]
        free = _where_above(low, high, widths, tile + SOFT)
        return free, _where_above(low, high, [-width for width in widths], -(tile + 3 * SOFT))
    levels = np.linspace(low, high, 9)
    wide = float((other.at(levels) - one.at(levels)).min()) > tile + 3 * SOFT
    return ((low, high), None) if wide else (None, (low, high))


def _line(side: list[float], axis: int) -> Line | None:
    rise = side[3 - axis] - side[1 - axis]
    if abs(rise) <= TOLERANCE:
        return None
    slope = (side[2 + axis] - side[axis]) / rise
    return Line(side[axis] - slope * side[1 - axis], slope, abs(slope) <= 1 + 1e-9)


def _arc(side: list[float], circle: tuple[float, float, float], axis: int) -> Arc | None:
    if abs(side[3 - axis] - side[1 - axis]) <= TOLERANCE:
        return None
    over = (side[axis] + side[2 + axis]) / 2 - circle[axis]
    up = (side[1 - axis] + side[3 - axis]) / 2 - circle[1 - axis]
    judged = abs(over) >= abs(up) - 1e-9
    half = 0 if judged else 1 if up > 0 else -1
    return Arc(circle[axis], circle[1 - axis], circle[2], 1 if over > 0 else -1, half, judged)


def _trapezoids(sides: Floats, lines: list[Line | Arc | None], axis: int) -> Iterator[tuple[float, float, int, int]]:
    """Yield (from, to, side, side): the field between two of its sides, over the levels where nothing else comes in.

    Sides on one arc count as one.
    """
    up = 1 - axis
    bottom, top = np.minimum(sides[:, up], sides[:, 2 + up]), np.maximum(sides[:, up], sides[:, 2 + up])
    levels: list[float] = []
    for level in sorted(np.concatenate([bottom, top]).tolist()):
        if not levels or level - levels[-1] > TOLERANCE:
            levels.append(level)
    rises = np.array([line is not None for line in lines])
    rise = np.where(rises, sides[:, 2 + up] - sides[:, up], 1.0)
    slope = (sides[:, 2 + axis] - sides[:, axis]) / rise
    begun: dict[tuple[Line | Arc | None, Line | Arc | None], tuple[float, float, int, int]] = {}
    for low, high in pairwise(levels):
        spans = np.flatnonzero((bottom <= low + TOLERANCE) & (top >= high - TOLERANCE) & rises)
        middle = sides[spans, axis] + slope[spans] * ((low + high) / 2 - sides[spans, up])
        order = spans[np.argsort(middle, kind="stable")].tolist()
        here = {(lines[a], lines[b]): (a, b) for a, b in zip(order[::2], order[1::2], strict=False)}
        for pair in [each for each in begun if each not in here]:
            yield begun.pop(pair)
        for pair, indices in here.items():
            begun[pair] = (begun[pair][0] if pair in begun else low, high, *indices)
    yield from begun.values()


def _where_above(low: float, high: float, values: list[float], least: float) -> tuple[float, float] | None:
    """Return where between two levels a value that runs straight from the first to the second is above `least`."""
    a, b = values[0] - least, values[1] - least
    if a <= 0 and b <= 0:
        return None
    meet = low + (high - low) * a / (a - b) if (a > 0) != (b > 0) else low
    return (meet if a <= 0 else low, meet if b <= 0 else high)


def _merged(ranges: list[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for low, high in sorted(ranges):
        if found and low <= found[-1][1] + TOLERANCE:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return found
