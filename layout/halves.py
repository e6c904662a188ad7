"""What one straight side of a field leaves of a tile in a diagonal, a herringbone or a hexagon pattern.

All of it depends on one length: how far the tile's own corner stands inside the side's line. The box of what is left,
in the tile's axes, and the ends of the cut run straight between the places where a corner of the tile meets the line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.lattice import Lattice, Stand
from layout.model import Floats
from layout.pieces import REACH

NONE = 9.0
"""A share that stands for no leg: more than any share is."""

TIP = 0.1
"""mm. How far a tip too small for a piece may reach into the field for a datum to be taken."""

HAIR = 1e-7
"""mm. How far beside a jump its two ends are kept."""


@dataclass(frozen=True, slots=True, eq=False)
class Half:
    """By `at`, where the tile's own corner stands inside a side, rising, mm: what the side leaves of the tile."""

    at: Floats
    box: Floats
    """(n, 4): least x and y, greatest x and y in the tile's axes, mm."""
    ends: Floats
    """(n, 2): where the cut starts and ends along the side, from the tile's own corner, mm."""
    share_at: Floats
    share: Floats
    """The box's share at each `share_at`, straight between; NONE where there is no leg."""
    gone: float
    """Up to here nothing wider than 1 mm is left (rule 1)."""
    whole: float
    """From here on the tile passes the side by no more than 1 mm."""

    def shares(self, at: Floats) -> Floats:
        """Return the shares of the least legs, inf where there is none."""
        found = np.interp(at, self.share_at, self.share)
        found[found > 1.0] = np.inf
        return found


def half_of(grid: Lattice, stand: Stand, way: Floats) -> Half:
    """Return what a side that runs in the direction `way` (a unit vector, the field on its left) leaves of a tile."""
    outline = np.array(stand.outline)
    normal = np.array([-way[1], way[0]])
    depths, along, own = outline @ normal, outline @ way, outline @ frame(stand)
    knots: list[float] = []
    for place in np.sort(-depths).tolist():
        if not knots or place - knots[-1] > 1e-6:
            knots.append(place)
    at = np.array(knots)
    boxes, ends = [], []
    for place in knots:
        heights = place + depths
        kept = [own[n] for n in range(len(own)) if heights[n] >= -1e-6]
        on = [float(along[n]) for n in range(len(own)) if abs(heights[n]) <= 1e-6]
        for n in range(len(own)):
            if (heights[n] > 1e-6 and heights[n - 1] < -1e-6) or (heights[n] < -1e-6 and heights[n - 1] > 1e-6):
                part = heights[n - 1] / (heights[n - 1] - heights[n])
                kept.append(own[n - 1] + part * (own[n] - own[n - 1]))
                on.append(float(along[n - 1] + part * (along[n] - along[n - 1])))
        boxes.append(np.concatenate([np.min(kept, axis=0), np.max(kept, axis=0)]))
        ends.append((min(on), max(on)))
    box = np.array(boxes)
    whole = knots[-1] - REACH
    # A circle of 1 mm fits where its middle, half a millimeter inside the tile's sides, lies as far inside the line.
    gone = REACH / 2 - float((_shrunk(outline, REACH / 2) @ normal).max())
    share_at, share = _shares(grid, at, box[:, 2:] - box[:, :2], gone, whole)
    return Half(at, box, np.array(ends), share_at, share, gone, whole)


def frame(stand: Stand) -> Floats:
    """What turns places on the surface (…, 2) into the tile's own axes, by `@`."""
    cos, sin = math.cos(stand.turn), math.sin(stand.turn)
    return np.array([[cos, -sin], [sin, cos]])


def _shrunk(outline: Floats, by: float) -> Floats:
    """Return a convex outline (counter-clockwise) with its sides moved in."""
    way = np.roll(outline, -1, axis=0) - outline
    way /= np.hypot(way[:, 0], way[:, 1])[:, None]
    before = np.roll(way, 1, axis=0)
    # Along the side a corner moves by `by` over the tangent of half its angle, and as far as `by` across it.
    turn = before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0]
    straight = (before * way).sum(axis=1)
    normal = np.stack([-way[:, 1], way[:, 0]], axis=1)
    found: Floats = outline + by * normal + by * (turn / (1 + straight))[:, None] * way
    return found


def _shares(grid: Lattice, at: Floats, sizes: Floats, gone: float, whole: float) -> tuple[Floats, Floats]:
    """Return the places where the least share bends or jumps, and the share there."""
    full = np.array(grid.box)
    places = [gone, whole, float(at[0]) + TIP, *at.tolist()]
    for n in range(len(at) - 1):
        here, there = sizes[n], sizes[n + 1]
        marks = [(there[axis] - here[axis], full[axis] - REACH - here[axis]) for axis in (0, 1)]
        parts = (there - here) / full
        marks.append((parts[0] - parts[1], here[1] / full[1] - here[0] / full[0]))
        for rise, height in marks:
            if abs(rise) > 1e-12 and 0 < height / rise < 1:
                places.append(at[n] + height / rise * (at[n + 1] - at[n]))
    every = np.unique(np.add.outer(np.array(places), (-HAIR, HAIR)))
    size = np.stack([np.interp(every, at, sizes[:, axis]) for axis in (0, 1)], axis=1)
    least = np.where(full - size > REACH, size / full, NONE).min(axis=1)
    share = np.where((every > gone) & (every < whole), least, NONE)
    if gone - at[0] > REACH + TIP:
        # A tip that is no piece, but reaches further in than a strip of 1 mm could, leaves a bare spot.
        share = np.where((every > at[0] + TIP) & (every <= gone), 0.0, share)
    return every, share
