"""Backer board for walls: sheets in rows with their end joints staggered, cut as few sheets as a plain plan finds.

A row is as high as a sheet lies or stands. Its end joints keep `STAGGER` from those of the rows beside it; offcuts go
on to other rows and walls, turned where they have to be. Each wall has several plans: both ways of laying a sheet,
several lengths to begin a row with. From what each wall takes least by itself one wall after the other is given the
plan that brings the sheets of all down, until none does. `at_least` is the bound by area: no plan needs fewer.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

STAGGER = 406.4
"""mm. End joints of neighboring rows are 16 in apart at least: A108.11 as reported in fcimag.com/articles/95542."""

SHEET = (914.4, 1524.0)
"""mm. 3 by 5 ft, where the shop says nothing else. Common practice, no source."""

SLIVER = 50.8
"""mm. No piece of board is shorter than 2 in. Common practice, no source."""

KEPT, ROUNDS = 10, 3
"""Plans of each wall that are tried together with the other walls', and how often one goes round."""

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
    at_least = math.ceil(round(area / (sheet[0] * sheet[1]), 9))
    plans = {wall: _plans(wall, sheet) for wall in set(walls)}
    chosen = [plans[wall][0] for wall in walls]
    best = _packed(itertools.chain(*chosen), sheet)
    for _ in range(ROUNDS):
        before = best
        for number, wall in enumerate(walls):
            for plan in plans[wall][1:]:
                if best == at_least:
                    break
                tried = [*chosen[:number], plan, *chosen[number + 1 :]]
                sheets = _packed(itertools.chain(*tried), sheet)
                if sheets < best:
                    best, chosen = sheets, tried
        if best == before:
            break
    return Boards(best, at_least, tuple(sorted(itertools.chain(*chosen), reverse=True)))


def _plans(wall: tuple[float, float], sheet: tuple[float, float]) -> list[tuple[Piece, ...]]:
    """Return the best plans of one wall, the one that takes the fewest sheets and then pieces first."""
    width, tall = wall
    found: dict[tuple[Piece, ...], tuple[int, int]] = {}
    for length, height in {(max(sheet), min(sheet)), (min(sheet), max(sheet))}:
        starts = {length, length / 2, length / 3, 2 * length / 3, max(SLIVER, min(STAGGER, length))}
        starts |= {start for start in (min(sheet), length - min(sheet)) if SLIVER <= start <= length}
        for first, second in itertools.product(sorted(starts, reverse=True), repeat=2):
            rows = _rows(width, length, first, second)
            if rows is None:
                continue
            pieces: list[Piece] = []
            for row in range(math.ceil(round(tall / height, 9))):
                high = min(height, tall - row * height)
                pieces += [(piece, high) for piece in rows[row % 2]]
            key = tuple(sorted(pieces, reverse=True))
            if key not in found:
                found[key] = (_packed(key, sheet), len(key))
    # Rows that begin with a whole sheet and a half one always stand.
    return sorted(found, key=lambda plan: (found[plan], plan))[:KEPT]


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
    if width <= start + 1e-6:
        return [width]
    pieces = [start]
    while (left := width - sum(pieces)) > 1e-6:
        pieces.append(min(length, left))
    if pieces[-1] < SLIVER and len(pieces) > 1:
        taken = SLIVER - pieces[-1]
        pieces[-2] -= taken
        pieces[-1] += taken
    return pieces


def _packed(pieces: Iterable[Piece], sheet: tuple[float, float]) -> int:
    """Return how many sheets hold the pieces, cut from edge to edge: the better of two orders."""
    every = list(pieces)
    by_area = sorted(every, key=lambda piece: (-piece[0] * piece[1], piece))
    by_side = sorted(every, key=lambda piece: (-max(piece), -min(piece)))
    return min(_cut(by_area, sheet), _cut(by_side, sheet))


def _cut(pieces: Sequence[Piece], sheet: tuple[float, float]) -> int:
    """Return how many sheets a list of pieces takes, each put where it leaves the narrowest rest; the rest is parted
    across its shorter side."""
    sheets, free = 0, list[Piece]()
    for piece in pieces:
        best: tuple[float, int, Piece] | None = None
        for number, (wide, high) in enumerate(free):
            for long, short in {piece, piece[::-1]}:
                if long <= wide + 1e-6 and short <= high + 1e-6:
                    rest = min(wide - long, high - short)
                    if best is None or rest < best[0] - 1e-9:
                        best = (rest, number, (long, short))
        if best is None:
            sheets += 1
            wide, high = max(sheet), min(sheet)
            long, short = piece if piece[0] <= wide + 1e-6 and piece[1] <= high + 1e-6 else piece[::-1]
        else:
            _, number, (long, short) = best
            wide, high = free.pop(number)
        if wide - long < high - short:
            parts = [(wide - long, short), (wide, high - short)]
        else:
            parts = [(wide - long, high), (long, high - short)]
        free += [part for part in parts if min(part) >= SLIVER]
    return sheets
