"""Bounding boxes of the pieces of a diagonal, a herringbone or a hexagon pattern, on many datums at once.

Only the tiles at the field's rim are cut, and each of them is the same tile of the pattern on every datum. What one
straight side leaves of it is looked up (`halves`): along a plumb or a level side that takes as many look-ups as there
are different x or y. Tiles that a corner of the field may lie in are worked out one by one (`corner_tiles`).

Under drift (rule 5) a tile sweeps a parallelogram. Before one straight side its worst leg is that of the place furthest
out, or 0 where it is swallowed there; at corners the four ends and the middle are tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.corner_tiles import SMALL, CornerTiles
from layout.free_field import FreeField
from layout.lattice import Lattice
from layout.model import Floats
from layout.rim import Rim

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Still = Callable[[Ints, Floats], Flags]

MOST = 400_000
"""Places of tiles worked on at once."""

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


class Boxes:
    """A field's rim under a pattern: `put` says what the pieces' boxes are worth on any datum."""

    def __init__(self, grid: Lattice, field: FreeField, sides: Floats, edges: NDArray[np.int32]) -> None:
        self.field = field
        self.rim = Rim(grid, sides, edges)
        self.corner_tiles = CornerTiles(self.rim)
        self.bounds: dict[tuple[bytes, bytes, bool], Floats] = {}

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
            for stand in range(len(self.rim.grid.stands)):
                tiles, near = self._at_rim(stand, middle, spread, drift=drift)
                reach = spread + self.rim.radii[stand] + np.hypot(*tiles.over.T) + np.hypot(*tiles.rise.T)
                spots = tiles.base + middle + self.rim.middles[stand]
                straight = near.sum(axis=1) == 1
                for side in range(len(self.rim.edges)):
                    mine = np.flatnonzero(straight & near[:, side])
                    far = np.ones(len(mine), dtype=bool)
                    for end in (self.rim.starts[side], self.rim.stops[side]):
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
        up = np.array(self.rim.grid.up) + (np.array(self.rim.grid.along) / 2 if self.rim.grid.staggered else 0.0)
        basis = np.array([self.rim.grid.along, up])
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
        grid = self.rim.grid
        radius = self.rim.radii[stand]
        wander = (grid.u.most * grid.u.spread + grid.v.most * grid.v.spread) if drift else 0.0
        x0, y0, x1, y1 = self.field.bounds
        margin = radius + spread + wander + (abs(grid.along[0]) / 2 if grid.staggered else 0.0)
        from_middle = middle + grid.stands[stand].apart + self.rim.middles[stand]
        corners = np.array([(x, y) for x in (x0 - margin, x1 + margin) for y in (y0 - margin, y1 + margin)])
        basis = np.array([grid.along, grid.up])
        ends = (corners - from_middle) @ np.linalg.inv(basis)
        low, high = np.floor(ends.min(axis=0)).astype(int), np.ceil(ends.max(axis=0)).astype(int)
        grids = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
        pairs, courses = grids[0].ravel(), grids[1].ravel()
        base = np.stack([pairs, courses], axis=1) @ basis + grid.stands[stand].apart
        if grid.staggered:
            base[:, 0] += np.where(courses % 2 == 1, grid.along[0] / 2, 0.0)
        spots = base + middle + self.rim.middles[stand]
        near_field = np.all((spots > (x0 - margin, y0 - margin)) & (spots < (x1 + margin, y1 + margin)), axis=1)
        pairs, courses, base, spots = pairs[near_field], courses[near_field], base[near_field], spots[near_field]
        amount = (grid.u.spread, grid.v.spread) if drift else (0.0, 0.0)
        over = amount[0] * np.clip(pairs, -grid.u.most, grid.u.most)[:, None] * _unit(grid.along)
        rise = amount[1] * np.clip(courses, -grid.v.most, grid.v.most)[:, None] * _unit(grid.up)
        reach = radius + spread + np.hypot(*over.T) + np.hypot(*rise.T)
        near = np.zeros((len(spots), len(self.rim.edges)), dtype=bool)
        for side in range(len(self.rim.edges)):
            on = np.clip(spots @ self.rim.ways[side] - self.rim.places[side], 0.0, self.rim.lengths[side])
            nearest = self.rim.starts[side] + on[:, None] * self.rim.ways[side]
            near[:, side] = np.hypot(*(spots - nearest).T) < reach
        some = near.any(axis=1)
        return Tiles(stand, base[some], over[some], rise[some]), near[some]

    def _put_straight(self, tiles: Tiles, side: int, datums: Floats, table: Floats) -> None:
        """Put the shares of tiles that this side alone can cut, on any of the datums."""
        if not len(tiles.base):
            return
        normal, half = self.rim.normals[side], self.rim.half(tiles.stand, side)
        values, back = _distinct(datums @ normal)
        moves = np.stack([tiles.over @ normal, tiles.rise @ normal], axis=1)
        bases = tiles.base @ normal - self.rim.levels[side]
        ways = np.stack([bases + np.minimum(moves, 0).sum(axis=1), bases + np.maximum(moves, 0).sum(axis=1)], axis=1)
        worst = np.full(len(values), np.inf)
        for furthest, nearest in np.unique(np.round(ways, 6), axis=0).tolist():
            if values[0] + furthest > half.whole or values[-1] + nearest <= half.gone:
                continue
            at = values + furthest
            np.minimum(worst, half.shares(at), out=worst)
            worst[(at <= half.gone) & (values + nearest > half.gone)] = 0.0
        column = table[:, self.rim.edges[side]]
        np.minimum(column, worst[back], out=column)

    def _put_rough(self, tiles: Tiles, near: Flags, datums: Floats, table: Floats) -> None:
        """Put the shares of what a side cuts off tiles right through, as if no other side cut them."""
        for side in range(len(self.rim.edges)):
            mine = np.flatnonzero(near[:, side])
            if not mine.size:
                continue
            half = self.rim.half(tiles.stand, side)
            values, back = _distinct(datums @ self.rim.normals[side])
            along = datums @ self.rim.ways[side]
            column = table[:, self.rim.edges[side]]
            # Of the ends of the drifts the one that takes a tile furthest out.
            out = tiles.base[mine]
            for move in (tiles.over[mine], tiles.rise[mine]):
                out = out + np.where((move @ self.rim.normals[side] < 0)[:, None], move, 0.0)
            bases = out @ self.rim.normals[side] - self.rim.levels[side]
            places = out @ self.rim.ways[side] - self.rim.places[side]
            for base, place in zip(bases.tolist(), places.tolist(), strict=True):
                at = values + base
                # Next to nothing may be left where another side cuts too.
                shares = half.shares(at)
                shares[shares < SMALL / min(self.rim.grid.box)] = np.inf
                if not (shares < 1).any():
                    continue
                starts = np.where(shares < 1, np.interp(at, half.at, half.ends[:, 0]), -np.inf)
                stops = np.interp(at, half.at, half.ends[:, 1])
                held = along + (place + starts[back]) >= 1.0
                held &= along + (place + stops[back]) <= self.rim.lengths[side] - 1.0
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
            shares, there, cut = self.corner_tiles.worked_out(tiles.stand, corners, sides)
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
                column = table[rows, self.rim.edges[side]]
                np.minimum(column, worst[:, n], out=column)


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
