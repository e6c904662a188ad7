"""The floor as its readings define it, and what of it lies above or under a plane: integrated, not sampled.

Between the readings of a line the floor is straight, and from each line straight across to the next at the same place
along: a ruled surface. Cut at every reading of either line it falls into rectangles on which the height is bilinear.
Less a plane it is bilinear still, so it is highest and lowest at corners, and the part above the plane has a closed
integral: across a rectangle the height runs straight from A to B, both linear along it; where A > 0 > B the part above
is A / (A − B) wide and A² / 2(A − B) large, a quadratic over a line, which integrates to a polynomial and a logarithm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layout.room import TOLERANCE
from layout.survey.gaps import Floats
from layout.survey.reading import SurveyLine

Indices = NDArray[np.intp]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_NEARLY_EVEN = 0.1
"""A divisor that changes by less than this share of itself: there the logarithm would cancel, and twelve points are
exact to the last digits."""


@dataclass(frozen=True, slots=True)
class Surface:
    """`nodes`: (n, 3) across, along, height in mm. `cells`: (m, 4) nodes of each rectangle: near and far end on its
    first line, near and far end on its second."""

    nodes: Floats
    cells: Indices

    @property
    def sizes(self) -> Floats:
        """Each rectangle's area, mm²."""
        x, y = self.nodes[self.cells, 0], self.nodes[self.cells, 1]
        return np.asarray((x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0]))

    @property
    def area(self) -> float:
        return float(self.sizes.sum())

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the area, across and along."""
        sizes = self.sizes
        x, y = (float(sizes @ self.nodes[self.cells, axis].mean(axis=1) / sizes.sum()) for axis in (0, 1))
        return x, y

    def above(self, heights: Floats) -> tuple[float, float]:
        """Return volume (mm³) and area (mm²) of what is above 0 where the nodes stand at `heights`."""
        volumes, areas = parts_above(heights[self.cells])
        sizes = self.sizes
        return float(volumes @ sizes), float(areas @ sizes)


def ruled(lines: Sequence[SurveyLine]) -> Surface | None:
    """Return the surface between lines; only where neighboring lines both reach is there a floor. None without any."""
    nodes: list[Floats] = []
    cells: list[Indices] = []
    count = 0
    for first, second in pairwise(sorted(lines, key=lambda line: line.at)):
        low = max(first.readings[0][0], second.readings[0][0])
        high = min(first.readings[-1][0], second.readings[-1][0])
        if high <= low:
            continue
        one, other = np.array(first.readings), np.array(second.readings)
        places = np.concatenate((one[:, 0], other[:, 0], [low, high]))
        places = np.unique(places[(places >= low) & (places <= high)])
        for line, read in ((first, one), (second, other)):
            heights = np.interp(places, read[:, 0], read[:, 1])
            nodes.append(np.column_stack((np.full(len(places), line.at), places, heights)))
        start = count + np.arange(len(places) - 1)
        cells.append(np.column_stack((start, start + 1, start + len(places), start + len(places) + 1)))
        count += 2 * len(places)
    if not cells:
        return None
    every = np.concatenate(nodes)
    # A node of two strips is one node.
    _, kept, number = np.unique(every[:, :2], axis=0, return_index=True, return_inverse=True)
    return Surface(every[kept], number.reshape(-1)[np.concatenate(cells)])


def heights_at(lines: Sequence[SurveyLine], points: Floats) -> Floats:
    """Return the height of the floor at (n, 2) points, across and along, mm; NaN where no two lines reach around one.

    Within the tolerance of our geometry a point beside the floor is on its edge.
    """
    order = sorted(lines, key=lambda line: line.at)
    at = np.array([line.at for line in order])
    reads = [np.array(line.readings) for line in order]
    found = np.full(len(points), np.nan)
    x, y = points.T
    for number, (one, other) in enumerate(pairwise(reads)):
        low, high = max(one[0, 0], other[0, 0]), min(one[-1, 0], other[-1, 0])
        inside = (x >= at[number] - TOLERANCE) & (x <= at[number + 1] + TOLERANCE)
        # On a line between a strip that reaches there and one that doesn't, the one that does counts.
        inside &= (y >= low - TOLERANCE) & (y <= high + TOLERANCE) & np.isnan(found)
        share = np.clip((x[inside] - at[number]) / (at[number + 1] - at[number]), 0.0, 1.0)
        near, far = (np.interp(np.clip(y[inside], low, high), *read.T) for read in (one, other))
        found[inside] = near + (far - near) * share
    return found


def parts_above(heights: Floats) -> tuple[Floats, Floats]:
    """Return of bilinear cells of area 1 the volume above 0 and the share of the area that is.

    `heights`: (m, 4), the ends of side A, then of side B opposite, both counted in one direction.
    """
    a0, a1, b0, b1 = heights.T
    turns = np.sort(np.column_stack((_zero(a0, a1), _zero(b0, b1))), axis=1)
    ends = np.column_stack((np.zeros(len(a0)), turns, np.ones(len(a0))))
    volume, area = np.zeros(len(a0)), np.zeros(len(a0))
    for from_, to in ((0, 1), (1, 2), (2, 3)):
        low, high = ends[:, from_], ends[:, to]
        wide, middle = high - low, (low + high) / 2
        a, b = a0 + (a1 - a0) * middle, b0 + (b1 - b0) * middle
        at = [start + (end - start) * where for start, end in ((a0, a1), (b0, b1)) for where in (low, high)]
        both = (a >= 0) & (b >= 0)
        volume += np.where(both, (a + b) / 2, 0.0) * wide
        area += np.where(both, 1.0, 0.0) * wide
        for up, down, use in (((at[0], at[1]), (at[2], at[3]), (a > 0) & (b < 0)), (at[2:], at[:2], (b > 0) & (a < 0))):
            cut = use & (wide > 0)
            if cut.any():
                squares, firsts = _over_difference(*(each[cut] for each in (*up, *down)))
                volume[cut] += squares / 2 * wide[cut]
                area[cut] += firsts * wide[cut]
    return volume, area


def _zero(start: Floats, end: Floats) -> Floats:
    """Return where on 0 … 1 a straight line passes 0; 0 where it doesn't."""
    crossing = (start > 0) != (end > 0)
    return np.clip(np.divide(start, start - end, out=np.zeros_like(start), where=crossing), 0.0, 1.0)


def _over_difference(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> tuple[Floats, Floats]:
    """Return the integrals over 0 … 1 of A² / (A − B) and A / (A − B), for A ≥ 0 ≥ B linear, not both 0 all along."""
    a0, a1 = np.maximum(a0, 0.0), np.maximum(a1, 0.0)
    d0, d1 = a0 - np.minimum(b0, 0.0), a1 - np.minimum(b1, 0.0)
    rise, change = a1 - a0, d1 - d0
    even = np.abs(change) <= _NEARLY_EVEN * (d0 + d1)
    where = (_POINTS + 1) / 2
    top, bottom = a0[:, None] + rise[:, None] * where, d0[:, None] + change[:, None] * where
    safe = np.where(bottom > 0, bottom, 1.0)
    by_points = [(top**power / safe) @ _WEIGHTS / 2 for power in (2, 1)]
    # A = m + k (A − B). Where the difference is 0 at an end A is too, so m is 0 and the logarithm counts for nothing.
    k = np.divide(rise, change, out=np.zeros_like(rise), where=~even)
    m = a0 - k * d0
    ends = (d0 > 0) & (d1 > 0) & ~even
    log = np.log(np.divide(d1, d0, out=np.ones_like(d0), where=ends))
    log = np.divide(log, change, out=np.zeros_like(log), where=~even)
    squares = m * m * log + 2 * m * k + k * k * (d0 + d1) / 2
    firsts = m * log + k
    return np.where(even, by_points[0], squares), np.where(even, by_points[1], firsts)
