"""What a set of datums is worth: pieces, legs, score and counts, all from the pieces themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np

from layout.cutplan import Blank, at_least, blank_of, plan_cuts
from layout.drifts import End, Home, drift_ends, laid_ends, least_of, range_of
from layout.errors import RoomError
from layout.field import Field
from layout.fields import AnyField
from layout.free_field import FreeField
from layout.free_model import FreeModel
from layout.free_pieces import lay_free
from layout.grid import Grid, grid_of
from layout.lattice import LATTICES, Lattice, lattice_of
from layout.model import Aim, Model
from layout.pieces import Laid, Leg, Part, lay
from layout.reading import MOST_PIECES
from layout.result import Counts, CutTile, Piece, TileNeed
from layout.room import Point, Reuse, Room, Surface
from layout.spares import order_of

PLACES = 4
"""Decimals of mm in what is printed."""


@dataclass(frozen=True, slots=True)
class Bench:
    """A room with what is worked out once for all its options: fields, seen fields, patterns, models."""

    room: Room
    fields: Mapping[str, tuple[AnyField, AnyField]]
    models: Mapping[str, Model | FreeModel]

    def grid(self, surface: Surface) -> Grid | Lattice:
        return self.models[surface.id].grid


def bench_of(room: Room, fields: Mapping[str, tuple[AnyField, AnyField]]) -> Bench:
    """Return the bench of a room, from its fields."""
    models: dict[str, Model | FreeModel] = {}
    for surface in room.surfaces:
        seen = fields[surface.id][1]
        if isinstance(seen, Field):
            grid = grid_of(surface, room.regrid)
            models[surface.id] = Model(grid, grid.look(seen))
        else:
            make = lattice_of if surface.pattern.kind in LATTICES else grid_of
            models[surface.id] = FreeModel(make(surface, room.regrid), seen)
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


@dataclass(frozen=True, slots=True)
class Standing:
    """What a surface on its datum adds to a worth: `legs` its worst at each edge, `drift` its least over the drifts."""

    sheet: Sheet
    legs: tuple[float, ...]
    drift: float
    least: tuple[Leg, str] | None


def standing_of(bench: Bench, surface: Surface, datum: Point) -> Standing:
    """Return a surface cut into pieces on its datum, and what that is worth."""
    sheet = sheet_of(bench, surface, datum)
    worst = dict.fromkeys(_facing(bench, surface), bench.room.enough)
    least: tuple[Leg, str] | None = None
    for home, name, part in _parts(bench, sheet):
        for leg in sheet.legs(home, part):
            least = _lesser(least, (leg, name))
            for edge in leg.edges:
                if edge in worst:
                    worst[edge] = min(worst[edge], leg.share)
    drifts = surface.joint_high > surface.joint
    drift = least_at_drift(bench, surface, datum) if drifts else 1.0
    return Standing(sheet, tuple(worst.values()), drift, least)


def _lesser(one: tuple[Leg, str] | None, other: tuple[Leg, str]) -> tuple[Leg, str]:
    """Return the worse of two legs, the first of two alike."""
    if one is None or (round(other[0].share, 6), other[0].mm) < (round(one[0].share, 6), one[0].mm):
        return other
    return one


def worth_of(bench: Bench, datums: Mapping[str, Point], *, planned: bool = True) -> Worth:
    """Return what the datums are worth; without a cut plan unless `planned`, which leaves the tiles uncounted.

    Raises RoomError beyond 500,000 pieces.
    """
    standing = (standing_of(bench, surface, datums[surface.id]) for surface in bench.room.surfaces)
    return worth_together(bench, datums, standing, planned=planned)


def worth_together(
    bench: Bench, datums: Mapping[str, Point], standing: Iterable[Standing], *, planned: bool = True
) -> Worth:
    """Return as `worth_of` what surfaces are worth that stand on the datums, in the room's order."""
    sheets: dict[str, Sheet] = {}
    legs: list[float] = []
    least: tuple[Leg, str] | None = None
    drift = 1.0
    whole = cut = 0
    for each in standing:
        sheets[each.sheet.surface.id] = each.sheet
        whole += len(each.sheet.laid.whole)
        cut += each.sheet.laid.count_cut
        if whole + cut > MOST_PIECES:
            raise RoomError("surfaces", f"more than {MOST_PIECES:,} pieces; lay out fewer surfaces at a time")
        legs += each.legs
        drift = min(drift, each.drift)
        if each.least is not None:
            least = _lesser(least, each.least)
    share = least[0].share if least else 1.0
    return Worth(
        datums=datums,
        sheets=sheets,
        score=tuple(round(leg, 6) for leg in sorted(legs)),
        least_share=round(share, 6),
        least_drift=round(min(drift, share), 6),
        least=least,
        counts=Counts(whole, cut),
        tiles=tuple(_need(bench, sheets, name) for name in bench.room.tiles) if planned else (),
    )


def least_at_drift(bench: Bench, surface: Surface, datum: Point) -> float:
    """Return the least cut share of a surface over all drifts (FORMATS.md, rule 5); 1 where nothing is cut."""
    model = bench.models[surface.id]
    if model.looked.empty:
        return 1.0
    aim = Aim(1.0, hidden=True, drift=True)
    if isinstance(model, FreeModel):
        return float(model.legs(np.array([datum]), aim).min(initial=1.0))
    u, v = model.grid.swap(datum)
    start = np.array([v])
    tables = [model.across_table(start, aim)[0]]
    tables += [model.along_table(key, np.array([u]), aim)[0] for key in model.keys(start, drift=True)]
    return min(float(table.min(initial=1.0)) for table in tables)


def _lay(grid: Grid | Lattice, field: AnyField, datum: Point, drift: Point = (0.0, 0.0)) -> Laid:
    if isinstance(field, FreeField):
        return lay_free(grid, field, datum, drift)
    assert isinstance(grid, Grid)
    return lay(grid, field, datum, drift)


def pieces_of(bench: Bench, sheet: Sheet, datum: Point) -> tuple[Piece, ...]:
    """Return the pieces of a surface in order of course, column and part, with their range over the drifts."""
    surface, laid, grid = sheet.surface, sheet.laid, bench.grid(sheet.surface)
    ends = _drift_ends(bench, sheet, datum)
    side = round(min(surface.tile.width, surface.tile.height), PLACES)
    found: list[tuple[int, int, int, Piece]] = []
    uncut = (round(side, 1), round(side, 1))
    for (line, place, _u, _v), outline in zip(laid.whole, _whole_outlines(grid, laid), strict=True):
        course, column = grid.number(line, place)
        share, reach = 1.0, uncut
        if sheet.seen is not None or (ends and (line, place) in ends):
            least = least_of(sheet.legs((line, place), None))
            share = round(least[0], 6) if least else 1.0
            reach = range_of(ends, (line, place), (0, 1), least, side)
        name = f"{surface.id}:{course}:{column}"
        found.append((course, column, 0, Piece(name, course, column, outline, (), share, reach, True)))
    for line, place, _u, _v, parts in laid.cut:
        course, column = grid.number(line, place)
        for number, part in enumerate(parts):
            least = least_of(sheet.legs((line, place), part))
            share = round(least[0], 6) if least else 1.0
            reach = range_of(ends, (line, place), (number, len(parts)), least, side)
            name = _id(bench, sheet, (line, place), number, len(parts))
            outline, *holes = [_turn_back(grid, laid, loop) for loop in (part.outline, *part.holes)]
            piece = Piece(name, course, column, outline, tuple(holes), share, reach, False)
            found.append((course, column, number, piece))
    found.sort(key=itemgetter(0, 1, 2))
    return tuple([piece for *_, piece in found])


def _whole_outlines(grid: Grid | Lattice, laid: Laid) -> Iterator[tuple[Point, ...]]:
    """Yield the outline of each whole tile, as x and y."""
    if not isinstance(grid, Grid):
        for _line, place, x, y in laid.whole:
            yield _rounded(grid.outline(place, (x, y)))
        return
    # Tiles of a course, and of a column, share their sides: each is rounded once.
    turned, tile = grid.turned and not laid.as_drawn, grid.surface.tile
    ends: dict[tuple[float, float], tuple[float, float]] = {}
    for _line, _place, u, v in laid.whole:
        x, y = (v, u) if turned else (u, v)
        sides = []
        for low, side in ((x, tile.width), (y, tile.height)):
            pair = ends.get((low, side))
            if pair is None:
                pair = ends[low, side] = round(low, PLACES), round(low + side, PLACES)
            sides.append(pair)
        (left, right), (bottom, top) = sides
        yield (left, bottom), (right, bottom), (right, top), (left, top)


def cut_plan_of(bench: Bench, sheets: Mapping[str, Sheet]) -> tuple[CutTile, ...]:
    """Return the cut plan of all surfaces, tiles of one name after the other."""
    room = bench.room
    plan: list[CutTile] = []
    for name, tile in room.tiles.items():
        mine = [sheet for sheet in sheets.values() if sheet.surface.tile.name == name]
        whole = [_id(bench, sheet, (line, place)) for sheet in mine for line, place, _u, _v in sheet.laid.whole]
        plan += plan_cuts(
            tile, whole, _blanks(bench, mine), kerf=room.kerf, reuse=_reuse(room, mine), first=len(plan) + 1
        )
    return tuple(plan)


def _need(bench: Bench, sheets: Mapping[str, Sheet], name: str) -> TileNeed:
    room = bench.room
    tile = room.tiles[name]
    mine = [sheet for sheet in sheets.values() if sheet.surface.tile.name == name]
    whole, blanks = sum(len(sheet.laid.whole) for sheet in mine), _blanks(bench, mine)
    needed = whole + len(plan_cuts(tile, [], blanks, kerf=room.kerf, reuse=_reuse(room, mine)))
    parts = [part for sheet in mine for *_, found in sheet.laid.cut for part in found]
    fragile = sum(len(part.outline) > 4 or bool(part.holes) for part in parts)
    order, boxes = order_of(needed, fragile=fragile, per_box=tile.per_box)
    return TileNeed(name, needed, at_least(tile, whole, blanks, reuse=room.reuse), order, boxes)


def _reuse(room: Room, sheets: Sequence[Sheet]) -> Reuse:
    """Return the rule for offcuts: of a hexagon none is used again, since a plan of boxes would leave its corners."""
    return "none" if any(sheet.surface.pattern.kind == "hex" for sheet in sheets) else room.reuse


def _blanks(bench: Bench, sheets: Sequence[Sheet]) -> list[Blank]:
    """Return the cut pieces of the surfaces as the cut plan sees them."""
    blanks: list[Blank] = []
    for sheet in sheets:
        grid, tile = bench.grid(sheet.surface), sheet.surface.tile
        hides = any(edge.hidden for edge in sheet.surface.edges)
        for line, place, u, v, parts in sheet.laid.cut:
            corner = _rounded((_drawn(grid, sheet.laid, (u, v)),))[0]
            for number, part in enumerate(parts):
                label = _id(bench, sheet, (line, place), number, len(parts))
                outline = grid.to_tile(place, corner, _turn_back(grid, sheet.laid, part.outline))
                blanks.append(blank_of(label, outline, (0.0, 0.0), tile, hides=hides))
    return blanks


def sheet_of(bench: Bench, surface: Surface, datum: Point) -> Sheet:
    """Return a surface cut into pieces on its datum, with what of them is seen."""
    field, seen = bench.fields[surface.id]
    grid = bench.grid(surface)
    laid = _lay(grid, field, datum)
    if seen is field:
        return Sheet(surface, laid, None)
    if isinstance(field, FreeField) and isinstance(seen, FreeField):
        shown = lay_free(grid, seen, datum, like=(field, laid))
    else:
        shown = _lay(grid, seen, datum)
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
    return sorted(edge for edge in looked.edge_lengths if edge >= 0 and not looked.edges[edge].hidden)


def _drift_ends(bench: Bench, sheet: Sheet, datum: Point) -> Mapping[Home, Sequence[End]] | None:
    """Return what is seen of the tiles at the ends of the drifts (whole throughout: left out); None: no drift."""
    surface = sheet.surface
    spread = surface.joint_high - surface.joint
    if not spread:
        return None
    grid, (field, seen) = bench.grid(surface), bench.fields[surface.id]
    if isinstance(field, Field) and isinstance(seen, Field):
        assert isinstance(grid, Grid)
        return drift_ends(grid, field, seen, datum)
    drifts = ((spread, 0.0), (0.0, spread), (spread, spread))
    return laid_ends(sheet.laid, [_lay(grid, seen, datum, drift) for drift in drifts])


def _id(bench: Bench, sheet: Sheet, home: Home, number: int = 0, count: int = 1) -> str:
    """Return a piece's id: surface, course, column, and its number where a tile falls into several."""
    course, column = bench.grid(sheet.surface).number(*home)
    tail = f":{number + 1}" if count > 1 else ""
    return f"{sheet.surface.id}:{course}:{column}{tail}"


def _drawn(grid: Grid | Lattice, laid: Laid, point: Point) -> Point:
    """Return a place of a laid field as x and y."""
    return point if laid.as_drawn else grid.swap(point)


def _turn_back(grid: Grid | Lattice, laid: Laid, loop: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return a loop as x and y, from its lowest corner; turning reverses its sense, so its order is reversed too."""
    if len(loop) == 4 and not laid.as_drawn and loop[0][1] == loop[1][1] and loop[0][0] < loop[1][0] == loop[2][0]:
        # A box, as most are: turned or not, its corners are the same ones.
        (left, bottom), (right, top) = _rounded((grid.swap(loop[0]), grid.swap(loop[2])))
        return (left, bottom), (right, bottom), (right, top), (left, top)
    points = [_drawn(grid, laid, point) for point in loop]
    if grid.turned and not laid.as_drawn:
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
            if (ay <= y) != (by <= y) and ax + (y - ay) * (bx - ax) / (by - ay) > x:
                odd = not odd
    return odd
