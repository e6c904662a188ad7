"""A free surface as the search sees it: the worst leg at each edge on many datums at once.

For a stack or an offset see `runs` and `chords`, which say without cutting what `free_pieces` finds piece by piece. For
the other patterns see `boxes`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.boxes import Boxes, Still
from layout.chords import Tiles, groups_at, tiles_of, worst_legs
from layout.free_field import FreeField
from layout.grid import Grid
from layout.lattice import Lattice
from layout.model import NUDGE, Aim, Floats
from layout.room import SOFT
from layout.runs import Run, runs_of

Flags = NDArray[np.bool_]

COARSE = 0.3
"""mm. Sides of curves are joined into longer ones within this, for the search of datums only."""

MOST_MARKED = 12
"""Places of corners along an axis up to which the search looks at each."""


@dataclass(frozen=True, eq=False)
class FreeModel:
    """One surface's seen field under its pattern."""

    grid: Grid | Lattice
    looked: FreeField

    def counts(self, aim: Aim) -> Flags:
        """Which edges count, by their number."""
        return np.array([aim.hidden or not edge.hidden for edge in self.looked.edges])

    def legs(self, points: Floats, aim: Aim, still: Still | None = None) -> Floats:
        """Return (datums, edges) the worst legs' shares (inf: no cut) on datums (n, 2) as x and y.

        `still`: as in `Boxes.put`; what it gives up is worth no more than the table says.
        """
        table = np.full((len(points), len(self.looked.edges)), np.inf)
        if self.looked.empty or not len(points):
            return table
        if isinstance(self.grid, Lattice):
            self.boxes.put(points, table, drift=aim.drift, still=still)
            return table
        for axis, runs in enumerate(self.runs):
            start, level = np.ascontiguousarray(points[:, axis]), np.ascontiguousarray(points[:, 1 - axis])
            for run, groups in runs:
                for tiles in groups:
                    legs = worst_legs(run, tiles, start, level, drift=aim.drift)
                    np.minimum(table[:, run.edge], legs / tiles.along.side, out=table[:, run.edge])
        return table

    def marks(self, axis: int) -> list[float]:
        """Return datums along an axis, whole periods apart, at which a corner of the field meets a tile's side.

        A hair before the soft joint has taken all it can: there a cut is just none, and a narrow stretch of good datums
        may begin or end. Nothing for other patterns, and for fields with more
        corners than a grid has places.
        """
        if isinstance(self.grid, Lattice) or self.looked.empty:
            return []
        spots = {round(place, 3) for place in self.rim[0][:, axis].tolist() + self.rim[0][:, 2 + axis].tolist()}
        if len(spots) > MOST_MARKED:
            return []
        along = (axis == 0) != self.grid.turned
        line = self.grid.u if along else self.grid.v
        cycle = len(self.grid.phases())
        shifts = self.grid.phases() if along else [line.pitch * n for n in range(cycle)]
        reach = SOFT - NUDGE
        return [
            spot - side - shift + way
            for spot in sorted(spots)
            for side in (0.0, line.side)
            for shift in shifts
            for way in (-reach, reach)
        ]

    @cached_property
    def slow(self) -> bool:
        """Whether a datum takes long to work out: many short sides under a pattern."""
        return isinstance(self.grid, Lattice) and self.boxes.rim.slow

    @cached_property
    def boxes(self) -> Boxes:
        """The rim as the other patterns see it."""
        assert isinstance(self.grid, Lattice)
        return Boxes(self.grid, self.looked, *self.rim)

    @cached_property
    def runs(self) -> tuple[list[tuple[Run, Sequence[Tiles]]], ...]:
        """For chords along x and along y: the field's sides as they meet them, each with the tiles to look at."""
        assert isinstance(self.grid, Grid)
        found = []
        for axis in (0, 1):
            groups = tiles_of(self.grid, axis)
            runs = runs_of(*self.rim, self.looked.rounds, axis, groups[0].along.side)
            found.append([(run, groups_at(run, groups)) for run in runs])
        return tuple(found)

    @cached_property
    def rim(self) -> tuple[Floats, NDArray[np.int32]]:
        """The field's sides (n, 4) with curves made coarser, and their edges."""
        sides, edges = self.looked.sides, self.looked.side_edges
        # A side goes on with the next where that starts at its end and lies on the same edge: only round ones do.
        goes_on = np.all(sides[:-1, 2:] == sides[1:, :2], axis=1) & (edges[:-1] == edges[1:])
        starts = [0, *(np.flatnonzero(~goes_on) + 1).tolist(), len(sides)]
        found, of = [], []
        for first, end in pairwise(starts):
            points = np.vstack([sides[first:end, :2], sides[end - 1 : end, 2:]])
            if end - first > 1:
                points = shapely.get_coordinates(shapely.simplify(shapely.linestrings(points), COARSE))
            found.append(np.hstack([points[:-1], points[1:]]))
            of += [int(edges[first])] * (len(points) - 1)
        return np.vstack(found), np.array(of, dtype=np.int32)
