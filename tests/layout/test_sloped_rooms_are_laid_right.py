"""Fields with sloped and curved sides under stack and offset: right by the judge, by the pieces, by a dense search."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
import shapely

import layout
from layout.evaluate import Bench, bench_of
from layout.fields import fields_of
from layout.free_model import FreeModel
from layout.free_pieces import lay_free
from layout.model import Aim
from layout.pins import extent
from layout.verify import faults
from tests.layout.dense_free import dense_least
from tests.layout.helpers import laid, plain
from tests.layout.sloped_rooms import PATTERNS, SHAPES, out_of_square, sloped_room
from tests.speed import within

INCH = 25.4


def bench(data: dict[str, Any]) -> Bench:
    room = layout.read_room(data)
    return bench_of(room, fields_of(room))


def model_of(data: dict[str, Any]) -> FreeModel:
    made = bench(data)
    model = made.models[made.room.surfaces[0].id]
    assert isinstance(model, FreeModel)
    return model


def worst_of_pieces(model: FreeModel, datum: tuple[float, float], drift: tuple[float, float]) -> dict[int, float]:
    """Return each edge's worst leg as the pieces have it."""
    worst: dict[int, float] = {}
    for *_, parts in lay_free(model.grid, model.looked, datum, drift).cut:
        for leg in (leg for part in parts for leg in part.legs):
            for edge in leg.edges:
                worst[edge] = min(worst.get(edge, 1.0), leg.share)
    return worst


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", [1, 2])
def test_it_is_right_by_the_judge(shape: str, seed: int) -> None:
    room, _, printed = laid(sloped_room(seed, shape))
    assert faults(room, printed) == []


@pytest.mark.parametrize("shape", SHAPES)
def test_the_search_sees_the_legs_that_the_pieces_have(shape: str) -> None:
    """One figure in a hundred may differ, where a tip about 1 mm deep counts as a piece in one of the two only."""
    differ = figures = 0
    for seed in range(3):
        data = sloped_room(seed, shape)
        model, rng = model_of(data), random.Random(seed)
        points = np.array([[rng.uniform(-300, 1500), rng.uniform(-300, 1500)] for _ in range(10)])
        for point, row in zip(points.tolist(), model.legs(points, Aim(1.0, True, False)).tolist(), strict=True):
            worst = worst_of_pieces(model, (point[0], point[1]), (0.0, 0.0))
            differ += sum(abs(min(1.0, leg) - worst.get(edge, 1.0)) > 0.006 for edge, leg in enumerate(row))
            figures += len(row)
    assert differ <= figures / 100


@pytest.mark.parametrize("shape", ["out of square", "sloped ceiling", "ell"])
def test_under_drift_a_leg_is_the_worst_of_all_drifts(shape: str) -> None:
    """Against pieces laid at 49 drifts. Between two of them a cut may be swallowed: then the search says 0."""
    for seed in range(3):
        data = {**sloped_room(seed, shape), "joint_high": "1/4"}
        model, rng = model_of(data), random.Random(seed)
        spread = model.grid.surface.joint_high - model.grid.surface.joint
        drifts = [(a * spread / 6, b * spread / 6) for a in range(7) for b in range(7)]
        slack = 1.2 / min(model.grid.box if hasattr(model.grid, "box") else (model.grid.u.side, model.grid.v.side))
        (left, right), (low, high) = extent(model, 0), extent(model, 1)
        points = np.array([[rng.uniform(left, right), rng.uniform(low, high)] for _ in range(3)])
        for point, row in zip(points.tolist(), model.legs(points, Aim(1.0, True, True)).tolist(), strict=True):
            tried = [worst_of_pieces(model, (point[0], point[1]), drift) for drift in drifts]
            for edge, leg in enumerate(row):
                least = min(worst.get(edge, 1.0) for worst in tried)
                assert min(leg, 1.0) <= least + slack
                # Each step of the drift moves a joint by as much as all joints up to the next fresh line together.
                steps = spread / 6 * max(model.grid.u.most, model.grid.v.most) * slack / 1.2
                assert min(leg, 1.0) >= least - slack - 2 * steps


def dense_room(seed: int) -> dict[str, Any]:
    """Return a small floor out of square, perhaps with a slanted niche."""
    rng = random.Random(seed)
    wide, high = rng.uniform(20, 36), rng.uniform(20, 36)
    surface: dict[str, Any] = {"outline": out_of_square(rng, wide, high, rng.choice([0.3, 1.0]))}
    if rng.random() < 0.4:
        x, y = round(wide * 0.3, 2), round(high * 0.4, 2)
        niche = [[x, y], [x + 6, y + 0.2], [x + 6.1, y + 7], [x, y + 6.8]]
        surface["openings"] = [{"id": "niche", "kind": "niche", "outline": niche}]
    tile = (round(rng.uniform(4, 9), 2), round(rng.uniform(4, 9), 2))
    return plain(60, 96, tile=tile, pattern=rng.choice(PATTERNS), surface=surface)


@pytest.mark.parametrize("seed", range(20))
def test_no_datum_of_a_dense_grid_leaves_a_larger_smallest_cut(seed: int) -> None:
    """By more than 1/32 in. The dense search draws its own chords through the judge's field."""
    room = layout.read_room(dense_room(seed))
    best = max(option.least_cut_share for option in layout.lay_out(room).options if not option.changes)
    side = min(room.surfaces[0].tile.width, room.surfaces[0].tile.height)
    assert best >= dense_least(room) - INCH / 32 / side


def test_columns_on_a_sloped_field_are_centered_across_it() -> None:
    """A tile in columns stands in the middle of the floor's width, not of its height."""
    outline = [[0, 0], [60, 0.5], [60, 120], [0, 120]]
    pattern = {"kind": "offset", "share": "1/3", "axis": "columns"}
    data = plain(60, 96, tile=(7, 5), pattern=pattern, surface={"outline": outline, "pin": {"x": "tile-centered"}})
    made = bench(data)
    result = layout.lay_out(made.room)
    x, _ = result.option.datums["floor"]
    assert (x + 3.5 * INCH - 30 * INCH) % (7.125 * INCH) == pytest.approx(0.0, abs=0.01)


def test_a_strip_of_a_millimeter_beside_an_opening_is_no_piece() -> None:
    """A tile that passes a niche's side by 0.7 mm: the strip beside the niche is the soft joint's."""
    outline = [["0 mm", "0 mm"], ["900 mm", "4 mm"], ["900 mm", "900 mm"], ["0 mm", "900 mm"]]
    niche = [["400 mm", "300 mm"], ["700 mm", "300 mm"], ["700 mm", "500 mm"], ["400 mm", "500 mm"]]
    surface = {"outline": outline, "openings": [{"id": "niche", "kind": "niche", "outline": niche}]}
    data = plain(60, 96, tile=("300 mm", "300 mm"), joint="3 mm", edge_gap=0, surface=surface)
    model = model_of(data)
    cut = lay_free(model.grid, model.looked, (399.3, 400.0)).cut
    parts = [part for *_, found in cut for part in found]
    assert min(leg.mm for part in parts for leg in part.legs) > 1.0
    ((above,),) = [found for *_, x, y, found in cut if (x, y) == (399.3, 400.0)]
    assert min(y for _, y in above.outline) == pytest.approx(500.0, abs=0.01)
    assert min(x for x, _ in above.outline) == pytest.approx(399.3, abs=0.01)


def test_openings_that_lie_on_an_edge_leave_no_hair_of_field() -> None:
    outline = [[0, 0], [52.951, 0.886], [52.951, 56.41], [0, 56.894]]
    gap = [[21.18, 0.3544], [26.18, 0.43806], [26.18, 56.6547], [21.18, 56.7004]]
    surface = {"outline": outline, "openings": [{"id": "gap", "kind": "fixture", "outline": gap}]}
    model = model_of(plain(60, 96, edge_gap=0, surface=surface))
    assert len(shapely.get_parts(model.looked.shape)) == 2
    bounding = {model.looked.edges[edge].name for edge in model.looked.edge_lengths}
    assert bounding == {"left", "right", "top", "bottom", "gap edge 1", "gap edge 3"}


def test_a_floor_out_of_square_takes_time_in_proportion_to_its_pieces() -> None:
    side = 173 * 12.125
    outline = [[0, 0], [side, 0.4], [side + 0.3, side - 0.2], [-0.2, side]]
    pattern = {"kind": "offset", "share": "1/3"}
    room = layout.read_room(plain(60, 96, tile=(12, 12), pattern=pattern, surface={"outline": outline}))
    results = []
    assert within(6.0, lambda: results.append(layout.lay_out(room)))
    result = results[-1]
    assert result.option.counts.whole + result.option.counts.cut > 29_000


@pytest.mark.parametrize("shape", ["arch", "sloped ceiling", "bay"])
def test_pieces_that_run_to_a_point_are_told(shape: str) -> None:
    told = []
    for seed in range(4):
        _, result, _ = laid(sloped_room(seed, shape))
        told.append("layout.taper" in [finding.rule for finding in result.findings])
        assert told[-1] == (result.option.least_cut_share == 0)
    assert any(told)
