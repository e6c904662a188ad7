"""Openings that may be moved, put where the cuts beside them are best and their sides lie on joints."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Polygon

from layout.centering import crossings_near, middles_near
from layout.changes import UNCHANGED, Changes, Moved, changed
from layout.evaluate import Bench, bench_of
from layout.fields import fields_of
from layout.free_search import legs_at
from layout.grid import Axis, Grid
from layout.lattice import Lattice
from layout.model import Aim, Floats, Model
from layout.room import EQUAL, SOFT, Opening, Point, Room, Surface, Units
from layout.scoring import WORTH, better, pinnable, planned, share_of, solved

FEW = 8
"""Places tried for an opening, the nearest first, where each takes long to work out."""

Movables = Sequence[tuple[Surface, Opening]]


@dataclass(frozen=True, slots=True)
class Standing:
    """Openings moved, the room with them, datums, and what that is worth."""

    changes: Changes
    bench: Bench
    datums: Mapping[str, Point]
    score: Floats
    on_joints: int
    """Sides of straight openings that cut no tile."""
    centered: int
    """Ways, across and up, in which round openings stand on the middle of a tile or of a joint."""

    @property
    def neat(self) -> int:
        return self.on_joints + self.centered


def moved(bench: Bench, recommended: Mapping[str, Point], bar: Floats) -> Standing | None:
    """Return the openings moved to where the score is highest, and of equals the most of their sides lie on joints.

    Tried on the recommended datums and, where a search is quick, on those that suit the room without the openings,
    each once more after the datums were found anew. `bar`: the score of the room as it stands. None where nothing may
    be moved, or where that gains neither 1/8 in in some cut nor, at the same score, a side on a joint.
    """
    movable = [
        (surface, opening)
        for surface in bench.room.surfaces
        for opening in surface.openings
        if opening.movable and not bench.models[surface.id].looked.empty
    ]
    if not movable:
        return None
    as_drawn = _standing(UNCHANGED, bench, recommended, movable)
    starts: list[Mapping[str, Point]] = [recommended]
    quick = all(isinstance(model, Model) for model in bench.models.values())
    if quick:
        without = _without(bench.room, movable)
        starts.append(solved(bench_of(without, fields_of(without)), drift=False))
    same = share_of(EQUAL, bench.room.surfaces)
    best = as_drawn
    for start in starts:
        first = _placed(bench, movable, start)
        tried = [first]
        if quick and pinnable(first.bench):
            anew = solved(first.bench, drift=True)
            tried += [_standing(first.changes, first.bench, anew, movable), _placed(bench, movable, anew)]
        for each in tried:
            if _beats(each, best, same):
                best = each
    if not best.changes or better(bar, best.score, same):
        return None
    gain = share_of(WORTH, bench.room.surfaces)
    return best if better(best.score, bar, gain) or best.neat > as_drawn.neat else None


def _beats(one: Standing, other: Standing, same: float) -> bool:
    """Whether one is better, or as good with more sides on joints."""
    return better(one.score, other.score, same) or (one.neat > other.neat and not better(other.score, one.score, same))


def _standing(changes: Changes, bench: Bench, datums: Mapping[str, Point], movable: Movables) -> Standing:
    score, joints = planned(bench, datums), _on_joints(bench, datums, movable)
    return Standing(changes, bench, datums, score, joints, _centered(bench, datums, movable))


def _placed(bench: Bench, movable: Movables, datums: Mapping[str, Point]) -> Standing:
    """Return the openings put, one after the other, each to its best place on the datums."""
    best = _standing(UNCHANGED, bench, datums, movable)
    for surface, opening in movable:
        model = bench.models[surface.id]
        if isinstance(model.grid, Lattice):
            best = _put(best, bench, surface, opening, _spots(model.grid, bench, surface, opening, datums), movable)
            continue
        for axis in (1, 0) if not isinstance(model, Model) else (1, 0, 1):
            tries = _tries(model.grid, surface, opening, datums[surface.id], axis, bench.room.units)
            if not isinstance(model, Model):
                tries = tries[:FEW]
            ways = [(by, None) if axis == 0 else (None, by) for by in tries]
            best = _put(best, bench, surface, opening, ways, movable)
    return best


def _put(
    best: Standing,
    bench: Bench,
    surface: Surface,
    opening: Opening,
    ways: Sequence[tuple[float | None, float | None]],
    movable: Movables,
) -> Standing:
    """Return the best of what is standing and the opening moved each way (None: as it stands), the least move first."""
    before = {(each.surface, each.opening): each for each in best.changes.moved}
    now = before.get((surface.id, opening.id), Moved(surface.id, opening.id, 0.0, 0.0))
    same = share_of(EQUAL, [surface])
    for x, y in ways:
        each = replace(now, x=now.x if x is None else x, y=now.y if y is None else y)
        if each == now:
            continue
        tried = {**before, (surface.id, opening.id): each}
        changes = Changes(moved=tuple(move for move in tried.values() if move.x or move.y))
        room = changed(bench.room, changes)
        if not _fits(room.surface(surface.id), opening.id):
            continue
        found = _standing(changes, _with_field(best.bench, room, surface.id), best.datums, movable)
        if _beats(found, best, same):
            best = found
    return best


def _with_field(bench: Bench, room: Room, surface_id: str) -> Bench:
    """Return the bench of a room that differs from the bench's in the openings of one surface only."""
    corners = tuple(each for each in room.corners if surface_id in (each.first, each.second))
    near = {surface_id, *(each.first for each in corners), *(each.second for each in corners)}
    few = replace(room, surfaces=tuple(each for each in room.surfaces if each.id in near), corners=corners)
    field = fields_of(few)[surface_id]
    model = bench_of(replace(few, surfaces=(room.surface(surface_id),)), {surface_id: field}).models[surface_id]
    return Bench(room, {**bench.fields, surface_id: field}, {**bench.models, surface_id: model})


def _on_joints(bench: Bench, datums: Mapping[str, Point], movable: Movables) -> int:
    """Return how many sides of the movable openings cut no tile; none of round ones."""
    count = 0
    aim = Aim(1.0, hidden=True, drift=False)
    names: dict[str, list[str]] = {}
    for surface, opening in movable:
        if opening.circle is None and surface.pattern.square:
            names.setdefault(surface.id, []).append(f"{opening.id} edge ")
    for surface_id, starts in names.items():
        model = bench.models[surface_id]
        if not model.looked.empty:
            worst = legs_at(model, np.array([datums[surface_id]]), aim)[0]
            for edge, leg in zip(model.looked.edges, worst.tolist(), strict=True):
                count += math.isinf(leg) and edge.name.startswith(tuple(starts))
    return count


def _centered(bench: Bench, datums: Mapping[str, Point], movable: Movables) -> int:
    """Return in how many ways the movable round openings stand on the middle of a tile or of a joint."""
    count = 0
    for surface, opening in movable:
        grid, datum = bench.grid(surface), datums[surface.id]
        here = next(each for each in bench.room.surface(surface.id).openings if each.id == opening.id)
        if here.circle is None:
            continue
        x, y, _ = here.circle
        if isinstance(grid, Lattice):
            count += 2 * bool(np.hypot(*(_marks(grid, datum, (x, y, x, y)) - (x, y)).T).min() <= EQUAL)
            continue
        at_u, at_v = grid.swap((x, y))
        u, v = grid.swap(datum)
        line = math.floor((at_v - v + grid.v.joint_half) / grid.v.pitch)
        pairs = ((at_u, u + grid.shift(line), grid.u), (at_v, v, grid.v))
        count += sum(_off_middle(at - start, axis) <= EQUAL for at, start, axis in pairs)
    return count


def _off_middle(at: float, axis: Axis) -> float:
    """Return how far a place is from the nearest middle of a tile or of a joint."""
    rests = [at - axis.side / 2, at + axis.joint_half]
    return min(abs(rest - round(rest / axis.pitch) * axis.pitch) for rest in rests)


def _marks(grid: Lattice, datum: Point, bounds: tuple[float, float, float, float]) -> Floats:
    """Return (n, 2) the tiles' middles, and of patterns whose joints cross there their crossings, about some bounds."""
    middles = middles_near(grid, datum, bounds)
    if grid.surface.pattern.kind == "herringbone":
        return middles
    found: Floats = np.concatenate([middles, crossings_near(grid, datum, bounds)])
    return found


def _spots(
    grid: Lattice, bench: Bench, surface: Surface, opening: Opening, datums: Mapping[str, Point]
) -> list[tuple[float | None, float | None]]:
    """Return moves that bring an opening's middle onto the middle of a tile or joint, the nearest `FEW`."""
    assert opening.movable is not None
    (left, right), (down, up) = opening.movable.x, opening.movable.y
    xs, ys = _extent(opening, 0), _extent(opening, 1)
    x, y = sum(xs) / 2, sum(ys) / 2
    mark = _mark(bench.room.units)
    marks = _marks(grid, datums[surface.id], (x + left, y + down, x + right, y + up)) - (x, y)
    moves = {(round(round(a / mark) * mark, 4), round(round(b / mark) * mark, 4)) for a, b in marks.tolist()}
    # One way only, where the other is shut.
    moves |= {(a, 0.0) for a, _ in moves} | {(0.0, b) for _, b in moves}
    allowed = [(a, b) for a, b in moves if left <= a <= right and down <= b <= up]
    return [(a, b) for a, b in sorted(allowed, key=lambda by: (math.hypot(*by), by))[:FEW]]


def _mark(units: Units) -> float:
    """Marks of a tape, mm."""
    return 25.4 / 16 if units == "in" else 1.0


def _tries(grid: Grid, surface: Surface, opening: Opening, datum: Point, axis: int, units: Units) -> list[float]:
    """Return moves along an axis, least first, to the nearest mark of a tape: none, both ends, and those that bring a
    side onto a joint or the middle between joints; a round opening's middle also onto that of a tile or a joint."""
    assert opening.movable is not None
    least, most = opening.movable.x if axis == 0 else opening.movable.y
    line = grid.u if grid.turned == bool(axis) else grid.v
    low, high = _extent(opening, axis)
    middle = (low + high) / 2
    low, high = low - surface.edge_gap, high + surface.edge_gap
    along = (axis == 0) != grid.turned
    starts = [datum[axis] + shift for shift in (grid.phases() if along else (0.0,))]
    found = {0.0, least, most}
    mark = _mark(units)
    for start in starts:
        onto = [start + line.side - low, start - high]
        onto += [(a + b) / 2 for a in _near(onto[0], line, least, most) for b in _near(onto[1], line, least, most)]
        if opening.circle is not None:
            onto += [start + line.side / 2 - middle, start - line.joint_half - middle]
        for each in onto:
            found.update(round(round(by / mark) * mark, 4) for by in _near(each, line, least, most))
    return sorted((by for by in found if least <= by <= most), key=lambda by: (abs(by), by))


def _near(value: float, line: Axis, least: float, most: float) -> list[float]:
    """Return the value and what lies whole pitches from it, about in the range."""
    first = math.ceil((least - SOFT - value) / line.pitch)
    last = math.floor((most + SOFT - value) / line.pitch)
    return [value + step * line.pitch for step in range(first, min(last, first + 20) + 1)]


def _extent(opening: Opening, axis: int) -> tuple[float, float]:
    places = [point[axis] for point in opening.outline]
    return min(places), max(places)


def _fits(surface: Surface, moved_id: str) -> bool:
    """Whether a moved opening still lies in its surface and on no other one."""
    shapes = {opening.id: Polygon(opening.outline) for opening in surface.openings}
    shape = shapes.pop(moved_id)
    if not Polygon(surface.outline).buffer(0.01).covers(shape):
        return False
    return not any(shape.intersection(other).area > 0.01 for other in shapes.values())


def _without(room: Room, openings: Movables) -> Room:
    gone = {(surface.id, opening.id) for surface, opening in openings}
    surfaces = tuple(
        replace(surface, openings=tuple(each for each in surface.openings if (surface.id, each.id) not in gone))
        for surface in room.surfaces
    )
    return replace(room, surfaces=surfaces)
