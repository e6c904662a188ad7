"""A field's sides under another pattern than courses, and what each side's line leaves of a tile."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.halves import Half, half_of
from layout.lattice import Lattice
from layout.model import Floats


class Rim:
    """The sides (n, 4) of a field, mm, with their edges, under a pattern."""

    def __init__(self, grid: Lattice, sides: Floats, edges: NDArray[np.int32]) -> None:
        self.grid, self.edges = grid, edges
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
