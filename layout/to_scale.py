"""One surface on a sheet of paper: to a round scale, in black and white, with the story pole beside it.

A unit of the drawing is a point (1/72 in), so that its text is 12 to 14 points at every scale. What would cover other
text is left off and told in words instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layout.cut_sizes import CutSizes
from layout.drawing import draw_slants, told_of
from layout.labels import (
    draw_courses,
    draw_openings,
    least_piece,
    least_text,
    line_texts,
    unsized_text,
)
from layout.result import Course, LeastCut, Line, SurfaceLayout
from layout.room import Room, Surface, Units
from layout.sheet import LOOK, Sheet, closed, num, outlines, shown, text_box, text_wide
from layout.tiling import draw_tiles
from trade.words import Say, english, gettext_noop

POINTS_PER_MM = 72 / 25.4

RATIOS: dict[Units, tuple[int, ...]] = {
    "mm": (2, 5, 10, 15, 20, 25, 50, 100, 200, 500, 1000),
    "in": (2, 4, 5, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64, 96, 192, 384, 1152),
}
"""Reductions, the largest drawing first. Metric ones are those of ISO 5455 with 1:15 and 1:25 between; the others are
those of an architect's rule (6, 3, 1 1/2, 1, 3/4 … in to the foot), with 1:5, 1:10, 1:20 and
1:40 between. From memory."""

BLACK = {
    **LOOK,
    "gap": 'fill="#777" stroke="#000" stroke-width="1.8"',
    "tile": 'fill="#fff" stroke="#000" stroke-width="0.4"',
    "cut": 'fill="url(#cut)" stroke="#000" stroke-width="0.8"',
    "least": 'fill="none" stroke="#000" stroke-width="3"',
    "open": 'fill="#fff" stroke="#000" stroke-width="1.8"',
    "patch": 'fill="#fff"',
    "line": 'fill="none" stroke="#000" stroke-width="2.2" stroke-dasharray="12 4 2 4"',
    "dimline": 'fill="none" stroke="#000" stroke-width="0.8"',
    "pole": 'fill="none" stroke="#000" stroke-width="1.4"',
    "dim": 'fill="#000" font-size="14"',
    "lab": 'fill="#000" font-size="13"',
    "num": 'fill="#000" font-size="12"',
}
HATCH = (
    '<pattern id="cut" patternUnits="userSpaceOnUse" width="5" height="5"><rect width="5" height="5" fill="#fff"/>'
    '<path d="M-1,1 L1,-1 M0,5 L5,0 M4,6 L6,4" fill="none" stroke="#777" stroke-width="0.5"/></pattern>'
)
"""Cut pieces are known by their hatch, which a printer without color keeps."""

POLE = 34.0
"""Points from a surface's right side to its story pole; the numbers of the courses stand between."""

AROUND = (70.0, 24.0, 130.0, 90.0)
"""Points that dimensions take at left, top, right and foot of a surface, about: for a first guess at the scale."""

UNMARKED = gettext_noop("No room on the pole for these courses' tops: %s.")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A surface on paper at 1 to `ratio`: `width` and `height` of the `svg` are in points. `notes`: what stands under
    it, in words; the lines to snap aren't among it."""

    svg: str
    ratio: int
    wide: bool
    width: float
    height: float
    notes: tuple[str, ...]


def draw_to_scale(
    room: Room,
    surface: Surface,
    laid: SurfaceLayout,
    least: LeastCut | None,
    areas: Sequence[tuple[float, float]],
    *,
    say: Say = english,
) -> Drawn:
    """Return the drawing of a surface at the largest round scale that fits one of two areas: that of an upright page
    and that of one that lies (`wide`), each its width and height in points.

    `room` and `surface` as they will be set; `say` tells what is written in a reader's language. Raises ValueError for
    a surface too large for the smallest scale.
    """
    for ratio in RATIOS[room.units]:
        for wide, most in zip((False, True), areas, strict=True):
            if not _may_fit(surface, ratio, most):
                continue
            drawn = _draw(room, surface, laid, least, ratio, wide=wide, say=say)
            if drawn.width <= most[0] and drawn.height <= most[1]:
                return drawn
    raise ValueError(f"{surface.name} is too large for the paper")


def scale_bar(units: Units) -> str:
    """Return a bar 4 in or 100 mm long on paper, with a tick at each inch or centimeter."""
    step, count = (72.0, 4) if units == "in" else (10 * POINTS_PER_MM, 10)
    long = step * count
    said = '4"' if units == "in" else "100 mm"
    ticks = "".join(f"M{num(n * step)},0 v10 " for n in range(count + 1))
    blocks = "".join(f"M{num(n * step)},3 h{num(step)} v4 h{num(-step)}Z" for n in range(0, count, 2))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 0 {num(long + 2)} 10" width="{num(long + 2)}pt" '
        f'height="10pt" role="img"><title>{said}</title><path d="{blocks}" fill="#000"/>'
        f'<path d="{ticks}M0,3 h{num(long)} M0,7 h{num(long)}" fill="none" stroke="#000" stroke-width="0.8"/></svg>'
    )


def _may_fit(surface: Surface, ratio: int, most: tuple[float, float]) -> bool:
    left, bottom, right, top = surface.bounds
    scale = POINTS_PER_MM / ratio
    return (right - left) * scale < most[0] - AROUND[0] and (top - bottom) * scale < most[1] - AROUND[3]


def _draw(
    room: Room, surface: Surface, laid: SurfaceLayout, least: LeastCut | None, ratio: int, *, wide: bool, say: Say
) -> Drawn:
    left, bottom, right, top = surface.bounds
    scale = POINTS_PER_MM / ratio
    sheet = Sheet(scale, left, top, (right - left) * scale, (top - bottom) * scale, room.units, BLACK, say)
    sheet.marks.append(HATCH)
    notes = []
    draw_tiles(sheet, room, surface, laid)
    if surface.openings:
        sheet.path("open", outlines(sheet, [opening.outline for opening in surface.openings]))
    smallest = least_piece(least, laid)
    if smallest is not None:
        sheet.path("least", outlines(sheet, [smallest.outline, *smallest.holes]))
        notes.append(least_text(sheet, least, surface, smallest))
    _draw_size(sheet)
    for line in laid.lines:
        _draw_line(sheet, line)
    if laid.slants:
        draw_slants(sheet, surface, laid.datum)
    if surface.pattern.square:
        draw_courses(sheet, surface, laid)
    unmarked = _draw_pole(sheet, laid)
    sizes = CutSizes(sheet, room, surface, laid)
    sizes.draw()
    notes += draw_openings(sheet, surface)
    if sizes.unsized:
        notes.append(unsized_text(sheet, sizes.unsized))
    if unmarked:
        notes.append(say(UNMARKED) % ", ".join(f"{course.course}: {course.text}" for course in unmarked))
    # A hatch behind a number makes it hard to read.
    for x0, y0, x1, y1 in sheet.written:
        sheet.path("patch", f"M{num(x0 - 1)},{num(y0 + 2)} H{num(x1 + 1)} V{num(y1)} H{num(x0 - 1)}Z")
    x0, y0, x1, y1 = sheet.extent()
    view = (x0 - 2, y0 - 2, x1 + 2, y1 + 2)
    told = told_of(sheet, surface, laid, [*line_texts(sheet, laid), *notes])
    svg = closed(sheet, view, name=shown(surface.name, 200), told=told, points=1.0)
    return Drawn(svg, ratio, wide, view[2] - view[0], view[3] - view[1], tuple(notes))


def _draw_size(sheet: Sheet) -> None:
    """Draw the surface's own width and height, outside everything else."""
    width, height = sheet.width, sheet.height
    sheet.stroke("dimline", 0, height + 66, width, height + 66)
    sheet.text("dim", sheet.length(width / sheet.scale), width / 2, height + 81)
    sheet.stroke("dimline", -46, height, -46, 0)
    _put(sheet, sheet.length(height / sheet.scale), [(-51, height / 2, "middle", True)])


def _draw_line(sheet: Sheet, line: Line) -> None:
    """Draw a level or plumb line with its measure from where it begins; one that lies off the surface is left out."""
    width, height = sheet.width, sheet.height
    if line.axis == "y":
        y = sheet.y(line.at)
        if not -0.5 <= y <= height + 0.5:
            return
        sheet.stroke("line", -12, y, width + POLE, y, ticks=False)
        _put(
            sheet,
            sheet.say(line.name),
            [(width + POLE + 10, y + 4.5, "start", False), (width + POLE + 10, y + 19, "start", False)],
        )
        begin = height if line.start is None else sheet.y(line.start)
        if abs(begin - y) > 0.5:
            sheet.stroke("dimline", -18, begin, -18, y)
            half = text_wide("dim", line.text) / 2
            middle = max(half, min((y + begin) / 2, height - half))
            _put(sheet, line.text, [(-23, middle, "middle", True), (-52, middle, "end", False)])
        return
    x = sheet.x(line.at)
    if not -0.5 <= x <= width + 0.5:
        return
    sheet.stroke("line", x, -18, x, height + 42, ticks=False)
    _put(sheet, sheet.say(line.name), [(x, height + 55, "middle", False)])
    begin = 0.0 if line.start is None else sheet.x(line.start)
    if abs(x - begin) > 0.5:
        sheet.stroke("dimline", begin, height + 16, x, height + 16)
        low, high = min(x, begin) - 6, max(x, begin) + 6
        inside = [((begin + x) / 2, height + 31, "middle", False)]
        beside = [(high, height + 33, "start", False), (low, height + 33, "end", False)]
        _put(sheet, line.text, (inside if abs(x - begin) > text_wide("dim", line.text) + 6 else []) + beside)


def _put(sheet: Sheet, text: str, places: list[tuple[float, float, str, bool]]) -> None:
    """Write a measure or name at the first place that no text covers; where all are, its sentence under the drawing
    has it."""
    for x, y, anchor, upright in places:
        if sheet.free(text_box("dim", text, x, y, anchor, upright)):
            sheet.text("dim", text, x, y, anchor=anchor, upright=upright)
            return


def _draw_pole(sheet: Sheet, laid: SurfaceLayout) -> list[Course]:
    """Draw the story pole: a tick at the top of each course's full tile, with its height over the level line; return
    the courses whose height had no room beside its tick."""
    missed: list[Course] = []
    marks = [(course, sheet.y(laid.datum[1] + course.mm)) for course in laid.courses]
    # The top of course -1 is the level line, less a joint.
    marks = [(course, y) for course, y in marks if course.course != -1 and -0.5 <= y <= sheet.height + 0.5]
    if not marks:
        return missed
    x = sheet.width + POLE
    sheet.stroke("pole", x, 0, x, sheet.height, ticks=False)
    for course, y in marks:
        sheet.path("pole", f"M{num(x)},{num(y)} h{12 if course.fresh else 7}")
        text = f"{course.course}: {course.text}"
        box = text_box("num", text, x + 14, y + 4, "start", False)
        if sheet.free(box):
            sheet.text("num", text, x + 14, y + 4, anchor="start")
        else:
            missed.append(course)
    return missed
