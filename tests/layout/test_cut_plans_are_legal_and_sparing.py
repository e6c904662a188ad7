"""Cut plans: the rules of reuse, the bound below, and the spares above."""

from __future__ import annotations

import pytest

from layout.verify import faults
from tests.layout.helpers import laid, plain, sample


@pytest.mark.parametrize("reuse", ["factory-edge", "any-edge", "none"])
def test_each_rule_of_reuse_gives_a_legal_plan(reuse: str) -> None:
    room, result, printed = laid({**sample("quarry-lane-shower"), "reuse": reuse})
    assert faults(room, printed) == []
    if reuse == "none":
        assert result.option.needed == result.option.counts.whole + result.option.counts.cut


def test_freer_rules_never_need_more_tiles() -> None:
    needed = {
        reuse: laid({**sample("mill-house-tub"), "reuse": reuse})[1].option.needed
        for reuse in ("any-edge", "factory-edge", "none")
    }
    assert needed["any-edge"] <= needed["factory-edge"] <= needed["none"]


def test_two_halves_come_out_of_one_tile() -> None:
    """A row of three full tiles between two pieces of 5 1/2 in: both, and the saw's kerf, fit a 12 in tile."""
    width = 3 * 12 + 4 * 0.125 + 11
    _, result, _ = laid(plain(width, 12, joint="1/8", edge_gap=0, kerf=2, pin={"x": "tile-centered"}))
    assert (result.option.counts.whole, result.option.counts.cut) == (3, 2)
    assert (result.option.needed, result.option.tiles[0].at_least) == (4, 4)


def test_a_kerf_can_cost_a_tile() -> None:
    """Two pieces of just under half: with a thin cut one tile yields both, with a thick one it takes two."""
    wide = 2 * 5.95 + 12 + 2 * 0.125
    needed = []
    for kerf in (1, 4):
        data = plain(wide, 12, tile=(12, 12), joint="1/8", edge_gap=0, kerf=kerf, pin={"x": "tile-centered"})
        needed.append(laid(data)[1].option.needed)
    assert needed == [2, 3]


def test_a_face_that_must_not_turn_wastes_its_offcuts() -> None:
    """Two left pieces both keep their right edge: one tile yields both only if one of them may be turned."""
    wide, high = 5 + 12 + 0.125, 2 * 12 + 0.125
    needed = []
    for turns in ([0, 180], [0]):
        data = plain(wide, high, tile=(12, 12), joint="1/8", edge_gap=0)
        data["pin"] = {"x": "full-at-right", "y": "full-at-bottom"}
        data["tile"]["turns"] = turns
        needed.append(laid(data)[1].option.needed)
    assert needed == [3, 4]


@pytest.mark.parametrize("name", ["quarry-lane-shower", "mill-house-tub", "station-hall-floor"])
def test_the_order_comes_in_full_boxes(name: str) -> None:
    _, _, printed = laid(sample(name))
    tiles = printed["options"][0]["tiles"]
    per_box = sample(name)["tile"]["per_box"]
    assert tiles["at_least"] <= tiles["needed"] < tiles["order"] <= tiles["boxes"] * per_box
    assert (tiles["boxes"] - 1) * per_box < tiles["order"]


def test_a_tile_of_unknown_boxes_has_no_boxes() -> None:
    _, _, printed = laid(plain())
    assert "boxes" not in printed["options"][0]["tiles"]
