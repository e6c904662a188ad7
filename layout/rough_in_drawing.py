"""One surface of the rough-in as a small drawing to scale: its outline, what is framed or set in it, and from where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from layout.room import Surface, Units
from layout.sheet import Box, Sheet, num, outlines, overlap, shown, svg, text_box

WIDE, TALL = 132.0, 116.0
"""Units that the surface is fitted into: three drawings stand side by side on a page, their text 11 points high."""

POINTS = 11 / 12
"""Points to a unit: the smallest text of a drawing, 12 units high, is 11 points on paper."""

_ACROSS = ("left side of the rough opening", "left side of the opening", "center, across")
_UP = (
    "bottom of the rough opening",
    "bottom of the opening",
    "center, up",
    "center, away",
    "bottom of the blocking",
)
_TURN = 9.0
"""Units. Half of the box around an item's number."""

Item = Mapping[str, Any]


def rough_in_svg(surface: Surface, items: Sequence[tuple[int, Item]], *, units: Units) -> str:
    """Return the drawing of a surface, with each of its items (number on the sheet, item of `rough_in`) marked.

    A number or measure that has no free place in the drawing is left out: the sheet lists it. The text beside the
    drawing says all of it, so it is hidden from those who hear the page.
    """
    left, bottom, right, top = surface.bounds
    scale = min(WIDE / (right - left), TALL / (top - bottom))
    sheet = Sheet(scale, left, top, (right - left) * scale, (top - bottom) * scale, units)
    sheet.path("gap", outlines(sheet, [surface.outline]))
    sheet.path("open", "".join(outlines(sheet, [opening.outline]) for opening in surface.openings) or "M0,0")
    boxes = [(number, item, _on_paper(sheet, item)) for number, item in items]
    wanted = [_number(sheet, number, box) for number, _item, box in boxes if box is not None]
    numbers = [box for box in wanted if box is not None]
    for _at, item, box in boxes:
        if box is not None:
            _frame(sheet, box)
            _measures(sheet, item, box, numbers)
    _size(sheet)
    sheet.text("num", shown(surface.name, 24), sheet.width / 2, -6)
    return svg(sheet, [], least=WIDE + 60, points=POINTS)


def _on_paper(sheet: Sheet, item: Item) -> Box | None:
    """Return an item's box in units of the drawing; None where it is the whole surface, which isn't framed in it."""
    x0, y0, x1, y1 = item["box"]
    box = (sheet.x(x0), sheet.y(y1), sheet.x(x1), sheet.y(y0))
    return None if box[2] - box[0] >= sheet.width - 0.5 else box


def _frame(sheet: Sheet, box: Box) -> None:
    """Draw a rough opening as its frame, a center as a cross."""
    x0, y0, x1, y1 = box
    if x1 - x0 > 0.5:
        sheet.path("line", f"M{num(x0)},{num(y0)} H{num(x1)} V{num(y1)} H{num(x0)}Z")
        return
    y = (y0 + y1) / 2
    sheet.path("dimline", f"M{num(x0 - 5)},{num(y)} h10 M{num(x0)},{num(y - 5)} v10")
    if y1 - y0 > 0.5:
        sheet.path("line", f"M{num(x0 - 12)},{num(y0)} h24 M{num(x0 - 12)},{num(y1)} h24")


def _number(sheet: Sheet, number: int, box: Box) -> Box | None:
    """Write an item's number in it, or at the first free place beside its center; nowhere, where none is free."""
    x0, y0, x1, y1 = box
    x, y, text = (x0 + x1) / 2, (y0 + y1) / 2 + 4.5, str(number)
    places = [(x, y)] if x1 - x0 > 2 * _TURN else []
    places += [(x + 14, y), (x - 14, y), (x + 14, y - 14), (x + 14, y + 14), (x - 14, y - 14), (x - 14, y + 14)]
    boxes = [(at, text_box("dim", text, *at, "middle", False)) for at in places]
    inside = [(at, each) for at, each in boxes if each[0] > 1 and each[2] < sheet.width - 1]
    found = next(((at, each) for at, each in [*inside, *boxes] if sheet.free(each)), None)
    if found is None:
        return None
    (x, y), taken = found
    sheet.text("dim", text, x, y)
    return taken


def _measures(sheet: Sheet, item: Item, box: Box, numbers: Sequence[Box]) -> None:
    """Draw how far an item stands from the left and from the bottom, where nothing is in the way."""
    texts = {each["name"]: each["text"] for each in item["measures"]}
    x0, y0, x1, y1 = box
    across = next((texts[name] for name in _ACROSS if name in texts), "")
    if across and x0 > 4:
        middle = (y0 + y1) / 2
        _stroke(sheet, numbers, (0, middle, x0, middle), across, (x0 / 2, middle - 4), upright=False)
    up = next((texts[name] for name in _UP if name in texts), "")
    if up and sheet.height - y1 > 4:
        x = (x0 + x1) / 2
        _stroke(sheet, numbers, (x, y1, x, sheet.height), up, (x - 4, (y1 + sheet.height) / 2), upright=True)


def _stroke(
    sheet: Sheet,
    numbers: Sequence[Box],
    line: Box,
    text: str,
    at: tuple[float, float],
    *,
    upright: bool,
) -> None:
    """Draw a dimension line and its text; both or neither."""
    box = text_box("num", text, *at, "middle", upright)
    long = line[3] - line[1] if upright else line[2] - line[0]
    wide = box[3] - box[1] if upright else box[2] - box[0]
    on_number = any(overlap((line[0] - 1, line[1] - 1, line[2] + 1, line[3] + 1), each) for each in numbers)
    inside = box[0] > 0 and box[1] > 0 and box[2] < sheet.width and box[3] < sheet.height
    if on_number or not inside or wide + 4 > long or not sheet.clear(box) or not sheet.free(line):
        return
    sheet.stroke("dimline", *line)
    sheet.text("num", text, *at, upright=upright)


def _size(sheet: Sheet) -> None:
    """Draw the surface's own width and height, outside of everything else."""
    width, height = sheet.width, sheet.height
    sheet.stroke("dimline", 0, height + 8, width, height + 8)
    sheet.text("num", sheet.length(width / sheet.scale), width / 2, height + 22)
    sheet.stroke("dimline", -8, height, -8, 0)
    sheet.text("num", sheet.length(height / sheet.scale), -13, height / 2, upright=True)
