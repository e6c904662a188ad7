"""The benchmark's grids are the searches they say they are: they agree with each other and with one written apart."""

from __future__ import annotations

import numpy as np
import pytest

import layout
from benchmarks.grids import factored, plain
from benchmarks.layout import one_option
from layout.evaluate import bench_of, worth_of
from layout.fields import fields_of
from tests.layout.dense import dense_least
from tests.layout.helpers import NAMES, laid, sample
from tests.layout.rooms import random_room

STEP = 25.4 / 16


@pytest.mark.parametrize("name", NAMES)
def test_both_grids_find_the_same_score_on_the_sample_rooms(name: str) -> None:
    room = layout.read_room(sample(name))
    assert plain(room, STEP) == pytest.approx(factored(room, STEP), abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_both_grids_find_the_same_score_on_random_rooms(seed: int) -> None:
    room = layout.read_room(random_room(seed))
    assert plain(room, STEP) == pytest.approx(factored(room, STEP), abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_the_grids_least_is_that_of_a_search_written_apart_on_the_sample_rooms(name: str) -> None:
    room = layout.read_room(sample(name))
    assert plain(room, STEP)[0] == pytest.approx(min(dense_least(room, STEP), room.enough), abs=1e-6)


@pytest.mark.parametrize("seed", [2, 3, 5, 8, 17])
def test_the_grids_score_is_the_best_of_the_pieces_scores(seed: int) -> None:
    """Every datum of a coarse grid laid and its pieces scored, one after the other: no shortcut of the grid's."""
    data = random_room(seed, walls=1, size=0.5)
    room = layout.read_room(data)
    surface, step = room.surfaces[0], 25.4
    bench = bench_of(room, fields_of(room))
    across, up = surface.tile.width + surface.joint, surface.tile.height + surface.joint
    # A stair comes round after one course, since it may slide along it too.
    cycle = 2 if surface.pattern.share and surface.pattern.run == "alternate" else 1
    columns = surface.pattern.axis == "columns"
    found = [
        worth_of(bench, {surface.id: (x, y)}).score
        for x in np.arange(0.0, across * (cycle if columns else 1), step).tolist()
        for y in np.arange(0.0, up * (1 if columns else cycle), step).tolist()
    ]
    grid = [leg for leg in plain(room, step) if leg < room.enough]
    best = [leg for leg in max(found) if leg < room.enough]
    assert grid == pytest.approx(best, abs=2e-6)


def test_what_is_timed_is_the_recommended_layout() -> None:
    room, result, _ = laid(sample("quarry-lane-shower"))
    assert one_option(room) == result.option.counts.whole + result.option.counts.cut
