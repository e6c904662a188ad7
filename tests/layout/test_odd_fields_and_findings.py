"""Fields that aren't a plain rectangle, and what a result says beside its pieces."""

from __future__ import annotations

from typing import Any

import pytest

import layout
from layout.verify import faults
from tests.layout.helpers import laid, plain, sample


def opening(x0: float, y0: float, x1: float, y1: float, name: str = "hole") -> dict[str, Any]:
    return {"id": name, "kind": "fixture", "outline": [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]}


def test_a_field_that_the_gaps_eat_up_has_no_pieces_and_says_so() -> None:
    room, result, printed = laid(plain(10, 10, edge_gap=6))
    assert result.option.counts.whole + result.option.counts.cut == 0
    assert (result.option.least_cut, result.option.least_cut_share) == (None, 1.0)
    assert result.findings[0].level == "stop"
    assert faults(room, printed) == []
    assert {line["key"] for line in layout.take_off(room, result)["lines"]}.isdisjoint({"grout", "mortar"})


def test_a_field_smaller_than_a_tile_is_one_piece() -> None:
    room, result, printed = laid(plain(5, 4, edge_gap=0))
    (piece,) = result.option.surfaces[0].pieces
    # Rule 1 lets it reach 1 mm into the soft joint.
    assert piece.cut_share == pytest.approx(4 / 12, abs=1 / (12 * 25.4))
    assert faults(room, printed) == []


def test_a_hole_within_a_tile_is_a_hole() -> None:
    holes = {"openings": [opening(29, 29, 31, 31)]}
    room, result, printed = laid(
        plain(60, 60, tile=(12, 12), surface=holes, pin={"x": "tile-centered", "y": "full-at-bottom"})
    )
    holed = [piece for piece in result.option.surfaces[0].pieces if piece.holes]
    assert len(holed) == 1
    assert not holed[0].whole
    assert faults(room, printed) == []


def test_a_tile_that_falls_into_two_numbers_its_pieces() -> None:
    """A slot of 2 in through the middle of a course's tile leaves two pieces of it."""
    slot = {"openings": [opening(5, 0, 7, 12)]}
    pin = {"x": "full-at-left", "y": "full-at-bottom"}
    room, result, printed = laid(plain(24.125, 12, edge_gap=0, joint="1/8", surface=slot, pin=pin))
    names = [piece.id for piece in result.option.surfaces[0].pieces]
    first = names[0].rsplit(":", 1)[0]
    assert names[:2] == [f"{first}:1", f"{first}:2"]
    assert faults(room, printed) == []


@pytest.mark.parametrize(
    "openings",
    [
        [opening(0, 20, 10, 40)],
        [opening(20, 0, 40, 10)],
        [opening(20, 20, 30, 30, "a"), opening(30, 20, 40, 30, "b")],
        [opening(20, 20, 30, 30, "a"), opening(30, 30, 40, 40, "b")],
        [opening(0, 0, 60, 10)],
        [opening(0, 20, 60, 30)],
    ],
    ids=["at an edge", "at the foot", "side by side", "corner to corner", "the whole foot", "right across"],
)
def test_openings_may_touch_an_edge_or_each_other(openings: list[dict[str, Any]]) -> None:
    for gap in (0, "1/8"):
        room, _, printed = laid(plain(60, 60, edge_gap=gap, surface={"openings": openings}))
        assert faults(room, printed) == []


def test_rule_one_takes_up_a_millimeter() -> None:
    """A tile that passes the edge by 1 mm is whole; one that enters by 1 mm is no piece (FORMATS.md, rule 1)."""
    for past in (-1.0, 1.0):
        data = plain(1200 + 3 + past, 600, tile=(600, 600), joint=3, edge_gap=0, pin={"x": 0, "y": 0})
        data["units"] = "mm"
        room, result, printed = laid(data)
        assert (result.option.counts.whole, result.option.counts.cut) == (2, 0)
        assert faults(room, printed) == []
    data = plain(1200 + 3 + 4.5, 600, tile=(600, 600), joint=3, edge_gap=0, pin={"x": 0, "y": 0})
    data["units"] = "mm"
    assert laid(data)[1].option.counts.cut == 1


def test_a_joint_under_the_least_is_told_with_its_source() -> None:
    """Three times the size spread, 1/16 in spread: 3/16 in (A108.02 4.3.8, tileletter.com, minimum grout joint)."""
    data = plain(60, 60, joint="1/8")
    data["tile"]["size_spread"] = 1.5875
    told = [finding for finding in laid(data)[1].findings if finding.rule == "joint.three-times-size-spread"]
    assert told[0].level == "care"
    assert "3/16" in told[0].text
    assert "A108.02" in told[0].source
    data["joint"] = "3/16"
    assert not [finding for finding in laid(data)[1].findings if finding.rule == "joint.three-times-size-spread"]


def test_a_half_offset_of_a_long_tile_is_told_with_its_source() -> None:
    """Sides over 15 in: a third at most (A108.02 4.3.8.2, tileletter.com, offset patterns)."""
    for share, told in (("1/2", True), ("1/3", False)):
        data = plain(90, 60, tile=(24, 6), joint="3/16", pattern={"kind": "offset", "share": share})
        found = [finding.rule for finding in laid(data)[1].findings]
        assert ("pattern.offset-at-most-a-third" in found) == told


def test_silica_is_told_with_every_layout() -> None:
    assert "safety.silica" in [finding.rule for finding in laid(sample("mill-house-tub"))[1].findings]


def test_walls_that_meet_with_tiles_of_two_heights_are_told() -> None:
    data = sample("quarry-lane-shower")
    data["tiles"] = {"small": {"width": 6, "height": 6, "thickness": "3/8"}}
    data["surfaces"][0]["tile"] = "small"
    room, result, printed = laid(data)
    assert "layout.courses" in [finding.rule for finding in result.findings]
    assert faults(room, printed) == []
    assert {tile["name"] for tile in printed["options"][0]["cut_plan"]} == {"small", "tile"}
    assert set(printed["options"][0]["tiles"]["by_tile"]) == {"small", "tile"}
