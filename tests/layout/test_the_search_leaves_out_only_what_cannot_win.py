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
from layout.wrapping import Bundle
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
