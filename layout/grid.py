"""Where each tile of a pattern stands, and how far drift carries it.

A surface is looked at along its courses: `u` runs along them, `v` across. For a pattern in rows u is x; in columns the
surface is turned, so that one kind of code serves both. `line` numbers the courses (columns, where turned), `place` the
tiles along one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.field import Field
from layout.room import Point, Surface


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
