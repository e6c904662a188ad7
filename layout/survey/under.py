"""What lies under a bed: the subfloor as read, exactly integrated over the bed's outline."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Point as Place
from shapely.geometry import Polygon

from layout.errors import RoomError
from layout.survey.gaps import Floats
from layout.survey.reading import SurveyLine
from layout.survey.surface import Surface, heights_at, ruled
from layout.survey.wanted import BedWanted

MESH = 10.0
"""mm between the places at which the thinnest is looked for, beside all readings, corners and lines between them."""
MOST_PLACES = 200_000
_SPARE = 1.0
"""mm² of the outline that may lie off the readings: rounding."""


@dataclass(frozen=True, slots=True)
class Subfloor:
    """`volume`: the integral of its height over the floor around the drain, mm³. `places`: (n, 2) of that floor."""

    lines: tuple[SurveyLine, ...]
    volume: float
    places: Floats

    def height(self, points: Floats) -> Floats:
        """Return the height of the subfloor at points within the lines, mm over the laser plane."""
        return heights_at(self.lines, points)


def read_under(lines: tuple[SurveyLine, ...], bed: BedWanted) -> Subfloor:
    """Return the subfloor under a bed. Raises RoomError where the readings don't reach over all of it."""
    floor = Polygon(bed.outline)
    surface = ruled(lines)
    order = tuple(sorted(lines, key=lambda line: line.at))
    area, volume = (0.0, 0.0) if surface is None else _over(surface, floor)
    if floor.area - area > _SPARE or surface is None:
        missing = math.ceil((1 - area / floor.area) * 100)
        raise RoomError(
            "lines",
            f"{missing} percent of the bed lies off the readings: read lines over all of its outline, or none",
        )
    if bed.radius:
        # Of the circle's own area: what its corners leave out, its sides make up for.
        count = 256
        round_ = Place(bed.start).buffer(bed.radius, quad_segs=count // 4)
        grown = math.sqrt(math.pi * bed.radius**2 / round_.area)
        volume -= _over(surface, Place(bed.start).buffer(bed.radius * grown, quad_segs=count // 4))[1]
    return Subfloor(order, volume, _places(surface, floor, bed))


def _over(surface: Surface, floor: Polygon) -> tuple[float, float]:
    """Return the area of the surface over an outline and the integral of its height there, exactly for straight edges.

    A bilinear height is a quadratic of the place, which a triangle integrates by the middles of its sides.
    """
    nodes = surface.nodes[surface.cells]
    x0, x1, y0, y1 = nodes[:, 0, 0], nodes[:, 2, 0], nodes[:, 0, 1], nodes[:, 1, 1]
    left, bottom, right, top = floor.bounds
    near = (x1 > left) & (x0 < right) & (y1 > bottom) & (y0 < top)
    parts = shapely.intersection(shapely.box(x0[near], y0[near], x1[near], y1[near]), floor)
    rings, owner = _rings(parts)
    area = volume = 0.0
    cells = np.flatnonzero(near)
    for ring, number in zip(rings, owner, strict=True):
        cell = cells[number]
        first, a, b = ring[0], ring[1:-2], ring[2:-1]
        sizes = ((a[:, 0] - first[0]) * (b[:, 1] - first[1]) - (a[:, 1] - first[1]) * (b[:, 0] - first[0])) / 2
        middles = np.stack(((first + a) / 2, (a + b) / 2, (b + first) / 2))
        u = (middles[..., 0] - x0[cell]) / (x1[cell] - x0[cell])
        v = (middles[..., 1] - y0[cell]) / (y1[cell] - y0[cell])
        z00, z01, z10, z11 = nodes[cell, :, 2]
        heights = (1 - u) * ((1 - v) * z00 + v * z01) + u * ((1 - v) * z10 + v * z11)
        # A ring's sense is not asked for: a clipped rectangle has no holes, so its area is positive.
        sense = 1.0 if sizes.sum() >= 0 else -1.0
        area += sense * float(sizes.sum())
        volume += sense * float(sizes @ heights.mean(axis=0))
    return area, volume


def _rings(parts: np.ndarray) -> tuple[list[Floats], list[int]]:
    pieces, owner = shapely.get_parts(parts, return_index=True)
    use = shapely.get_type_id(pieces) == shapely.GeometryType.POLYGON
    rings = [shapely.get_coordinates(shapely.get_exterior_ring(piece)) for piece in pieces[use]]
    return rings, owner[use].tolist()


def _places(surface: Surface, floor: Polygon, bed: BedWanted) -> Floats:
    left, bottom, right, top = floor.bounds
    x, y = (np.unique(surface.nodes[:, axis]) for axis in (0, 1))
    step = MESH
    while True:
        across, along = np.arange(left, right + step, step), np.arange(bottom, top + step, step)
        if (len(x) + len(across)) * (len(y) + len(along)) <= MOST_PLACES or step > 1e6:
            break
        step *= 2
    mesh = np.meshgrid(np.concatenate((x, across)), np.concatenate((y, along)))
    inside = np.column_stack([each.ravel() for each in mesh])
    inside = inside[shapely.contains_xy(floor, *inside.T)]
    rim = shapely.get_coordinates(shapely.segmentize(floor.exterior, max(MESH, floor.length / MOST_PLACES)))
    every = np.concatenate((inside, rim))
    off = np.hypot(every[:, 0] - bed.start[0], every[:, 1] - bed.start[1])
    drain = np.array([bed.start, bed.end])
    if bed.radius:
        turns = np.linspace(0, 2 * math.pi, 64, endpoint=False)
        every = every[off >= bed.radius]
        drain = np.array(bed.start) + bed.radius * np.column_stack((np.cos(turns), np.sin(turns)))
    return np.concatenate((every, drain))
