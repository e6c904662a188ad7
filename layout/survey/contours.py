"""Lines of equal height on a mesh of heights: marching over its cells, then joined end to end."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from layout.room import Point
from layout.survey.gaps import Floats

_SIDES = ((0, 1), (1, 2), (2, 3), (3, 0))
"""Corners of a cell counter-clockwise from its lower left one, and its sides between them."""


def contour(x: Floats, y: Floats, heights: Floats, level: float) -> list[list[Point]]:
    """Return the lines along which a floor stands at `level`, longest first.

    `heights`: (len(y), len(x)), NaN off the floor. Between the mesh's places a side is straight, so a line passes the
    sides exactly where the floor does; where it passes all four of a cell, the height of its saddle says which way.
    """
    corners = np.stack((heights[:-1, :-1], heights[:-1, 1:], heights[1:, 1:], heights[1:, :-1]), axis=-1)
    over = corners > level
    rows, columns = np.nonzero(~np.isnan(corners).any(axis=-1) & over.any(axis=-1) & ~over.all(axis=-1))
    found: list[tuple[Point, Point]] = []
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        four = corners[row, column]
        at = ((x[column], y[row]), (x[column + 1], y[row]), (x[column + 1], y[row + 1]), (x[column], y[row + 1]))
        passed = []
        for one, other in _SIDES:
            if (four[one] > level) != (four[other] > level):
                # From the lower corner always, so that both cells of a side name one place.
                low, high = sorted((one, other), key=lambda corner: (four[corner], at[corner]))
                share = (level - four[low]) / (four[high] - four[low])
                passed.append(
                    (at[low][0] + (at[high][0] - at[low][0]) * share, at[low][1] + (at[high][1] - at[low][1]) * share)
                )
        if len(passed) == 4:
            a, b, c, d = four
            saddle = (a * c - b * d) / (a + c - b - d)
            if (saddle > level) != (a > level):
                # Else the saddle goes with the first corner, and the lines cut off those beside it.
                passed = [passed[3], *passed[:3]]
        found += [(passed[n], passed[n + 1]) for n in range(0, len(passed), 2)]
    return sorted(_joined(found), key=lambda line: (-_long(line), line[0]))


def _key(point: Point) -> tuple[int, int]:
    return round(point[0] * 1e3), round(point[1] * 1e3)


def _joined(pieces: list[tuple[Point, Point]]) -> list[list[Point]]:
    """Return pieces strung together at the ends that they share."""
    ends: dict[tuple[int, int], list[int]] = defaultdict(list)
    for number, piece in enumerate(pieces):
        for point in piece:
            ends[_key(point)].append(number)
    left = dict.fromkeys(range(len(pieces)))
    lines = []
    while left:
        number = next(iter(left))
        del left[number]
        line = list(pieces[number])
        for _ in range(2):
            while True:
                here = _key(line[-1])
                following = next((each for each in ends[here] if each in left), None)
                if following is None:
                    break
                del left[following]
                a, b = pieces[following]
                line.append(b if _key(a) == here else a)
            line.reverse()
        lines.append(line)
    return lines


def _long(line: list[Point]) -> float:
    along = np.diff(np.array(line), axis=0)
    return float(np.hypot(*along.T).sum())
