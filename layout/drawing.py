"""One surface as a drawing to scale, dimensioned as a setter would pencil it.

The same SVG goes on page, phone and paper. Classes carry the look; the attributes beside them say the same for where no
style sheet reaches (a file by itself, a PDF), and a style sheet wins over them. No style attribute, no script.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from layout.result import Line, Piece, Result, SurfaceLayout
from layout.room import SOFT, Opening, Point, Room, Surface, Units
from trade.lengths import format_length

WIDE, TALL = 420.0, 480.0
"""Units that the surface itself is fitted into; text is 12 and 13 units high, so a 390 px phone shows it legibly."""

NARROWEST = 330.0
"""Units. The least width of a sheet."""

_LOOK = {
    "gap": 'fill="#efe9dc" stroke="#1f272a" stroke-width="1.6"',
    "tile": 'fill="#fffdf9" stroke="#8f8778" stroke-width="0.7"',
    "cut": 'fill="#dfecea" stroke="#8f8778" stroke-width="0.7"',
    "open": 'fill="#fff" stroke="#1f272a" stroke-width="1.2"',
    "line": 'fill="none" stroke="#99281d" stroke-width="1.1" stroke-dasharray="9 4"',
    "dimline": 'fill="none" stroke="#1f272a" stroke-width="0.8"',
    "dim": 'fill="#1f272a" font-size="13"',
    "lab": 'fill="#5a6569" font-size="12"',
}
_SIZE = {"dim": 13.0, "lab": 12.0}
_EM = 0.6
"""Width of a character in its size, on the generous side, for keeping text apart."""

Box = tuple[float, float, float, float]


@dataclass(slots=True)
class _Sheet:
    """The drawing under way: marks in order, and the boxes of all text, so that none covers another."""

    scale: float
    left: float
    top: float
    width: float
    height: float
    units: Units
    marks: list[str] = data_field(default_factory=list)
    boxes: list[Box] = data_field(default_factory=list)
    lines: list[tuple[str, float]] = data_field(default_factory=list)
    """The snapped lines drawn: axis and where, in units."""

    def x(self, mm: float) -> float:
        return (mm - self.left) * self.scale

    def y(self, mm: float) -> float:
        return (self.top - mm) * self.scale

    def path(self, name: str, data: str) -> None:
        self.marks.append(f'<path d="{data}" class="{name}" {_LOOK[name]}/>')

    def text(self, name: str, text: str, x: float, y: float, *, anchor: str = "middle", upright: bool = False) -> None:
        """Put text with its baseline at (x, y), reading up where `upright`."""
        self.boxes.append(_box(name, text, x, y, anchor, upright))
        turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if upright else ""
        self.marks.append(
            f'<text x="{_n(x)}" y="{_n(y)}" class="{name}" {_LOOK[name]} text-anchor="{anchor}"{turn}>'
            f"{escape(text)}</text>"
        )

    def free(self, box: Box) -> bool:
        return not any(
            box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3] for other in self.boxes
        )

    def length(self, mm: float) -> str:
        return format_length(mm, unit=self.units)


def surface_svg(room: Room, result: Result, surface_id: str, *, title: bool = True) -> str:
    """Return the drawing of a surface in the chosen option as an `svg` element.

    With `title`, a title and a description for those who hear the page; without, it is hidden from them, for where the
    text beside it says the same. Raises KeyError for an unknown surface.
    """
    surface, laid = room.surface(surface_id), result.surface(surface_id)
    left, bottom, right, top = surface.bounds
    scale = min(WIDE / (right - left), TALL / (top - bottom))
    sheet = _Sheet(scale, left, top, (right - left) * scale, (top - bottom) * scale, room.units)
    sheet.path("gap", _loops(sheet, [surface.outline]))
    for name, whole in (("tile", True), ("cut", False)):
        loops = [loop for piece in laid.pieces if piece.whole == whole for loop in (piece.outline, *piece.holes)]
        if loops:
            sheet.path(name, _loops(sheet, loops))
    for opening in surface.openings:
        sheet.path("open", _loops(sheet, [opening.outline]))
    for line in laid.lines:
        _draw_line(sheet, line)
    _draw_sizes(sheet)
    _draw_cuts(sheet, surface, laid)
    _draw_openings(sheet, surface)
    return _svg(sheet, surface, laid, title=title)


def _svg(sheet: _Sheet, surface: Surface, laid: SurfaceLayout, *, title: bool) -> str:
    boxes = [(0.0, 0.0, sheet.width, sheet.height), (-16.0, -12.0, sheet.width + 10, sheet.height + 40), *sheet.boxes]
    x0, y0 = (min(box[n] for box in boxes) - 6 for n in (0, 1))
    x1, y1 = (max(box[n] for box in boxes) + 6 for n in (2, 3))
    # A narrow surface gets paper beside it, so that its text is no larger than on its neighbors.
    spare = max(0.0, NARROWEST - (x1 - x0)) / 2
    x0, x1 = x0 - spare, x1 + spare
    view = " ".join(_n(value) for value in (x0, y0, x1 - x0, y1 - y0))
    face = quoteattr("Atkinson Hyperlegible Next, system-ui, sans-serif")
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" font-family={face}'
    if title:
        name = escape(surface.name)
        head += f' role="img"><title>{name}</title><desc>{escape(_told(sheet, surface, laid))}</desc>'
    else:
        head += ' aria-hidden="true">'
    return head + "".join(sheet.marks) + "</svg>"


def _told(sheet: _Sheet, surface: Surface, laid: SurfaceLayout) -> str:
    """Return in words what the drawing shows."""
    left, bottom, right, top = surface.bounds
    whole = sum(piece.whole for piece in laid.pieces)
    said = [
        f"{surface.kind.capitalize()}, {sheet.length(right - left)} wide, {sheet.length(top - bottom)} high.",
        f"{whole} full tiles, {len(laid.pieces) - whole} cut pieces.",
        *(f"{line.name.capitalize()} {line.text} from the {line.origin}." for line in laid.lines),
    ]
    if surface.openings:
        said.append(f"Openings: {', '.join(_label(opening) for opening in surface.openings)}.")
    return " ".join(said)


def _draw_line(sheet: _Sheet, line: Line) -> None:
    """Draw a level or plumb line with its measure from the edge; one that lies off the surface is left out."""
    width, height = sheet.width, sheet.height
    if line.axis == "y":
        y = sheet.y(line.at)
        if not -0.5 <= y <= height + 0.5:
            return
        sheet.lines.append(("y", y))
        sheet.path("line", f"M-14,{_n(y)} H{_n(width + 8)}")
        sheet.text("dim", line.name, width + 12, y + 4.5, anchor="start")
        if height - y > 0.5:
            sheet.path("dimline", _ticked(-20, height, -20, y))
            half = _wide("dim", line.text) / 2
            sheet.text("dim", line.text, -26, min((y + height) / 2, height - half), upright=True)
        return
    x = sheet.x(line.at)
    if not -0.5 <= x <= width + 0.5:
        return
    sheet.lines.append(("x", x))
    sheet.path("line", f"M{_n(x)},-10 V{_n(height + 38)}")
    sheet.text("dim", line.name, x, height + 51)
    if x > 0.5:
        sheet.path("dimline", _ticked(0, height + 16, x, height + 16))
        if x > _wide("dim", line.text) + 6:
            sheet.text("dim", line.text, x / 2, height + 31)
        else:
            sheet.text("dim", line.text, -6, height + 20, anchor="end")


def _draw_sizes(sheet: _Sheet) -> None:
    """Draw the surface's own width and height, outside everything else."""
    width, height = sheet.width, sheet.height
    sheet.path("dimline", _ticked(0, height + 62, width, height + 62))
    sheet.text("dim", sheet.length(width / sheet.scale), width / 2, height + 77)
    sheet.path("dimline", _ticked(-50, height, -50, 0))
    sheet.text("dim", sheet.length(height / sheet.scale), -56, height / 2, upright=True)


def _draw_cuts(sheet: _Sheet, surface: Surface, laid: SurfaceLayout) -> None:
    """Draw the sizes of the top course's cuts: its first and last piece's width above, its height at the right."""
    if not laid.pieces:
        return
    top = max(_bounds(piece)[3] for piece in laid.pieces)
    course = sorted(
        (piece for piece in laid.pieces if _bounds(piece)[3] > top - 1.5), key=lambda piece: _bounds(piece)[0]
    )
    width, height = surface.tile.width, surface.tile.height
    ends = [piece for piece in dict.fromkeys((course[0], course[-1])) if _width(piece) < width - SOFT]
    row = -14.0
    for piece in ends:
        left, _, right, _ = _bounds(piece)
        text = sheet.length(right - left)
        middle = (sheet.x(left) + sheet.x(right)) / 2
        if not sheet.free(_box("dim", text, middle, row - 6, "middle", False)):
            row -= 20
        sheet.path("dimline", _ticked(sheet.x(left), row, sheet.x(right), row))
        sheet.text("dim", text, middle, row - 6)
    last = course[-1]
    _, low, right, high = _bounds(last)
    if high - low >= height - SOFT:
        return
    text = sheet.length(high - low)
    x = sheet.width + 30
    middle = max((sheet.y(low) + sheet.y(high)) / 2, _wide("dim", text) / 2)
    if sheet.free(_box("dim", text, x, middle, "middle", True)) and sheet.x(right) > sheet.width - 20:
        sheet.path("dimline", _ticked(sheet.width + 14, sheet.y(low), sheet.width + 14, sheet.y(high)))
        sheet.text("dim", text, x, middle, upright=True)


def _draw_openings(sheet: _Sheet, surface: Surface) -> None:
    """Label each opening in its middle, or by a letter that is told below where its name doesn't fit."""
    told: list[str] = []
    for opening in surface.openings:
        x, y, wide, tall = _roomiest(sheet, opening)
        label = _label(opening)
        level = [(x + dx * wide / 4, y + 4 + dy * tall / 4) for dx, dy in _TRIES]
        upright = [(x + 4 + dx * wide / 4, y + dy * tall / 4) for dx, dy in _TRIES]
        room = (x - wide / 2 + 1, y - tall / 2 + 1, x + wide / 2 - 1, y + tall / 2 - 1)
        tries = [
            (clear, places, turned) for clear in (True, False) for places, turned in ((level, False), (upright, True))
        ]
        found = (
            (at, turned)
            for clear, places, turned in tries
            if (at := _fitting(sheet, label, places, room, upright=turned, clear=clear))
        )
        if fit := next(found, None):
            sheet.text("lab", label, *fit[0], upright=fit[1])
        else:
            letter = _letter(len(told))
            told.append(f"{letter} {label}")
            beside = [(x, y + 4), (x + wide / 2 + 10, y + 4), (x - wide / 2 - 10, y + 4), (x, y - tall / 2 - 4)]
            fits = wide >= _wide("lab", letter) + 2 and tall >= 12
            for at in beside if fits else beside[1:]:
                if sheet.free(_box("lab", letter, *at, "middle", False)):
                    sheet.text("lab", letter, *at)
                    break
    for row, text in enumerate(_wrapped(told, max(sheet.width, 200.0))):
        sheet.text("lab", text, 0, sheet.height + 97 + 16 * row, anchor="start")


_TRIES = ((0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, 1))
"""Where in an opening its name may stand, in quarters from its middle, should a line run through it there."""


def _fitting(
    sheet: _Sheet, label: str, places: Sequence[tuple[float, float]], room: Box, *, upright: bool, clear: bool
) -> tuple[float, float] | None:
    """Return the first place where the label stays within `room`, and `clear` of the snapped lines where asked."""
    for place in places:
        box = _box("lab", label, *place, "middle", upright)
        inside = room[0] <= box[0] and room[1] <= box[1] and box[2] <= room[2] and box[3] <= room[3]
        if inside and not (clear and any(_crosses(line, box) for line in sheet.lines)):
            return place
    return None


def _crosses(line: tuple[str, float], box: Box) -> bool:
    axis, at = line
    return box[0] - 2 < at < box[2] + 2 if axis == "x" else box[1] - 2 < at < box[3] + 2


def _roomiest(sheet: _Sheet, opening: Opening) -> tuple[float, float, float, float]:
    """Return the middle, width and height, in units, of the opening's box; of an L the box of its longest part."""
    xs, ys = sorted({x for x, _ in opening.outline}), sorted({y for _, y in opening.outline})
    best = (0.0, 0.0, 0.0, 0.0)
    for y0, y1 in pairwise(ys):
        for x0, x1 in _spans(opening.outline, (y0 + y1) / 2):
            if (x1 - x0) * (y1 - y0) > best[2] * best[3]:
                best = ((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0)
    if len(xs) == 2:
        best = ((xs[0] + xs[1]) / 2, (ys[0] + ys[-1]) / 2, xs[1] - xs[0], ys[-1] - ys[0])
    x, y, wide, tall = best
    return sheet.x(x), sheet.y(y), wide * sheet.scale, tall * sheet.scale


def _spans(outline: Sequence[Point], y: float) -> Iterable[tuple[float, float]]:
    """Yield the stretches of x that a level line crosses inside an outline."""
    crossed = []
    for n, (x, end) in enumerate(outline):
        before_x, start = outline[n - 1]
        if x == before_x and min(start, end) <= y < max(start, end):
            crossed.append(x)
    crossed.sort()
    yield from zip(crossed[::2], crossed[1::2], strict=True)


def _wrapped(parts: Sequence[str], wide: float) -> list[str]:
    rows: list[str] = []
    for part in parts:
        longer = f"{rows[-1]} · {part}" if rows else part
        if rows and _wide("lab", longer) <= wide:
            rows[-1] = longer
        else:
            rows.append(part)
    return rows


def _label(opening: Opening) -> str:
    return opening.id if len(opening.id) <= 24 else f"{opening.id[:23]}…"


def _letter(number: int) -> str:
    return chr(ord("A") + number) if number < 26 else f"{_letter(number // 26 - 1)}{_letter(number % 26)}"


def _bounds(piece: Piece) -> Box:
    xs, ys = [x for x, _ in piece.outline], [y for _, y in piece.outline]
    return min(xs), min(ys), max(xs), max(ys)


def _width(piece: Piece) -> float:
    left, _, right, _ = _bounds(piece)
    return right - left


def _loops(sheet: _Sheet, loops: Iterable[Sequence[Point]]) -> str:
    return " ".join("M" + " L".join(f"{_n(sheet.x(x))},{_n(sheet.y(y))}" for x, y in loop) + "Z" for loop in loops)


def _ticked(x0: float, y0: float, x1: float, y1: float) -> str:
    """Return a dimension line with a short stroke across each end."""
    tick = "m-3,0 h6" if x0 == x1 else "m0,-3 v6"
    return f"M{_n(x0)},{_n(y0)} L{_n(x1)},{_n(y1)} M{_n(x0)},{_n(y0)} {tick} M{_n(x1)},{_n(y1)} {tick}"


def _wide(name: str, text: str) -> float:
    return len(text) * _SIZE[name] * _EM


def _box(name: str, text: str, x: float, y: float, anchor: str, upright: bool) -> Box:
    """Return the box that text takes: left, top, right, bottom."""
    wide, size = _wide(name, text), _SIZE[name]
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    if upright:
        return x - size * 0.8, y - wide + before, x + size * 0.25, y + before
    return x - before, y - size * 0.8, x - before + wide, y + size * 0.25


def _n(value: float) -> str:
    """Return a coordinate with a decimal at most."""
    text = f"{value:.1f}"
    text = text[:-2] if text.endswith(".0") else text
    return "0" if text == "-0" else text
