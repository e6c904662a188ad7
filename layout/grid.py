"""Where each tile of a pattern stands, and how far drift carries it.

A surface is looked at along its courses: `u` runs along them, `v` across. For a pattern in rows u is x; in columns the
surface is turned, so that one kind of code serves both. `line` numbers the courses (columns, where turned), `place` the
tiles along one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.field import Field
from layout.room import EQUAL, Point, Surface


@dataclass(frozen=True, slots=True)
class Axis:
    """One direction of the pattern: the tile's side, the pitch, and the drift of joints along it, mm.

    `spread`: how much wider a joint may end up; `most`: after how many joints the setter snaps a fresh line.
    """

    side: float
    pitch: float
    spread: float
    most: int

    @property
    def joint_half(self) -> float:
        """Half the joint, mm."""
        return (self.pitch - self.side) / 2

    def drift(self, index: int, amount: float) -> float:
        """How far tile `index` is off its place when each joint is `amount` wider (FORMATS.md, rule 5)."""
        if not index:
            return 0.0
        return math.copysign(amount * min(abs(index), self.most), index)


@dataclass(frozen=True, slots=True)
class Grid:
    """The pattern of a surface without its datum: an axis along the courses and one across."""

    surface: Surface
    turned: bool
    u: Axis
    v: Axis

    def shift(self, line: int) -> float:
        """How far a course is shifted along itself, mm."""
        return float(self.surface.pattern.shift(line)) * self.u.pitch

    def phases(self) -> tuple[float, ...]:
        """The distinct shifts, mm, each in 0 … pitch, by course modulo their number."""
        pattern = self.surface.pattern
        return tuple(float(pattern.shift(line) % 1) * self.u.pitch for line in range(pattern.cycle))

    def near(
        self, bounds: tuple[float, float, float, float], datum: Point, drift: Point
    ) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
        """Return lines, places, corners (n, 2), outlines (n, 4, 2) as x and y of the tiles in the bounds."""
        x0, y0, x1, y1 = bounds
        (u0, v0), (u1, v1) = self.swap((x0, y0)), self.swap((x1, y1))
        start, level = self.swap(datum)
        slack = (self.u.most * drift[0], self.v.most * drift[1])
        lines = np.arange(
            math.floor((v0 - level - self.v.side - slack[1]) / self.v.pitch),
            math.ceil((v1 - level + slack[1]) / self.v.pitch) + 1,
        )
        # Whole pitches of a stair's shift are kept: places count along the course as FORMATS.md has it.
        shifts, whole = np.zeros(len(lines)), np.zeros(len(lines), dtype=np.int64)
        if self.surface.pattern.share:
            several = [self.surface.pattern.shift(line) for line in lines.tolist()]
            shifts = np.array([float(shift % 1) for shift in several]) * self.u.pitch
            whole = np.array([math.floor(shift) for shift in several], dtype=np.int64)
        most = int((u1 - u0 + 2 * slack[0] + self.u.side) / self.u.pitch) + 3
        first = np.floor((u0 - start - shifts - self.u.side - slack[0]) / self.u.pitch).astype(np.int64) - whole
        places = first[:, None] + np.arange(most + 1)[None, :]
        us = start + (shifts + whole * self.u.pitch)[:, None] + places * self.u.pitch
        us = us + drift[0] * np.clip(places, -self.u.most, self.u.most)
        vs = level + lines * self.v.pitch + drift[1] * np.clip(lines, -self.v.most, self.v.most)
        every = np.broadcast_to(vs[:, None], us.shape)
        meets = (us < u1) & (us + self.u.side > u0) & (every < v1) & (every + self.v.side > v0)
        where = np.broadcast_to(lines[:, None], us.shape)[meets]
        corners = np.stack([every[meets], us[meets]] if self.turned else [us[meets], every[meets]], axis=1)
        tile = self.surface.tile
        box = np.array([(0.0, 0.0), (tile.width, 0.0), (tile.width, tile.height), (0.0, tile.height)])
        return where, places[meets], corners, corners[:, None, :] + box[None]

    def outline(self, place: int, corner: Point) -> tuple[Point, ...]:
        """The outline of a whole tile whose lower left stands at (x, y)."""
        (x, y), tile = corner, self.surface.tile
        return (x, y), (x + tile.width, y), (x + tile.width, y + tile.height), (x, y + tile.height)

    def to_tile(self, place: int, corner: Point, points: tuple[Point, ...]) -> tuple[Point, ...]:
        """Points of the surface as they lie in the tile, from its lower left."""
        return tuple((x - corner[0], y - corner[1]) for x, y in points)

    def named(self, name: str, axis: int, low: float, high: float) -> float:
        """The datum that a pin's name stands for on a field from `low` to `high`, whole pitches apart."""
        line = self.u if self.turned == bool(axis) else self.v
        return {
            "full-at-left": low,
            "full-at-right": high - line.side,
            "full-at-bottom": low,
            "full-at-top": high - line.side,
            "tile-centered": (low + high - line.side) / 2,
            "joint-centered": (low + high) / 2 + line.joint_half,
        }[name]

    def alike(self, one: Point, other: Point) -> bool:
        """Whether a setter couldn't tell the tiles on two datums apart: they lie within 1/32 in of each other."""
        (u, v), (other_u, other_v) = self.swap(one), self.swap(other)
        lines = round((other_v - v) / self.v.pitch)
        if abs(v + lines * self.v.pitch - other_v) > EQUAL:
            return False
        # The other's course 0 is this one's course `lines`: alike if every course from there on is shifted alike.
        for line in range(self.surface.pattern.cycle):
            apart = u + self.shift(lines + line) - other_u - self.shift(line)
            if abs(apart - round(apart / self.u.pitch) * self.u.pitch) > EQUAL:
                return False
        return True

    def look(self, field: Field) -> Field:
        """The field as u and v."""
        return field.turned if self.turned else field

    def swap(self, point: Point) -> Point:
        """Between (x, y) and (u, v), either way."""
        return (point[1], point[0]) if self.turned else point

    def number(self, line: int, place: int) -> tuple[int, int]:
        """Course and column of a tile."""
        return (place, line) if self.turned else (line, place)


def grid_of(surface: Surface, regrid: float) -> Grid:
    """Return the pattern of a surface, where fresh lines are snapped every `regrid` mm."""
    spread = surface.joint_high - surface.joint

    def axis(side: float) -> Axis:
        pitch = side + surface.joint
        return Axis(side, pitch, spread, max(1, math.floor(regrid / pitch)))

    across, up = axis(surface.tile.width), axis(surface.tile.height)
    turned = surface.pattern.axis == "columns"
    return Grid(surface, turned, up if turned else across, across if turned else up)
