"""The chosen layout worked backward through tile, mortar and board to the framing (`gaugerod-rough-in/1`).

For framer and plumber, before the walls close. Every measure says how it was worked out, from where it is measured,
and what was assumed. It decides nothing that a code, a drawing or a licensed trade decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from layout.changes import changed
from layout.grid import Grid, grid_of
from layout.lines import meets
from layout.result import Piece, Result
from layout.room import HUNG, SOFT, Opening, Point, Room, Surface
from trade import sources
from trade.lengths import format_length
from trade.sources import Rule
from trade.words import gettext_noop

FORMAT = "gaugerod-rough-in/1"

INCH = 25.4

BOARD = INCH / 2
"""mm. Board on the studs. Common practice, no source."""

MORTAR = INCH / 8
"""mm. Mortar under the tile as set: above the 3/32 in that ANSI A108.5 2.2.2 asks for, as reported in
tile-magazine.com/articles/91948. The 1/8 in itself: common practice, no source."""

BAY = 3.5 * INCH
"""mm. Depth of a 2x4 stud. Common practice, no source."""

BENCH = (17 * INCH, 19 * INCH)
"""mm above the finished floor, a seat's usual top. From memory; the local code decides."""

CURB = (3 * INCH, 6 * INCH)
"""mm above the finished floor, a curb's usual top. Common practice, no source; the local code decides."""

FURRING = 1.5 * INCH
"""mm. The most that a wall is furred out to lose a sliver: the thickness of a 2x. Common practice, no source."""

BLOCK = 7.25 * INCH
"""mm. Height of a 2x8 between the studs. Common practice, no source."""

_FASTENED = ("glass", "bar", "seat", "rail", "shelf", "door", "hinge")

Measure = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Build:
    """What stands between framing and tile, mm. `mortar` counts where the room gives a wall no build-up of its own."""

    board: float = BOARD
    mortar: float = MORTAR


@dataclass(frozen=True, slots=True)
class _Sheet:
    room: Room
    result: Result
    build: Build

    @property
    def behind(self) -> float:
        """How far the framing lies behind the room's outlines, mm."""
        return self.build.board if self.room.outlines_of == "board" else 0.0

    def coat(self, surface: Surface) -> float:
        """Board's face to the tile's, mm. A build-up counts from the outlines: of the framing's, the board is in it."""
        if not surface.build_up:
            return self.build.mortar + (surface.tile.thickness or 0.0)
        return max(0.0, surface.build_up + self.behind - self.build.board)

    def measure(self, name: str, mm: float, origin: str, how: str) -> Measure:
        mm = round(mm, 2)
        return {"name": name, "from": origin, "mm": mm, "text": self.text(mm), "how": how}

    def text(self, mm: float) -> str:
        return format_length(mm, unit=self.room.units)


def rough_in(room: Room, result: Result, *, build: Build | None = None) -> dict[str, Any]:
    """Return what framer and plumber need of the chosen option, as plain data: `items` with their measures in mm.

    The outlines of the room are the board's face as measured or planned, and framing lies a board behind it; or they
    are the framing's, where the room says so.
    """
    sheet = _Sheet(changed(room, result.option.changes), result, build or Build())
    items: list[dict[str, Any]] = []
    for surface in sheet.room.surfaces:
        items += _niches(sheet, surface)
        items += _openings(sheet, surface)
        items += _points(sheet, surface)
        items += _heights(sheet, surface)
        items += _furring(sheet, surface)
    return {
        "format": FORMAT,
        "room": room.name,
        "option": result.chosen,
        "assumed": [*_assumed(sheet), *_assumed_of({item["kind"] for item in items}, sheet)],
        "items": items,
        "findings": [_finding(rule) for rule in _cautions(items)],
    }


def _assumed(sheet: _Sheet) -> Iterator[str]:
    board = sheet.text(sheet.build.board)
    yield gettext_noop("Board %s thick on all framing; membrane not counted.") % board
    boarded = sheet.room.outlines_of == "board"
    if boarded:
        yield gettext_noop(
            "Outlines are the board's face as the room has them; heights are from each wall's bottom edge."
        )
    else:
        yield gettext_noop(
            "Outlines are the framing's face as the room has them; heights are from each wall's bottom edge."
        )
    for surface in sheet.room.surfaces:
        words = {"surface": surface.name, "by": sheet.text(surface.build_up)}
        if surface.build_up and boarded:
            yield gettext_noop("%(surface)s: tile's face %(by)s in front of the board, as the room says.") % words
            if surface.build_up >= sheet.build.board + (surface.tile.thickness or 0.0):
                text = gettext_noop(
                    "%(surface)s: %(by)s is enough for board, mortar and tile together. If the room was taped from "
                    "stud to stud, say so where it is measured."
                )
                yield text % words
        elif surface.build_up:
            yield gettext_noop("%(surface)s: tile's face %(by)s in front of the framing, as the room says.") % words
        elif surface.tile.thickness is None:
            text = gettext_noop("%(surface)s: the tile's thickness is missing, only mortar %(by)s counts. Measure it.")
            yield text % {"surface": surface.name, "by": sheet.text(sheet.build.mortar)}
        else:
            text = gettext_noop("%(surface)s: tile %(tile)s on mortar %(mortar)s.")
            thick = sheet.text(surface.tile.thickness)
            yield text % {"surface": surface.name, "tile": thick, "mortar": sheet.text(sheet.build.mortar)}


def _assumed_of(kinds: set[str], sheet: _Sheet) -> Iterator[str]:
    """Yield what was assumed for the kinds of items there are."""
    if "niche" in kinds:
        yield gettext_noop("A niche is lined with the same board, mortar and tile; studs %s deep.") % sheet.text(BAY)
    if "blocking" in kinds:
        yield gettext_noop("Blocking is a 2x8, %s high; what is hung from it may ask for more.") % sheet.text(BLOCK)
    for kind, (low, high) in (("bench", BENCH), ("curb", CURB)):
        if kind in kinds:
            told = gettext_noop("A %(kind)s's top is usually %(low)s to %(high)s up; the local code decides.")
            yield told % {"kind": kind, "low": sheet.text(low), "high": sheet.text(high)}
    if "drain" in kinds:
        yield gettext_noop("A drain's height leaves the mud bed and the slope out: its maker's drawing decides.")


def _niches(sheet: _Sheet, surface: Surface) -> Iterator[dict[str, Any]]:
    """Yield a niche's rough opening: its hole in the board, and a board's thickness more where board lines it."""
    for opening in surface.openings:
        if opening.kind != "niche":
            continue
        left, bottom, right, top = _box(opening)
        board, coat = sheet.build.board, sheet.coat(surface)
        lined = gettext_noop("hole in the board %(size)s, and the board that lines it, %(board)s, on both sides")
        faced = gettext_noop("hole in the board %(size)s, less tile and mortar, %(coat)s, on both sides")
        measures = []
        across, upward = gettext_noop("side to side"), gettext_noop("bottom to top")
        sides = [
            (gettext_noop("rough width"), gettext_noop("finished width"), across, right - left),
            (gettext_noop("rough height"), gettext_noop("finished height"), upward, top - bottom),
        ]
        for rough, finished, here, size in sides:
            texts = {"size": sheet.text(size), "board": sheet.text(board), "coat": sheet.text(coat)}
            measures.append(sheet.measure(rough, size + 2 * board, here, lined % texts))
            measures.append(sheet.measure(finished, size - 2 * coat, here, faced % texts))
        x, y, origin_x, origin_y = _from_framing(sheet, surface, left - board, bottom - board)
        how = gettext_noop("hole in the board, less the board that lines it, %s") % sheet.text(board)
        measures.append(sheet.measure(gettext_noop("left side of the rough opening"), x, origin_x, how))
        measures.append(sheet.measure(gettext_noop("bottom of the rough opening"), y, origin_y, how))
        how = gettext_noop(
            "a 2x4 bay; the finished depth is the same where the back is boarded and tiled like the wall"
        )
        measures.append(sheet.measure(gettext_noop("rough depth"), BAY, gettext_noop("face of the studs"), how))
        measures += _off_joints(sheet, surface, opening)
        box = (left - board, bottom - board, right + board, top + board)
        yield _item(surface, "niche", opening.id, measures, box=box, mark={"opening": opening.id})


_FRAMED = ("window", "door", "fixture")


def _openings(sheet: _Sheet, surface: Surface) -> Iterator[dict[str, Any]]:
    """Yield where the room has a window, a door or a fixture, for its framing; its own maker says how much is added."""
    for opening in surface.openings:
        kind = next((word for word in _FRAMED if word in opening.kind.lower()), "")
        if not kind:
            continue
        left, bottom, right, top = _box(opening)
        x, y, origin_x, origin_y = _from_framing(sheet, surface, left, bottom)
        how = gettext_noop("where tile and board end; its maker's drawing says how much wider it is framed")
        measures = [
            sheet.measure(gettext_noop("opening width"), right - left, gettext_noop("side to side"), how),
            sheet.measure(gettext_noop("opening height"), top - bottom, gettext_noop("bottom to top"), how),
            sheet.measure(gettext_noop("left side of the opening"), x, origin_x, how),
            sheet.measure(gettext_noop("bottom of the opening"), y, origin_y, how),
            *_off_joints(sheet, surface, opening),
        ]
        yield _item(surface, kind, opening.id, measures, box=_box(opening), mark={"opening": opening.id})


_OFF = (
    gettext_noop("left side, off the joints"),
    gettext_noop("right side, off the joints"),
    gettext_noop("bottom side, off the joints"),
    gettext_noop("top side, off the joints"),
)
_FURTHER = (
    (
        gettext_noop("a full tile would end here if this side were that much further right"),
        gettext_noop("a full tile would end here if this side were that much further left"),
    ),
    (
        gettext_noop("a full tile would end here if this side were that much further up"),
        gettext_noop("a full tile would end here if this side were that much further down"),
    ),
)
"""Along x and along y, each toward more and toward less. Whole sentences: other languages inflect the side."""


def _off_joints(sheet: _Sheet, surface: Surface, opening: Opening) -> Iterator[Measure]:
    """Yield how far each side of an opening is from where the tile beside it would be a full one.

    That tile ends an edge's gap off the hole. Left out where the courses are shifted along that way: no place suits
    them all.
    """
    if not surface.pattern.square:
        return
    grid: Grid = grid_of(surface, sheet.room.regrid)
    datum = sheet.result.surface(surface.id).datum
    low_x, low_y, high_x, high_y = _box(opening)
    ways = ((0, low_x, -1), (0, high_x, 1), (1, low_y, -1), (1, high_y, 1))
    along = 1 if grid.turned else 0
    for side, (axis, at, sign) in zip(_OFF, ways, strict=True):
        if surface.pattern.share and axis == along:
            continue
        line = grid.u if axis == along else grid.v
        edge = at + sign * surface.edge_gap
        rest = edge - datum[axis] - (line.side if sign < 0 else 0.0)
        off = rest - round(rest / line.pitch) * line.pitch
        how = gettext_noop("on a joint: a full tile ends here") if abs(off) <= SOFT else _FURTHER[axis][off > 0]
        yield sheet.measure(side, abs(off), gettext_noop("nearest joint"), how)


def _marked(surface: Surface) -> Iterator[tuple[str, str, Point, dict[str, Any]]]:
    """Yield kind, name, place, mark of what a trade sets in a surface: by an aim's reason, as blocking, or drawn as an
    opening."""
    for number, aim in enumerate(surface.aims):
        why = aim.why.lower()
        kind = "valve" if "valve" in why else "drain" if "drain" in why else ""
        if not kind and any(word in why for word in _FASTENED):
            kind = "blocking"
        if kind:
            yield kind, aim.why, aim.at, {"aim": number}
    for number, each in enumerate(surface.blocking):
        yield "blocking", each.what or "blocking", each.at, {"blocking": number}
    for opening in surface.openings:
        kind = next((word for word in ("valve", "drain", "pipe") if word in opening.kind.lower()), "")
        if kind:
            left, bottom, right, top = _box(opening)
            yield kind, opening.id, ((left + right) / 2, (bottom + top) / 2), {"opening": opening.id}


def _points(sheet: _Sheet, surface: Surface) -> Iterator[dict[str, Any]]:
    """Yield what the room marks: valve, drain, pipe, and what is screwed to the wall later."""
    for kind, name, at, mark in _marked(surface):
        half = BLOCK / 2 if kind == "blocking" else 0.0
        x, y, origin_x, origin_y = _from_framing(sheet, surface, *at)
        how = _stands(sheet, surface, at)
        upright = surface.kind in HUNG
        measures = [
            sheet.measure(gettext_noop("center, across"), x, origin_x, how),
            sheet.measure(gettext_noop("center, up") if upright else gettext_noop("center, away"), y, origin_y, how),
        ]
        if kind == "blocking":
            told = gettext_noop("a 2x8 between the studs, centered")
            measures.append(sheet.measure(gettext_noop("bottom of the blocking"), y - half, origin_y, told))
            measures.append(sheet.measure(gettext_noop("top of the blocking"), y + half, origin_y, told))
        else:
            told = (
                gettext_noop("board %(board)s, mortar and tile %(coat)s: the body is set for this face")
                if kind == "valve"
                else gettext_noop("board %(board)s, mortar and tile %(coat)s: its fitting is set for this face")
                if kind == "pipe"
                else gettext_noop(
                    "board %(board)s, mortar and tile %(coat)s: its top is set for this face, bed not counted"
                )
            )
            depth = sheet.build.board + sheet.coat(surface)
            texts = {"board": sheet.text(sheet.build.board), "coat": sheet.text(sheet.coat(surface))}
            measures.append(
                sheet.measure(gettext_noop("framing to finished face"), depth, gettext_noop("framing"), told % texts)
            )
        box = (at[0], at[1] - half, at[0], at[1] + half)
        yield _item(surface, kind, name, measures, box=box, mark=mark)


def _heights(sheet: _Sheet, surface: Surface) -> Iterator[dict[str, Any]]:
    """Yield for a bench or curb the framing height that brings its finished top under a course of the first wall."""
    if surface.kind not in ("bench", "curb"):
        return
    low, high = BENCH if surface.kind == "bench" else CURB
    walls = [each for each in sheet.room.surfaces if each.kind == "wall" and each.pattern.square]
    beside = [meets(sheet.room, surface, edge.index) for edge in surface.edges]
    wall = next((each for each in walls if each in beside), walls[0] if walls else None)
    if wall is None or not sheet.result.surface(wall.id).pieces:
        return
    pitch, foot = wall.tile.height + wall.joint, wall.bounds[1]
    start = sheet.result.surface(wall.id).datum[1] - foot - wall.joint
    if wall.pattern.axis == "columns" and wall.pattern.share:
        return
    start %= pitch
    tops = [start + n * pitch for n in range(1 + math.ceil(high / pitch))]
    fits = [top for top in tops if low <= top <= high] or [min(tops, key=lambda top: abs(top - (low + high) / 2))]
    less = sheet.build.board + sheet.coat(surface)
    origin = gettext_noop("bottom edge of %s") % wall.name
    measures = []
    for top in fits:
        how = gettext_noop("under a course of %(wall)s, a joint below it")
        if not low <= top <= high:
            how += gettext_noop("; no course fits the usual %(low)s to %(high)s, this is the nearest")
        texts = {"wall": wall.name, "low": sheet.text(low), "high": sheet.text(high)}
        measures.append(sheet.measure(gettext_noop("finished top"), top, origin, how % texts))
        how = gettext_noop("finished top less board, mortar and tile, %s; the slope to the drain comes on top")
        measures.append(sheet.measure(gettext_noop("framing height"), top - less, origin, how % sheet.text(less)))
    yield _item(surface, surface.kind, surface.name, measures, box=surface.bounds)


def _furring(sheet: _Sheet, surface: Surface) -> Iterator[dict[str, Any]]:
    """Yield how far the wall beside one must be furred out so that the narrow column in that corner goes away.

    What stands behind the other wall's tile isn't seen and doesn't count. Walls that wrap have no such column.
    """
    if surface.kind not in HUNG or not surface.pattern.square or sheet.room.wrap:
        return
    pieces = [piece for piece in sheet.result.surface(surface.id).pieces if not piece.whole]
    if not pieces:
        return
    spans = [_span(piece) for piece in pieces]
    every = [_span(piece) for piece in sheet.result.surface(surface.id).pieces]
    ends = {"left": min(low for low, _ in every), "right": max(high for _, high in every)}
    for side, end in ends.items():
        edge = next((each.index for each in surface.edges if each.name == side), None)
        other = None if edge is None else meets(sheet.room, surface, edge)
        if other is None or edge is None:
            continue
        behind = _behind(sheet.room, surface, edge)
        wide = [high - low for low, high in spans if abs((low, high)[side == "right"] - end) <= SOFT]
        cut = [each - behind for each in wide if each - behind > SOFT and each < surface.tile.width - SOFT]
        by = min(cut, default=0.0) + surface.joint
        if not cut or by > FURRING or min(cut) >= surface.tile.width / 2:
            continue
        how = (
            gettext_noop("narrowest piece %(cut)s and its joint; others at the %(side)s of %(surface)s lose as much")
            if surface.pattern.share
            else gettext_noop(
                "narrowest piece %(cut)s and its joint: full tile in that corner, %(side)s of %(surface)s"
            )
        )
        texts = {"cut": sheet.text(min(cut)), "side": side, "surface": surface.name}
        measure = sheet.measure(gettext_noop("fur out by"), by, gettext_noop("framing as planned"), how % texts)
        yield _item(other, "furring", f"{surface.id}.{side}", [measure], box=other.bounds)


def _behind(room: Room, surface: Surface, edge: int) -> float:
    """Return how much of a surface set first into a corner stands behind the other's tile there, mm past its gap."""
    for corner in room.corners:
        if (corner.first, corner.first_edge) == (surface.id, edge):
            return max(0.0, room.surface(corner.second).build_up + corner.soft - surface.edges[edge].gap)
    return 0.0


def _stands(sheet: _Sheet, surface: Surface, at: Point) -> str:
    """Return where a point stands in the layout: how far from the nearest joints."""
    if not surface.pattern.square:
        return gettext_noop("where the room marks it")
    grid: Grid = grid_of(surface, sheet.room.regrid)
    datum = sheet.result.surface(surface.id).datum
    (u, v), (at_u, at_v) = grid.swap(datum), grid.swap(at)
    line = int((at_v - v) // grid.v.pitch)
    place = int((at_u - u - grid.shift(line)) // grid.u.pitch)
    start = u + grid.shift(line) + place * grid.u.pitch
    course, column = grid.number(line, place)
    off_u, off_v = at_u - start, at_v - v - line * grid.v.pitch
    right, up = grid.swap((off_u, off_v))
    text = gettext_noop("in tile %(course)s/%(column)s, %(right)s from its left side, %(up)s from its bottom")
    return text % {"course": course, "column": column, "right": sheet.text(right), "up": sheet.text(up)}


def _from_framing(sheet: _Sheet, surface: Surface, x: float, y: float) -> tuple[float, float, str, str]:
    """Return a point as distances from framing: across from the left, up from the foot, and what they start at.

    A wall that meets this one at its left has a board of its own, behind which its framing stands.
    """
    left, bottom, _, _ = surface.bounds
    edge = next((each.index for each in surface.edges if each.name == "left"), None)
    other = None if edge is None else meets(sheet.room, surface, edge)
    low = gettext_noop("bottom edge of %s") % surface.name
    if other is None:
        return x - left, y - bottom, gettext_noop("left edge of %s") % surface.name, low
    return x - left + sheet.behind, y - bottom, gettext_noop("framing of %s") % other.name, low


def _item(
    surface: Surface,
    kind: str,
    name: str,
    measures: Iterable[Measure],
    *,
    box: tuple[float, float, float, float],
    mark: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """Return an item. `box`: where its framing or its center is on the surface, mm; `mark`: what the room has of it."""
    found = {"surface": surface.id, "kind": kind, "id": name, "box": [round(each, 2) for each in box]}
    return {**found, **({"mark": mark} if mark else {}), "measures": list(measures)}


def _cautions(items: Iterable[dict[str, Any]]) -> tuple[Rule, ...]:
    kinds = {item["kind"] for item in items}
    found = [sources.ROUGH_IN_FACE, sources.STRUCTURE]
    if kinds & {"valve", "drain", "pipe"}:
        found.append(sources.PLUMBING)
    if kinds & {"niche", "furring", "valve", "pipe", "blocking"}:
        found.append(sources.WIRING)
    return (*found, sources.BLOCKING)


def _finding(rule: Rule) -> dict[str, str]:
    return {"level": "care", "rule": rule.id, "source": rule.source, "text": rule.text}


def _span(piece: Piece) -> tuple[float, float]:
    xs = [x for x, _ in piece.outline]
    return min(xs), max(xs)


def _box(opening: Opening) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in opening.outline], [y for _, y in opening.outline]
    return min(xs), min(ys), max(xs), max(ys)
