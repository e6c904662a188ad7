"""The lines a setter snaps on a surface, each measured from something that exists on site."""

from __future__ import annotations

from layout.pins import HUNG
from layout.result import Line
from layout.room import Point, Surface, Units
from trade.lengths import format_length
from trade.words import gettext_noop

LEVEL = gettext_noop("level line")
PLUMB = gettext_noop("plumb line")
FIRST = gettext_noop("first line")
SECOND = gettext_noop("second line")


def lines_of(surface: Surface, datum: Point, units: Units) -> tuple[Line, ...]:
    """Return the line under course 0 and the line left of column 0, mm from the surface's own edges, as measured.

    On a wall the level line from its foot and the plumb line from its left edge; on a floor two lines square to each
    other from its left and its lower edge as drawn.
    """
    left, bottom, _, _ = surface.bounds
    hung = surface.kind in HUNG
    level = _line(LEVEL if hung else SECOND, "y", f"bottom edge of {surface.name}", datum[1], bottom, units)
    plumb = _line(PLUMB if hung else FIRST, "x", f"left edge of {surface.name}", datum[0], left, units)
    return (level, plumb) if hung else (plumb, level)


def _line(name: str, axis: str, origin: str, at: float, start: float, units: Units) -> Line:
    mm = round(at - start, 4)
    return Line(name, "x" if axis == "x" else "y", origin, mm, format_length(mm, unit=units), at)
