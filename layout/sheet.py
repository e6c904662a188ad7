"""The paper under a drawing: its scale, its marks in order, and what stands where, so that nothing covers text."""

from __future__ import annotations

import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from layout.metrics import ASCENT, DESCENT, advance, known
from layout.room import Point, Units
from trade.lengths import format_length
from trade.words import Say, english

LOOK = {
    "gap": 'fill="#efe9dc" stroke="#1f272a" stroke-width="1.6"',
    "tile": 'fill="#fffdf9" stroke="#8f8778" stroke-width="0.7"',
    "cut": 'fill="#b9d3cf" stroke="#5a6569" stroke-width="0.7"',
    "least": 'fill="none" stroke="#1f272a" stroke-width="2.6"',
    "open": 'fill="#fff" stroke="#1f272a" stroke-width="1.2"',
    "patch": 'fill="#fffdf9"',
    "line": 'fill="none" stroke="#99281d" stroke-width="1.1" stroke-dasharray="9 4"',
    "contour": 'fill="none" stroke="#5a6569" stroke-width="0.9"',
    "contour-zero": 'fill="none" stroke="#1f272a" stroke-width="2"',
    "high": 'fill="none" stroke="#99281d" stroke-width="1.1"',
    "low": 'fill="none" stroke="#5a6569" stroke-width="1.6" stroke-linecap="round"',
    "spot": 'fill="none" stroke="#1f272a" stroke-width="5" stroke-linecap="round"',
    "dimline": 'fill="none" stroke="#1f272a" stroke-width="0.8"',
    "dim": 'fill="#1f272a" font-size="14"',
    "lab": 'fill="#3d474b" font-size="13"',
    "num": 'fill="#1f272a" font-size="12"',
}
SIZE = {"dim": 14.0, "lab": 13.0, "num": 12.0}

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, in units of the drawing."""

NARROWEST = 360.0
"""Units. The least width of a sheet."""

ROW = 17.0
"""Units from row to row under a drawing."""

SPARE = 0.86
"""Of a row's width: a file opened without our face is set in another one, which may run wider."""

CELL = 32.0


@dataclass(slots=True)
class _Taken:
    """Boxes, found again by the cells that they lie in."""

    cells: dict[tuple[int, int], list[Box]] = data_field(default_factory=lambda: defaultdict(list))

    def add(self, box: Box) -> None:
        for cell in _cells(box):
            self.cells[cell].append(box)

    def free(self, box: Box) -> bool:
        return not any(overlap(box, other) for cell in _cells(box) for other in self.cells.get(cell, ()))


@dataclass(slots=True)
class Sheet:
    """The drawing under way: marks in order, and the boxes of all text and of all thin lines."""

    scale: float
    left: float
    top: float
    width: float
    height: float
    units: Units
    look: Mapping[str, str] = data_field(default_factory=lambda: LOOK)
    say: Say = english
    """What is written is said in this language."""
    marks: list[str] = data_field(default_factory=list)
    texts: list[str] = data_field(default_factory=list)
    boxes: list[Box] = data_field(default_factory=list)
    """All that must be on the paper."""
    written: list[Box] = data_field(default_factory=list)
    """Those of them that are text."""
    _texts: _Taken = data_field(default_factory=_Taken)
    _strokes: _Taken = data_field(default_factory=_Taken)

    def x(self, mm: float) -> float:
        return (mm - self.left) * self.scale

    def y(self, mm: float) -> float:
        return (self.top - mm) * self.scale

    def path(self, name: str, data: str) -> None:
        self.marks.append(f'<path d="{data}" class="{name}" {self.look[name]}/>')

    def stroke(self, name: str, x0: float, y0: float, x1: float, y1: float, *, ticks: bool = True) -> None:
        """Draw a level or plumb line that no text may cross, as a dimension line with a tick across each end."""
        data = f"M{num(x0)},{num(y0)} L{num(x1)},{num(y1)}"
        self.path(name, ticked(x0, y0, x1, y1) if ticks else data)
        box = (min(x0, x1) - 1.5, min(y0, y1) - 1.5, max(x0, x1) + 1.5, max(y0, y1) + 1.5)
        self._strokes.add(box)
        self.boxes.append(box)

    def text(self, name: str, text: str, x: float, y: float, *, anchor: str = "middle", upright: bool = False) -> None:
        """Put text with its baseline at (x, y), reading up where `upright`."""
        box = text_box(name, text, x, y, anchor, upright)
        self.boxes.append(box)
        self.written.append(box)
        self._texts.add(box)
        turn = f' transform="rotate(-90 {num(x)} {num(y)})"' if upright else ""
        # Another face draws what ours lacks, as wide as it likes: held to its box.
        held = "" if known(text) else f' textLength="{num(text_wide(name, text))}" lengthAdjust="spacingAndGlyphs"'
        self.texts.append(
            f'<text x="{num(x)}" y="{num(y)}" class="{name}" {self.look[name]} text-anchor="{anchor}"{turn}{held}>'
            f"{escape(text)}</text>"
        )

    def patch(self, box: Box) -> None:
        """Put paper under a text where it stands on tiles."""
        x0, y0, x1, y1 = max(box[0], 0.0), max(box[1], 0.0), min(box[2], self.width), min(box[3], self.height)
        if x0 >= x1 or y0 >= y1:
            return
        self.path("patch", f"M{num(x0)},{num(y0)} H{num(x1)} V{num(y1)} H{num(x0)}Z")

    def extent(self) -> Box:
        """Return the box of all that is drawn, the surface among it."""
        boxes = [(0.0, 0.0, self.width, self.height), *self.boxes]
        x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
        return x0, y0, max(box[2] for box in boxes), max(box[3] for box in boxes)

    def free(self, box: Box) -> bool:
        """Whether no text stands in a box yet."""
        return self._texts.free(box)

    def clear(self, box: Box) -> bool:
        """Whether neither text stands in a box nor a snapped line or dimension line runs through it."""
        return self._texts.free(box) and self._strokes.free(box)

    def length(self, mm: float) -> str:
        return format_length(mm, unit=self.units)


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def within(inner: Box, outer: Box) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box[0] // CELL), int(box[2] // CELL) + 1):
        for row in range(int(box[1] // CELL), int(box[3] // CELL) + 1):
            yield column, row


def outlines(sheet: Sheet, loops: Iterable[Sequence[Point]]) -> str:
    """Return closed loops, in mm on the surface, as the data of a path."""
    across, up = _Said(sheet.x), _Said(sheet.y)
    return "".join(_loop([(across[x], up[y]) for x, y in loop]) for loop in loops)


class _Said(dict[float, str]):
    """Places in mm as a drawing says them, each worked out once: tiles of a course, or of a column, share theirs."""

    def __init__(self, place: Callable[[float], float]) -> None:
        super().__init__()
        self.place = place

    def __missing__(self, mm: float) -> str:
        found = self[mm] = num(self.place(mm))
        return found


def _loop(at: Sequence[tuple[str, str]]) -> str:
    """Return a loop as short as it can be said: level and plumb sides by H and V."""
    said = [f"M{at[0][0]},{at[0][1]}"]
    for (x0, y0), (x1, y1) in pairwise(at):
        if x0 == x1 and y0 == y1:
            continue
        said.append(f"V{y1}" if x0 == x1 else f"H{x1}" if y0 == y1 else f"L{x1},{y1}")
    return "".join(said) + "Z"


def ticked(x0: float, y0: float, x1: float, y1: float) -> str:
    """Return a dimension line with a short stroke across each end."""
    tick = "m-3,0 h6" if x0 == x1 else "m0,-3 v6"
    return f"M{num(x0)},{num(y0)} L{num(x1)},{num(y1)} M{num(x0)},{num(y0)} {tick} M{num(x1)},{num(y1)} {tick}"


def text_wide(name: str, text: str) -> float:
    """Return how wide a text of a class is, in units."""
    return advance(text) * SIZE[name]


def text_box(name: str, text: str, x: float, y: float, anchor: str, upright: bool) -> Box:
    """Return the box that text takes."""
    wide, size = text_wide(name, text), SIZE[name]
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    if upright:
        return x - size * ASCENT, y - wide + before, x + size * DESCENT, y + before
    return x - before, y - size * ASCENT, x - before + wide, y + size * DESCENT


def shown(name: str, most: int = 40) -> str:
    """Return a name as it may stand on a drawing: printable, on one line, no longer than `most` characters.

    Signs that turn the direction of the text around them are left out; letters that read from the right stay.
    """
    kept = "".join(each if each.isprintable() else " " for each in name if unicodedata.category(each) != "Cf")
    kept = " ".join(kept.split())
    return kept if len(kept) <= most else f"{kept[: most - 1].rstrip()}…"


def wrapped(name: str, text: str, most: float) -> list[str]:
    """Return a text in rows no wider than `most` units; a word that is wider is broken."""
    rows: list[str] = []
    row = ""
    for word in text.split():
        rest = word
        if row and text_wide(name, f"{row} {rest}") <= most:
            row = f"{row} {rest}"
            continue
        if row:
            rows.append(row)
        while text_wide(name, rest) > most:
            end = next(n for n in range(len(rest), 0, -1) if n == 1 or text_wide(name, rest[:n]) <= most)
            rows.append(rest[:end])
            rest = rest[end:]
        row = rest
    return [*rows, row] if row else rows


def num(value: float) -> str:
    """Return a coordinate with a decimal at most."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text


def svg(
    sheet: Sheet, notes: Sequence[str], *, name: str = "", told: str = "", least: float = NARROWEST, points: float = 0.0
) -> str:
    """Return the drawing as an `svg` element `least` units wide at least, the notes in rows under it.

    `points`: how many of them a unit takes on paper; without, the drawing takes the width that it is given.

    With a `name`, that is its title and `told` its description; without, it is hidden from those who hear the page.
    """
    x0, _top, x1, low = sheet.extent()
    x0, x1 = x0 - 6, x1 + 6
    # A narrow surface gets paper beside it, so that its text is no larger than on its neighbors.
    spare = max(0.0, least - (x1 - x0)) / 2
    x0, x1 = x0 - spare, x1 + spare
    under = low + 22
    rows = [row for note in notes for row in wrapped("lab", note, (x1 - x0 - 12) * SPARE)]
    for number, row in enumerate(rows):
        sheet.text("lab", row, x0 + 6, under + ROW * number, anchor="start")
    _left, y0, _right, y1 = sheet.extent()
    return closed(sheet, (x0, y0 - 6, x1, y1 + 6), name=name, told=told, points=points)


def closed(sheet: Sheet, view: Box, *, name: str, told: str, points: float = 0.0) -> str:
    """Return what is drawn within a view as an `svg` element; on paper a unit takes so many `points`."""
    x0, y0, x1, y1 = view
    wide, high = num(x1 - x0), num(y1 - y0)
    face = quoteattr("Atkinson Hyperlegible Next, system-ui, sans-serif")
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{num(x0)} {num(y0)} {wide} {high}" font-family={face}'
    if points:
        head += f' width="{num((x1 - x0) * points)}pt" height="{num((y1 - y0) * points)}pt"'
    if name:
        head += f' role="img"><title>{escape(name)}</title><desc>{escape(told)}</desc>'
    else:
        head += ' aria-hidden="true">'
    return f"{head}{''.join(sheet.marks)}{''.join(sheet.texts)}</svg>"
