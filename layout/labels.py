"""What is written on and under a drawing: openings with where they stand, courses and columns, the smallest cut."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from shapely import maximum_inscribed_circle
from shapely.geometry import Polygon

from layout.result import LeastCut, Piece, SurfaceLayout
from layout.room import SOFT, Opening, Point, Surface
from layout.sheet import Box, Sheet, shown, text_box, within
from trade.words import gettext_noop

LEGEND = gettext_noop("1:-1 on a piece: course 1, column -1, as in the cut list. Numbers at the rim: courses, columns.")
LEGEND_TURNED = gettext_noop("1:-1 on a piece: course 1, column -1, as in the cut list.")
UNSIZED = gettext_noop("No room for these cuts' numbers: %s.")
MORE_UNSIZED = gettext_noop("%s and more, as in the cut list")
LEAST = gettext_noop("Smallest cut, heavy outline: %(piece)s, %(size)s.")
LEAST_HERE = gettext_noop("Smallest cut here, heavy outline: %(piece)s, %(size)s.")
DRIFTS = gettext_noop("%(low)s to %(high)s as the joints drift")
LINE_AT = gettext_noop("%(line)s: %(size)s from %(origin)s.")
CENTER = gettext_noop("center %s")
FROM_THE_LEFT = gettext_noop("%s from the left")
UP = gettext_noop("%s up")
ACROSS = gettext_noop("%s across")
MOST_TOLD = 16
"""Cuts without a number on the drawing that are told under it."""


def unsized_text(sheet: Sheet, told: Sequence[str]) -> str:
    """Return the cuts that had no room for their number in a sentence."""
    listed = "; ".join(told[:MOST_TOLD])
    return sheet.say(UNSIZED) % (listed if len(told) <= MOST_TOLD else sheet.say(MORE_UNSIZED) % listed)


def least_piece(least: LeastCut | None, laid: SurfaceLayout) -> Piece | None:
    """Return the piece with the smallest cut of a surface: the option's, where it lies here; None without a cut."""
    here = next((piece for piece in laid.pieces if least is not None and piece.id == least.piece), None)
    cut = [piece for piece in laid.pieces if not piece.whole and piece.cut_share < 1]
    return here or min(cut, key=lambda piece: (piece.cut_share, piece.course, piece.column, piece.id), default=None)


def least_text(sheet: Sheet, least: LeastCut | None, surface: Surface, piece: Piece) -> str:
    """Return the smallest cut in a sentence: which piece, how much of it is left, and as the joints drift."""
    name = piece.id[len(surface.id) + 1 :]
    low, high = (sheet.length(mm) for mm in piece.range_mm)
    drift = low if low == high else sheet.say(DRIFTS) % {"low": low, "high": high}
    if least is None or least.piece != piece.id:
        return sheet.say(LEAST_HERE) % {"piece": name, "size": drift}
    return sheet.say(LEAST) % {"piece": name, "size": least.text if low == high else f"{least.text} ({drift})"}


def line_texts(sheet: Sheet, laid: SurfaceLayout) -> list[str]:
    """Return each line to snap in a sentence: how far it is from what."""
    return [
        sheet.say(LINE_AT)
        % {
            "line": sheet.say(line.name).capitalize(),
            "size": line.text,
            "origin": shown(sheet.say(line.origin), 60),
        }
        for line in (*laid.lines, *laid.slants)
    ]


def draw_openings(sheet: Sheet, surface: Surface) -> list[str]:
    """Label each opening with its size, and dimension it from the surface's left edge and foot.

    Of a round one the center is measured, of another the lower left corner. What finds no place on the drawing comes
    back in words; an opening too small for its name has a letter.
    """
    told: list[str] = []
    letters = 0
    for opening in surface.openings:
        x, y, wide, tall = _roomiest(sheet, opening)
        name, size = opening_label(opening), opening_size(opening, sheet)
        room = (x - wide / 2 + 1, y - tall / 2 + 1, x + wide / 2 - 1, y + tall / 2 - 1)
        missing = []
        if not _write(sheet, [name, size], room):
            missing.append(size)
            if not _write(sheet, [name], room):
                letter = _letter(letters)
                letters += 1
                name = f"{letter} ({name})"
                if not _write(sheet, [letter], room):
                    _beside(sheet, letter, _box(sheet, opening))
        missing += _measure_opening(sheet, opening)
        if missing or name[:2] == f"{_letter(letters - 1)} ":
            told.append(f"{name}: {', '.join(missing)}.")
    return told


def _write(sheet: Sheet, rows: Sequence[str], room: Box) -> bool:
    """Write rows in the middle of a room, level or upright, where nothing else is; say whether they fit."""
    x, y = (room[0] + room[2]) / 2, (room[1] + room[3]) / 2
    wide, tall = room[2] - room[0], room[3] - room[1]
    for clear in (sheet.clear, sheet.free):
        for upright in (False, True):
            for dx, dy in _TRIES:
                placed = []
                for n, text in enumerate(rows):
                    off = (n - (len(rows) - 1) / 2) * 15 + 4
                    at = (x + dx * wide / 4, y + dy * tall / 4)
                    at = (at[0] + off, at[1]) if upright else (at[0], at[1] + off)
                    box = text_box("lab", text, *at, "middle", upright)
                    if not within(box, room) or not clear(box):
                        break
                    placed.append((text, at))
                else:
                    for text, at in placed:
                        sheet.text("lab", text, *at, upright=upright)
                    return True
    return False


_TRIES = ((0, 0), (0, -1), (0, 1), (-1, 0), (1, 0), (-1, -1), (1, 1), (1, -1), (-1, 1))
"""Where in an opening its name may stand, in quarters from its middle, should a line run through it there."""


def _beside(sheet: Sheet, text: str, box: Box) -> None:
    """Write a letter next to an opening that is too small for it; the list under the drawing has it in any case."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + 4
    for at in ((box[2] + 8, y), (box[0] - 8, y), (x, box[1] - 5), (x, box[3] + 13), (box[2] + 22, y), (x, box[1] - 20)):
        area = text_box("lab", text, *at, "middle", False)
        if sheet.clear(area):
            sheet.patch(area)
            sheet.text("lab", text, *at)
            return


def _measure_opening(sheet: Sheet, opening: Opening) -> list[str]:
    """Draw how far an opening is from the left edge and the foot; return the measures that found no place."""
    x0, y0, x1, y1 = _box(sheet, opening)
    missed = []
    what = "%s"
    if opening.circle is not None:
        what = sheet.say(CENTER)
        x0 = x1 = (x0 + x1) / 2
        y0 = y1 = (y0 + y1) / 2
    across, up = sheet.length(x0 / sheet.scale), sheet.length((sheet.height - y1) / sheet.scale)
    soft = SOFT * sheet.scale
    if x0 > soft and not _measure(sheet, across, 0, x0, (y0, y1), level=True):
        missed.append(what % (sheet.say(FROM_THE_LEFT) % across))
    if sheet.height - y1 > soft and not _measure(sheet, up, y1, sheet.height, (x0, x1), level=False):
        missed.append(what % (sheet.say(UP) % up))
    return missed


def _measure(sheet: Sheet, text: str, start: float, end: float, over: tuple[float, float], *, level: bool) -> bool:
    """Draw a dimension line somewhere along an opening's side, its measure on a patch of paper, if there is a place."""
    for at in (over[0] + (over[1] - over[0]) * share for share in (0.5, 0.35, 0.65, 0.2, 0.8)):
        if not sheet.free((start, at - 1, end, at + 1) if level else (at - 1, start, at + 1, end)):
            continue
        for middle in (start + (end - start) * share for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)):
            for off in (-4.0, 13.0):
                x, y = (middle, at + off) if level else (at + off, middle)
                box = text_box("num", text, x, y, "middle", not level)
                low, high = (box[0], box[2]) if level else (box[1], box[3])
                if start <= low and high <= end and sheet.clear(box):
                    sheet.stroke("dimline", *((start, at, end, at) if level else (at, start, at, end)))
                    sheet.patch(box)
                    sheet.text("num", text, x, y, upright=not level)
                    return True
    return False


def draw_courses(sheet: Sheet, surface: Surface, laid: SurfaceLayout) -> None:
    """Number the courses at the right and the columns above, each at its middle, or every few where they are close.

    Courses that step from column to column have no number at the rim, columns that step from course to course none.
    """
    stepped = bool(surface.pattern.share)
    if surface.pattern.axis != "columns" or not stepped:
        pitch = (surface.tile.height + surface.joint) * sheet.scale
        step = max(1, math.ceil(16 / pitch))
        for course in sorted({piece.course for piece in laid.pieces}):
            bottom = sheet.y(laid.datum[1] + course * (surface.tile.height + surface.joint))
            y = _clipped(bottom - surface.tile.height * sheet.scale, bottom, sheet.height) + 4
            x = sheet.width + 5
            if course % step == 0 and sheet.clear(text_box("num", str(course), x, y, "start", False)):
                sheet.text("num", str(course), x, y, anchor="start")
    if surface.pattern.axis == "columns" or not stepped:
        pitch = (surface.tile.width + surface.joint) * sheet.scale
        step = max(1, math.ceil(26 / pitch))
        for column in sorted({piece.column for piece in laid.pieces}):
            left = sheet.x(laid.datum[0] + column * (surface.tile.width + surface.joint))
            x = _clipped(left, left + surface.tile.width * sheet.scale, sheet.width)
            if column % step == 0 and sheet.clear(text_box("num", str(column), x, -5, "middle", False)):
                sheet.text("num", str(column), x, -5)


def _clipped(low: float, high: float, most: float) -> float:
    """Return the middle of what is seen of a stretch."""
    return (max(low, 0.0) + min(high, most)) / 2


def opening_size(opening: Opening, sheet: Sheet) -> str:
    """Return an opening's width and height, or how far it is across."""
    if opening.circle is not None:
        return sheet.say(ACROSS) % sheet.length(2 * opening.circle[2])
    xs, ys = [x for x, _ in opening.outline], [y for _, y in opening.outline]
    return f"{sheet.length(max(xs) - min(xs))} x {sheet.length(max(ys) - min(ys))}"


def opening_label(opening: Opening) -> str:
    return shown(opening.id, 24) or shown(opening.kind, 24)


def _box(sheet: Sheet, opening: Opening) -> Box:
    xs, ys = [x for x, _ in opening.outline], [y for _, y in opening.outline]
    return sheet.x(min(xs)), sheet.y(max(ys)), sheet.x(max(xs)), sheet.y(min(ys))


def _roomiest(sheet: Sheet, opening: Opening) -> tuple[float, float, float, float]:
    """Return the middle, width and height, in units, of a box in an opening: of an L its longest part."""
    xs, ys = sorted({x for x, _ in opening.outline}), sorted({y for _, y in opening.outline})
    if any(
        x != opening.outline[n - 1][0] and y != opening.outline[n - 1][1] for n, (x, y) in enumerate(opening.outline)
    ):
        (x, y), rim = maximum_inscribed_circle(Polygon(opening.outline)).coords
        radius = math.dist((x, y), rim) * sheet.scale
        # Twice as wide as high, in the circle.
        return sheet.x(x), sheet.y(y), 1.78 * radius, 0.89 * radius
    best = (0.0, 0.0, 0.0, 0.0)
    for y0, y1 in pairwise(ys):
        for x0, x1 in _spans(opening.outline, (y0 + y1) / 2):
            if (x1 - x0) * (y1 - y0) > best[2] * best[3]:
                best = ((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0)
    if len(xs) == 2:
        best = ((xs[0] + xs[1]) / 2, (ys[0] + ys[-1]) / 2, xs[1] - xs[0], ys[-1] - ys[0])
    x, y, across, tall = best
    return sheet.x(x), sheet.y(y), across * sheet.scale, tall * sheet.scale


def _spans(outline: Sequence[Point], y: float) -> Iterator[tuple[float, float]]:
    """Yield the stretches of x that a level line crosses inside an outline of level and plumb edges."""
    crossed = []
    for n, (x, end) in enumerate(outline):
        before_x, start = outline[n - 1]
        if x == before_x and min(start, end) <= y < max(start, end):
            crossed.append(x)
    crossed.sort()
    yield from zip(crossed[::2], crossed[1::2], strict=True)


def _letter(number: int) -> str:
    return chr(ord("A") + number) if number < 26 else f"{_letter(number // 26 - 1)}{_letter(number % 26)}"
