"""The slow, plain way: try every datum on a grid. Shares no code with the solver; the fields come from the judge."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString

from layout.room import Room, Surface
from layout.verify_field import corners_in, ground_of, lines_in, polygons_in

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Slab:
    """Between two levels the same stretches of field."""

    low: float
    high: float
    spans: tuple[tuple[float, float], ...]


def slabs(surface_field: object, axis: int) -> list[Slab]:
    """Cut a field into slabs; `axis` 0: level slabs with stretches of x."""
    shape = surface_field
    levels = sorted({round(point[1 - axis], 4) for part in polygons_in(shape) for point in corners_in(part)})
    found = []
    for low, high in itertools.pairwise(levels):
        if high - low <= 1:
            continue
        middle = (low + high) / 2
        x0, y0, x1, y1 = shape.bounds
        line = LineString([(x0 - 9, middle), (x1 + 9, middle)] if axis == 0 else [(middle, y0 - 9), (middle, y1 + 9)])
        parts = lines_in(shape.intersection(line))
        spans = sorted(tuple(sorted(point[axis] for point in part.coords)) for part in parts)
        spans = tuple((a, b) for a, b in spans if b - a > 1)
        if spans:
            found.append(Slab(low, high, spans))
    return found


def least_leg(low: float, high: float, starts: Floats, side: float, pitch: float) -> Floats:
    """The least leg at the two ends of a stretch, mm, for each start; inf where both ends are whole."""
    found = np.full(len(starts), np.inf)
    for end in (low, high):
        for step in (-1, 0, 1):
            left = starts + (np.floor((end - starts) / pitch) + step) * pitch
            right = left + side
            a = np.where(low - left > 1, low, left)
            b = np.where(right - high > 1, high, right)
            is_piece = (right - low > 1) & (high - left > 1)
            is_cut = is_piece & ((a > left) | (b < right))
            found = np.minimum(found, np.where(is_cut, b - a, np.inf))
    return found


def surface_table(room: Room, surface: Surface, ys: Floats, step: float) -> Callable[[Floats], Floats]:
    """Return for each y the best least cut share over all x on the grid."""
    ground = ground_of(room, surface)
    pattern, joint = surface.pattern, surface.joint
    width, height = surface.tile.width, surface.tile.height
    rows = pattern.axis == "rows"
    side_u, side_v = (width, height) if rows else (height, width)
    pitch_u, pitch_v = side_u + joint, side_v + joint
    across = slabs(ground.seen, 1 if rows else 0)
    along = slabs(ground.seen, 0 if rows else 1)
    cycle = 1 if not pattern.share else 2 if pattern.run == "alternate" else pattern.share.denominator
    shifts = [float(pattern.share) * (n if pattern.run == "stair" else n % 2) % 1 * pitch_u for n in range(cycle)]

    def over_v(vs: Floats) -> Floats:
        legs = [least_leg(a, b, vs, side_v, pitch_v) / side_v for slab in across for a, b in slab.spans]
        return np.min(legs, axis=0)

    def over_u(us: Floats) -> dict[tuple[int, int], Floats]:
        return {
            (n, phase): np.min(
                [least_leg(a, b, us + shifts[phase], side_u, pitch_u) / side_u for a, b in slab.spans], axis=0
            )
            for n, slab in enumerate(along)
            for phase in range(cycle)
        }

    def met(v: float) -> frozenset[tuple[int, int]]:
        found = set()
        for n, slab in enumerate(along):
            first = int(np.floor((slab.low - v) / pitch_v)) - 1
            last = int(np.ceil((slab.high - v) / pitch_v)) + 1
            for line in range(first, last + 1):
                low = v + line * pitch_v
                if slab.high - low > 1 and low + side_v - slab.low > 1:
                    found.add((n, line % cycle))
        return frozenset(found)

    others = np.arange(0, (pitch_u if rows else pitch_v * cycle), step)
    best = np.full(len(ys), -1.0)
    if rows:
        table = over_u(others)
        vertical = over_v(ys)
        memo: dict[frozenset[tuple[int, int]], float] = {}
        for n, y in enumerate(ys):
            key = met(float(y))
            if key not in memo:
                memo[key] = float(np.min([table[each] for each in key], axis=0).max())
            best[n] = min(vertical[n], memo[key])
    else:
        table = over_u(ys)
        vertical = over_v(others)
        keys: dict[frozenset[tuple[int, int]], float] = {}
        for n, v in enumerate(others):
            key = met(float(v))
            keys[key] = max(keys.get(key, 0.0), float(vertical[n]))
        for key, value in keys.items():
            best = np.maximum(best, np.minimum(np.min([table[each] for each in key], axis=0), value))
    return np.minimum(best, 1.0)


def dense_least(room: Room, step: float = 25.4 / 16) -> float:
    """Return the largest least cut share at the planned joint on a grid of datums, over the whole room."""
    least = 1.0
    for group in room.groups:
        surfaces = [room.surface(name) for name in group]
        span = max((s.tile.height + s.joint) * (2 if s.pattern.axis == "rows" else 1) for s in surfaces)
        if surfaces[0].pattern.run == "stair" and surfaces[0].pattern.axis == "rows":
            span = max(s.tile.height + s.joint for s in surfaces)
        heights = np.arange(0, span, step)
        tables = [surface_table(room, surface, heights - surface.level, step) for surface in surfaces]
        least = min(least, float(np.min(tables, axis=0).max()))
    return least


def least_at_drift(room: Room, datums: Mapping[str, tuple[float, float]], wider: float, taller: float) -> float:
    """Return the least cut share with every joint `wider` across and `taller` up, tile by tile as FORMATS.md has it."""
    return min(_surface_at_drift(room, surface, datums[surface.id], wider, taller) for surface in room.surfaces)


def _surface_at_drift(room: Room, surface: Surface, datum: tuple[float, float], wider: float, taller: float) -> float:
    field = ground_of(room, surface).seen
    level, upright = slabs(field, 0), slabs(field, 1)
    width, height = surface.tile.width, surface.tile.height
    pitch = (width + surface.joint, height + surface.joint)
    x0, y0, x1, y1 = field.bounds
    columns = range(int((x0 - datum[0]) / pitch[0]) - 9, int((x1 - datum[0]) / pitch[0]) + 9)
    courses = range(int((y0 - datum[1]) / pitch[1]) - 9, int((y1 - datum[1]) / pitch[1]) + 9)
    least = 1.0
    for column in columns:
        for course in courses:
            x, y = datum[0] + column * pitch[0], datum[1] + course * pitch[1]
            if surface.pattern.axis == "rows":
                x += float(surface.pattern.shift(course)) * pitch[0]
            else:
                y += float(surface.pattern.shift(column)) * pitch[1]
            x += _off(column, pitch[0], wider, room.regrid)
            y += _off(course, pitch[1], taller, room.regrid)
            least = min(least, _chord(level, (x, y), (width, height)), _chord(upright, (y, x), (height, width)))
    return least


def _off(index: int, pitch: float, amount: float, regrid: float) -> float:
    most = max(1, int(regrid // pitch))
    return amount * max(-most, min(most, index))


def _chord(bands: list[Slab], corner: tuple[float, float], size: tuple[float, float]) -> float:
    """Return the least share of a tile's chords along the first direction, 1 where none is short."""
    least = 1.0
    start, end = corner[0], corner[0] + size[0]
    for slab in bands:
        low, high = max(slab.low, corner[1]), min(slab.high, corner[1] + size[1])
        if high - low <= 1:
            continue
        for a, b in slab.spans:
            left = a if a - start > 1 else start
            right = b if end - b > 1 else end
            if end - a > 1 and b - start > 1 and (left > start or right < end):
                least = min(least, (right - left) / size[0])
    return least
