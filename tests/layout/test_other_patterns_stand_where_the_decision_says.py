"""Anchors and numbering of the patterns (docs/decisions/0011), and what the search takes their pieces to be."""

from __future__ import annotations

import random

import numpy as np
import pytest

import layout
from layout.evaluate import bench_of
from layout.fields import fields_of
from layout.free_model import FreeModel
from layout.free_pieces import lay_free
from layout.lattice import Lattice, lattice_of, long_joint
from layout.model import Aim
from tests.layout.free_rooms import DRAIN, free_room

NICHE = {"id": "niche", "kind": "niche", "outline": [[22, 40], [34, 40], [34, 64], [22, 64]]}


def lattice(pattern: str, tile: tuple[float, float], joint: float = 3.0) -> Lattice:
    data = free_room("rectangle", pattern)
    data |= {"tile": {"width": f"{tile[0]} mm", "height": f"{tile[1]} mm", "thickness": "3/8"}, "joint": f"{joint} mm"}
    (surface,) = layout.read_room(data).surfaces
    return lattice_of(surface, 914.4)


# Worked by hand: pitch 103 and 203 mm; 103 * 0.7071068 = 72.8320, 203 * 0.7071068 = 143.5427.
@pytest.mark.parametrize(
    ("pattern", "tile", "course", "column", "x", "y"),
    [
        ("diagonal", (100, 200), 0, 1, 72.8320, 72.8320),
        ("diagonal", (100, 200), 1, 0, -143.5427, 143.5427),
        # Lying tile 203 - 3 long, stair 103 (joint along the long side 1.5: two widths and joints make 203).
        ("straight herringbone", (200, 100), 1, 0, 101.5, 101.5),
        ("straight herringbone", (200, 100), 0, 2, 203.0, -203.0),
        # The standing tile's own lower left, as it comes out of the box, is its lower right after a quarter turn.
        ("straight herringbone", (200, 100), 0, 1, 100.0, 101.5),
        ("hex", (100, 100), 0, 1, 103.0, 0.0),
        ("hex", (100, 100), 1, 0, 51.5, 89.2006),
        ("hex", (100, 100), 2, 0, 0.0, 178.4012),
    ],
)
def test_a_tile_stands_where_its_numbers_say(
    pattern: str, tile: tuple[float, float], course: int, column: int, x: float, y: float
) -> None:
    grid = lattice(pattern, tile)
    (corner,) = grid.corners(np.array([course]), np.array([column]), (0.0, 0.0), (0.0, 0.0))
    assert corner.tolist() == pytest.approx([x, y], abs=1e-3)


def test_the_long_joint_takes_up_half_a_joint_and_no_more() -> None:
    """200 by 100 with 3: two widths with 1.5 make 203. 200 by 95: 203 = 2 (95 + 6.5) is 3.5 off, over half of 3."""
    assert long_joint(200, 100, 3) == pytest.approx(1.5)
    assert long_joint(203, 100, 3) == pytest.approx(3.0)
    assert long_joint(200, 95, 3) == 3


@pytest.mark.parametrize("pattern", ["diagonal", "herringbone", "straight herringbone", "hex"])
@pytest.mark.parametrize("shape", ["rectangle", "ell", "sloped"])
def test_the_search_takes_the_worst_legs_from_the_pieces(pattern: str, shape: str) -> None:
    """On random datums; a tip about 1 mm deep may count in one and not in the other, 1 in 100 at most."""
    openings = (NICHE,) if shape == "rectangle" else (DRAIN,) if shape == "ell" else ()
    room = layout.read_room(free_room(shape, pattern, openings=openings))
    bench = bench_of(room, fields_of(room))
    (surface,) = room.surfaces
    model = bench.models[surface.id]
    assert isinstance(model, FreeModel)
    rng = random.Random(11)
    points = np.array([[rng.uniform(200, 900), rng.uniform(200, 900)] for _ in range(20)])
    found = model.legs(points, Aim(1.0, hidden=True, drift=False))
    differ = 0
    for point, row in zip(points.tolist(), found.tolist(), strict=True):
        worst: dict[int, float] = {}
        for *_, parts in lay_free(model.grid, model.looked, (point[0], point[1])).cut:
            for leg in (leg for part in parts for leg in part.legs):
                for edge in leg.edges:
                    worst[edge] = min(worst.get(edge, 1.0), leg.share)
        differ += sum(abs(min(1.0, share) - worst.get(edge, 1.0)) > 0.003 for edge, share in enumerate(row))
    assert differ <= found.size / 100


@pytest.mark.parametrize("pattern", ["diagonal", "herringbone", "hex"])
def test_no_bound_lies_under_what_it_bounds(pattern: str) -> None:
    room = layout.read_room(free_room("rectangle", pattern, openings=(NICHE,), joint_high="3/16"))
    bench = bench_of(room, fields_of(room))
    (surface,) = room.surfaces
    model = bench.models[surface.id]
    assert isinstance(model, FreeModel)
    heights, xs = np.arange(200.0, 260.0, 13.0), np.arange(300.0, 360.0, 11.0)
    points = np.stack([np.tile(xs, len(heights)), np.repeat(heights, len(xs))], axis=1)
    for drift in (False, True):
        bound = model.boxes.bound(heights, xs, drift=drift).reshape(len(points), -1)
        assert (model.legs(points, Aim(1.0, hidden=True, drift=drift)) <= bound + 1e-9).all()
