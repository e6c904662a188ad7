"""Cuts a field into pieces on a given datum (FORMATS.md, "What a good layout is", rules 1 and 2)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from dataclasses import field as data_field

import numpy as np
from numpy.typing import NDArray

from layout.field import Field, Flags
from layout.grid import Axis, Grid
from layout.room import Point
from layout.shapes import REACH as REACH
from layout.shapes import Shape, shapes_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_AT_ONCE = 200_000
"""Tiles looked at in one go, which bounds the memory."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A chord shorter than the tile: its share of the tile's side, its length in mm, the edges that cut it."""

    share: float
    mm: float
    edges: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """A connected part of one tile in the field, in (u, v), counter-clockwise; its holes clockwise."""

    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...]
    legs: tuple[Leg, ...]
    inside: Point
    """A point well within it."""

    @property
    def least(self) -> Leg | None:
        return min(self.legs, key=lambda leg: leg.share, default=None)


@dataclass(slots=True)
class Laid:
    """A field on a datum: whole tiles as (line, place, u, v), and the cut ones with their parts."""

    whole: list[tuple[int, int, float, float]] = data_field(default_factory=list)
    cut: list[tuple[int, int, float, float, list[Part]]] = data_field(default_factory=list)
    as_drawn: bool = False
    """Places and parts are x and y, not u and v."""

    @property
    def count_cut(self) -> int:
        return sum(len(parts) for *_, parts in self.cut)


@dataclass(frozen=True, slots=True)
class Courses:
    """The courses near a field: their numbers, the left side of each one's place 0 in mm, and the tiles to look at."""

    numbers: Ints
    starts: Floats
    first: Ints
    count: Ints

    def tiles(self) -> Iterator[tuple[Ints, Ints]]:
        """Yield (tiles) the course, counted from the first one, and the place of each tile, so many at a time."""
        start, total = 0, np.cumsum(self.count)
        while start < len(total):
            before = total[start - 1] if start else 0
            stop = max(start + 1, int(np.searchsorted(total, before + MOST_AT_ONCE, side="right")))
            count = self.count[start:stop]
            index = np.repeat(np.arange(start, stop), count)
            begins = np.cumsum(count) - count
            yield index, np.arange(len(index)) + np.repeat(self.first[start:stop] - begins, count)
            start = stop


@dataclass(frozen=True, slots=True)
class Levels:
    """Which levels of a field pass through tiles along one direction: levels[first:last]."""

    first: Ints
    last: Ints


def lay(grid: Grid, field: Field, datum: Point, drift: Point = (0.0, 0.0)) -> Laid:
    """Return the tiles of `field` (as x, y) on a datum (x, y), joints being `drift` (along, across) mm wider.

    Takes time proportional to the courses and the tiles in the field.
    """
    looked = grid.look(field)
    laid = Laid()
    if looked.empty:
        return laid
    courses = courses_near(grid, looked, datum, drift)
    vs = lower_sides(grid, courses, datum, drift[1])
    across = levels_in(looked.ys, vs, grid.v)
    xs, ys = looked.xs.tolist(), looked.ys.tolist()
    side_u, side_v = grid.u.side, grid.v.side
    for index, places in courses.tiles():
        us = left_sides(grid, courses, index, places, drift[0])
        along = levels_in(looked.xs, us, grid.u)
        touched, whole = covered(looked, along, across, index)
        full = np.flatnonzero(whole)
        stands = (courses.numbers[index], places, us, vs[index])
        laid.whole += zip(*[each[full].tolist() for each in stands], strict=True)
        part = np.flatnonzero(touched & ~whole)
        windows = (along.first, along.last, across.first[index], across.last[index])
        rows = [each[part].tolist() for each in (*stands, *windows)]
        for line, place, u, v, i0, i1, j0, j1 in zip(*rows, strict=True):
            shapes = shapes_of(looked, (i0, i1, j0, j1))
            if shapes and shapes[0].whole:
                # All but a notch of 1 mm or less, which is none.
                laid.whole.append((line, place, u, v))
            elif shapes:
                left_right, down_up = [u, *xs[i0:i1], u + side_u], [v, *ys[j0:j1], v + side_v]
                parts = [_part(shape, left_right, down_up, side_u, side_v) for shape in shapes]
                laid.cut.append((line, place, u, v, parts))
    return laid


def courses_near(grid: Grid, looked: Field, datum: Point, drift: Point = (0.0, 0.0)) -> Courses:
    """Return the courses and tiles that can meet a field whose joints are up to `drift` mm wider."""
    start, level = grid.swap(datum)
    slack, lift = grid.u.most * drift[0], grid.v.most * drift[1]
    _, bottom, _, top = looked.bounds
    side, pitch = grid.v.side, grid.v.pitch
    low, high = math.floor((bottom - level - side - lift) / pitch), math.ceil((top - level + lift) / pitch)
    numbers = np.arange(low, high + 1)
    lows = level + numbers * pitch - lift
    rows = np.searchsorted(looked.ys, lows, side="right") - 1, np.searchsorted(looked.ys, lows + side + 2 * lift)
    ends = np.array([looked.reach(max(a, 0), b) for a, b in zip(rows[0].tolist(), rows[1].tolist(), strict=True)])
    numbers, ends = numbers[ends[:, 0] < ends[:, 1]], ends[ends[:, 0] < ends[:, 1]]
    starts = start + _shifts(grid, numbers)
    first = np.floor((ends[:, 0] - starts - grid.u.side - slack) / grid.u.pitch).astype(np.int64)
    last = np.ceil((ends[:, 1] - starts + slack) / grid.u.pitch).astype(np.int64)
    return Courses(numbers, starts, first, last - first + 1)


def _shifts(grid: Grid, lines: Ints) -> Floats:
    """Return how far courses are shifted along themselves, mm."""
    pattern = grid.surface.pattern
    if not pattern.share:
        return np.zeros(len(lines))
    return np.array([grid.shift(line) for line in lines.tolist()])


def lower_sides(grid: Grid, courses: Courses, datum: Point, amount: float) -> Floats:
    """Return (courses) where the courses stand, mm, when each joint between them is `amount` mm wider."""
    planned: Floats = grid.swap(datum)[1] + courses.numbers * np.float64(grid.v.pitch)
    return planned + _moved(grid.v, courses.numbers, amount)


def left_sides(grid: Grid, courses: Courses, index: Ints, places: Ints, amount: float) -> Floats:
    """Return (tiles) where the tiles of `Courses.tiles` stand along them, mm, each joint `amount` mm wider."""
    found: Floats = courses.starts[index] + places * grid.u.pitch + _moved(grid.u, places, amount)
    return found


def _moved(axis: Axis, numbers: Ints, amount: float) -> Floats:
    """Return how far tiles are off their places (FORMATS.md, rule 5)."""
    found: Floats = amount * np.minimum(np.maximum(numbers, -axis.most), axis.most).astype(np.float64)
    return found if amount else np.zeros(len(numbers))


def levels_in(levels: Floats, lows: Floats, axis: Axis) -> Levels:
    """Return which levels pass through tiles by more than 1 mm, given the tiles' lower sides."""
    first = np.searchsorted(levels, lows + REACH, side="right")
    return Levels(first, np.maximum(first, np.searchsorted(levels, lows + axis.side - REACH, side="left")))


def covered(looked: Field, along: Levels, across: Levels, index: Ints) -> tuple[Flags, Flags]:
    """Return for tiles whether some of the field, and whether nothing else, lies under each; `index`: its course."""
    sums = looked.sums
    i0, i1 = np.maximum(along.first - 1, 0), np.minimum(along.last, sums.shape[0] - 1)
    j0, j1 = np.maximum(across.first - 1, 0)[index], np.minimum(across.last, sums.shape[1] - 1)[index]
    count = sums[i1, j1] - sums[i0, j1] - sums[i1, j0] + sums[i0, j0]
    cells = (along.last - along.first + 1) * (across.last - across.first + 1)[index]
    return count > 0, count == cells


def _part(shape: Shape, across: list[float], up: list[float], side_u: float, side_v: float) -> Part:
    """Return the part of a tile that a shape stands for, with the tile's levels in mm."""
    legs = []
    for a, b, edges in shape.wide_legs:
        mm = across[b] - across[a]
        legs.append(Leg(mm / side_u, mm, edges))
    for a, b, edges in shape.tall_legs:
        mm = up[b] - up[a]
        legs.append(Leg(mm / side_v, mm, edges))
    a, b = shape.inside
    return Part(
        tuple([(across[i], up[j]) for i, j in shape.outline]),
        tuple([tuple([(across[i], up[j]) for i, j in hole]) for hole in shape.holes]),
        tuple(legs),
        ((across[a] + across[a + 1]) / 2, (up[b] + up[b + 1]) / 2),
    )
