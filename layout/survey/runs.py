"""A floor seen from its drain: how far water runs from each place, and what is above the drain, in closed form.

Water runs straight to the nearest place of the drain: past a linear drain's ends, and about a round one or a point,
along rays; beside a linear drain at right angles to it. The floor's rim is cut into pieces that each run one way, so
the floor falls into triangles about a center and trapezoids beside the drain, whose integrals are known: with p a
wall's distance from the center, t along it from the foot of that and R the distance of its points,

    ∫R² dθ = p·t        ∫R dθ = p·asinh(t / p)        ∫R³ dθ = (p·R·t + p³·asinh(t / p)) / 2
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.errors import RoomError
from layout.room import TOLERANCE, Point
from layout.survey.gaps import Floats
from layout.survey.wanted import BedWanted

_CELLS = 1_000_000
"""Numbers worked on at once."""


@dataclass(frozen=True, slots=True)
class Runs:
    """The rim's pieces in order: from `a` to `b`, on which wall, and their center's place along the drain, NaN for
    pieces beside it. In mm, turned so that the drain runs from (0, 0) to (far, 0)."""

    far: float
    radius: float
    a: Floats
    b: Floats
    wall: Floats
    center: Floats
    turn: Floats
    origin: Floats

    def local(self, points: Floats) -> Floats:
        """Return (n, 2) points turned so that the drain runs to the right from (0, 0)."""
        return np.asarray((np.reshape(points, (-1, 2)) - self.origin) @ self.turn)

    def run(self, points: Floats) -> Floats:
        """Return how far water runs from points of the floor to the drain, mm; 0 in it."""
        x, y = self.local(points).T
        return np.asarray(np.maximum(np.hypot(x - np.clip(x, 0.0, self.far), y) - self.radius, 0.0))

    def whole_run(self, points: Floats) -> Floats:
        """Return the length of the run through points, from the rim to the drain, mm."""
        local = self.local(points)
        step = max(1, _CELLS // len(self.a))
        return np.concatenate([self._whole(local[row : row + step]) for row in range(0, len(local), step)])

    def _whole(self, local: Floats) -> Floats:
        x, y = local[:, :1], local[:, 1:]
        start = np.clip(x, 0.0, self.far)
        away = np.concatenate((x - start, y), axis=1)
        here = np.hypot(*away.T)
        with np.errstate(divide="ignore", invalid="ignore"):
            away = away / here[:, None]
            edge = self.b - self.a
            to = self.a[None, :, 0] - start, self.a[None, :, 1]
            cross = away[:, :1] * edge[None, :, 1] - away[:, 1:] * edge[None, :, 0]
            ahead = (to[0] * edge[None, :, 1] - to[1] * edge[None, :, 0]) / cross
            along = (to[0] * away[:, 1:] - to[1] * away[:, :1]) / cross
            hit = (along >= -1e-9) & (along <= 1 + 1e-9) & (ahead >= here[:, None] - 2 * TOLERANCE)
            far = np.where(hit, ahead, np.inf).min(axis=1)
        return np.asarray(np.where(np.isfinite(far), np.maximum(far, here), here) - self.radius)

    @property
    def longest(self) -> float:
        """The longest run, from the farthest corner, mm."""
        x, y = self.a.T
        return float((np.hypot(x - np.clip(x, 0.0, self.far), y) - self.radius).max())

    @property
    def shortest(self) -> float:
        """The shortest run from any wall, mm."""
        return float(self._near()[0].min())

    @property
    def area(self) -> float:
        """The floor's area around the drain, mm²."""
        return float(self._fans()[0].sum() + self._strips()[0].sum())

    @property
    def cone(self) -> float:
        """The integral over the floor of the run, mm³: times the slope it is what lies above the drain's rim."""
        return float(self._fans()[1].sum() + self._strips()[1].sum())

    @property
    def facets(self) -> float:
        """The integral over the floor of the share of its run that a place has behind it, mm²: times the height of a
        level rim it is what lies above the drain."""
        return float(self._fans()[2].sum() + self._strips()[0].sum() / 2)

    @property
    def steepest(self) -> float:
        """Under a level rim of height 1 mm: the steepest fall anywhere on the floor, a ratio."""
        nearest, slant = self._near()
        return float((slant / nearest).max())

    def _near(self) -> tuple[Floats, Floats]:
        """Return of each piece its shortest run and by how much its floor falls more steeply than that run there.

        About a center the height is ρ − r over R − r, which falls by 1 / (p − r·cos φ) at the rim: most at the piece's
        place nearest to the center. Beside the drain it is y / Y, which falls by √(1 + Y'²) / Y.
        """
        edge = self.b - self.a
        size = np.hypot(*edge.T)
        side = np.isnan(self.center)
        x = np.where(side, 0.0, self.center)
        a, b = self.a - np.column_stack((x, np.zeros(len(x)))), self.b - np.column_stack((x, np.zeros(len(x))))
        p = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / size
        ta, tb = (a * edge).sum(axis=1) / size, (b * edge).sum(axis=1) / size
        t = np.where(ta * tb < 0, 0.0, np.minimum(np.abs(ta), np.abs(tb)))
        reach = np.hypot(p, t)
        about = reach - self.radius
        with np.errstate(divide="ignore", invalid="ignore"):
            fan = about / (p - self.radius * p / reach)
            strip = size / np.abs(edge[:, 0])
        beside = np.minimum(np.abs(self.a[:, 1]), np.abs(self.b[:, 1]))
        # A wall that points at the drain bounds no facet of its own.
        flat = np.where(side, np.abs(edge[:, 0]) <= TOLERANCE, p <= TOLERANCE)
        return np.where(side, beside, about), np.where(flat, 0.0, np.where(side, strip, fan))

    def _fans(self) -> tuple[Floats, Floats, Floats]:
        """Return area, run and share of run of each triangle about a center."""
        use = ~np.isnan(self.center)
        center = np.column_stack((self.center[use], np.zeros(use.sum())))
        a, b = self.a[use] - center, self.b[use] - center
        edge = b - a
        size = np.hypot(*edge.T)
        p = np.maximum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], 0.0) / size
        use = p > 0
        p, r = p[use], self.radius
        sums = []
        for end in (b, a):
            t = ((end * edge).sum(axis=1) / size)[use]
            hyper = np.arcsinh(t / p)
            cubes = (p * np.hypot(p, t) * t + p**3 * hyper) / 2
            sums.append((p * t, p * hyper, cubes, np.arctan2(t, p)))
        two, one, three, turn = (late - early for late, early in zip(*sums, strict=True))
        area = (two - r * r * turn) / 2
        run = three / 3 - r * two / 2 + r**3 * turn / 6
        share = (2 * two - r * one - r * r * turn) / 6
        return area, run, share

    def _strips(self) -> tuple[Floats, Floats]:
        """Return area and run of each trapezoid beside a linear drain."""
        use = np.isnan(self.center)
        wide = np.abs(self.b[use, 0] - self.a[use, 0])
        ya, yb = np.abs(self.a[use, 1]), np.abs(self.b[use, 1])
        return wide * (ya + yb) / 2, wide * (ya * ya + ya * yb + yb * yb) / 6


def seen_from_drain(bed: BedWanted) -> Runs:
    """Return the floor as its drain sees it. Raises RoomError where a wall stands between a part of it and the drain.

    Water would have to run around that wall, and no plane or cone says how: such a floor is two floors or has two
    drains.
    """
    far = math.dist(bed.start, bed.end)
    ahead = ((bed.end[0] - bed.start[0]) / far, (bed.end[1] - bed.start[1]) / far) if far else (1.0, 0.0)
    turn = np.array([[ahead[0], -ahead[1]], [ahead[1], ahead[0]]])
    origin = np.array(bed.start)
    corners = (np.array(bed.outline) - origin) @ turn
    pieces: list[tuple[Floats, Floats, int, float]] = []
    for wall, a in enumerate(corners):
        b = corners[(wall + 1) % len(corners)]
        cuts = [0.0, 1.0]
        if far and abs(b[0] - a[0]) > 1e-12:
            cuts += [t for t in ((x - a[0]) / (b[0] - a[0]) for x in (0.0, far)) if 0 < t < 1]
        cuts.sort()
        ends = [a + (b - a) * t for t in cuts]
        ends[-1] = b
        for start, end in pairwise(ends):
            if math.dist(start, end) < 1e-9:
                continue
            middle = (start[0] + end[0]) / 2
            center = math.nan if far and 0 < middle < far else far if middle >= far > 0 else 0.0
            _refuse_shadow(start, end, center, wall, bed)
            pieces.append((start, end, wall, center))
    return Runs(
        far,
        bed.radius,
        np.array([each[0] for each in pieces]),
        np.array([each[1] for each in pieces]),
        np.array([each[2] for each in pieces]),
        np.array([each[3] for each in pieces]),
        turn,
        origin,
    )


def _refuse_shadow(start: Floats, end: Floats, center: float, wall: int, bed: BedWanted) -> None:
    if math.isnan(center):
        middle = (start[1] + end[1]) / 2
        away = (end[0] - start[0]) * (1 if middle > 0 else -1)
        behind = abs(middle) > TOLERANCE and away > TOLERANCE
    else:
        x0, x1 = start[0] - center, end[0] - center
        behind = (x0 * end[1] - x1 * start[1]) / math.dist(start, end) < -TOLERANCE
    if behind:
        at: Point = bed.outline[wall]
        raise RoomError(
            "bed.outline",
            f"wall {wall}, from corner [{at[0]:g}, {at[1]:g}] mm, hides part of the floor from the drain: "
            "make it two beds, each with its drain",
        )
