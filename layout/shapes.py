"""What shape a field leaves of a tile, told by which of the field's levels pass through the tile.

Tiles that the same levels pass through are cut alike, wherever exactly they stand: so a shape is found once, in numbers
of levels, and filled in for each tile (`layout.pieces`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise

import numpy as np
from numpy.typing import NDArray

from layout.field import Field, Flags
from layout.room import SOFT, Point

Cells = list[list[bool]]

Window = tuple[int, int, int, int]
"""The field's levels that pass through a tile: xs[i0:i1], ys[j0:j1]."""

Corner = tuple[int, int]
"""A level of the tile each way: 0 its own lower side, then the field's levels through it, then its upper side."""

Legs = tuple[tuple[int, int, tuple[int, ...]], ...]
"""Chords shorter than the tile: from level, to level, the edges that cut it."""

REACH = SOFT + 1e-6
"""mm. Rule 1's 1 mm with room for the noise of floats, so that exactly 1 mm counts as within."""

WIDE = 1000.0
"""mm. Stands for the cells at a tile's rim, whose size depends on where it stands: always more than 1 mm."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A connected part of a tile, counter-clockwise; its holes clockwise. `inside`: the lower left of a cell of it."""

    outline: tuple[Corner, ...]
    holes: tuple[tuple[Corner, ...], ...]
    wide_legs: Legs
    """Along the first direction."""
    tall_legs: Legs
    inside: Corner
    whole: bool = False
    """All of the tile."""


def shapes_of(looked: Field, window: Window) -> tuple[Shape, ...]:
    """Return the parts of the field that a tile covers which these levels pass through; found once for each field.

    What passes an edge by 1 mm or less counts as meeting it (rule 1).
    """
    found = looked.shapes.get(window)
    if found is None:
        found = looked.shapes[window] = tuple(_shapes(looked, window))
    return found


def _shapes(looked: Field, window: Window) -> Iterator[Shape]:
    i0, i1, j0, j1 = window
    i, j = i0 - 1, j0 - 1
    mask = looked.padded[i0 : i1 + 1, j0 : j1 + 1]
    inner: tuple[list[float], list[float]] = (looked.xs[i0:i1].tolist(), looked.ys[j0:j1].tolist())
    if any(b - a <= REACH for levels in inner for a, b in pairwise(levels)):
        wide, tall = (np.diff(_nominal(levels)) for levels in inner)
        mask = _without_strips(mask, wide, tall)
    elif plain := _plain(looked, mask, i, j):
        yield plain
        return
    across, up = (_nominal(levels) for levels in inner)
    for cells in _connected(mask):
        loops = _trace(cells, across, up)
        first = next((a, b) for a, column in enumerate(cells) for b, value in enumerate(column) if value)
        full = (0, 0), (len(across) - 1, 0), (len(across) - 1, len(up) - 1), (0, len(up) - 1)
        yield Shape(
            loops[0],
            tuple(loops[1:]),
            _legs(cells, up, looked.upright, i, j),
            _legs(_turned(cells), across, looked.level.T, j, i),
            first,
            whole=loops == [full],
        )


def _plain(looked: Field, mask: Flags, i: int, j: int) -> Shape | None:
    """Return the shape of cells that fill a rectangle, none of them thin: most are, and so worth a short way."""
    rows: Cells = mask.tolist()
    columns = [a for a, row in enumerate(rows) if True in row]
    if not columns:
        return None
    row, a0, a1 = rows[columns[0]], columns[0], columns[-1] + 1
    b0 = row.index(True)
    b1 = b0 + row.count(True)
    if False in row[b0:b1] or any(each != row for each in rows[a0:a1]):
        return None
    wide, tall = len(rows), len(row)
    wide_legs: Legs = ()
    tall_legs: Legs = ()
    if a1 - a0 < wide:
        found = [looked.upright[i + a, j + b0 : j + b1].tolist() for a in (a0, a1) if 0 < a < wide]
        wide_legs = ((a0, a1, tuple(dict.fromkeys(chain(*found)))),)
    if b1 - b0 < tall:
        found = [looked.level[i + a0 : i + a1, j + b].tolist() for b in (b0, b1) if 0 < b < tall]
        tall_legs = ((b0, b1, tuple(dict.fromkeys(chain(*found)))),)
    return Shape(((a0, b0), (a1, b0), (a1, b1), (a0, b1)), (), wide_legs, tall_legs, (a0, b0))


def _nominal(inner: list[float]) -> list[float]:
    """Return the levels through a tile with those of its own sides, which stand anywhere beyond them."""
    return [inner[0] - WIDE, *inner, inner[-1] + WIDE] if inner else [0.0, WIDE]


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


def _block(cells: Cells) -> tuple[Corner, ...] | None:
    """Return the corners of cells that fill a rectangle, or None."""
    columns = [a for a, column in enumerate(cells) if any(column)]
    rows = [b for b, value in enumerate(cells[columns[0]]) if value]
    a0, a1, b0, b1 = columns[0], columns[-1] + 1, rows[0], rows[-1] + 1
    wanted = [b0 <= b < b1 for b in range(len(cells[0]))]
    return ((a0, b0), (a1, b0), (a1, b1), (a0, b1)) if all(cells[a] == wanted for a in range(a0, a1)) else None


def _trace(cells: Cells, across: list[float], up: list[float]) -> list[tuple[Corner, ...]]:
    """Return the loops around connected cells: the outline first, counter-clockwise, then holes, clockwise."""
    block = _block(cells)
    if block:
        return [block]
    onward = _sides(cells)
    loops: list[tuple[float, tuple[Corner, ...]]] = []
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
        corners = _without_middles(loop)
        points: list[Point] = [(across[a], up[b]) for a, b in corners]
        area = sum(points[n - 1][0] * points[n][1] - points[n][0] * points[n - 1][1] for n in range(len(points)))
        loops.append((area, tuple(corners)))
    loops.sort(key=lambda loop: -loop[0])
    return [corners for _, corners in loops]


def _sides(cells: Cells) -> dict[Corner, list[Corner]]:
    """Return the sides of cells that face what is out, from corner to corner, what is in lying left."""
    wide, tall = len(cells), len(cells[0])
    onward: dict[Corner, list[Corner]] = {}
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


def _toward(a: Corner, b: Corner) -> Corner:
    return (b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])


def _without_middles(loop: list[Corner]) -> list[Corner]:
    """Return the loop's corners only."""
    count = len(loop)
    return [loop[n] for n in range(count) if _toward(loop[n - 1], loop[n]) != _toward(loop[n], loop[(n + 1) % count])]


def _legs(cells: Cells, up: list[float], lines: NDArray[np.int32], i: int, j: int) -> Legs:
    """Return the chords along the first direction that are shorter than the tile, each once with all its edges."""
    count, rows = len(cells), _turned(cells)
    found: dict[tuple[int, int], dict[int, None]] = {}
    start = 0
    for end in range(1, len(rows) + 1):
        if end < len(rows) and rows[end] == rows[start]:
            continue
        # Rows alike are one: several, each no taller than 1 mm, can be taller together (rule 1).
        if up[end] - up[start] > REACH:
            for a0, a1, value in _runs(rows[start]):
                if value and not (a0 == 0 and a1 == count):
                    edges = found.setdefault((a0, a1), {})
                    ends = [a for a in (a0, a1) if 0 < a < count]
                    edges.update((int(lines[i + a, j + b]), None) for b in range(start, end) for a in ends)
        start = end
    return tuple((a0, a1, tuple(edges)) for (a0, a1), edges in found.items())
