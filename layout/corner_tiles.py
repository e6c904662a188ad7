"""Tiles of other patterns that several sides of a field may cut, on many datums at once.

They are worked out from the parts of the field's sides that lie in them; the few that fall apart, or leave next to
nothing, are cut with Shapely as the pieces are.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.free_pieces import are_pieces
from layout.halves import frame
from layout.model import Floats
from layout.pieces import REACH
from layout.rim import Rim

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

SMALL = 5.0
"""mm. Pieces with a smaller box are looked at for being wider than 1 mm."""


@dataclass(slots=True, eq=False)
class Met:
    """Places of one tile (rows) and the sides near it: how far inside each it stands, and what of the side is in it."""

    at: Floats
    start: Floats
    end: Floats
    hits: Flags
    linked: Flags
    """Which sides go on in the tile from where the one before them ends."""


@dataclass(frozen=True, slots=True, eq=False)
class CornerTiles:
    """Tiles at the corners of a rim: `worked_out` says what their pieces' boxes are worth."""

    rim: Rim

    def worked_out(self, stand: int, corners: Floats, sides: Ints) -> tuple[Floats, Flags, Flags]:
        """Return (rows, sides) the shares of tiles by the sides that cut them, (rows) whether a piece is left, and
        (rows, sides) which sides lie in the tiles."""
        met = self._met(stand, corners, sides)
        count = met.hits.sum(axis=1)
        shares = np.full(met.at.shape, np.inf)
        there = np.ones(len(corners), dtype=bool)
        none = np.flatnonzero(count == 0)
        middle = corners[none] + self.rim.middles[stand]
        there[none] = shapely.contains_xy(self.rim.shape, middle[:, 0], middle[:, 1])
        for n, half in enumerate([self.rim.half(stand, side) for side in sides.tolist()]):
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
            half, length = self.rim.half(stand, side), self.rim.lengths[side]
            at[:, n] = corners @ self.rim.normals[side] - self.rim.levels[side]
            along = corners @ self.rim.ways[side] - self.rim.places[side]
            first, last = (along + np.interp(at[:, n], half.at, half.ends[:, end]) for end in (0, 1))
            start[:, n], end[:, n] = np.maximum(first, 0.0), np.minimum(last, length)
            hits[:, n] = (at[:, n] > half.at[0]) & (at[:, n] < half.whole) & (end[:, n] - start[:, n] > 1e-6)
            soft[:, n] = at[:, n] >= half.whole
            firsts[:, n], lasts[:, n] = first >= 0, last <= length
        # What a corner of an opening reaches into a tile by 1 mm or less is the soft joint's.
        short = hits & (end - start <= REACH)
        numbers = {side: n for n, side in enumerate(sides.tolist())}
        for n, side in enumerate(sides.tolist()):
            m = numbers.get(self.rim.before[side])
            if m is not None and self.rim.reflex[side]:
                hits[:, n] &= ~(short[:, n] & soft[:, m] & (firsts[:, n] == 0))
                hits[:, m] &= ~(short[:, m] & soft[:, n] & (lasts[:, m] == 0))
        linked = np.zeros(shape, dtype=bool)
        for n, side in enumerate(sides.tolist()):
            m = numbers.get(self.rim.before[side])
            if m is not None:
                linked[:, n] = hits[:, n] & hits[:, m] & (firsts[:, n] == 0)
        return Met(at, start, end, hits, linked)

    def _chains(self, sides: Ints, which: Flags, linked: Flags) -> list[tuple[list[int], bool]] | None:
        """Return the sides in a tile as paths, each with whether it turns outward; None where one turns both ways."""
        numbers = {side: n for n, side in enumerate(sides.tolist())}
        chain_of = {n: [n] for n in np.flatnonzero(which).tolist()}
        turns: dict[int, set[bool]] = {n: set() for n in chain_of}
        for n in np.flatnonzero(linked).tolist():
            m = numbers[self.rim.before[sides[n]]]
            one, other = chain_of[m], chain_of[n]
            joined_turns = turns[one[0]] | turns[other[0]] | {bool(self.rim.reflex[sides[n]])}
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
        own = frame(self.rim.grid.stands[stand])
        numbers = sides.tolist()
        origin = corners[rows]
        ends = {
            n: [
                self.rim.starts[numbers[n]] + places[rows, n][:, None] * self.rim.ways[numbers[n]] - origin
                for places in (met.start, met.end)
            ]
            for chain, _ in chains
            for n in chain
        }

        def held(chain: tuple[list[int], bool], spots: Floats) -> Flags:
            """Which places, from the tile's corner, lie on a path's field side."""
            inside = [spots @ self.rim.normals[numbers[n]] + met.at[rows, n] >= 0 for n in chain[0]]
            found: Flags = np.logical_or.reduce(inside) if chain[1] else np.logical_and.reduce(inside)
            return found

        middles = [(ends[chain[0]][0] + ends[chain[0]][1]) / 2 for chain, _ in chains]
        count = len(chains)
        beside = [[np.ones(len(rows), dtype=bool) for _ in chains] for _ in chains]
        for a in range(count):
            for b in range(a):
                beside[a][b] = beside[b][a] = held(chains[a], middles[b]) & held(chains[b], middles[a])
        at_points = [[held(chain, point) for chain in chains] for point in self.rim.outlines[stand]]
        box = np.array(self.rim.grid.box)
        for a, (chain, _) in enumerate(chains):
            least, most = np.full((len(rows), 2), np.inf), np.full((len(rows), 2), -np.inf)
            for point, inside in zip(self.rim.outlines[stand], at_points, strict=True):
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
        outlines = corners[rows][:, None, :] + self.rim.outlines[stand]
        tiles = np.asarray(shapely.polygons(outlines))
        shapes = np.asarray(shapely.intersection(self.rim.shape, tiles))
        own, box = frame(self.rim.grid.stands[stand]), np.array(self.rim.grid.box)
        shares[rows] = np.inf
        for row, tile, shape in zip(rows.tolist(), tiles.tolist(), shapes.tolist(), strict=True):
            soft = [
                side
                for n, side in enumerate(sides.tolist())
                if self.rim.half(stand, side).whole <= met.at[row, n] < self.rim.half(stand, side).at[-1]
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
                edges = self.rim.edges[sides[hit]]
                by = ((edges[:, None] == edges) * on).sum(axis=1)
                shares[row, hit] = np.where(by > REACH, np.minimum(shares[row, hit], share), shares[row, hit])

    def _with_soft(self, tile: BaseGeometry, shape: BaseGeometry, sides: list[int]) -> BaseGeometry:
        """Return a tile's part of the field with what the soft joint takes up at sides that it hardly passes."""
        for side in sides:
            out = -2 * REACH * self.rim.normals[side]
            a, b = self.rim.starts[side], self.rim.stops[side]
            shape = shape.union(tile.intersection(Polygon([a, b, b + out, a + out])))
        return shape

    def _lengths_on(self, part: Polygon, sides: Ints) -> Floats:
        """Return how far a piece runs along each of the sides, mm."""
        found = np.zeros(len(sides))
        for ring in (part.exterior, *part.interiors):
            points = np.asarray(ring.coords)
            off = np.abs(points @ self.rim.normals[sides].T - self.rim.levels[sides]) <= 1e-5
            along = np.clip(points @ self.rim.ways[sides].T - self.rim.places[sides], 0.0, self.rim.lengths[sides])
            found += (np.abs(np.diff(along, axis=0)) * (off[:-1] & off[1:])).sum(axis=0)
        return found


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
