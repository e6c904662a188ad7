"""Backer board for walls: sheets in rows with their end joints staggered, cut as few sheets as a plain plan finds.

A row is as high as a sheet lies or stands. Its end joints keep `STAGGER` from those of the rows beside it; offcuts go
on to other rows and walls. The plan tries both ways of laying a sheet and several lengths to begin a row with, and
packs the pieces, highest first. `at_least` is the bound by area: no plan needs fewer.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

STAGGER = 406.4
"""mm. End joints of neighboring rows are 16 in apart at least: A108.11 as reported in fcimag.com/articles/95542."""

SHEET = (914.4, 1524.0)
"""mm. 3 by 5 ft, where the shop says nothing else. Common practice, no source."""

SLIVER = 50.8
"""mm. No piece of board is shorter than 2 in. Common practice, no source."""

Piece = tuple[float, float]
"""Length along the row and height, mm."""


@dataclass(frozen=True, slots=True)
class Boards:
    """How many sheets, the bound that no plan goes under, and the rows' pieces."""

    sheets: int
    at_least: int
    pieces: tuple[Piece, ...]


def plan_boards(walls: Sequence[tuple[float, float]], sheet: tuple[float, float] = SHEET) -> Boards:
    """Return the sheets for walls of (width, height) in mm; openings are cut out of the boards in place.

    Raises ValueError for a sheet or a wall without a size.
    """
    if min(sheet) <= 2 * SLIVER or any(min(wall) <= 0 for wall in walls):
        raise ValueError("walls and sheets need a width and a height")
    area = sum(width * height for width, height in walls)
    plans = [_plan(walls, length, height) for length, height in {(max(sheet), min(sheet)), (min(sheet), max(sheet))}]
    sheets, pieces = min(plans, key=lambda plan: (plan[0], len(plan[1]), plan[1]))
    return Boards(sheets, math.ceil(round(area / (sheet[0] * sheet[1]), 9)), tuple(pieces))


def _plan(walls: Sequence[tuple[float, float]], length: float, height: float) -> tuple[int, list[Piece]]:
    """Return the sheets and pieces of the best beginnings of the rows, a sheet lying `length` along them."""
    best: tuple[int, list[Piece]] | None = None
    starts = sorted({length, length / 2, length / 3, 2 * length / 3, max(SLIVER, min(STAGGER, length))}, reverse=True)
    for first, second in itertools.product(starts, repeat=2):
        pieces: list[Piece] = []
        for width, tall in walls:
            rows = _rows(width, length, first, second)
            if rows is None:
                break
            for row in range(math.ceil(round(tall / height, 9))):
                high = min(height, tall - row * height)
                pieces += [(piece, high) for piece in rows[row % 2]]
        else:
            found = (_packed(pieces, length, height), sorted(pieces, reverse=True))
            if best is None or found[0] < best[0]:
                best = found
    # Rows that begin with a whole sheet and a half one always stand.
    assert best is not None
    return best


def _rows(width: float, length: float, first: float, second: float) -> tuple[list[float], list[float]] | None:
    """Return the pieces of two neighboring rows, or None where their joints come too close or a piece is too short."""
    pair = _row(width, length, first), _row(width, length, second)
    joints = [list(itertools.accumulate(row))[:-1] for row in pair]
    if any(abs(a - b) < min(STAGGER, length / 2) - 1e-6 for a in joints[0] for b in joints[1]):
        return None
    if any(piece < min(SLIVER, width) - 1e-6 for row in pair for piece in row):
        return None
    return pair


def _row(width: float, length: float, start: float) -> list[float]:
    """Return a row's pieces from left to right; a last piece that would be too short takes from the one before."""
    if width <= length + 1e-6:
        return [width]
    pieces = [min(start, width)]
    while (left := width - sum(pieces)) > 1e-6:
        pieces.append(min(length, left))
    if pieces[-1] < SLIVER and len(pieces) > 1:
        taken = SLIVER - pieces[-1]
        pieces[-2] -= taken
        pieces[-1] += taken
    return pieces


def _packed(pieces: Sequence[Piece], length: float, height: float) -> int:
    """Return how many sheets hold the pieces: each sheet is ripped into strips, each strip cut to lengths."""
    strips: list[list[float]] = []
    sheets: list[float] = []
    for long, high in sorted(pieces, key=lambda piece: (-piece[1], -piece[0])):
        for strip in strips:
            if strip[0] >= high - 1e-6 and strip[1] >= long - 1e-6:
                strip[1] -= long
                break
        else:
            for number, rest in enumerate(sheets):
                if rest >= high - 1e-6:
                    sheets[number] = rest - high
                    break
            else:
                sheets.append(height - high)
            strips.append([high, length - long])
    return len(sheets)
