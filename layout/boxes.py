"""Bounding boxes of the pieces of a diagonal, a herringbone or a hexagon pattern, on many datums at once.

Only the tiles at the field's rim are cut, and each of them is the same tile of the pattern on every datum. What one
straight side leaves of it is looked up (`halves`): along a plumb or a level side that takes as many look-ups as there
are different x or y. Tiles that a corner of the field may lie in are worked out from the parts of the field's sides
that lie in them; the few that fall apart, or leave next to nothing, are cut with Shapely as the pieces are.

Under drift (rule 5) a tile sweeps a parallelogram. Before one straight side its worst leg is that of the place furthest
out, or 0 where it is swallowed there; at corners the four ends and the middle are tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.free_field import FreeField
from layout.free_pieces import are_pieces
from layout.halves import Half, frame, half_of
from layout.lattice import Lattice
from layout.model import Floats
from layout.pieces import REACH

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Still = Callable[[Ints, Floats], Flags]

MOST = 400_000
"""Places of tiles worked on at once."""

SMALL = 5.0
"""mm. Pieces with a smaller box are looked at for being wider than 1 mm."""

CORNERS = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (0.5, 0.5))
"""Parts of the drift along and up that are tried at corners."""


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """Tiles of one stand: where their corners stand from the datum (n, 2), and their greatest drifts (n, 2) each."""

    stand: int
    base: Floats
    over: Floats
    rise: Floats

    def pick(self, which: Flags | Ints) -> Tiles:
        return Tiles(self.stand, self.base[which], self.over[which], self.rise[which])


@dataclass(slots=True, eq=False)
class Met:
    """Places of one tile (rows) and the sides near it: how far inside each it stands, and what of the side is in it."""

    at: Floats
    start: Floats
    end: Floats
    hits: Flags
    linked: Flags
    """Which sides go on in the tile from where the one before them ends."""


class Boxes:
    """A field's rim under a pattern: `put` says what the pieces' boxes are worth on any datum."""

    def __init__(self, grid: Lattice, field: FreeField, sides: Floats, edges: NDArray[np.int32]) -> None:
        self.grid, self.field, self.edges = grid, field, edges
        way = sides[:, 2:] - sides[:, :2]
        self.starts, self.stops = sides[:, :2], sides[:, 2:]
        self.lengths = np.hypot(way[:, 0], way[:, 1])
        self.ways = way / self.lengths[:, None]
        self.normals = np.stack([-self.ways[:, 1], self.ways[:, 0]], axis=1)
        self.levels = (self.starts * self.normals).sum(axis=1)
        self.places = (self.starts * self.ways).sum(axis=1)
        self.outlines = [np.array(stand.outline) for stand in grid.stands]
        self.middles = [outline.mean(axis=0) for outline in self.outlines]
        self.radii = [
            float(np.hypot(*(outline - middle).T).max())
            for outline, middle in zip(self.outlines, self.middles, strict=True)
        ]
        # Which side goes on where one starts, and whether the field turns outward there.
        self.before = [int(np.argmin(np.hypot(*(self.stops - start).T))) for start in self.starts]
        earlier = self.ways[self.before]
        self.reflex = earlier[:, 0] * self.ways[:, 1] - earlier[:, 1] * self.ways[:, 0] < 0
        # Of the same sides: round ones are made of fewer than the field's.
        self.shape = shapely.build_area(shapely.multilinestrings(sides.reshape(-1, 2, 2)))
        self.halves: dict[tuple[int, float, float], Half] = {}
        self.bounds: dict[tuple[bytes, bytes, bool], Floats] = {}

    @property
    def slow(self) -> bool:
        """Whether the rim has many sides that are shorter than a tile."""
        return int((self.lengths < max(self.radii)).sum()) > 16

    def half(self, stand: int, side: int) -> Half:
        x, y = self.ways[side].tolist()
        key = (stand, round(x, 9), round(y, 9))
        if key not in self.halves:
            self.halves[key] = half_of(self.grid, self.grid.stands[stand], self.ways[side])
        return self.halves[key]

    def bound(self, heights: Floats, xs: Floats, *, drift: bool) -> Floats:
        """Return (heights, places, edges) `rough` shares on a grid of datums; of two grids they are kept."""
        asked = heights.tobytes(), xs.tobytes(), drift
        if asked not in self.bounds:
            points = np.stack([np.tile(xs, len(heights)), np.repeat(heights, len(xs))], axis=1)
            table = np.full((len(points), len(self.field.edges)), np.inf)
            self.put(points, table, drift=drift, rough=True)
            if len(self.bounds) > 1:
                self.bounds.pop(next(iter(self.bounds)))
            self.bounds[asked] = table.reshape(len(heights), len(xs), -1)
        return self.bounds[asked]

    def put(
        self, points: Floats, table: Floats, *, drift: bool, rough: bool = False, still: Still | None = None
    ) -> None:
        """Put the worst shares of the pieces' boxes on datums (n, 2) into the table (datums, edges).

        `rough`: nothing is put that is less than the worst share, but some that are more. `still` says of the rows of
        a table half done which are worth going on with; the others are left half done.
        """
        for rows, datums in self._cells(points, drift=drift):
            middle = (datums.min(axis=0) + datums.max(axis=0)) / 2
            spread = float(np.hypot(*(datums - middle).T).max())
            part = table[rows]
            corners: list[tuple[Tiles, Ints]] = []
            for stand in range(len(self.grid.stands)):
                tiles, near = self._at_rim(stand, middle, spread, drift=drift)
                reach = spread + self.radii[stand] + np.hypot(*tiles.over.T) + np.hypot(*tiles.rise.T)
                spots = tiles.base + middle + self.middles[stand]
                straight = near.sum(axis=1) == 1
                for side in range(len(self.edges)):
                    mine = np.flatnonzero(straight & near[:, side])
                    far = np.ones(len(mine), dtype=bool)
                    for end in (self.starts[side], self.stops[side]):
                        far &= np.hypot(*(spots[mine] - end).T) > reach[mine]
                    straight[mine[~far]] = False
                    self._put_straight(tiles.pick(mine[far]), side, datums, part)
                rest = np.flatnonzero(~straight)
                if rough:
                    self._put_rough(tiles.pick(rest), near[rest], datums, part)
                else:
                    corners += [(tiles.pick(rest[which]), sides) for sides, which in _alike(near[rest])]
            left = np.arange(len(rows))
            for some, sides in corners:
                if still is not None:
                    left = left[still(rows[left], part[left])]
                    if not left.size:
                        break
                found = part[left]
                self._put_corner(some, sides, datums[left], found)
                part[left] = found
            table[rows] = part

    def _cells(self, points: Floats, *, drift: bool) -> Iterator[tuple[Ints, Floats]]:
        """Yield datums that lie together: in one cell of the pattern, moved into it where nothing drifts."""
        up = np.array(self.grid.up) + (np.array(self.grid.along) / 2 if self.grid.staggered else 0.0)
        basis = np.array([self.grid.along, up])
        cell = np.floor(points @ np.linalg.inv(basis) + 1e-9)
        if not drift:
            yield np.arange(len(points)), points - cell @ basis
            return
        _, which = np.unique(cell, axis=0, return_inverse=True)
        order = np.argsort(which.ravel(), kind="stable")
        for rows in np.split(order, np.flatnonzero(np.diff(which.ravel()[order])) + 1):
            yield rows, points[rows]

    def _at_rim(self, stand: int, middle: Floats, spread: float, *, drift: bool) -> tuple[Tiles, Flags]:
        """Return the tiles that a side may cut on some datum within `spread` of the middle, and by which."""
        grid = self.grid
        radius = self.radii[stand]
        wander = (grid.u.most * grid.u.spread + grid.v.most * grid.v.spread) if drift else 0.0
        x0, y0, x1, y1 = self.field.bounds
        margin = radius + spread + wander + (abs(grid.along[0]) / 2 if grid.staggered else 0.0)
        from_middle = middle + grid.stands[stand].apart + self.middles[stand]
        corners = np.array([(x, y) for x in (x0 - margin, x1 + margin) for y in (y0 - margin, y1 + margin)])
        basis = np.array([grid.along, grid.up])
        ends = (corners - from_middle) @ np.linalg.inv(basis)
        low, high = np.floor(ends.min(axis=0)).astype(int), np.ceil(ends.max(axis=0)).astype(int)
        grids = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
        pairs, courses = grids[0].ravel(), grids[1].ravel()
        base = np.stack([pairs, courses], axis=1) @ basis + grid.stands[stand].apart
        if grid.staggered:
            base[:, 0] += np.where(courses % 2 == 1, grid.along[0] / 2, 0.0)
        spots = base + middle + self.middles[stand]
        near_field = np.all((spots > (x0 - margin, y0 - margin)) & (spots < (x1 + margin, y1 + margin)), axis=1)
        pairs, courses, base, spots = pairs[near_field], courses[near_field], base[near_field], spots[near_field]
        amount = (grid.u.spread, grid.v.spread) if drift else (0.0, 0.0)
        over = amount[0] * np.clip(pairs, -grid.u.most, grid.u.most)[:, None] * _unit(grid.along)
        rise = amount[1] * np.clip(courses, -grid.v.most, grid.v.most)[:, None] * _unit(grid.up)
        reach = radius + spread + np.hypot(*over.T) + np.hypot(*rise.T)
        near = np.zeros((len(spots), len(self.edges)), dtype=bool)
        for side in range(len(self.edges)):
            on = np.clip(spots @ self.ways[side] - self.places[side], 0.0, self.lengths[side])
            nearest = self.starts[side] + on[:, None] * self.ways[side]
            near[:, side] = np.hypot(*(spots - nearest).T) < reach
        some = near.any(axis=1)
        return Tiles(stand, base[some], over[some], rise[some]), near[some]

    def _put_straight(self, tiles: Tiles, side: int, datums: Floats, table: Floats) -> None:
        """Put the shares of tiles that this side alone can cut, on any of the datums."""
        if not len(tiles.base):
            return
        normal, half = self.normals[side], self.half(tiles.stand, side)
        values, back = _distinct(datums @ normal)
        moves = np.stack([tiles.over @ normal, tiles.rise @ normal], axis=1)
        bases = tiles.base @ normal - self.levels[side]
        ways = np.stack([bases + np.minimum(moves, 0).sum(axis=1), bases + np.maximum(moves, 0).sum(axis=1)], axis=1)
        worst = np.full(len(values), np.inf)
        for furthest, nearest in np.unique(np.round(ways, 6), axis=0).tolist():
            if values[0] + furthest > half.whole or values[-1] + nearest <= half.gone:
                continue
            at = values + furthest
            np.minimum(worst, half.shares(at), out=worst)
            worst[(at <= half.gone) & (values + nearest > half.gone)] = 0.0
        column = table[:, self.edges[side]]
        np.minimum(column, worst[back], out=column)

    def _put_rough(self, tiles: Tiles, near: Flags, datums: Floats, table: Floats) -> None:
        """Put the shares of what a side cuts off tiles right through, as if no other side cut them."""
        for side in range(len(self.edges)):
            mine = np.flatnonzero(near[:, side])
            if not mine.size:
                continue
            half = self.half(tiles.stand, side)
            values, back = _distinct(datums @ self.normals[side])
            along = datums @ self.ways[side]
            column = table[:, self.edges[side]]
            # Of the ends of the drifts the one that takes a tile furthest out.
            out = tiles.base[mine]
            for move in (tiles.over[mine], tiles.rise[mine]):
                out = out + np.where((move @ self.normals[side] < 0)[:, None], move, 0.0)
            bases = out @ self.normals[side] - self.levels[side]
            places = out @ self.ways[side] - self.places[side]
            for base, place in zip(bases.tolist(), places.tolist(), strict=True):
                at = values + base
                # Next to nothing may be left where another side cuts too.
                shares = half.shares(at)
                shares[shares < SMALL / min(self.grid.box)] = np.inf
                if not (shares < 1).any():
                    continue
                starts = np.where(shares < 1, np.interp(at, half.at, half.ends[:, 0]), -np.inf)
                stops = np.interp(at, half.at, half.ends[:, 1])
                held = along + (place + starts[back]) >= 1.0
                held &= along + (place + stops[back]) <= self.lengths[side] - 1.0
                np.minimum(column, np.where(held, shares[back], np.inf), out=column)

    def _put_corner(self, tiles: Tiles, sides: Ints, datums: Floats, table: Floats) -> None:
        """Put the shares of tiles that several sides may cut."""
        still = not (np.any(tiles.over) or np.any(tiles.rise))
        parts = np.array(CORNERS[:1] if still else CORNERS)
        moves = tiles.base[:, None, :] + parts[:, :1] * tiles.over[:, None, :] + parts[:, 1:] * tiles.rise[:, None, :]
        chunk = max(1, MOST // (moves.shape[0] * moves.shape[1]))
        for first in range(0, len(datums), chunk):
            rows = slice(first, first + chunk)
            # (datums, tiles, drifts): one row each.
            corners = (datums[rows][:, None, None, :] + moves[None]).reshape(-1, 2)
            shares, there, cut = self._worked_out(tiles.stand, corners, sides)
            shape = (-1, len(tiles.base), len(parts))
            each = shares.reshape(*shape, len(sides))
            if len(parts) > 1:
                stays = there.reshape(shape)
                swallowed = np.logical_and(stays.any(axis=2), ~stays.all(axis=2))
                by = cut.reshape(*shape, len(sides)).any(axis=2)
                gone = np.logical_and(np.expand_dims(swallowed, -1), by)
                each = np.where(gone[:, :, None, :], 0.0, each)
            worst = each.min(axis=(1, 2))
            for n, side in enumerate(sides.tolist()):
                column = table[rows, self.edges[side]]
                np.minimum(column, worst[:, n], out=column)

    def _worked_out(self, stand: int, corners: Floats, sides: Ints) -> tuple[Floats, Flags, Flags]:
        """Return (rows, sides) the shares of tiles by the sides that cut them, (rows) whether a piece is left, and
        (rows, sides) which sides lie in the tiles."""
        met = self._met(stand, corners, sides)
        count = met.hits.sum(axis=1)
        shares = np.full(met.at.shape, np.inf)
        there = np.ones(len(corners), dtype=bool)
        none = np.flatnonzero(count == 0)
        middle = corners[none] + self.middles[stand]
        there[none] = shapely.contains_xy(self.shape, middle[:, 0], middle[:, 1])
        for n, half in enumerate([self.half(stand, side) for side in sides.tolist()]):
            rows = np.flatnonzero((count == 1) & met.hits[:, n])
            shares[rows, n] = half.shares(met.at[rows, n])
            there[rows] = met.at[rows, n] > half.gone
        several = np.flatnonzero(count > 1)
        if several.size:
            exact = np.zeros(len(corners), dtype=bool)
            kinds = np.hstack([met.hits[several], met.linked[several]])
            for (which, linked), rows in _same(kinds, several):
                self._put_parts(stand, corners, sides, met, rows, (which, linked), exact, shares)
            rows = np.flatnonzero(exact)
            if rows.size:
                self._put_exact(stand, corners, sides, met, rows, shares, there)
        return shares, there, met.hits

    def _met(self, stand: int, corners: Floats, sides: Ints) -> Met:
        shape = (len(corners), len(sides))
        at, start, end = (np.empty(shape) for _ in range(3))
        hits = np.zeros(shape, dtype=bool)
        soft = np.zeros(shape, dtype=bool)
        firsts, lasts = np.empty(shape), np.empty(shape)
        for n, side in enumerate(sides.tolist()):
            half, length = self.half(stand, side), self.lengths[side]
            at[:, n] = corners @ self.normals[side] - self.levels[side]
            along = corners @ self.ways[side] - self.places[side]
            first, last = (along + np.interp(at[:, n], half.at, half.ends[:, end]) for end in (0, 1))
            start[:, n], end[:, n] = np.maximum(first, 0.0), np.minimum(last, length)
            hits[:, n] = (at[:, n] > half.at[0]) & (at[:, n] < half.whole) & (end[:, n] - start[:, n] > 1e-6)
            soft[:, n] = at[:, n] >= half.whole
            firsts[:, n], lasts[:, n] = first >= 0, last <= length
        # What a corner of an opening reaches into a tile by 1 mm or less is the soft joint's.
        short = hits & (end - start <= REACH)
        numbers = {side: n for n, side in enumerate(sides.tolist())}
        for n, side in enumerate(sides.tolist()):
            m = numbers.get(self.before[side])
            if m is not None and self.reflex[side]:
                hits[:, n] &= ~(short[:, n] & soft[:, m] & (firsts[:, n] == 0))
                hits[:, m] &= ~(short[:, m] & soft[:, n] & (lasts[:, m] == 0))
        linked = np.zeros(shape, dtype=bool)
        for n, side in enumerate(sides.tolist()):
            m = numbers.get(self.before[side])
            if m is not None:
                linked[:, n] = hits[:, n] & hits[:, m] & (firsts[:, n] == 0)
        return Met(at, start, end, hits, linked)

    def _chains(self, sides: Ints, which: Flags, linked: Flags) -> list[tuple[list[int], bool]] | None:
        """Return the sides in a tile as paths, each with whether it turns outward; None where one turns both ways."""
        numbers = {side: n for n, side in enumerate(sides.tolist())}
        chain_of = {n: [n] for n in np.flatnonzero(which).tolist()}
        turns: dict[int, set[bool]] = {n: set() for n in chain_of}
        for n in np.flatnonzero(linked).tolist():
            m = numbers[self.before[sides[n]]]
            one, other = chain_of[m], chain_of[n]
            joined_turns = turns[one[0]] | turns[other[0]] | {bool(self.reflex[sides[n]])}
            if one is not other:
                one += other
                for each in other:
                    chain_of[each] = one
            turns[one[0]] = joined_turns
        chains = {id(chain): chain for chain in chain_of.values()}.values()
        if any(len(turns[chain[0]]) > 1 for chain in chains):
            return None
        return [(chain, True in turns[chain[0]]) for chain in chains]

    def _put_parts(
        self,
        stand: int,
        corners: Floats,
        sides: Ints,
        met: Met,
        rows: Ints,
        kind: tuple[Flags, Flags],
        exact: Flags,
        shares: Floats,
    ) -> None:
        """Put the shares of tiles that several sides cut, alike in which sides lie in the tile and hang together.

        Sides that hang together part the tile in two, and all such paths together part it into regions. Two paths
        bound the same piece where each lies on the other's field side.
        """
        chains = self._chains(sides, *kind)
        if chains is None:
            exact[rows] = True
            return
        own = frame(self.grid.stands[stand])
        numbers = sides.tolist()
        origin = corners[rows]
        ends = {
            n: [
                self.starts[numbers[n]] + places[rows, n][:, None] * self.ways[numbers[n]] - origin
                for places in (met.start, met.end)
            ]
            for chain, _ in chains
            for n in chain
        }

        def held(chain: tuple[list[int], bool], spots: Floats) -> Flags:
            """Which places, from the tile's corner, lie on a path's field side."""
            inside = [spots @ self.normals[numbers[n]] + met.at[rows, n] >= 0 for n in chain[0]]
            found: Flags = np.logical_or.reduce(inside) if chain[1] else np.logical_and.reduce(inside)
            return found

        middles = [(ends[chain[0]][0] + ends[chain[0]][1]) / 2 for chain, _ in chains]
        count = len(chains)
        beside = [[np.ones(len(rows), dtype=bool) for _ in chains] for _ in chains]
        for a in range(count):
            for b in range(a):
                beside[a][b] = beside[b][a] = held(chains[a], middles[b]) & held(chains[b], middles[a])
        at_points = [[held(chain, point) for chain in chains] for point in self.outlines[stand]]
        box = np.array(self.grid.box)
        for a, (chain, _) in enumerate(chains):
            least, most = np.full((len(rows), 2), np.inf), np.full((len(rows), 2), -np.inf)
            for point, inside in zip(self.outlines[stand], at_points, strict=True):
                stays = np.logical_and.reduce([inside[b] | ~beside[a][b] for b in range(count)])
                spot = point @ own
                np.minimum(least, np.where(stays[:, None], spot, np.inf), out=least)
                np.maximum(most, np.where(stays[:, None], spot, -np.inf), out=most)
            for b, (other, _) in enumerate(chains):
                for spots in (each @ own for n in other for each in ends[n]):
                    np.minimum(least, np.where(beside[a][b][:, None], spots, np.inf), out=least)
                    np.maximum(most, np.where(beside[a][b][:, None], spots, -np.inf), out=most)
            sizes = most - least
            share = np.where(box - sizes > REACH, sizes / box, np.inf).min(axis=1)
            exact[rows] |= sizes.min(axis=1) < SMALL
            for n in chain:
                by = met.end[rows, n] - met.start[rows, n] > REACH
                shares[rows[by], n] = share[by]

    def _put_exact(
        self, stand: int, corners: Floats, sides: Ints, met: Met, rows: Ints, shares: Floats, there: Flags
    ) -> None:
        """Put the shares of pieces cut with Shapely."""
        outlines = corners[rows][:, None, :] + self.outlines[stand]
        tiles = np.asarray(shapely.polygons(outlines))
        shapes = np.asarray(shapely.intersection(self.shape, tiles))
        own, box = frame(self.grid.stands[stand]), np.array(self.grid.box)
        shares[rows] = np.inf
        for row, tile, shape in zip(rows.tolist(), tiles.tolist(), shapes.tolist(), strict=True):
            soft = [
                side
                for n, side in enumerate(sides.tolist())
                if self.half(stand, side).whole <= met.at[row, n] < self.half(stand, side).at[-1]
            ]
            shape = self._with_soft(tile, shape, soft)
            pieces = np.array(list(_polygons(shape)), dtype=object)
            parts = pieces[are_pieces(pieces)].tolist() if len(pieces) else []
            there[row] = bool(parts)
            for part in parts:
                ring = np.asarray(part.exterior.coords)
                size = np.ptp((ring - corners[row]) @ own, axis=0)
                share = float(np.where(box - size > REACH, size / box, np.inf).min())
                hit = np.flatnonzero(met.hits[row])
                on = self._lengths_on(part, sides[hit])
                edges = self.edges[sides[hit]]
                by = ((edges[:, None] == edges) * on).sum(axis=1)
                shares[row, hit] = np.where(by > REACH, np.minimum(shares[row, hit], share), shares[row, hit])

    def _with_soft(self, tile: BaseGeometry, shape: BaseGeometry, sides: list[int]) -> BaseGeometry:
        """Return a tile's part of the field with what the soft joint takes up at sides that it hardly passes."""
        for side in sides:
            out = -2 * REACH * self.normals[side]
            a, b = self.starts[side], self.stops[side]
            shape = shape.union(tile.intersection(Polygon([a, b, b + out, a + out])))
        return shape

    def _lengths_on(self, part: Polygon, sides: Ints) -> Floats:
        """Return how far a piece runs along each of the sides, mm."""
        found = np.zeros(len(sides))
        for ring in (part.exterior, *part.interiors):
            points = np.asarray(ring.coords)
            off = np.abs(points @ self.normals[sides].T - self.levels[sides]) <= 1e-5
            along = np.clip(points @ self.ways[sides].T - self.places[sides], 0.0, self.lengths[sides])
            found += (np.abs(np.diff(along, axis=0)) * (off[:-1] & off[1:])).sum(axis=0)
        return found


def _unit(vector: tuple[float, float]) -> Floats:
    found: Floats = np.array(vector) / math.hypot(*vector)
    return found


def _distinct(values: Floats) -> tuple[Floats, Ints]:
    """Return the different values, rising, and which of them each is."""
    found, back = np.unique(np.round(values, 7), return_inverse=True)
    return found, back.ravel()


def _alike(near: Flags) -> Iterator[tuple[Ints, Ints]]:
    """Yield sides, and tiles that have no others near them: those with some of these sides go with those with all."""
    if not len(near):
        return
    kinds, which = np.unique(near, axis=0, return_inverse=True)
    many = kinds.sum(axis=1)
    holds = kinds.astype(np.int64) @ kinds.T.astype(np.int64) == many
    home = np.where(holds, many[:, None], 0).argmax(axis=0)[which.ravel()]
    for n in np.unique(home).tolist():
        yield np.flatnonzero(kinds[n]), np.flatnonzero(home == n)


def _same(kinds: Flags, rows: Ints) -> Iterator[tuple[tuple[Flags, Flags], Ints]]:
    """Yield each kind that there is, as its two halves, with its rows."""
    packed = np.ascontiguousarray(np.packbits(kinds, axis=1))
    keys = packed.view(np.dtype((np.void, packed.shape[1]))).ravel()
    _, first, which = np.unique(keys, return_index=True, return_inverse=True)
    order = np.argsort(which, kind="stable")
    for n, part in enumerate(np.split(order, np.flatnonzero(np.diff(which[order])) + 1)):
        one, other = np.split(kinds[first[n]], 2)
        yield (one, other), rows[part]


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    if isinstance(shape, Polygon) and not shape.is_empty:
        yield shape
    for part in getattr(shape, "geoms", ()):
        yield from _polygons(part)
