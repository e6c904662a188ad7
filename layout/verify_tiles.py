"""The judge's formulas: where each pattern has the tile of a course and a column (FORMATS.md; decisions/0011)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import affinity
from shapely.geometry import Point as Dot
from shapely.geometry import Polygon, box

from layout.room import Surface


def tile_at(
    surface: Surface, datum: Sequence[float], course: int, column: int
) -> tuple[Polygon, float, tuple[float, float]]:
    """Return a tile by its numbers, how far it is turned in degrees, and where its own lower left then stands."""
    wide, high, joint = surface.tile.width, surface.tile.height, surface.joint
    kind, (x, y) = surface.pattern.kind, datum
    if kind == "hex":
        across = wide + joint
        corner = (x + column * across + (across / 2 if course % 2 else 0.0), y + course * across * math.sqrt(0.75))
        middle = (corner[0] + wide / 2, corner[1] + wide / math.sqrt(3))
        turns = [math.radians(30 + 60 * n) for n in range(6)]
        radius = wide / math.sqrt(3)
        points = [(middle[0] + radius * math.cos(t), middle[1] + radius * math.sin(t)) for t in turns]
        return Polygon(points), 0.0, corner
    if kind == "diagonal":
        half = math.sqrt(0.5)
        over, up = column * (wide + joint), course * (high + joint)
        corner = (x + half * (over - up), y + half * (over + up))
        return _turned(wide, high, 45.0, corner), 45.0, corner
    if kind == "herringbone":
        return _herringbone(surface, (x, y), course, column)
    rows = surface.pattern.axis == "rows"
    number = course if rows else column
    shift = float(surface.pattern.share) * (number if surface.pattern.run == "stair" else number % 2)
    corner = (
        x + (column + (shift if rows else 0.0)) * (wide + joint),
        y + (course + (0.0 if rows else shift)) * (high + joint),
    )
    return box(*corner, corner[0] + wide, corner[1] + high), 0.0, corner


def _herringbone(
    surface: Surface, datum: tuple[float, float], course: int, column: int
) -> tuple[Polygon, float, tuple[float, float]]:
    """A lying tile for an even column, a standing one for an odd; each pair stands a tile's length on and down."""
    tile, joint = surface.tile, surface.joint
    long, short = sorted((tile.width, tile.height), reverse=True)
    widths = max(1, round((long + joint) / (short + joint)))
    fitted = (long + joint) / widths
    stair = fitted if abs(fitted - short - joint) <= joint / 2 + 1e-9 else short + joint
    pair, standing = divmod(column, 2)
    x, y = course * stair + pair * (long + joint), course * stair - pair * (long + joint)
    upright, flat = box(x, y + stair, x + short, y + stair + long), box(x, y, x + long, y + short)
    corners = upright if standing else flat
    left, bottom, right, _ = corners.bounds
    lies = tile.width >= tile.height
    # The tile's own lower left, as it comes out of the box.
    if lies:
        own, turn = ((right, bottom), 90.0) if standing else ((left, bottom), 0.0)
    else:
        own, turn = ((left, bottom), 0.0) if standing else ((left, bottom + short), -90.0)
    whole = affinity.rotate(corners, surface.pattern.angle, origin=(0, 0))
    spot = affinity.rotate(Dot(own), surface.pattern.angle, origin=(0, 0))
    placed = affinity.translate(whole, *datum)
    return placed, turn + surface.pattern.angle, (spot.x + datum[0], spot.y + datum[1])


def _turned(wide: float, high: float, degrees: float, corner: tuple[float, float]) -> Polygon:
    return affinity.translate(affinity.rotate(box(0, 0, wide, high), degrees, origin=(0, 0)), *corner)
