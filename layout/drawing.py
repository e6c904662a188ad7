"""One surface as a drawing to scale, dimensioned as a setter would pencil it.

The same SVG goes on page, phone and paper. Classes carry the look; the attributes beside them say the same for where no
style sheet reaches (a file by itself, a PDF), and a style sheet wins over them. No style attribute, no script.
"""

from __future__ import annotations

from collections.abc import Sequence

from layout.changes import changed
from layout.cut_sizes import CutSizes
from layout.labels import (
    LEGEND,
    LEGEND_TURNED,
    draw_courses,
    draw_openings,
    least_piece,
    least_text,
    line_texts,
    opening_label,
    unsized_text,
)
from layout.result import LeastCut, Line, Result, SurfaceLayout
from layout.room import Point, Room, Surface
from layout.sheet import Sheet, num, outlines, shown, svg, text_wide
from layout.tiling import draw_tiles
from trade.words import Say, english, gettext_noop

WIDE, TALL = 300.0, 420.0
"""Units that the surface itself is fitted into. A sheet is some 440 wide with its margins, so that on a phone of 390 px
its text, 12 to 14 units high, is about 10 px or more."""

_SIZED = gettext_noop("%(kind)s, %(wide)s wide, %(high)s high.")
_COUNTED = gettext_noop("%(whole)s full tiles, %(cut)s cut pieces.")
_OPENINGS = gettext_noop("Openings: %s.")

LONG = 420.0
"""Units that a long low surface is fitted into: its pieces would be too small to be read."""


def surface_svg(room: Room, result: Result, surface_id: str, *, title: bool = True) -> str:
    """Return the drawing of a surface in the chosen option as an `svg` element.

    With `title`, a title and a description for those who hear the page; without, it is hidden from them, for where the
    text beside it says the same. Raises KeyError for an unknown surface.
    """
    surface, laid = changed(room, result.option.changes).surface(surface_id), result.surface(surface_id)
    return draw_surface(room, surface, laid, result.option.least_cut, title=title)


def draw_surface(
    room: Room,
    surface: Surface,
    laid: SurfaceLayout,
    smallest: LeastCut | None,
    *,
    title: bool = True,
    say: Say = english,
) -> str:
    """Return the same of a surface as it will be set and as it was laid; `smallest`: the cut of the whole option.

    `say` tells what is written in a reader's language.
    """
    left, bottom, right, top = surface.bounds
    wide = LONG if right - left > 3 * (top - bottom) else WIDE
    scale = min(wide / (right - left), TALL / (top - bottom))
    sheet = Sheet(scale, left, top, (right - left) * scale, (top - bottom) * scale, room.units, say=say)
    notes = line_texts(sheet, laid)
    draw_tiles(sheet, room, surface, laid)
    if surface.openings:
        sheet.path("open", outlines(sheet, [opening.outline for opening in surface.openings]))
    least = least_piece(smallest, laid)
    if least is not None:
        sheet.path("least", outlines(sheet, [least.outline, *least.holes]))
        notes.append(least_text(sheet, smallest, surface, least))
    for line in laid.lines:
        _draw_line(sheet, line)
    if laid.slants:
        draw_slants(sheet, surface, laid.datum)
    _draw_size(sheet)
    if surface.pattern.square:
        draw_courses(sheet, surface, laid)
    sizes = CutSizes(sheet, room, surface, laid)
    named = sizes.draw()
    notes += draw_openings(sheet, surface)
    if sizes.unsized:
        notes.append(unsized_text(sheet, sizes.unsized))
    if named:
        notes.append(say(LEGEND if surface.pattern.square else LEGEND_TURNED))
    name = shown(surface.name, 200) if title else ""
    return svg(sheet, notes, name=name, told=told_of(sheet, surface, laid, notes))


def told_of(sheet: Sheet, surface: Surface, laid: SurfaceLayout, notes: Sequence[str]) -> str:
    """Return in words what the drawing shows."""
    left, bottom, right, top = surface.bounds
    whole = sum(piece.whole for piece in laid.pieces)
    said = [
        sheet.say(_SIZED)
        % {
            "kind": sheet.say(surface.kind.capitalize()),
            "wide": sheet.length(right - left),
            "high": sheet.length(top - bottom),
        },
        sheet.say(_COUNTED) % {"whole": whole, "cut": len(laid.pieces) - whole},
    ]
    if surface.openings:
        said.append(sheet.say(_OPENINGS) % ", ".join(opening_label(opening) for opening in surface.openings))
    return " ".join([*said, *notes])


def _draw_line(sheet: Sheet, line: Line) -> None:
    """Draw a level or plumb line with its measure from the edge; one that lies off the surface is left out."""
    width, height = sheet.width, sheet.height
    if line.axis == "y":
        y = sheet.y(line.at)
        if not -0.5 <= y <= height + 0.5:
            return
        sheet.stroke("line", -12, y, width + 22, y, ticks=False)
        sheet.text("dim", sheet.say(line.name), width + 26, y + 4.5, anchor="start")
        begin = height if line.start is None else sheet.y(line.start)
        if abs(begin - y) > 0.5:
            sheet.stroke("dimline", -18, begin, -18, y)
            half = text_wide("dim", line.text) / 2
            sheet.text("dim", line.text, -23, max(half, min((y + begin) / 2, height - half)), upright=True)
        return
    x = sheet.x(line.at)
    if not -0.5 <= x <= width + 0.5:
        return
    sheet.stroke("line", x, -18, x, height + 38, ticks=False)
    sheet.text("dim", sheet.say(line.name), x, height + 51)
    begin = 0.0 if line.start is None else sheet.x(line.start)
    if abs(x - begin) > 0.5:
        sheet.stroke("dimline", begin, height + 16, x, height + 16)
        if abs(x - begin) > text_wide("dim", line.text) + 6:
            sheet.text("dim", line.text, (begin + x) / 2, height + 31)
        elif begin > x:
            sheet.text("dim", line.text, begin + 6, height + 21, anchor="start")
        else:
            sheet.text("dim", line.text, -6, height + 21, anchor="end")


def draw_slants(sheet: Sheet, surface: Surface, datum: Point) -> None:
    """Draw the two lines at 45 degrees through the datum, as far as the surface's bounds reach."""
    left, bottom, right, top = surface.bounds
    x, y = datum
    for rise in (1.0, -1.0):
        reaches = sorted(((bottom - y) / rise, (top - y) / rise))
        low, high = max(left - x, reaches[0]), min(right - x, reaches[1])
        if low < high:
            a, b = ((num(sheet.x(x + way)), num(sheet.y(y + rise * way))) for way in (low, high))
            sheet.path("line", f"M{a[0]},{a[1]} L{b[0]},{b[1]}")


def _draw_size(sheet: Sheet) -> None:
    """Draw the surface's own width and height, outside everything else."""
    width, height = sheet.width, sheet.height
    sheet.stroke("dimline", 0, height + 62, width, height + 62)
    sheet.text("dim", sheet.length(width / sheet.scale), width / 2, height + 77)
    sheet.stroke("dimline", -46, height, -46, 0)
    sheet.text("dim", sheet.length(height / sheet.scale), -51, height / 2, upright=True)
