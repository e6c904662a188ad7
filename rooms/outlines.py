"""Rectangles in room files: told from other outlines, and made from measures."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, cast

from rooms.files import mm_text
from trade.lengths import Unit, parse_length

Point = tuple[Decimal, Decimal]
Box = tuple[Decimal, Decimal, Decimal, Decimal]


def read_points(raw: Iterable[Iterable[Any]], units: str) -> list[Point]:
    """The points of an outline that is known to be good, in mm."""
    unit = cast(Unit, units)
    return [cast(Point, tuple(parse_length(part, unit=unit) for part in point)) for point in raw]


def box_of(points: Sequence[Point]) -> Box:
    """Left, bottom, right, top."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def is_rectangle(points: Sequence[Point]) -> bool:
    """Whether the outline is its own box, wherever it begins and whichever way it runs."""
    if len(points) > 1 and points[0] == points[-1]:
        points = points[:-1]
    if len(points) != 4:
        return False
    left, bottom, right, top = box_of(points)
    corners = {(left, bottom), (right, bottom), (right, top), (left, top)}
    turns = all((a[0] == b[0]) != (a[1] == b[1]) for a, b in zip(points, [*points[1:], points[0]], strict=True))
    return set(points) == corners and len(corners) == 4 and turns


def rectangle(box: Box) -> list[list[str]]:
    """A new outline, counter-clockwise from the lower left, as a room file has it."""
    left, bottom, right, top = box
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return [[mm_text(x), mm_text(y)] for x, y in corners]


def fitted(points: Sequence[Point], box: Box) -> list[list[str]]:
    """A rectangle's outline brought to another box, its points in the order in which they were: edges are counted."""
    left, bottom, _right, _top = box_of(points)
    x = {True: box[0], False: box[2]}
    y = {True: box[1], False: box[3]}
    return [[mm_text(x[px == left]), mm_text(y[py == bottom])] for px, py in points]


def outline_of(raw: Mapping[str, Any], units: str) -> list[Point] | None:
    """The outline of a surface or opening; None for a circle."""
    return read_points(raw["outline"], units) if raw.get("outline") else None
