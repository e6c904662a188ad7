"""Datums given up half way, and identical walls solved once, against the same search without either."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import layout
from layout.evaluate import bench_of
from layout.fields import fields_of
from layout.free_model import FreeModel
from layout.free_search import FreeSearch
from layout.model import Aim, Floats
from layout.pins import pins_of
from layout.ranking import COLUMNS, LEVELS, lists_of, ranked
from layout.wrapping import Bundle, bundles_of
from tests.layout.free_rooms import free_room

NICHE = {"id": "niche", "kind": "niche", "outline": [["20", "20"], ["32", "20"], ["32", "34"], ["20", "34"]]}
SHOWER = Path(__file__).parents[2] / "config/demo/rooms/quarry-lane-shower.json"


@pytest.mark.parametrize("pattern", ["diagonal", "herringbone", "hex"])
@pytest.mark.parametrize("drift", [False, True])
def test_a_datum_is_given_up_only_below_the_limit(pattern: str, drift: bool) -> None:
    room = layout.read_room(free_room("rectangle", pattern, openings=(NICHE,), joint_high="3/16"))
    (model,) = bench_of(room, fields_of(room)).models.values()
    assert isinstance(model, FreeModel)
    rng = random.Random(5)
    points = np.array([[rng.uniform(200, 900), rng.uniform(200, 900)] for _ in range(40)])
    aim = Aim(1.0, hidden=True, drift=drift)
    full = model.legs(points, aim)
    limit = float(np.sort(full.min(axis=1))[30])
    asked: list[int] = []

    def still(rows: Any, half: Floats) -> Any:
        asked.append(len(rows))
        assert (half >= full[rows] - 1e-9).all()
        return half.min(axis=1) >= limit

    found = model.legs(points, aim, still)
    keeps = full.min(axis=1) >= limit
    assert min(asked) < len(points) / 2
    assert np.array_equal(found[keeps], full[keeps])
    assert (found[~keeps].min(axis=1) < limit).all()


@pytest.mark.parametrize("pattern", ["diagonal", "herringbone", "hex"])
@pytest.mark.parametrize("joint_high", ["1/8", "3/16"])
def test_no_place_that_was_left_out_beats_the_one_taken(pattern: str, joint_high: str) -> None:
    room = layout.read_room(free_room("rectangle", pattern, openings=(NICHE,), joint_high=joint_high))
    bench = bench_of(room, fields_of(room))
    search = FreeSearch(room, bench.models, Aim(1.0, hidden=True, drift=True), pins_of(room, bench.models), 0.0)
    (bundle,) = bundles_of(room, room.surfaces, {})
    heights = np.linspace(0.0, 150.0, 7)
    counts = search.counts(bundle)
    taken = lists_of(search.profile(bundle, heights)[0], 1.0, counts)
    xs, _ = search._first_places(bundle)
    every = lists_of(search._legs(bundle, heights, np.tile(xs, (len(heights), 1))), 1.0, counts)
    best = np.array([lists[ranked(lists[None])[0, 0]] for lists in every])
    assert len(xs) > 100
    for mine, other in zip(taken, best, strict=True):
        differ = np.flatnonzero(np.abs(mine - other)[:COLUMNS] > 1 / LEVELS)
        assert not differ.size or mine[differ[0]] > other[differ[0]]


@pytest.mark.parametrize("change", ["none", "pin", "shorter"])
def test_identical_walls_get_what_each_would_get_alone(monkeypatch: pytest.MonkeyPatch, change: str) -> None:
    data = json.loads(SHOWER.read_text()) | {"pattern": {"kind": "hex"}}
    data["tile"] |= {"width": 12, "height": 12 * 2 / 3**0.5}
    if change == "pin":
        data["surfaces"][2]["pin"] = {"x": "tile-centered"}
    if change == "shorter":
        data["surfaces"][2]["outline"] = [[0, 0], [35, 0], [35, 96], [0, 96]]
    room = layout.read_room(data)
    once = layout.dumps(layout.lay_out(room).to_json())

    def apart(search: FreeSearch, bundle: Bundle) -> tuple[object, ...]:
        return tuple((each.id, search.pins[each.id]) for each, _ in bundle.surfaces)

    monkeypatch.setattr(FreeSearch, "alike", apart)
    assert layout.dumps(layout.lay_out(room).to_json()) == once
