"""What a set of datums is worth: pieces, legs, score and counts, all from the pieces themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layout.cutplan import Blank, at_least, blank_of, plan_cuts
from layout.errors import RoomError
from layout.field import Field
from layout.grid import Grid, grid_of
from layout.model import Aim, Model
from layout.pieces import Laid, Leg, Part, lay
from layout.reading import MOST_PIECES
from layout.result import Counts, CutTile, Piece, TileNeed
from layout.room import Point, Room, Surface
from layout.spares import order_of

PLACES = 4
"""Decimals of mm in what is printed."""

Home = tuple[int, int]
"""Line and place of a tile."""


@dataclass(frozen=True, slots=True)
class Bench:
    """A room with what is worked out once for all its options: fields, seen fields, patterns, models."""

    room: Room
    fields: Mapping[str, tuple[Field, Field]]
    models: Mapping[str, Model]

    def grid(self, surface: Surface) -> Grid:
        return self.models[surface.id].grid


def bench_of(room: Room, fields: Mapping[str, tuple[Field, Field]]) -> Bench:
    """Return the bench of a room, from its fields."""
    models = {}
    for surface in room.surfaces:
        grid = grid_of(surface, room.regrid)
        models[surface.id] = Model(grid, grid.look(fields[surface.id][1]))
    return Bench(room, fields, models)


@dataclass(slots=True)
class Sheet:
    """One surface on its datum: every part with the legs of it that are seen."""

    surface: Surface
    laid: Laid
    seen: dict[Home, list[Part]] | None
    """Cut tiles of what is seen; None where all is."""

    def legs(self, home: Home, part: Part | None) -> tuple[Leg, ...]:
        """The seen legs of a part (None: of a whole tile)."""
        if self.seen is None:
            return part.legs if part else ()
        parts = self.seen.get(home, [])
        return tuple(leg for each in parts if part is None or _holds(part, each.inside) for leg in each.legs)


@dataclass(frozen=True, slots=True)
class Worth:
    """An option's figures. `least`: its worst leg with the piece it is on."""

    datums: Mapping[str, Point]
    sheets: Mapping[str, Sheet]
    score: tuple[float, ...]
    least_share: float
    least_drift: float
    least: tuple[Leg, str] | None
    counts: Counts
    tiles: tuple[TileNeed, ...]


def worth_of(bench: Bench, datums: Mapping[str, Point]) -> Worth:
    """Return what the datums are worth. Raises RoomError beyond 500,000 pieces."""
    room = bench.room
    sheets: dict[str, Sheet] = {}
    legs: list[float] = []
    least: tuple[Leg, str] | None = None
    drift = 1.0
    whole = cut = 0
    for surface in room.surfaces:
        sheet = sheets[surface.id] = _sheet(bench, surface, datums[surface.id])
        worst = dict.fromkeys(_facing(bench, surface), room.enough)
        whole += len(sheet.laid.whole)
        cut += sheet.laid.count_cut
        if whole + cut > MOST_PIECES:
            raise RoomError("surfaces", f"more than {MOST_PIECES:,} pieces; lay out fewer surfaces at a time")
        for home, name, part in _parts(bench, sheet):
            for leg in sheet.legs(home, part):
                if least is None or leg.share < least[0].share:
                    least = (leg, name)
                for edge in leg.edges:
                    if edge in worst:
                        worst[edge] = min(worst[edge], leg.share)
        legs += worst.values()
        drift = min(drift, least_at_drift(bench, surface, datums[surface.id]))
    share = least[0].share if least else 1.0
    return Worth(
        datums=datums,
        sheets=sheets,
        score=tuple(round(leg, 6) for leg in sorted(legs)),
        least_share=round(share, 6),
        least_drift=round(min(drift, share), 6),
        least=least,
        counts=Counts(whole, cut),
        tiles=tuple(_need(bench, sheets, name) for name in room.tiles),
    )


def least_at_drift(bench: Bench, surface: Surface, datum: Point) -> float:
    """Return the least cut share of a surface over all drifts (FORMATS.md, rule 5); 1 where nothing is cut."""
    model = bench.models[surface.id]
    if model.looked.empty:
        return 1.0
    u, v = model.grid.swap(datum)
    aim = Aim(1.0, hidden=True, drift=True)
    start = np.array([v])
    tables = [model.across_table(start, aim)[0]]
    tables += [model.along_table(key, np.array([u]), aim)[0] for key in model.keys(start, drift=True)]
    return min(float(table.min(initial=1.0)) for table in tables)


def pieces_of(bench: Bench, sheet: Sheet, datum: Point) -> tuple[Piece, ...]:
    """Return the pieces of a surface in order of course, column and part, with their range over the drifts."""
    surface = sheet.surface
    grid = bench.grid(surface)
    ends = _drift_ends(bench, surface, datum)
    side = round(min(surface.tile.width, surface.tile.height), PLACES)
    found: list[tuple[tuple[int, int, int], Piece]] = []
    for line, place, u, v in sheet.laid.whole:
        course, column = grid.number(line, place)
        x, y = grid.swap((u, v))
        outline = _rounded(
            (
                (x, y),
                (x + surface.tile.width, y),
                (x + surface.tile.width, y + surface.tile.height),
                (x, y + surface.tile.height),
            )
        )
        legs = sheet.legs((line, place), None)
        share = min((leg.share for leg in legs), default=1.0)
        low, high = _range(ends, (line, place), 0, 1, legs, side)
        name = _id(bench, sheet, (line, place))
        found.append(
            ((course, column, 0), Piece(name, course, column, outline, (), round(share, 6), (low, high), True))
        )
    for line, place, _u, _v, parts in sheet.laid.cut:
        course, column = grid.number(line, place)
        for number, part in enumerate(parts):
            legs = sheet.legs((line, place), part)
            share = min((leg.share for leg in legs), default=1.0)
            reach = _range(ends, (line, place), number, len(parts), legs, side)
            name = _id(bench, sheet, (line, place), number, len(parts))
            loops = [_turn_back(grid, loop) for loop in (part.outline, *part.holes)]
            piece = Piece(name, course, column, loops[0], tuple(loops[1:]), round(share, 6), reach, False)
            found.append(((course, column, number), piece))
    return tuple(piece for _, piece in sorted(found, key=lambda each: each[0]))


def cut_plan_of(bench: Bench, sheets: Mapping[str, Sheet]) -> tuple[CutTile, ...]:
    """Return the cut plan of all surfaces, tiles of one name after the other."""
    room = bench.room
    plan: list[CutTile] = []
    for name, tile in room.tiles.items():
        mine = [sheet for sheet in sheets.values() if sheet.surface.tile.name == name]
        whole = [_id(bench, sheet, (line, place)) for sheet in mine for line, place, _u, _v in sheet.laid.whole]
        plan += plan_cuts(tile, whole, _blanks(bench, mine), kerf=room.kerf, reuse=room.reuse, first=len(plan) + 1)
    return tuple(plan)


def _need(bench: Bench, sheets: Mapping[str, Sheet], name: str) -> TileNeed:
    room = bench.room
    tile = room.tiles[name]
    mine = [sheet for sheet in sheets.values() if sheet.surface.tile.name == name]
    whole, blanks = sum(len(sheet.laid.whole) for sheet in mine), _blanks(bench, mine)
    needed = whole + len(plan_cuts(tile, [], blanks, kerf=room.kerf, reuse=room.reuse))
    parts = [part for sheet in mine for *_, found in sheet.laid.cut for part in found]
    fragile = sum(len(part.outline) > 4 or bool(part.holes) for part in parts)
    order, boxes = order_of(needed, fragile=fragile, per_box=tile.per_box)
    return TileNeed(name, needed, at_least(tile, whole, blanks, reuse=room.reuse), order, boxes)


def _blanks(bench: Bench, sheets: Sequence[Sheet]) -> list[Blank]:
    """Return the cut pieces of the surfaces as the cut plan sees them."""
    blanks: list[Blank] = []
    for sheet in sheets:
        grid, tile = bench.grid(sheet.surface), sheet.surface.tile
        for line, place, u, v, parts in sheet.laid.cut:
            corner = _rounded((grid.swap((u, v)),))[0]
            for number, part in enumerate(parts):
                label = _id(bench, sheet, (line, place), number, len(parts))
                blanks.append(blank_of(label, _turn_back(grid, part.outline), corner, tile))
    return blanks


def _sheet(bench: Bench, surface: Surface, datum: Point) -> Sheet:
    field, seen = bench.fields[surface.id]
    grid = bench.grid(surface)
    laid = lay(grid, field, datum)
    if seen is field:
        return Sheet(surface, laid, None)
    shown = lay(grid, seen, datum)
    return Sheet(surface, laid, {(line, place): parts for line, place, _u, _v, parts in shown.cut})


def _parts(bench: Bench, sheet: Sheet) -> list[tuple[Home, str, Part | None]]:
    """Return (tile, piece id, part) of what can have legs; None for a whole tile partly out of sight."""
    found: list[tuple[Home, str, Part | None]] = []
    if sheet.seen is not None:
        for line, place, _u, _v in sheet.laid.whole:
            if (line, place) in sheet.seen:
                found.append(((line, place), _id(bench, sheet, (line, place)), None))
    for line, place, _u, _v, parts in sheet.laid.cut:
        for number, part in enumerate(parts):
            found.append(((line, place), _id(bench, sheet, (line, place), number, len(parts)), part))
    return found


def _facing(bench: Bench, surface: Surface) -> list[int]:
    """Return the edges that bound the seen field and aren't hidden."""
    looked = bench.models[surface.id].looked
    spans = [span for bands in (looked.rows, looked.columns) for band in bands for span in band.spans]
    facing = {edge for span in spans for edge in span[2:]}
    return sorted(edge for edge in facing if edge >= 0 and not looked.edges[edge].hidden)


def _drift_ends(bench: Bench, surface: Surface, datum: Point) -> list[dict[Home, list[Part] | None]]:
    """Return the seen tiles at the ends of the drifts, whole ones as None; nothing where the joint can't drift."""
    spread = surface.joint_high - surface.joint
    if not spread:
        return []
    grid, seen = bench.grid(surface), bench.fields[surface.id][1]
    found = []
    for drift in ((spread, 0.0), (0.0, spread), (spread, spread)):
        laid = lay(grid, seen, datum, drift)
        tiles: dict[Home, list[Part] | None] = {(line, place): None for line, place, _u, _v in laid.whole}
        tiles.update({(line, place): parts for line, place, _u, _v, parts in laid.cut})
        found.append(tiles)
    return found


def _range(
    ends: list[dict[Home, list[Part] | None]], home: Home, number: int, count: int, legs: tuple[Leg, ...], side: float
) -> tuple[float, float]:
    """Return the least leg in mm at the worst and the best end of the drifts; the tile's smaller side where uncut."""
    lengths = [_least_mm(legs, side)]
    for tiles in ends:
        parts = tiles.get(home, [])
        if parts is None:
            lengths.append(side)
            continue
        alike = [parts[number]] if len(parts) == count else parts
        lengths.append(_least_mm(tuple(leg for part in alike for leg in part.legs), side) if alike else 0.0)
    return round(min(lengths), 1), round(max(lengths), 1)


def _least_mm(legs: tuple[Leg, ...], side: float) -> float:
    """The length of the leg with the least share; the tile's smaller side where nothing is cut."""
    return min(legs, key=lambda leg: leg.share).mm if legs else side


def _id(bench: Bench, sheet: Sheet, home: Home, number: int = 0, count: int = 1) -> str:
    """Return a piece's id: surface, course, column, and its number where a tile falls into several."""
    course, column = bench.grid(sheet.surface).number(*home)
    tail = f":{number + 1}" if count > 1 else ""
    return f"{sheet.surface.id}:{course}:{column}{tail}"


def _turn_back(grid: Grid, loop: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return a loop as x and y; turning reverses its sense, so its order is reversed too."""
    points = [grid.swap(point) for point in loop]
    if grid.turned:
        points.reverse()
    first = points.index(min(points, key=lambda point: (point[1], point[0])))
    return _rounded((*points[first:], *points[:first]))


def _rounded(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((round(x, PLACES), round(y, PLACES)) for x, y in points)


def _holds(part: Part, point: Point) -> bool:
    """Whether a point lies in a part: crossings of a ray to the right, holes included."""
    x, y = point
    odd = False
    for loop in (part.outline, *part.holes):
        for n, (bx, by) in enumerate(loop):
            ax, ay = loop[n - 1]
            if ax == bx and ax > x and min(ay, by) <= y < max(ay, by):
                odd = not odd
    return odd
