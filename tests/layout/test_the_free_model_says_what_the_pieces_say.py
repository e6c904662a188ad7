"""The search's figures against the pieces', datum by datum, and the search against a dense 1/16 in grid of them."""

from __future__ import annotations

import random

import numpy as np
import pytest

import layout
from layout.evaluate import bench_of, sheet_of
from layout.fields import fields_of
from layout.free_model import FreeModel
from layout.model import Aim
from layout.pins import axis_of, domain
from tests.layout.free_rooms import free_room

PLAIN = Aim(1.0, hidden=True, drift=False)


@pytest.mark.parametrize(
    ("shape", "pattern", "slips"),
    [
        ("out of square", "stack", 0),
        ("sloped", "thirds", 0),
        ("out of square", "stair by columns", 0),
        ("rectangle", "diagonal", 2),
        ("rectangle", "herringbone", 2),
        ("rectangle", "hex", 2),
    ],
)
def test_the_worst_legs_are_the_pieces_own(shape: str, pattern: str, slips: int) -> None:
    """`slips`: how many tips about 1 mm deep may count in one and not in the other; of 80 figures."""
    room = layout.read_room(free_room(shape, pattern))
    bench = bench_of(room, fields_of(room))
    (surface,) = room.surfaces
    model = bench.models[surface.id]
    assert isinstance(model, FreeModel)
    rng = random.Random(7)
    points = np.array([[rng.uniform(200, 900), rng.uniform(200, 900)] for _ in range(20)])
    differ = 0
    for point, row in zip(points.tolist(), model.legs(points, PLAIN).tolist(), strict=True):
        worst: dict[int, float] = {}
        for *_, parts in sheet_of(bench, surface, (point[0], point[1])).laid.cut:
            for leg in (leg for part in parts for leg in part.legs):
                for edge in leg.edges:
                    worst[edge] = min(worst.get(edge, 1.0), leg.share)
        differ += sum(abs(min(1.0, share) - worst.get(edge, 1.0)) > 0.004 for edge, share in enumerate(row))
    assert differ <= slips


@pytest.mark.parametrize("shape", ["out of square", "curved"])
def test_no_datum_of_a_dense_grid_beats_the_search(shape: str) -> None:
    """By 1/32 in of cut, at the planned joint."""
    data = free_room(shape, "thirds")
    data["tile"] = {"width": 5.25, "height": 4.5}
    room = layout.read_room(data)
    result = layout.lay_out(room)
    bench = bench_of(room, fields_of(room))
    (surface,) = room.surfaces
    model = bench.models[surface.id]
    assert isinstance(model, FreeModel)
    spans = [domain(surface, model, axis) for axis in (0, 1)]
    grids = [
        np.arange(0.0, axis_of(model, axis).pitch * spans[axis].cycles, 25.4 / 16) + spans[axis].middle
        for axis in (0, 1)
    ]
    best = 0.0
    for y in grids[1].tolist():
        points = np.stack([grids[0], np.full(len(grids[0]), y)], axis=1)
        best = max(best, float(np.minimum(model.legs(points, PLAIN).min(axis=1), 1.0).max()))
    side = min(surface.tile.width, surface.tile.height)
    assert max(option.least_cut_share for option in result.options) >= best - (25.4 / 32) / side
