"""Outlines as they are typed: read, closed, and refused where they cross or can't be laid out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from layout.errors import RoomError
from layout.room import TOLERANCE, Point, Units
from layout.values import items, length

MOST_POINTS = 1000
"""Points in one outline. A measured room has a few dozen; more is a scan, which needs thinning first."""


def read_outline(value: Any, place: str, units: Units) -> tuple[Point, ...]:
    """Return the corners of a simple outline, in mm. Raises RoomError.

    A last point equal to the first is dropped. Edges within 0.01 mm of level or plumb are made so.
    """
    points: list[Point] = []
    for index, raw in enumerate(items(value, place, most=MOST_POINTS)):
        at = f"{place}[{index}]"
        pair = items(raw, at, most=2)
        if len(pair) != 2:
            raise RoomError(at, "a point is two lengths, [x, y]")
        x, y = (length(part, f"{at}[{axis}]", units, signed=True) for axis, part in enumerate(pair))
        points.append((x, y))
    if len(points) > 1 and _same(points[0], points[-1]):
        points.pop()
    if len(points) < 3:
        raise RoomError(place, "at least three points are needed")
    for index, point in enumerate(points):
        if _same(point, points[index - 1]):
            before = (index - 1) % len(points)
            raise RoomError(place, f"points {before} and {index} are the same place")
    _refuse_crossings(points, place)
    square = _squared(points)
    if abs(signed_area(square)) < 1.0:
        raise RoomError(place, "it encloses nothing")
    return square


def signed_area(points: Sequence[Point]) -> float:
    """Area in mm², positive where the points run counter-clockwise."""
    total = 0.0
    for index, (x, y) in enumerate(points):
        before_x, before_y = points[index - 1]
        total += before_x * y - x * before_y
    return total / 2


def _same(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= TOLERANCE and abs(a[1] - b[1]) <= TOLERANCE


def _refuse_crossings(points: Sequence[Point], place: str) -> None:
    """Raise where two edges that aren't neighbors meet, or neighbors fold back on each other."""
    count = len(points)
    a = np.array(points)
    b = np.roll(a, -1, axis=0)
    along = b - a
    following = np.roll(along, -1, axis=0)
    turn = along[:, 0] * following[:, 1] - along[:, 1] * following[:, 0]
    ahead = (along * following).sum(axis=1)
    size = np.hypot(*along.T) * np.hypot(*following.T)
    for index in np.flatnonzero((np.abs(turn) <= 1e-9 * size) & (ahead < 0)).tolist():
        raise RoomError(place, f"edges {index} and {(index + 1) % count} lie on each other")
    low, high = np.minimum(a, b), np.maximum(a, b)
    for index in range(count - 2):
        others = slice(index + 2, count - 1 if index == 0 else count)
        near = np.all((low[others] <= high[index] + TOLERANCE) & (high[others] >= low[index] - TOLERANCE), axis=1)
        if not near.any():
            continue
        c, d = a[others][near], b[others][near]
        one = _side(a[index], b[index], c) * _side(a[index], b[index], d)
        two = _side(c, d, a[index]) * _side(c, d, b[index])
        if ((one <= 0) & (two <= 0)).any():
            raise RoomError(place, "the edges cross")


def _side(a: Any, b: Any, point: Any) -> Any:
    """On which side of the line from a to b: 1, 0 (within tolerance) or -1."""
    along, to = b - a, point - a
    distance = (along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0]) / np.hypot(along[..., 0], along[..., 1])
    return np.where(np.abs(distance) <= TOLERANCE, 0, np.sign(distance))


def _squared(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the points with each edge that is level or plumb within 0.01 mm exactly so."""
    square = [list(point) for point in points]
    count = len(points)
    for axis in (0, 1):
        for index in range(2 * count):
            # Twice round: what the last edge moved by a hair is carried on along the first ones.
            here, nxt = index % count, (index + 1) % count
            if abs(points[nxt][axis] - points[here][axis]) <= TOLERANCE:
                square[nxt][axis] = square[here][axis]
    return tuple((x, y) for x, y in square)
