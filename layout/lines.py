"""The lines a setter snaps on a surface, measured from something that exists on site, and the courses on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from layout.grid import Grid
from layout.lattice import Lattice
from layout.result import Course, Line, Piece
from layout.room import HUNG, SOFT, TOLERANCE, Point, Room, Surface, Units
from trade.lengths import format_length
from trade.words import gettext_noop

LEVEL = gettext_noop("level line")
PLUMB = gettext_noop("plumb line")
FIRST = gettext_noop("first line")
SECOND = gettext_noop("second line")
RISING = gettext_noop("line at 45 degrees, up to the right")
FALLING = gettext_noop("line at 45 degrees, down to the right")

SLIGHT = 1 / 20
"""An edge that leans less than this is measured from, at the line's own height. Gaugerod's own figure."""

SIDES = (("left", "right"), ("bottom", "top"))


@dataclass(frozen=True, slots=True)
class _Hit:
    """What a tape held square to a line meets first: where, how steeply it leans, and what it is."""

    at: float
    lean: float
    origin: str
    opening: bool


def lines_of(room: Room, surface: Surface, datum: Point) -> tuple[Line, ...]:
    """Return the line under course 0 and the line left of column 0, mm from what exists on site: on a wall level and
    plumb, on a floor two lines square to each other.

    Measured from the left or lower edge, which is the corner where another surface meets it there; from the other side
    where that edge slants or is cut away, else from an opening. An edge slightly out of true is measured from where the
    two lines cross. A line off the surface has its place from the left or lower end as drawn, negative before it.
    """
    solid = Polygon(surface.outline).difference(shapely.union_all([Polygon(o.outline) for o in surface.openings]))
    hung = surface.kind in HUNG
    names = (PLUMB, LEVEL) if hung else (FIRST, SECOND)
    plumb, level = (_measured(room, surface, solid, axis, datum, names[axis]) for axis in (0, 1))
    return (level, plumb) if hung else (plumb, level)


def slants_of(room: Room, surface: Surface, datum: Point) -> tuple[Line, ...]:
    """Return for a pattern turned by 45 degrees its two lines through the datum, mm along the edge that they meet.

    `at`: x or y of the mark on that edge, and `axis` the way along it. Empty for other patterns.
    """
    pattern = surface.pattern
    if pattern.kind != "diagonal" and (pattern.kind != "herringbone" or pattern.angle != 45):
        return ()
    left, bottom, right, top = surface.bounds
    found = []
    for name, rise in ((RISING, 1.0), (FALLING, -1.0)):
        # Along the lower edge from the left, or the left edge from below, or the right one: whichever it meets.
        across = datum[0] - rise * (datum[1] - bottom)
        side, side_x = ("left", left) if rise > 0 else ("right", right)
        up = datum[1] + rise * (side_x - datum[0])
        if left <= across <= right and _lies(surface, (across, bottom)):
            ends = gettext_noop("left end of the bottom edge of %s, along it")
            found.append(_line(name, "x", ends % surface.name, across - left, across, room.units))
        elif bottom <= up <= top and _lies(surface, (side_x, up)):
            ends = gettext_noop("lower end of the %(side)s edge of %(surface)s, along it")
            texts = {"side": side, "surface": surface.name}
            found.append(_line(name, "y", ends % texts, up - bottom, up, room.units))
        else:
            origin = gettext_noop("where the other two lines cross, at equal distances along both")
            found.append(_line(name, "x", origin, 0.0, datum[0], room.units))
    return tuple(found)


def courses_of(surface: Surface, grid: Grid | Lattice, pieces: tuple[Piece, ...], units: Units) -> tuple[Course, ...]:
    """Return the courses that carry tile, from the bottom up: each full tile's top in mm above the line under course 0.

    Each is worked out from that line, not from the one below, so that rounding doesn't add up. With courses that step
    from column to column, of column 0. None for patterns without level courses. A course that starts from a fresh line
    (FORMATS.md, rule 5) says so.
    """
    numbers = [piece.course for piece in pieces]
    if isinstance(grid, Lattice) or not numbers:
        return ()
    axis = grid.u if grid.turned else grid.v
    found = []
    for course in range(min(numbers), max(numbers) + 1):
        mm = round(course * axis.pitch + axis.side, 4)
        fresh = course != 0 and course % axis.most == 0
        found.append(Course(course, mm, format_length(mm, unit=units), fresh))
    return tuple(found)


def meets(room: Room, surface: Surface, edge: int) -> Surface | None:
    """Return the surface that meets another one at an edge, or None."""
    for corner in room.corners:
        if (corner.first, corner.first_edge) == (surface.id, edge):
            return room.surface(corner.second)
        if (corner.second, corner.second_edge) == (surface.id, edge):
            return room.surface(corner.first)
    return next((room.surface(other) for at, other in surface.joins if at == edge), None)


def _spans(solid: BaseGeometry, surface: Surface, axis: int, place: float) -> list[tuple[float, float]]:
    """Return the stretches of a line at x (0) or y (1) that lie on the surface and off its openings."""
    left, bottom, right, top = surface.bounds
    # A line along an edge still lies on the surface: looked at from a hair inside.
    low, high = surface.bounds[axis], surface.bounds[axis + 2]
    if not low - SOFT <= place <= high + SOFT:
        return []
    place = min(max(place, low + TOLERANCE), high - TOLERANCE)
    ends = [(place, bottom - 1), (place, top + 1)] if axis == 0 else [(left - 1, place), (right + 1, place)]
    parts = shapely.get_parts(solid.intersection(LineString(ends)))
    across = 1 - axis
    spans = [(part.bounds[across], part.bounds[across + 2]) for part in parts if part.length > SOFT]
    return sorted(spans)


def _measured(room: Room, surface: Surface, solid: BaseGeometry, axis: int, at: Point, name: str) -> Line:
    """Return a line at x (0) or y (1), measured from the best that a tape held square to it meets."""
    place = at[axis]
    cross = at[1 - axis]
    spans = _spans(solid, surface, axis, place)
    here = [cross] if any(low <= cross <= high for low, high in spans) else []
    others = [(low + high) / 2 for low, high in sorted(spans, key=lambda span: span[0] - span[1])]
    best: tuple[tuple[bool, ...], _Hit, bool] | None = None
    for at_cross, where in [*((True, w) for w in here), *((False, w) for w in others)]:
        for back in (False, True):
            hit = _hit(room, surface, axis, place, where, back=back)
            if hit is None or (hit.lean > TOLERANCE / 100 and not at_cross):
                continue
            # A tub's rim is nearer than a ceiling. A far wall at the level line is better than a door's jamb, or than a
            # near wall above the door.
            far = (back, hit.opening, not at_cross) if axis == 1 else (hit.opening, not at_cross, back)
            cost = (hit.lean > SLIGHT, *far, hit.lean > TOLERANCE / 100)
            if best is None or cost < best[0]:
                best = cost, hit, back
    if best is None:
        side = SIDES[axis][0]
        hit = _Hit(surface.bounds[axis], 0.0, _edge_text(surface, side), opening=False)
        best = (), hit, False
    _, hit, back = best
    origin = hit.origin
    if hit.lean > TOLERANCE / 100:
        origin = gettext_noop("%s, where the two lines cross its height") % origin if axis == 0 else (
            gettext_noop("%s, straight below where the two lines cross") % origin
        )  # fmt: skip
    start = None if hit.at == surface.bounds[axis] and not back else hit.at
    mm = hit.at - place if back else place - hit.at
    return _line(name, "x" if axis == 0 else "y", origin, mm, place, room.units, start=start)


def _hit(room: Room, surface: Surface, axis: int, place: float, where: float, *, back: bool) -> _Hit | None:
    """Return what a tape meets that is held square to a line, left or down of it (`back`: right or up)."""
    best: _Hit | None = None
    loops = [(None, surface.outline), *((opening, opening.outline) for opening in surface.openings)]
    for opening, loop in loops:
        for index, a in enumerate(loop):
            b = loop[(index + 1) % len(loop)]
            low, high = sorted((a[1 - axis], b[1 - axis]))
            if high - low <= TOLERANCE or not low <= where <= high:
                continue
            lean = (b[axis] - a[axis]) / (b[1 - axis] - a[1 - axis])
            at = a[axis] + lean * (where - a[1 - axis])
            beyond = (at - place) if back else (place - at)
            if beyond < -TOLERANCE or (best is not None and (at - best.at if back else best.at - at) >= 0):
                continue
            origin = (
                _opening_text(opening.id, surface, axis, back=back) if opening else _origin(room, surface, index, at)
            )
            best = _Hit(at, abs(lean), origin, opening is not None)
    return best


def _origin(room: Room, surface: Surface, index: int, at: float) -> str:
    """Return what an outline's edge is called: the corner with the surface that meets this one there, or its side."""
    other = meets(room, surface, index)
    if other is not None:
        return gettext_noop("corner with %s") % other.name
    name = surface.edges[index].name
    for axis in (0, 1):
        for side, end in zip(SIDES[axis], surface.bounds[axis::2], strict=True):
            a, b = surface.outline[index], surface.outline[(index + 1) % len(surface.outline)]
            if name == side or (abs(a[axis] - end) <= TOLERANCE and abs(b[axis] - end) <= TOLERANCE):
                return _edge_text(surface, side)
    return gettext_noop("%(edge)s of %(surface)s") % {"edge": name, "surface": surface.name}


def _edge_text(surface: Surface, side: str) -> str:
    return gettext_noop("%(side)s edge of %(surface)s") % {"side": side, "surface": surface.name}


def _opening_text(name: str, surface: Surface, axis: int, *, back: bool) -> str:
    """Return the side of an opening that a tape meets: the far one, seen along the tape."""
    side = SIDES[axis][0 if back else 1]
    texts = {"side": side, "opening": name, "surface": surface.name}
    return gettext_noop("%(side)s of %(opening)s on %(surface)s") % texts


def _lies(surface: Surface, point: Point) -> bool:
    """Whether a point lies on the outline."""
    return bool(Polygon(surface.outline).exterior.distance(shapely.Point(np.array(point))) <= TOLERANCE)


def _line(name: str, axis: str, origin: str, mm: float, at: float, units: Units, *, start: float | None = None) -> Line:
    mm = round(mm, 4)
    return Line(name, "x" if axis == "x" else "y", origin, mm, format_length(mm, unit=units), at, start)
