"""Diagonal, herringbone and hexagons against every datum of a 1/16 in grid, cut with Shapely tile by tile.

The grid shares no code with the solver: tiles and field come from the judge, and boxes are measured here.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely import affinity

import layout
from layout.room import Room
from layout.verify_drift import steps_of
from layout.verify_field import gaps_at, offset_field
from layout.verify_tiles import tile_at

STEP = 25.4 / 16
WITHIN = 25.4 / 32

NICHE = {"id": "niche", "kind": "niche", "outline": [[210, 150], [330, 150], [330, 290], [210, 290]]}
SLOPED = [[0, 0], [560, 0], [560, 330], [0, 450]]
ELL = [[0, 0], [520, 0], [520, 240], [300, 240], [300, 470], [0, 470]]

ROOMS: dict[str, tuple[dict[str, Any], tuple[float, float], list[list[float]], list[dict[str, Any]]]] = {
    "diagonal": ({"kind": "diagonal"}, (100, 100), [[0, 0], [600, 0], [600, 430], [0, 430]], [NICHE]),
    "oblong-diagonal": ({"kind": "diagonal"}, (120, 70), ELL, []),
    "herringbone": ({"kind": "herringbone"}, (160, 78.5), [[0, 0], [610, 0], [610, 440], [0, 440]], [NICHE]),
    "herringbone-along-the-walls": ({"kind": "herringbone", "angle": 0}, (160, 78.5), ELL, []),
    "hex": ({"kind": "hex"}, (110, 110), SLOPED, [NICHE]),
}


def room_of(name: str) -> Room:
    pattern, (width, height), outline, openings = ROOMS[name]
    return layout.read_room(
        {
            "format": "gaugerod-room/1",
            "name": name,
            "units": "mm",
            "tile": {"width": width, "height": height},
            "joint": 3,
            "pattern": pattern,
            "surfaces": [{"id": "floor", "kind": "floor", "outline": outline, "openings": openings}],
        }
    )


@pytest.mark.parametrize("name", list(ROOMS))
def test_no_datum_of_the_grid_leaves_a_larger_smallest_cut(name: str) -> None:
    room = room_of(name)
    best = max(option.least_cut_share for option in layout.lay_out(room).options if not option.changes)
    tile = room.surfaces[0].tile
    dense = dense_least(room)
    assert dense > 0.05
    assert best >= dense - WITHIN / min(tile.width, tile.height)


def dense_least(room: Room) -> float:
    """Return the largest least cut share over one cell of the pattern, on a grid no wider than 1/16 in."""
    (surface,) = room.surfaces
    # Turned so that the tiles' own sides run level and plumb; standing tiles of a herringbone have them exchanged.
    turn = -tile_at(surface, (0.0, 0.0), 0, 0)[1]
    field = affinity.rotate(offset_field(surface, gaps_at(room, surface)[0]), turn, origin=(0, 0))
    up, over = (affinity.rotate(shapely.Point(step), turn, origin=(0, 0)).coords[0] for step in steps_of(surface))
    x0, y0, x1, y1 = field.bounds
    reach = 2 * float(np.hypot(*up) + np.hypot(*over)) + 2 * (surface.tile.width + surface.tile.height)
    tiles, sizes = [], []
    for course in range(-40, 41):
        for column in range(-40, 41):
            shape, own, _ = tile_at(surface, (0.0, 0.0), course, column)
            moved = affinity.rotate(shape, turn, origin=(0, 0))
            a, b, c, d = moved.bounds
            if a < x1 + reach and c > x0 - reach and b < y1 + reach and d > y0 - reach:
                upright = round((own + turn) / 90) % 2 == 1
                size = (surface.tile.width, surface.tile.height)
                tiles.append(moved)
                sizes.append(size[::-1] if upright else size)
    every, full = np.array(tiles), np.array(sizes)
    best, culprits = 0.0, []
    for a in np.linspace(0, 1, int(np.hypot(*up) / STEP) + 2):
        for b in np.linspace(0, 1, int(np.hypot(*over) / STEP) + 2):
            datum = a * np.array(up) + b * np.array(over)
            moved = affinity.translate(field, -datum[0], -datum[1])
            shapely.prepare(moved)
            # What was too small at the datum before is mostly too small here as well: those tiles are looked at first.
            if any(least_on(moved, every[few], full[few])[0] <= best for few in (culprits[:2], culprits[2:]) if few):
                continue
            share, culprit = least_on(moved, every, full)
            best = max(best, share)
            culprits = [culprit, *(each for each in culprits if each != culprit)][:8]
    return best


def least_on(field: Any, tiles: Any, full: Any) -> tuple[float, int]:
    """Return the least share of the pieces' boxes, 1 where nothing is cut, and which tile has it."""
    met = np.flatnonzero(shapely.intersects(field, tiles) & ~shapely.contains_properly(field, tiles))
    parts, which = shapely.get_parts(shapely.intersection(tiles[met], field), return_index=True)
    if not len(parts):
        return 1.0, 0
    bounds = shapely.bounds(parts)
    size = bounds[:, 2:] - bounds[:, :2]
    side = full[met][which]
    short = side - size > 1
    share = np.where(short, size / side, 1.0).min(axis=1)
    # The smallest first: most datums are out after one piece.
    for n in np.argsort(share).tolist():
        if share[n] >= 1:
            break
        if not parts[n].buffer(-0.5).is_empty:
            return float(share[n]), int(met[which[n]])
    return 1.0, 0
