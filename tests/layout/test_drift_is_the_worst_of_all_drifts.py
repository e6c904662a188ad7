"""Joints end up between joint and joint_high: what is said to be least over all drifts is, tile by tile."""

from __future__ import annotations

import pytest

from tests.layout.dense import least_at_drift
from tests.layout.helpers import NAMES, laid, plain, sample
from tests.layout.rooms import random_room

STEPS = (0.0, 0.5, 1.0)


def rooms() -> list[dict[str, object]]:
    drawn = [random_room(seed) for seed in range(100, 140)]
    steady = [room for room in drawn if "joint_high" in room and room["pattern"].get("run") != "stair"]
    return [sample(name) for name in NAMES] + steady[:6]


@pytest.mark.parametrize("data", rooms(), ids=lambda data: data["name"])
def test_no_sampled_drift_is_worse_and_one_is_as_bad(data: dict[str, object]) -> None:
    room, result, _ = laid(data)
    spread = max(surface.joint_high - surface.joint for surface in room.surfaces)
    datums = result.option.datums
    sampled = min(least_at_drift(room, datums, a * spread, b * spread) for a in STEPS for b in STEPS)
    told = result.option.least_cut_share_drift
    assert told <= sampled + 1e-5
    # Where drift swallows a piece, the worst lies between two samples and is told as 0.
    assert told == 0 or told == pytest.approx(sampled, abs=1e-5)


def test_a_joint_that_cannot_drift_loses_nothing() -> None:
    _, result, _ = laid(plain(83.3, 61.7))
    assert result.option.least_cut_share_drift == result.option.least_cut_share


def test_the_recommended_one_is_the_steadiest_of_the_options() -> None:
    for name in NAMES:
        _, result, _ = laid(sample(name))
        side = 11.8125 * 25.4
        best = max(option.least_cut_share_drift for option in result.options if not option.changes)
        assert result.options[0].least_cut_share_drift >= best - 25.4 / 32 / side


def test_a_piece_tells_its_range() -> None:
    """A cut at the end of a course, three joints from the plumb line, each up to 1/16 in wider."""
    room, result, _ = laid(sample("quarry-lane-shower"))
    spread = 25.4 / 16
    for surface in result.option.surfaces:
        for piece in surface.pieces:
            low, high = piece.range_mm
            assert low <= high
            reach = max(min(abs(piece.column), 3), 1) + max(min(abs(piece.course), 1), 1)
            assert high - low <= reach * spread + 0.11 or piece.whole or low == 0 or len(piece.outline) > 4
    assert any(low < high for s in result.option.surfaces for p in s.pieces for low, high in [p.range_mm])
    assert room.regrid == pytest.approx(914.4)
