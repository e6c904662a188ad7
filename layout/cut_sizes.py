"""The sizes of the cuts on a drawing: each where it occurs, a row's or a column's once, as a setter pencils them.

A cut that runs level or plumb gets a dimension line across what is left of the tile, with its measure on the piece or,
where that is too narrow, beside it or at the end of a leader. A sloped piece has its cut sides measured along them, as
they are marked. A piece of a turned pattern has the box it fills in its tile's own axes, once for all of one shape.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from shapely import STRtree, prepare
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle

from layout.lattice import Lattice, lattice_of
from layout.result import Piece, SurfaceLayout
from layout.room import SOFT, Point, Room, Surface
from layout.sheet import Box, Sheet, text_box, text_wide, within
from trade.words import gettext_noop

WIDE, HIGH = gettext_noop("%s wide"), gettext_noop("%s high")

MOST_TRIED = 6
"""Pieces of one row or column that are tried for its measure."""

SMALLEST_NAMED = 14.0
"""Units. Pieces of tiles whose shorter side is drawn smaller have no names in them."""

MOST_SHAPES = 400
"""Measures along slopes and of turned pieces that are tried, on one drawing."""


SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
"""Where along a strip its dimension line may stand."""

FAR = (16.0, 28.0, 42.0, 58.0)
"""Units. How far from a piece its measure may stand, at the end of a leader."""


@dataclass(frozen=True, slots=True)
class Leg:
    """What is left of a tile, across (`x`) or up (`y`), mm: from `low` to `high`, on a strip of a piece."""

    axis: Literal["x", "y"]
    low: float
    high: float
    strip: Box
    """Left, bottom, right, top of the part of the piece that is this wide (or high), mm."""
    piece: int
    """Which of the cut pieces."""

    @property
    def mm(self) -> float:
        return self.high - self.low


class CutSizes:
    """The cut pieces of a surface on a sheet. `unsized` tells those measures that found no place, with their piece."""

    def __init__(self, sheet: Sheet, room: Room, surface: Surface, laid: SurfaceLayout) -> None:
        self.sheet, self.surface = sheet, surface
        self.lattice: Lattice | None = None if surface.pattern.square else lattice_of(surface, room.regrid)
        self.cut = [piece for piece in laid.pieces if not piece.whole]
        self.shapes = [_drawn(sheet, piece) for piece in self.cut]
        openings = [Polygon([(sheet.x(x), sheet.y(y)) for x, y in each.outline]) for each in surface.openings]
        self._in_the_way = STRtree([*self.shapes, *openings])
        self.unsized: list[str] = []

    def draw(self) -> bool:
        """Size every cut, then name the pieces by course and column; return whether any name is on the drawing."""
        named: set[int] = set()
        if self.lattice:
            named = self._draw_turned()
        else:
            self._draw_sloped(self._draw_legs())
        smallest = min(self.surface.tile.width, self.surface.tile.height) * self.sheet.scale
        if smallest >= SMALLEST_NAMED:
            for n, shape in enumerate(self.shapes):
                if n not in named and self._inside(shape, [self._name(n)]):
                    named.add(n)
        return bool(named)

    def _name(self, n: int) -> str:
        """Return a piece's course and column as in the cut list, without its surface."""
        return self.cut[n].id[len(self.surface.id) + 1 :]

    # -- level and plumb cuts

    def _draw_legs(self) -> set[tuple[str, int, int]]:
        """Size each row and column of level and plumb cuts once; return their axes, starts and ends."""
        groups: dict[tuple[str, int, int], list[Leg]] = defaultdict(list)
        for n, piece in enumerate(self.cut):
            for leg in legs_of(piece, n, self.surface):
                groups[_key(leg.axis, leg.low, leg.high)].append(leg)
        # Narrow ones first: they have the fewest places, and the setter looks for them.
        for legs in sorted(groups.values(), key=lambda legs: (legs[0].mm, legs[0].axis, legs[0].low, legs[0].strip)):
            if not self._draw_leg(legs):
                self.unsized.append(f"{self._name(legs[0].piece)} {self._told(legs[0])}")
        return set(groups)

    def _told(self, leg: Leg) -> str:
        return self._sized(self.sheet.length(leg.mm), level=leg.axis == "x")

    def _sized(self, text: str, *, level: bool) -> str:
        return self.sheet.say(WIDE if level else HIGH) % text

    def _draw_leg(self, legs: Sequence[Leg]) -> bool:
        """Draw one measure on the longest of its pieces that has a place for it."""
        along = 1 if legs[0].axis == "x" else 0
        ranked = sorted(legs, key=lambda leg: (round(leg.strip[along] - leg.strip[along + 2], 2), leg.strip))
        step = max(1, len(ranked) // MOST_TRIED)
        text = self.sheet.length(legs[0].mm)
        some = [(leg, self._box(leg.strip)) for leg in ranked[::step][:MOST_TRIED]]
        return (
            any(self._measure(leg, box, share, text, clear=True) for leg, box in some for share in SHARES)
            or any(self._led(box, self._told(leg)) for leg, box in some)
            or any(self._measure(leg, box, share, text, clear=False) for leg, box in some for share in SHARES)
        )

    def _box(self, mm: Box) -> Box:
        return self.sheet.x(mm[0]), self.sheet.y(mm[3]), self.sheet.x(mm[2]), self.sheet.y(mm[1])

    def _measure(self, leg: Leg, strip: Box, share: float, text: str, *, clear: bool) -> bool:
        """Draw a dimension line at a share of the strip's length, with its measure on it or at its end."""
        x0, y0, x1, y1 = strip
        half = text_wide("num", text) / 2
        if leg.axis == "x":
            y, x = y0 + (y1 - y0) * share, (x0 + x1) / 2
            line = (x0, y, x1, y)
            on = [(x, y - 4, "middle", False), (x + 4, y - 5 - half, "middle", True)]
            beside = [(x1 + 7, y + 4, "start", False), (x0 - 7, y + 4, "end", False)]
        else:
            x, y = x0 + (x1 - x0) * share, (y0 + y1) / 2
            line = (x, y1, x, y0)
            on = [(x - 4, y, "middle", True), (x + 5 + half, y + 4, "middle", False)]
            beside = [(x, y0 - 6, "middle", False), (x, y1 + 13, "middle", False)]
        trace = (
            min(line[0], line[2]) - 1,
            min(line[1], line[3]) - 1,
            max(line[0], line[2]) + 1,
            max(line[1], line[3]) + 1,
        )
        if not self.sheet.free(trace):
            return False
        for places, inside in ((on, True), (beside, False)):
            for at_x, at_y, anchor, upright in places:
                box = text_box("num", text, at_x, at_y, anchor, upright)
                room = self.sheet.clear(box) if clear else self.sheet.free(box)
                if not room or (not within(box, strip) if inside else self._covers_others(box)):
                    continue
                self.sheet.stroke("dimline", *line)
                if not inside:
                    self.sheet.patch(box)
                self.sheet.text("num", text, at_x, at_y, anchor=anchor, upright=upright)
                return True
        return False

    def _covers_others(self, box: Box) -> bool:
        """Whether a box lies on a cut piece or an opening, where it would be taken for that one's measure."""
        return len(self._in_the_way.query(rectangle(*box), predicate="intersects")) > 0

    # -- sloped cuts

    def _draw_sloped(self, sized: set[tuple[str, int, int]]) -> None:
        """Write the length of each cut side of the sloped pieces along it, but for those sized as a row or column."""
        tried = 0
        for n, piece in enumerate(self.cut):
            if _plain(piece) or _curved(piece):
                continue
            for start, end in _sides(piece.outline):
                level = abs(start[1] - end[1]) < 1e-6
                if not level and abs(start[0] - end[0]) > 1e-6:
                    continue
                length, whole = math.dist(start, end), self.surface.tile.width if level else self.surface.tile.height
                axis, along = ("x", 0) if level else ("y", 1)
                key = _key(axis, *sorted((start[along], end[along])))
                if not SOFT < length < whole - SOFT or key in sized:
                    continue
                sized.add(key)
                tried += 1
                text = self.sheet.length(length)
                told = self._sized(text, level=level)
                x, y = self.sheet.x((start[0] + end[0]) / 2), self.sheet.y((start[1] + end[1]) / 2)
                if tried > MOST_SHAPES or not (self._along(n, start, end, text) or self._led((x, y, x, y), told)):
                    self.unsized.append(f"{self._name(n)} {told}")

    def _along(self, n: int, start: Point, end: Point, text: str) -> bool:
        """Write a measure inside a piece along one of its sides, if it fits."""
        x, y = self.sheet.x((start[0] + end[0]) / 2), self.sheet.y((start[1] + end[1]) / 2)
        places = (
            [(x - 5, y, True), (x + 13, y, True)] if start[0] == end[0] else [(x, y - 4, False), (x, y + 12, False)]
        )
        for at_x, at_y, upright in places:
            box = text_box("num", text, at_x, at_y, "middle", upright)
            if self.sheet.clear(box) and self.shapes[n].covers(rectangle(*box)):
                self.sheet.text("num", text, at_x, at_y, upright=upright)
                return True
        return False

    # -- turned patterns

    def _draw_turned(self) -> set[int]:
        """Write what each shape of piece measures in its tile's axes, once; return the pieces named along with it."""
        named: set[int] = set()
        groups: dict[object, list[int]] = defaultdict(list)
        for n, piece in enumerate(self.cut):
            if not _curved(piece):
                groups[_shape(piece)].append(n)
        for tried, members in enumerate(groups.values()):
            text = self._box_of(members[0])
            if text is None:
                continue
            step = max(1, len(members) // MOST_TRIED)
            some = members[::step][:MOST_TRIED] if tried < MOST_SHAPES else []
            first, second = text.split(" x ")
            ways = [(n, [self._name(n), *rows]) for rows in ([text], [f"{first} x", second]) for n in some]
            both = next((n for n, rows in ways if self._inside(self.shapes[n], rows)), None)
            if both is not None:
                named.add(both)
                continue
            alone = any(self._inside(self.shapes[n], [text]) for n in some)
            if not alone and not any(self._led(_around(self.shapes[n]), text) for n in some):
                self.unsized.append(f"{self._name(members[0])} {text}")
        return named

    def _box_of(self, n: int) -> str | None:
        """Return the sides of the box that a piece fills in its tile, as `5" x 3 1/2"`; None where none is cut."""
        assert self.lattice is not None
        piece = self.cut[n]
        turn = self.lattice.stand(piece.column).turn
        cos, sin = math.cos(turn), math.sin(turn)
        us = [x * cos + y * sin for x, y in piece.outline]
        vs = [y * cos - x * sin for x, y in piece.outline]
        sides = (max(us) - min(us), max(vs) - min(vs))
        if all(side >= whole - SOFT for side, whole in zip(sides, self.lattice.box, strict=True)):
            return None
        return " x ".join(self.sheet.length(side) for side in sides)

    def _led(self, box: Box, text: str) -> bool:
        """Write a measure beside a piece's box, with a leader from its middle, where no other cut lies under it."""
        x0, y0, x1, y1 = box
        middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
        half = text_wide("num", text) / 2
        for far in FAR:
            for dx, dy in ((0, -1), (0, 1), (1, 0), (-1, 0)):
                x = middle_x if dx == 0 else (x1 + far if dx > 0 else x0 - far) + dx * half
                y = middle_y + 4 if dy == 0 else (y1 + far + 10 if dy > 0 else y0 - far)
                area = text_box("num", text, x, y, "middle", False)
                end = (x - dx * (half + 2), middle_y) if dx else (x, area[3] + 1 if dy < 0 else area[1] - 1)
                leader = (
                    min(middle_x, end[0]) - 1, min(middle_y, end[1]) - 1,
                    max(middle_x, end[0]) + 1, max(middle_y, end[1]) + 1,
                )  # fmt: skip
                if self.sheet.clear(area) and self.sheet.free(leader) and not self._covers_others(area):
                    self.sheet.stroke("dimline", middle_x, middle_y, *end, ticks=False)
                    self.sheet.patch(area)
                    self.sheet.text("num", text, x, y)
                    return True
        return False

    # -- names

    def _inside(self, shape: Polygon, rows: Sequence[str]) -> bool:
        """Put rows of text in a piece where they stay in it, off other text and off all lines; say whether they fit."""
        gap = 13.0
        wide = max(text_wide("num", text) for text in rows)
        x0, y0, x1, y1 = shape.bounds
        for upright in (False, True):
            if wide > (y1 - y0 if upright else x1 - x0):
                continue
            for x, y in _middles(shape):
                places = []
                for n, text in enumerate(rows):
                    off = (n - (len(rows) - 1) / 2) * gap + 4
                    at = (x + off, y) if upright else (x, y + off)
                    area = text_box("num", text, *at, "middle", upright)
                    if not self.sheet.clear(area) or not shape.covers(rectangle(*area)):
                        break
                    places.append((text, at))
                else:
                    for text, at in places:
                        self.sheet.text("num", text, *at, upright=upright)
                    return True
        return False


def legs_of(piece: Piece, number: int, surface: Surface) -> Iterator[Leg]:
    """Yield what is left of the tile across and up in each strip of a piece whose sides are all level and plumb."""
    if not _plain(piece):
        return
    loops = (piece.outline, *piece.holes)
    swapped = tuple(tuple((y, x) for x, y in loop) for loop in loops)
    for low, high, span in _strips(loops):
        if span[1] - span[0] < surface.tile.width - SOFT:
            yield Leg("x", *span, (span[0], low, span[1], high), number)
    for low, high, span in _strips(swapped):
        if span[1] - span[0] < surface.tile.height - SOFT:
            yield Leg("y", *span, (low, span[0], high, span[1]), number)


def _strips(loops: Sequence[Sequence[Point]]) -> Iterator[tuple[float, float, tuple[float, float]]]:
    """Yield the level strips of a shape of level and plumb sides: bottom, top, and each span of x that it covers."""
    ys = sorted({y for loop in loops for _, y in loop})
    for low, high in pairwise(ys):
        if high - low <= SOFT:
            continue
        middle = (low + high) / 2
        crossed = sorted(a[0] for loop in loops for a, b in _sides(loop) if min(a[1], b[1]) <= middle < max(a[1], b[1]))
        for span in zip(crossed[::2], crossed[1::2], strict=True):
            yield low, high, span


def _key(axis: str, low: float, high: float) -> tuple[str, int, int]:
    """What the legs of a row or column have in common: where they start and end, to 0.1 mm."""
    return axis, round(low * 10), round(high * 10)


def _sides(loop: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    return ((loop[n - 1], loop[n]) for n in range(len(loop)))


def _plain(piece: Piece) -> bool:
    """Whether all sides of a piece are level or plumb."""
    loops = (piece.outline, *piece.holes)
    return all(a[0] == b[0] or a[1] == b[1] for loop in loops for a, b in _sides(loop))


def _curved(piece: Piece) -> bool:
    """Whether a piece is cut by a curve, given as many short sides."""
    turned = sum(a[0] != b[0] and a[1] != b[1] for loop in (piece.outline, *piece.holes) for a, b in _sides(loop))
    return turned > 6


def _shape(piece: Piece) -> object:
    """What two pieces have in common that are cut alike: outlines that lie on each other, to half a millimeter."""
    x0, y0 = min(x for x, _ in piece.outline), min(y for _, y in piece.outline)
    return tuple(sorted((round((x - x0) * 2), round((y - y0) * 2)) for x, y in piece.outline)), len(piece.holes)


def _drawn(sheet: Sheet, piece: Piece) -> Polygon:
    shape = Polygon(
        [(sheet.x(x), sheet.y(y)) for x, y in piece.outline],
        [[(sheet.x(x), sheet.y(y)) for x, y in hole] for hole in piece.holes],
    )
    prepare(shape)
    return shape


def _around(shape: Polygon) -> Box:
    """Return a small box at a place that is surely in a shape: leaders start there."""
    inner = shape.representative_point()
    return inner.x - 1, inner.y - 1, inner.x + 1, inner.y + 1


def _middles(shape: Polygon) -> Iterator[Point]:
    """Yield places in a shape where a label may stand: its middle, then quarters of its box from there."""
    x0, y0, x1, y1 = shape.bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    yield x, y
    for dx, dy in ((0, -1), (0, 1), (-1, 0), (1, 0), (-1, -1), (1, -1), (-1, 1), (1, 1)):
        yield x + dx * (x1 - x0) / 4, y + dy * (y1 - y0) / 4
