"""The field of a surface: what gets tile. Its outline drawn in by each edge's gap, less the openings grown.

Held as cells: the plane is cut at every coordinate where an edge of the field can lie, and each cell is in or out. That
survives whatever the gaps do: a strip that closes, a field that falls apart, openings that touch an edge or each other.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from layout.outline import signed_area
from layout.room import SOFT, TOLERANCE, Point, Room, Surface

if TYPE_CHECKING:
    from layout.shapes import Shape

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int32]

_Box = tuple[float, float, float, float]

NO_EDGE = -1


@dataclass(frozen=True, slots=True)
class FieldEdge:
    """One edge that a cut can face: of the outline or of an opening."""

    name: str
    hidden: bool


@dataclass(frozen=True, slots=True)
class Band:
    """A strip of the field between two levels in which its cross-section stays the same.

    `spans`: (from, to, edge at from, edge at to) of each stretch of field, rising.
    """

    low: float
    high: float
    spans: tuple[tuple[float, float, int, int], ...]


@dataclass(frozen=True, eq=False)
class Field:
    """Cells `inside[i, j]` between xs[i] … xs[i + 1] and ys[j] … ys[j + 1], mm, and the edge that bounds each.

    `upright[i, j]`: index of the edge on the line x = xs[i] in row j; `level[i, j]`: on y = ys[j] in column i.
    """

    xs: Floats
    ys: Floats
    inside: Flags
    upright: Ints
    level: Ints
    edges: tuple[FieldEdge, ...]

    @cached_property
    def area(self) -> float:
        """mm²"""
        return float((np.diff(self.xs)[:, None] * np.diff(self.ys)[None, :] * self.inside).sum())

    @property
    def empty(self) -> bool:
        return not self.inside.any()

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of what gets tile, mm. Raises ValueError when the field is empty."""
        columns, rows = np.flatnonzero(self.inside.any(axis=1)), np.flatnonzero(self.inside.any(axis=0))
        if not columns.size:
            raise ValueError("an empty field has no bounds")
        return (
            float(self.xs[columns[0]]),
            float(self.ys[rows[0]]),
            float(self.xs[columns[-1] + 1]),
            float(self.ys[rows[-1] + 1]),
        )

    @cached_property
    def edge_lengths(self) -> dict[int, float]:
        """How long the field's rim is on each edge, mm."""
        found: dict[int, float] = {}
        for bands in (self.rows, self.columns):
            for band in bands:
                for span in band.spans:
                    for edge in span[2:]:
                        found[edge] = found.get(edge, 0.0) + band.high - band.low
        return found

    @cached_property
    def sums(self) -> NDArray[np.int64]:
        """[i, j]: how many of the cells inside[:i, :j] are in."""
        found = np.zeros((len(self.xs), len(self.ys)), dtype=np.int64)
        np.cumsum(np.cumsum(self.inside, axis=0), axis=1, out=found[1:, 1:])
        return found

    @cached_property
    def padded(self) -> Flags:
        """`inside` with a rim of cells that are out."""
        found = np.zeros((len(self.xs) + 1, len(self.ys) + 1), dtype=bool)
        found[1:-1, 1:-1] = self.inside
        return found

    def reach(self, j0: int, j1: int) -> tuple[float, float]:
        """The least and the greatest x of the field in the rows of cells from j0 to before j1; inf and -inf: none."""
        found = self._reaches.get((j0, j1))
        if found is None:
            columns = np.flatnonzero(self.inside[:, j0:j1].any(axis=1))
            found = (math.inf, -math.inf)
            if columns.size:
                found = (float(self.xs[columns[0]]), float(self.xs[columns[-1] + 1]))
            self._reaches[j0, j1] = found
        return found

    @cached_property
    def _reaches(self) -> dict[tuple[int, int], tuple[float, float]]:
        return {}

    @cached_property
    def shapes(self) -> dict[tuple[int, int, int, int], tuple[Shape, ...]]:
        """The shapes that `layout.shapes` has found of tiles in this field, by the levels that pass through."""
        return {}

    @cached_property
    def turned(self) -> Field:
        """The field with x and y exchanged: columns become courses."""
        return Field(self.ys, self.xs, self.inside.T, self.level.T, self.upright.T, self.edges)

    @cached_property
    def rows(self) -> tuple[Band, ...]:
        """Level bands from the bottom up, with the stretches of x in each."""
        return _bands(self.ys, self.xs, self.inside, self.upright)

    @cached_property
    def row_ends(self) -> tuple[Floats, Floats]:
        """The lower and the upper ends of the bands in `rows`."""
        return np.array([band.low for band in self.rows]), np.array([band.high for band in self.rows])

    @cached_property
    def columns(self) -> tuple[Band, ...]:
        """Upright bands from the left, with the stretches of y in each."""
        return _bands(self.xs, self.ys, self.inside.T, self.level.T)


def gaps_of(room: Room) -> dict[str, tuple[list[float], list[float]]]:
    """Return for each surface (by id) the gap at each edge, mm, and how far in from it the surface is seen.

    At an inside corner the second surface starts at the first's finished face, and of the first the strip behind the
    second's build-up isn't seen (FORMATS.md, Room, `corners`).
    """
    gaps = {surface.id: [edge.gap for edge in surface.edges] for surface in room.surfaces}
    behind: dict[str, dict[int, float]] = {}
    for corner in room.corners:
        first, second = room.surface(corner.first), room.surface(corner.second)
        gaps[second.id][corner.second_edge] = first.build_up + corner.soft
        behind.setdefault(first.id, {})[corner.first_edge] = second.build_up + corner.soft
    found = {}
    for surface in room.surfaces:
        own = straightened(surface, gaps[surface.id])
        strips = behind.get(surface.id, {})
        found[surface.id] = (own, [max(gap, strips.get(index, 0.0)) for index, gap in enumerate(own)])
    return found


def steps(surface: Surface) -> list[tuple[int, int, float]]:
    """Return the steps in an outline that are smaller than a joint: (outer edge, inner edge, step in mm).

    Between them lies one edge across, and they run on in one direction. Each edge is part of one step at most: so what
    is straightened stays within a joint.
    """
    outline = surface.outline
    count = len(outline)
    sides = [(outline[n], outline[(n + 1) % count]) for n in range(count)]
    ways = [(b[0] - a[0], b[1] - a[1]) for a, b in sides]
    lengths = [math.hypot(*way) for way in ways]
    found: list[tuple[int, int, float]] = []
    taken: set[int] = set()
    for index in range(count):
        before, after = (index - 1) % count, (index + 1) % count
        if count < 6 or {before, index, after} & taken:
            continue
        one, other = ways[before], ways[after]
        size = lengths[before] * lengths[after]
        aside = abs(one[0] * other[1] - one[1] * other[0])
        if aside > 1e-4 * size or one[0] * other[0] + one[1] * other[1] <= 0 or min(lengths) <= 0:
            continue
        across = (one[0] * ways[index][1] - one[1] * ways[index][0]) / lengths[before]
        step = abs(across)
        # No step is a short side of a curve: those turn, and run on.
        if not TOLERANCE < step < surface.joint or step < 0.5 * lengths[index]:
            continue
        inward = 1.0 if signed_area(outline) > 0 else -1.0
        outer, inner = (before, after) if across * inward > 0 else (after, before)
        found.append((outer, inner, step))
        taken |= {before, index, after}
    return found


def straightened(surface: Surface, gaps: Sequence[float]) -> list[float]:
    """Return the gaps that bring edges a step smaller than a joint apart into one line, the inner one's."""
    found = list(gaps)
    for outer, inner, step in steps(surface):
        line = max(found[outer], found[inner] + step)
        found[outer], found[inner] = line, line - step
    return found


def field_of(surface: Surface, gaps: Sequence[float]) -> Field:
    """Return the field of a surface whose edges are drawn in by `gaps`, mm."""
    edges = [FieldEdge(edge.name, edge.hidden) for edge in surface.edges]
    strips = _strips(surface.outline, gaps, first_edge=0, outward=False)
    for opening in surface.openings:
        start = len(edges)
        strips += _strips(opening.outline, [surface.edge_gap] * len(opening.outline), first_edge=start, outward=True)
        edges += [FieldEdge(f"{opening.id} edge {index}", False) for index in range(len(opening.outline))]
    shapes = [surface.outline, *(opening.outline for opening in surface.openings)]
    xs = _levels([x for shape in shapes for x, _ in shape] + [x for strip in strips for x in strip.box[:2]])
    ys = _levels([y for shape in shapes for _, y in shape] + [y for strip in strips for y in strip.box[2:]])
    inside = cells_inside(surface.outline, xs, ys)
    columns, rows = xs.tolist(), ys.tolist()
    for opening in surface.openings:
        inside &= ~cells_inside(opening.outline, xs, ys)
    upright = np.full((len(xs), len(ys) - 1), NO_EDGE, dtype=np.int32)
    level = np.full((len(xs) - 1, len(ys)), NO_EDGE, dtype=np.int32)
    # A strip's short ends bound the field only where gaps of edges in one line differ: so its long sides go over them.
    # An edge's own stretch goes over what its neighbor's is lengthened by.
    for layer in ("ends", "long sides", "own stretch"):
        for strip in strips:
            left, right, bottom, top = strip.own if layer == "own stretch" else strip.box
            i0, i1, j0, j1 = _at(columns, left), _at(columns, right), _at(rows, bottom), _at(rows, top)
            inside[i0:i1, j0:j1] = False
            if strip.upright == (layer != "ends"):
                upright[i0, j0:j1] = upright[i1, j0:j1] = strip.edge
            else:
                level[i0:i1, j0] = level[i0:i1, j1] = strip.edge
    return Field(xs, ys, inside, upright, level, tuple(edges))


def cells_inside(outline: Sequence[Point], xs: Floats, ys: Floats) -> Flags:
    """Return which cells between the levels `xs` and `ys` lie in an outline whose own levels are among them."""
    crossings = np.zeros((len(xs), len(ys) - 1), dtype=np.int32)
    columns, rows = xs.tolist(), ys.tolist()
    for index, (x, y) in enumerate(outline):
        next_x, next_y = outline[(index + 1) % len(outline)]
        if x == next_x:
            low, high = sorted((_at(rows, y), _at(rows, next_y)))
            crossings[_at(columns, x), low:high] += 1
    inside: Flags = np.cumsum(crossings, axis=0)[:-1] % 2 == 1
    return inside


@dataclass(frozen=True, slots=True)
class _Strip:
    """What an edge's gap takes: a rectangle along it, longer at the corners where it has to meet its neighbor's."""

    box: _Box
    """Left, right, bottom, top."""
    own: _Box
    """The same without what it is longer by."""
    upright: bool
    edge: int


def _strips(outline: Sequence[Point], gaps: Sequence[float], *, first_edge: int, outward: bool) -> list[_Strip]:
    count = len(outline)
    ccw = signed_area(outline) > 0
    # The strip lies left of a counter-clockwise outline's edge when it draws in, right of it when it grows.
    to_left = ccw != outward
    found = []
    for index in range(count):
        (x0, y0), (x1, y1) = outline[index], outline[(index + 1) % count]
        dx, dy = (x1 > x0) - (x1 < x0), (y1 > y0) - (y1 < y0)
        normal = (-dy, dx) if to_left else (dy, -dx)
        ends = []
        for corner, neighbor, away in ((index, index - 1, -1), ((index + 1) % count, (index + 1) % count, 1)):
            before, here, after = outline[corner - 1], outline[corner], outline[(corner + 1) % count]
            turn = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
            opens = (turn < 0) == to_left and turn != 0
            reach = away * gaps[neighbor] if opens else 0.0
            ends.append((here[0] + dx * reach, here[1] + dy * reach))
        gap = gaps[index]
        push = (float(normal[0] * gap), float(normal[1] * gap))
        own = _swept(((x0, y0), (x1, y1)), push)
        found.append(_Strip(_swept(ends, push), own, x0 == x1, first_edge + index))
    return found


def _swept(ends: Sequence[Point], push: Point) -> _Box:
    """Return left, right, bottom and top of a line pushed aside."""
    points = [*ends, *((x + push[0], y + push[1]) for x, y in ends)]
    across, up = [float(x) for x, _ in points], [float(y) for _, y in points]
    return min(across), max(across), min(up), max(up)


def _levels(values: Sequence[float]) -> Floats:
    """Return the distinct values, rising; closer than the tolerance is one place."""
    levels: list[float] = []
    for value in sorted(values):
        if not levels or value - levels[-1] > TOLERANCE:
            levels.append(round(value, 6))
    return np.array(levels)


def _at(levels: list[float], value: float) -> int:
    """Index of the level within tolerance of `value`, which is there by how the levels were made."""
    return bisect_right(levels, value + TOLERANCE / 100) - 1


def _bands(across: Floats, along: Floats, inside: Flags, edge: Ints) -> tuple[Band, ...]:
    """Return the bands between the levels `across`; `inside[i, j]` has `along` first."""
    padded = np.zeros((len(along) + 1, len(across) - 1), dtype=bool)
    padded[1:-1] = inside
    rows, places = np.nonzero((padded[1:] != padded[:-1]).T)
    ends = zip(rows.tolist(), along[places].tolist(), edge[places, rows].tolist(), strict=True)
    spans: dict[int, list[tuple[float, float, int, int]]] = {}
    for (row, start, start_edge), (_, end, end_edge) in zip(ends, ends, strict=True):
        spans.setdefault(row, []).append((start, end, start_edge, end_edge))
    levels: list[float] = across.tolist()
    bands: list[Band] = []
    for row, found in spans.items():
        low, high, own = levels[row], levels[row + 1], tuple(found)
        if bands and bands[-1].high == low and bands[-1].spans == own:
            bands[-1] = Band(bands[-1].low, high, own)
        else:
            bands.append(Band(low, high, own))
    return tuple(bands)


def leg_spans(band: Band) -> tuple[tuple[float, float, int, int], ...]:
    """Return the spans of a band that can hold a piece: a strip no wider than 1 mm is none (rule 1)."""
    return tuple(span for span in band.spans if span[1] - span[0] > SOFT)
