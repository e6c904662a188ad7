"""The surfaces of the entry page drawn to scale, as far as their fields say them."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.forms import BoundField
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from shapely import Polygon
from shapely.geometry import box

from rooms.entry.filing import opening_box, surface_raw
from rooms.entry.page import RoomEntry, SurfacePart
from rooms.measured import HALF_STEP, Point
from rooms.sketch import sketch


@dataclass(frozen=True, slots=True)
class Drawing:
    """A surface's drawing; nothing of one that has no outline yet. `wrong`: what can't be, with the field that says it;
    `notes`: what to know."""

    index: int
    svg: SafeString | str
    wrong: Sequence[tuple[BoundField | None, str]]
    notes: Sequence[str]


def drawings(entry: RoomEntry) -> list[Drawing]:
    """One of each surface of an entry that was checked, in order."""
    return [_drawing(entry, part) for part in entry.surfaces]


def _drawing(entry: RoomEntry, part: SurfacePart) -> Drawing:
    wrong: list[tuple[BoundField | None, str]] = [
        (bound, str(error)) for bound in part.form for error in bound.errors if bound.value()
    ]
    if not part.fixed and not part.outlined.points:
        return Drawing(part.index, "", wrong, ())
    raw = surface_raw(part, entry.base)
    svg = sketch(raw, units=entry.base.get("units", "mm"), shown_in=entry.unit, large=True)
    return Drawing(part.index, svg, [*wrong, *((None, text) for text in _outside(part))], entry.notes(part))


def _outside(part: SurfacePart) -> list[str]:
    """The openings that reach out of the outline, in words; nothing of an outline that came from a file."""
    if part.fixed:
        return []
    x, y = part.own.origin
    points: list[Point] = [(px + x, py + y) for px, py in part.outlined.points]
    shape = Polygon(points).buffer(float(HALF_STEP), join_style="mitre")
    found = []
    for opening in part.openings:
        if opening.fixed or not opening.form.is_valid():
            continue
        left, bottom, right, top = map(float, opening_box(part, opening.form))
        if not shape.covers(box(left, bottom, right, top)):
            found.append(_("Opening %(number)s reaches outside.") % {"number": opening.number})
    return found
