"""Patterns whose tiles don't stand in straight courses: diagonal, herringbone and hex.

Anchor and numbering (`docs/decisions/0011-patterns-and-sloped-cuts.md`):

- `diagonal`: a stack turned 45 degrees counter-clockwise. The datum is the lowest corner of the tile at course 0,
  column 0. Columns count up to the right, courses up to the left.
- `herringbone`: turned by `angle` (45 unless the pattern says 0) about the datum, the lower-left corner of the lying
  tile at course 0, column 0. Courses count one tile's width up the stair, columns one pair along: an even column is a
  lying tile, the odd one after it the standing tile above its left end.
- `hex`: corners up and down. The datum is the lower left of the bounding box of the tile at course 0, column 0;
  odd courses stand half a pitch to the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.grid import Axis
from layout.room import EQUAL, Point, Surface

Floats = NDArray[np.float64]

ROOT = math.sqrt(0.5)
LATTICES = ("diagonal", "herringbone", "hex")


@dataclass(frozen=True, slots=True)
class Stand:
    """How one kind of tile stands: its outline from its own corner, and how far it is turned, in radians."""

    outline: tuple[Point, ...]
    turn: float
    apart: Point
    """From the lattice point to the tile's corner."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """A pattern without its datum. Lattice point (course, pair) lies at course * up + pair * along."""

    surface: Surface
    along: Point
    up: Point
    stands: tuple[Stand, ...]
    u: Axis
    v: Axis
    """`pitch`: over how much x and y the datum has to be looked for; `side`: the tile's extent."""
    box: tuple[float, float]
    """The tile's sides in its own axes."""
    staggered: bool = False
    """Hex: `up` counts double courses' halves; odd courses stand half a pitch aside."""
    turned: bool = False

    def phases(self) -> tuple[float, ...]:
        return (0.0,)

    def shift(self, line: int) -> float:
        return 0.0

    def swap(self, point: Point) -> Point:
        return point

    def number(self, line: int, place: int) -> tuple[int, int]:
        return line, place

    def stand(self, place: int) -> Stand:
        """How the tile in a column stands."""
        return self.stands[place % len(self.stands)]

    def corners(self, courses: NDArray[np.int64], columns: NDArray[np.int64], datum: Point, drift: Point) -> Floats:
        """Return (n, 2) where the tiles' own corners stand, mm."""
        pairs = columns // len(self.stands)
        kinds = columns % len(self.stands)
        rest = np.array([stand.apart for stand in self.stands])[kinds]
        aside = np.where(courses % 2 == 1, self.along[0] / 2, 0.0) if self.staggered else np.zeros(len(courses))
        over = pairs + drift[0] * np.clip(pairs, -self.u.most, self.u.most) / math.hypot(*self.along)
        rise = courses + drift[1] * np.clip(courses, -self.v.most, self.v.most) / math.hypot(*self.up)
        x = datum[0] + over * self.along[0] + rise * self.up[0] + rest[:, 0] + aside
        y = datum[1] + over * self.along[1] + rise * self.up[1] + rest[:, 1]
        return np.stack([x, y], axis=1)

    def near(
        self, bounds: tuple[float, float, float, float], datum: Point, drift: Point
    ) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats, Floats]:
        """Return courses, columns, corners (n, 2) and outlines (n, k, 2) of the tiles whose box meets the bounds."""
        reach = 2 * max(self.box) + self.u.most * drift[0] * 2 + self.v.most * drift[1] * 2
        x0, y0, x1, y1 = bounds
        low = np.array([x0 - reach, y0 - reach]) - datum
        high = np.array([x1 + reach, y1 + reach]) - datum
        basis = np.array([self.along, self.up]).T
        ends = np.linalg.solve(basis, np.array([[low[0], low[1]], [high[0], low[1]], [low[0], high[1]], high]).T)
        first, last = np.floor(ends.min(axis=1)).astype(int), np.ceil(ends.max(axis=1)).astype(int)
        pairs, courses = np.meshgrid(np.arange(first[0], last[0] + 1), np.arange(first[1], last[1] + 1))
        found = []
        for kind in range(len(self.stands)):
            columns = pairs.ravel() * len(self.stands) + kind
            lines = courses.ravel()
            corners = self.corners(lines, columns, datum, drift)
            outline = np.array(self.stands[kind].outline)
            least, most = outline.min(axis=0), outline.max(axis=0)
            meets = np.all((corners + most > (x0, y0)) & (corners + least < (x1, y1)), axis=1)
            lines, columns, corners = lines[meets], columns[meets], corners[meets]
            found.append((lines, columns, corners, corners[:, None, :] + outline[None, :, :]))
        lines, columns, corners, outlines = (np.concatenate(each) for each in zip(*found, strict=True))
        order = np.lexsort((columns, lines))
        return lines[order], columns[order], corners[order], outlines[order]

    def outline(self, place: int, corner: Point) -> tuple[Point, ...]:
        """The outline of a whole tile."""
        return tuple((corner[0] + x, corner[1] + y) for x, y in self.stand(place).outline)

    def to_tile(self, place: int, corner: Point, points: Iterator[Point] | tuple[Point, ...]) -> tuple[Point, ...]:
        """Points of the surface as they lie in the tile, from its lower left as it comes out of the box."""
        turn = self.stand(place).turn
        cos, sin = math.cos(turn), math.sin(turn)
        moved = [(x - corner[0], y - corner[1]) for x, y in points]
        return tuple((x * cos + y * sin, y * cos - x * sin) for x, y in moved)

    def alike(self, one: Point, other: Point) -> bool:
        """Whether a setter couldn't tell the tiles on two datums apart: they lie within 1/32 in of each other."""
        apart = np.array(other) - np.array(one)
        aside = (0.0, self.along[0] / 2) if self.staggered else (0.0,)
        for shift in aside:
            rest = apart - (shift, 0.0)
            pair, course = np.linalg.solve(np.array([self.along, self.up]).T, rest).tolist()
            near = np.array(self.along) * round(pair) + np.array(self.up) * round(course)
            straight = not self.staggered or (round(course) % 2 == 1) == bool(shift)
            if straight and float(np.hypot(*(rest - near))) <= EQUAL:
                return True
        return False

    def named(self, name: str, axis: int, low: float, high: float) -> float:
        """The datum that a pin's name stands for: a tile's box against an edge or its middle on the middle."""
        outline = self.stands[0].outline
        first = min(point[axis] for point in outline) + self.stands[0].apart[axis]
        last = max(point[axis] for point in outline) + self.stands[0].apart[axis]
        middle = (low + high) / 2
        if name in ("full-at-left", "full-at-bottom"):
            return low - first
        if name in ("full-at-right", "full-at-top"):
            return high - last
        if name == "tile-centered":
            return middle - (first + last) / 2
        return middle - first + self.surface.joint / 2


def lattice_of(surface: Surface, regrid: float) -> Lattice:
    """Return the pattern of a surface that is laid diagonal, in herringbone or in hexagons."""
    kind = surface.pattern.kind
    if kind == "diagonal":
        return _diagonal(surface, regrid)
    return _hex(surface, regrid) if kind == "hex" else _herringbone(surface, regrid)


def _most(pitch: float, regrid: float) -> int:
    return max(1, math.floor(regrid / pitch))


def _turned(points: tuple[Point, ...], turn: float) -> tuple[Point, ...]:
    cos, sin = math.cos(turn), math.sin(turn)
    return tuple((x * cos - y * sin, x * sin + y * cos) for x, y in points)


def _rectangle(wide: float, high: float) -> tuple[Point, ...]:
    return ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))


def _diagonal(surface: Surface, regrid: float) -> Lattice:
    tile, joint = surface.tile, surface.joint
    wide, high = tile.width + joint, tile.height + joint
    spread = surface.joint_high - joint
    outline = _turned(_rectangle(tile.width, tile.height), math.pi / 4)
    span = (tile.width + tile.height) * ROOT
    # A square's pattern repeats over these; another tile's is covered by them (a strip of the plane one column high).
    over = 2 * high * ROOT + (0.0 if abs(wide - high) < 1e-9 else wide * ROOT)
    return Lattice(
        surface,
        along=(wide * ROOT, wide * ROOT),
        up=(-high * ROOT, high * ROOT),
        stands=(Stand(outline, math.pi / 4, (0.0, 0.0)),),
        u=Axis(span, over, spread, _most(wide, regrid)),
        v=Axis(span, wide * ROOT, spread, _most(high, regrid)),
        box=(tile.width, tile.height),
    )


def _hex(surface: Surface, regrid: float) -> Lattice:
    wide, joint = surface.tile.width, surface.joint
    pitch = wide + joint
    side = wide / math.sqrt(3)
    outline = (
        (wide / 2, 0.0), (wide, side / 2), (wide, 1.5 * side), (wide / 2, 2 * side), (0.0, 1.5 * side), (0.0, side / 2)
    )  # fmt: skip
    spread = surface.joint_high - joint
    rise = pitch * math.sqrt(3) / 2
    return Lattice(
        surface,
        along=(pitch, 0.0),
        up=(0.0, rise),
        stands=(Stand(outline, 0.0, (0.0, 0.0)),),
        u=Axis(wide, pitch, spread, _most(pitch, regrid)),
        v=Axis(2 * side, rise, spread, _most(rise, regrid)),
        box=(wide, 2 * side),
        staggered=True,
    )


def long_joint(long: float, short: float, joint: float) -> float:
    """Return the joint along the long sides, mm, under which a tile's length is a whole number of widths with joints.

    At most half a joint from the joint; the joint itself where that isn't enough.
    """
    many = max(1, round((long + joint) / (short + joint)))
    wanted = (long + joint) / many - short
    return wanted if abs(wanted - joint) <= joint / 2 + 1e-9 else joint


def _herringbone(surface: Surface, regrid: float) -> Lattice:
    tile, joint = surface.tile, surface.joint
    long, short = max(tile.width, tile.height), min(tile.width, tile.height)
    stair = short + long_joint(long, short, joint)
    length = long + joint
    turn = math.radians(surface.pattern.angle)
    # A tile that hangs upright lies after a quarter turn clockwise about its corner.
    own = 0.0 if tile.width >= tile.height else -math.pi / 2
    lying = _turned(_rectangle(tile.width, tile.height), own)
    lying_apart = (0.0, 0.0) if own == 0.0 else (0.0, tile.width)
    standing = _turned(_rectangle(tile.width, tile.height), own + math.pi / 2)
    standing_apart = (tile.height, stair) if own == 0.0 else (0.0, stair)
    stands = []
    for outline, angle, apart in (
        (lying, own, lying_apart),
        (standing, own + math.pi / 2, standing_apart),
    ):
        (moved,) = _turned((apart,), turn)
        stands.append(Stand(_turned(outline, turn), angle + turn, moved))
    (up,) = _turned(((stair, stair),), turn)
    (along,) = _turned(((length, -length),), turn)
    spread = surface.joint_high - joint
    straight = surface.pattern.angle == 0
    over, rise = (2 * length, stair) if straight else (2 * length * ROOT, 2 * stair * ROOT)
    return Lattice(
        surface,
        along=along,
        up=up,
        stands=(stands[0], stands[1]),
        u=Axis(long, over, spread, _most(length, regrid)),
        v=Axis(short, rise, spread, _most(stair, regrid)),
        box=(tile.width, tile.height),
    )
