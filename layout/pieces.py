"""Cuts a field into pieces on a given datum (FORMATS.md, "What a good layout is", rules 1 and 2)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layout.field import Band, Field, Flags
from layout.grid import Grid
from layout.room import SOFT, Point

Cells = list[list[bool]]

REACH = SOFT + 1e-6
"""mm. Rule 1's 1 mm with room for the noise of floats, so that exactly 1 mm counts as within."""


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

    @property
    def count_cut(self) -> int:
        return sum(len(parts) for *_, parts in self.cut)


def lay(grid: Grid, field: Field, datum: Point, drift: Point = (0.0, 0.0)) -> Laid:
    """Return the tiles of `field` (as x, y) on a datum (x, y), joints being `drift` (along, across) mm wider.

    Takes time proportional to the courses and the tiles in the field.
    """
    looked = grid.look(field)
    laid = Laid()
    if looked.empty:
        return laid
    for line, v, bands in _lines(grid, looked, grid.swap(datum)[1], drift[1]):
        start = grid.swap(datum)[0] + grid.shift(line)
        places, us, whole = _along(grid, bands, start, v, drift[0])
        for place, u, is_whole in zip(places.tolist(), us.tolist(), whole.tolist(), strict=True):
            if is_whole:
                laid.whole.append((line, place, u, v))
            elif parts := cut_tile(grid, looked, u, v):
                laid.cut.append((line, place, u, v, parts))
    return laid


def _lines(grid: Grid, looked: Field, datum: float, amount: float) -> Iterator[tuple[int, float, list[Band]]]:
    """Yield each course that meets the field: its number, its lower side, the bands it meets."""
    bands = looked.rows
    side, pitch = grid.v.side, grid.v.pitch
    slack = grid.v.most * amount
    low = math.floor((bands[0].low - datum - side - slack) / pitch)
    high = math.ceil((bands[-1].high - datum + slack) / pitch)
    first = 0
    for line in range(low, high + 1):
        v = datum + line * pitch + grid.v.drift(line, amount)
        while first < len(bands) and bands[first].high <= v + REACH:
            first += 1
        met = []
        for band in bands[first:]:
            if band.low >= v + side - REACH:
                break
            met.append(band)
        if met:
            yield line, v, met


def _along(
    grid: Grid, bands: list[Band], start: float, v: float, amount: float
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.bool_]]:
    """Return the tiles of one course that touch the field: place, left side, and whether the tile is whole."""
    side, pitch, most = grid.u.side, grid.u.pitch, grid.u.most
    slack = most * amount
    low = math.floor((min(band.spans[0][0] for band in bands) - start - side - slack) / pitch)
    high = math.ceil((max(band.spans[-1][1] for band in bands) - start + slack) / pitch)
    places = np.arange(low, high + 1)
    us = start + places * pitch + amount * np.clip(places, -most, most)
    touched = np.zeros(len(places), dtype=bool)
    whole = np.full(len(places), _cover(bands, v, v + grid.v.side))
    for band in bands:
        full = np.zeros(len(places), dtype=bool)
        for a, b, *_ in band.spans:
            full |= (a <= us + REACH) & (b >= us + side - REACH)
            touched |= (a < us + side - REACH) & (b > us + REACH)
        whole &= full
    touched |= whole
    return places[touched], us[touched], whole[touched]


def _cover(bands: list[Band], low: float, high: float) -> bool:
    """Whether the bands leave no level between `low` and `high` without field."""
    reached = low + REACH
    for band in bands:
        if band.low > reached:
            return False
        reached = max(reached, band.high)
    return reached >= high - REACH


def cut_tile(grid: Grid, looked: Field, u: float, v: float) -> list[Part]:
    """Return the parts of the field (as u, v) that the tile with its lower-left corner at (u, v) covers.

    What passes an edge by 1 mm or less counts as meeting it (rule 1).
    """
    across, i = _cells(looked.xs, u, grid.u.side)
    up, j = _cells(looked.ys, v, grid.v.side)
    mask = _window(looked.inside, i, j, len(across) - 1, len(up) - 1)
    wide = [b - a for a, b in pairwise(across)]
    tall = [b - a for a, b in pairwise(up)]
    if min(wide) <= REACH or min(tall) <= REACH:
        mask = _without_strips(mask, np.array(wide), np.array(tall))
    parts = []
    for cells in _connected(mask):
        loops = _trace(cells, across, up)
        legs = (
            *_legs(cells, wide, tall, grid.u.side, looked.upright, i, j),
            *_legs(_turned(cells), tall, wide, grid.v.side, looked.level.T, j, i),
        )
        a, b = next((a, b) for a, column in enumerate(cells) for b, value in enumerate(column) if value)
        middle = ((across[a] + across[a + 1]) / 2, (up[b] + up[b + 1]) / 2)
        parts.append(Part(loops[0], tuple(loops[1:]), legs, middle))
    return parts


def _cells(levels: NDArray[np.float64], low: float, side: float) -> tuple[list[float], int]:
    """Return the tile's own levels with those of the field between them, and the first cell's index (-1: outside)."""
    first = int(levels.searchsorted(low + REACH, side="right"))
    last = max(first, int(levels.searchsorted(low + side - REACH, side="left")))
    return [low, *levels[first:last].tolist(), low + side], first - 1


def _window(inside: Flags, i: int, j: int, wide: int, tall: int) -> Flags:
    """Return the cells from (i, j); what lies outside the field's levels is out."""
    window = np.zeros((wide, tall), dtype=bool)
    i0, j0 = max(i, 0), max(j, 0)
    i1, j1 = min(i + wide, inside.shape[0]), min(j + tall, inside.shape[1])
    if i1 > i0 and j1 > j0:
        window[i0 - i : i1 - i, j0 - j : j1 - j] = inside[i0:i1, j0:j1]
    return window


def _without_strips(mask: Flags, wide: NDArray[np.float64], tall: NDArray[np.float64]) -> Flags:
    """Return the cells less strips no wider than 1 mm, and with notches no wider than that filled."""
    mask = mask.copy()
    for cells, sizes in ((mask, wide), (mask.T, tall)):
        for j in range(cells.shape[1]):
            row = cells[:, j]
            for a, b, value in _runs(row.tolist()):
                thin = sizes[a:b].sum() <= REACH
                if thin and (value or (a > 0 and b < len(row))):
                    row[a:b] = not value
    return mask


def _runs(row: Sequence[bool]) -> list[tuple[int, int, bool]]:
    """Return the stretches of equal value: from, to (exclusive), value."""
    ends = [0, *(n for n in range(1, len(row)) if row[n] != row[n - 1]), len(row)]
    return [(a, b, bool(row[a])) for a, b in pairwise(ends)]


def _turned(cells: Cells) -> Cells:
    return [list(row) for row in zip(*cells, strict=True)]


def _connected(mask: Flags) -> list[Cells]:
    """Return the parts of the cells that hang together by their sides, in order of their first cell."""
    rows: Cells = mask.tolist()
    left = {(a, b) for a, row in enumerate(rows) for b, value in enumerate(row) if value}
    found: list[Cells] = []
    for cell in sorted(left):
        if cell not in left:
            continue
        part = [[False] * len(rows[0]) for _ in rows]
        stack = [cell]
        left.remove(cell)
        while stack:
            a, b = stack.pop()
            part[a][b] = True
            for near in ((a + 1, b), (a - 1, b), (a, b + 1), (a, b - 1)):
                if near in left:
                    left.remove(near)
                    stack.append(near)
        found.append(part)
    return found


def _block(cells: Cells) -> tuple[int, int, int, int] | None:
    """Return the bounds (exclusive at the top) of cells that fill a rectangle, or None."""
    columns = [a for a, column in enumerate(cells) if any(column)]
    rows = [b for b, value in enumerate(cells[columns[0]]) if value]
    a0, a1, b0, b1 = columns[0], columns[-1] + 1, rows[0], rows[-1] + 1
    wanted = [b0 <= b < b1 for b in range(len(cells[0]))]
    return (a0, b0, a1, b1) if all(cells[a] == wanted for a in range(a0, a1)) else None


def _trace(cells: Cells, across: list[float], up: list[float]) -> list[tuple[Point, ...]]:
    """Return the loops around connected cells: the outline first, counter-clockwise, then holes, clockwise."""
    block = _block(cells)
    if block:
        left, bottom, right, top = across[block[0]], up[block[1]], across[block[2]], up[block[3]]
        return [((left, bottom), (right, bottom), (right, top), (left, top))]
    onward = _sides(cells)
    loops: list[tuple[float, tuple[Point, ...]]] = []
    while onward:
        start = min(onward)
        loop = [start]
        here, to = start, onward[start].pop(0)
        while True:
            if not onward[here]:
                del onward[here]
            if to == start:
                break
            loop.append(to)
            # Where two cells touch by a corner only, keep to the same cell: turn left.
            ways = onward[to]
            left_turn = (to[0] + here[1] - to[1], to[1] + to[0] - here[0])
            here, to = to, ways.pop(ways.index(left_turn) if len(ways) > 1 else 0)
        points = [(across[a], up[b]) for a, b in _without_middles(loop)]
        area = sum(points[n - 1][0] * points[n][1] - points[n][0] * points[n - 1][1] for n in range(len(points)))
        loops.append((area, tuple(points)))
    loops.sort(key=lambda loop: -loop[0])
    return [points for _, points in loops]


def _sides(cells: Cells) -> dict[tuple[int, int], list[tuple[int, int]]]:
    """Return the sides of cells that face what is out, from corner to corner, what is in lying left."""
    wide, tall = len(cells), len(cells[0])
    onward: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for a in range(wide):
        for b in range(tall):
            if not cells[a][b]:
                continue
            beside = (
                b > 0 and cells[a][b - 1],
                a + 1 < wide and cells[a + 1][b],
                b + 1 < tall and cells[a][b + 1],
                a > 0 and cells[a - 1][b],
            )
            corner = ((a, b), (a + 1, b), (a + 1, b + 1), (a, b + 1))
            for side in range(4):
                if not beside[side]:
                    onward.setdefault(corner[side], []).append(corner[(side + 1) % 4])
    return onward


def _toward(a: tuple[int, int], b: tuple[int, int]) -> tuple[int, int]:
    return (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])


def _without_middles(loop: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the loop's corners only."""
    count = len(loop)
    return [loop[n] for n in range(count) if _toward(loop[n - 1], loop[n]) != _toward(loop[n], loop[(n + 1) % count])]


def _legs(
    cells: Cells, wide: list[float], tall: list[float], side: float, lines: NDArray[np.int32], i: int, j: int
) -> Iterator[Leg]:
    """Yield the chords along the first direction that are shorter than the tile's side."""
    count = len(cells)
    for b, row in enumerate(_turned(cells)):
        if tall[b] <= REACH and len(tall) > 1:
            continue
        for a0, a1, value in _runs(row):
            if not value or (a0 == 0 and a1 == count):
                continue
            length = sum(wide[a0:a1])
            ends = tuple(int(lines[i + a, j + b]) for a in (a0, a1) if 0 < a < count)
            yield Leg(length / side, length, ends)
