"""The plane that leaves the most lines alone, and of those the one with the least work.

A line is left alone where all its readings lie on the plane, so it has to be straight itself. Two straight lines, or
three single readings, fix a plane: there are so few such planes that all of them are looked at, and the count is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from layout.errors import RoomError
from layout.survey.gaps import Floats
from layout.survey.plane import FREE, fit

Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

ON_PLANE = 0.001
"""mm. A reading as near as this lies on the plane: more than the sixth place of one carries over a long wall."""

MOST_CHOICES = 3_000
"""Sets of lines that tie for the most and still leave the plane room to turn: each takes a program of its own."""

_CELLS = 2_000_000
"""Numbers worked on at once."""


@dataclass(frozen=True, slots=True)
class _Straight:
    """The straight lines. `first`, `last`: the numbers of their end readings among all; equal for a single reading."""

    first: Indices
    last: Indices


def fewest_lines(rows: Floats, readings: Floats, along: Floats, starts: Sequence[int]) -> Floats:
    """Return the amounts in mm of the plane that touches the fewest lines, then takes the least work.

    `rows` by `plane.places`; `starts`: where each line's readings begin. What is left alone has amounts of exactly 0.
    Raises RoomError where too many choices tie.
    """
    straight = _straight(readings, along, starts)
    if not len(straight.first):
        return _least(rows, readings)
    planes, alone = _best_planes(rows, readings, straight)
    if not len(planes):
        return _least(rows, readings)
    sets, one = np.unique(alone, axis=0, return_index=True)
    rank = np.linalg.matrix_rank(rows)
    line_of = np.searchsorted(np.asarray(starts), np.arange(len(readings)), side="right") - 1
    owner = line_of[straight.first]
    found: list[Floats] = []
    choices = 0
    # In the order in which they were found, so that equal work goes to the earliest lines.
    for index in np.argsort(one):
        left = sets[index]
        ends = np.unique(np.concatenate((straight.first[left], straight.last[left])))
        untouched = np.isin(line_of, owner[left])
        plane = planes[one[index]]
        if np.linalg.matrix_rank(rows[ends]) < rank:
            choices += 1
            if choices > MOST_CHOICES:
                raise RoomError("lines", "too many choices of fewest-lines are equal; read every line at two places")
            plane = _turned(rows, readings, untouched, ends)
        amounts = rows @ plane - readings
        amounts[untouched] = 0.0
        found.append(amounts)
    return min(found, key=lambda each: round(float(np.abs(each).sum()), 6))


def _turned(rows: Floats, readings: Floats, untouched: Flags, ends: Indices) -> Floats:
    """Return the cheapest plane through these ends, which leave it room to turn."""
    # The readings between two ends lie on the plane with them, by the tolerance: they'd only contradict each other.
    use = ~untouched
    use[ends] = True
    free = untouched[use]
    low, high = np.where(free, -FREE, -1.0), np.where(free, FREE, 1.0)
    return fit(rows[use], readings[use], low, high).plane


def _least(rows: Floats, readings: Floats) -> Floats:
    ones = np.ones(len(readings))
    return fit(rows, readings, -ones, ones).amounts


def _straight(readings: Floats, along: Floats, starts: Sequence[int]) -> _Straight:
    first, last = [], []
    for start, stop in zip(starts, [*starts[1:], len(readings)], strict=True):
        ends = [start, stop - 1]
        chord = np.interp(along[start:stop], along[ends], readings[ends])
        if np.all(np.abs(chord - readings[start:stop]) <= ON_PLANE):
            first.append(start)
            last.append(stop - 1)
    return _Straight(np.array(first, dtype=np.intp), np.array(last, dtype=np.intp))


def _best_planes(rows: Floats, readings: Floats, straight: _Straight) -> tuple[Floats, Flags]:
    """Return the planes that leave the most straight lines alone, and which ones each leaves."""
    everyone = np.arange(len(straight.first))
    groups = [everyone]
    single = everyone[straight.first == straight.last]
    if 1 < len(single) < len(everyone):
        # Single readings in a row fix no plane with the others, yet a plane may turn about their row.
        groups.append(single)
    found = [_planes(rows, readings, straight, group) for group in groups]
    planes = np.concatenate([each[0] for each in found])
    alone = np.concatenate([each[1] for each in found])
    counts = alone.sum(axis=1)
    best = counts == counts.max(initial=0)
    return planes[best], alone[best]


def _planes(rows: Floats, readings: Floats, straight: _Straight, group: Indices) -> tuple[Floats, Flags]:
    """Return, of all planes that a group of straight lines fixes, those that leave most of it alone, and which."""
    first, last = straight.first[group], straight.last[group]
    ends = np.concatenate((first, last))
    _, sizes, turns = np.linalg.svd(rows[ends], full_matrices=False)
    rank = int(np.sum(sizes > sizes[0] * 1e-9))
    # Directions that the straight lines say nothing about: the plane is held at nothing there.
    rest = _unspoken(turns, rank)
    bases = _bases(first, last, rank)
    planes_found, alone_found, most = [], [], 0
    step = max(1, _CELLS // len(ends))
    for begin in range(0, len(bases), step):
        part = bases[begin : begin + step]
        systems = np.concatenate((rows[part], np.broadcast_to(rest, (len(part), *rest.shape))), axis=1)
        values = np.concatenate((readings[part], np.zeros((len(part), len(rest)))), axis=1)
        usable = np.abs(np.linalg.det(systems)) > 1e-9
        planes = np.linalg.solve(systems[usable], values[usable][..., None])[..., 0]
        on = np.abs(planes @ rows[ends].T - readings[ends]) <= ON_PLANE
        on = on[:, : len(group)] & on[:, len(group) :]
        counts = on.sum(axis=1)
        most = max(most, int(counts.max(initial=0)))
        alone = np.zeros((len(on), len(straight.first)), dtype=bool)
        alone[:, group] = on
        planes_found.append(planes[counts == most])
        alone_found.append(alone[counts == most])
    if not planes_found:
        return np.empty((0, 3)), np.empty((0, len(straight.first)), dtype=bool)
    return np.concatenate(planes_found), np.concatenate(alone_found)


def _unspoken(turns: Floats, rank: int) -> Floats:
    """Return (3 − rank, 3) unit rows at right angles to the first `rank` of `turns`."""
    full = np.linalg.svd(turns[:rank], full_matrices=True)[2]
    return np.asarray(full[rank:])


def _bases(first: Indices, last: Indices, rank: int) -> Indices:
    """Return (planes, rank) readings that fix a plane: two lines, or single readings."""
    long, single = np.flatnonzero(last > first), np.flatnonzero(last == first)
    if rank == 3:
        bases = [[first[one], last[one], first[two]] for one in long for two in range(len(first)) if two != one]
    else:
        bases = [[first[one], last[one]] for one in long]
    bases += [list(first[list(some)]) for some in combinations(single, rank)]
    return np.array(bases, dtype=np.intp).reshape(len(bases), rank)
