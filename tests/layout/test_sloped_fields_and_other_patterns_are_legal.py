"""Any simple polygon, circles, and every pattern: right by the judge."""

from __future__ import annotations

import pytest

from layout.verify import faults
from tests.layout.free_rooms import BAY, DRAIN, free_room, random_free_room
from tests.layout.helpers import laid

PAIRS = [
    ("out of square", "stack"),
    ("sloped", "thirds"),
    ("sloped", "stair by columns"),
    ("curved", "stack"),
    ("triangle", "thirds"),
    ("ell", "diagonal"),
    ("out of square", "diagonal"),
    ("rectangle", "herringbone"),
    ("ell", "hex"),
    ("rectangle", "hex"),
]


@pytest.mark.parametrize(("shape", "pattern"), PAIRS)
def test_a_pattern_on_a_shape_is_right_by_the_judge(shape: str, pattern: str) -> None:
    room, _, printed = laid(free_room(shape, pattern))
    assert faults(room, printed) == []


@pytest.mark.parametrize("pattern", ["stack", "thirds"])
def test_round_and_slanted_openings_are_right_by_the_judge(pattern: str) -> None:
    bay = {**BAY, "outline": [[35, 50], [50, 48], [52, 62], [37, 63]]}
    room, _, printed = laid(free_room("rectangle", pattern, openings=[DRAIN, bay]))
    assert faults(room, printed) == []


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 5, 8])
def test_a_random_free_room_is_right_by_the_judge(seed: int) -> None:
    room, _, printed = laid(random_free_room(seed))
    assert faults(room, printed) == []


def test_a_step_smaller_than_a_joint_is_straightened_and_told() -> None:
    data = free_room("rectangle", "stack")
    data["surfaces"][0]["outline"] = [[0, 0], [60, 0], [60, 50], [59.95, 50], [59.95, 96], [0, 96]]
    room, result, printed = laid(data)
    assert faults(room, printed) == []
    assert "layout.step" in [finding.rule for finding in result.findings]
    assert {len(piece.outline) for piece in result.option.surfaces[0].pieces} == {4}


def test_a_herringbone_whose_sides_do_not_match_says_so() -> None:
    """12 and 6 in with joints of 1/8: two widths and a joint are 12 1/8. Half a joint along the long side makes it."""
    _, result, _ = laid(free_room("rectangle", "herringbone"))
    assert "layout.herringbone-joint" in [finding.rule for finding in result.findings]


def test_pieces_that_run_to_a_point_are_told() -> None:
    _, result, _ = laid(free_room("sloped", "thirds"))
    assert "layout.taper" in [finding.rule for finding in result.findings]
    assert result.option.least_cut_share == 0


def test_a_little_out_of_square_is_no_taper() -> None:
    """A corner 1/2 in out over 96 in: the pieces count at their narrow end, and half a tile and more can be had."""
    _, result, _ = laid(free_room("out of square", "stack"))
    assert result.option.least_cut_share >= 0.5
