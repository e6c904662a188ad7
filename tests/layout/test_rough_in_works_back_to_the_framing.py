"""The rough-in: the layout worked backward through tile, mortar and board, each figure by hand beside it."""

from __future__ import annotations

from typing import Any

import pytest

import layout
from tests.layout.helpers import laid, plain, sample

INCH = 25.4


def shower(**more: Any) -> dict[str, Any]:
    """The sample shower with a niche, a valve and a bar marked, 3/8 in tile."""
    data = sample("quarry-lane-shower")
    data["surfaces"][2]["aim"] = [
        {"at": [18, 44], "want": "joint-centered", "why": "valve"},
        {"at": [18, 36], "want": "joint-centered", "why": "grab bar"},
    ]
    return {**data, **more}


def measures(data: dict[str, Any], kind: str, *, build: layout.Build | None = None) -> dict[str, float]:
    """Return the measures of the first item of a kind, in inches."""
    room, result, _ = laid(data)
    items = layout.rough_in(room, result, build=build)["items"]
    item = next(item for item in items if item["kind"] == kind)
    return {each["name"]: each["mm"] / INCH for each in item["measures"]}


def test_a_niche_opens_a_board_wider_in_the_framing_and_finishes_a_tile_narrower() -> None:
    """Hole 12 x 24 in; board 1/2, mortar 1/8, tile 3/8: rough 13 x 25, finished 11 x 23 in."""
    niche = measures(shower(), "niche")
    assert (niche["rough width"], niche["rough height"]) == (pytest.approx(13), pytest.approx(25))
    assert (niche["finished width"], niche["finished height"]) == (pytest.approx(11), pytest.approx(23))
    # 22 in from the left wall's board, whose framing is 1/2 in behind it; the niche's framing starts 1/2 in before.
    assert niche["left side of the rough opening"] == pytest.approx(22, abs=0.01)
    assert niche["bottom of the rough opening"] == pytest.approx(39.5, abs=0.01)


def test_another_board_moves_the_framing_only() -> None:
    niche = measures(shower(), "niche", build=layout.Build(board=0.25 * INCH))
    assert niche["rough width"] == pytest.approx(12.5, abs=0.01)
    assert niche["finished width"] == pytest.approx(11, abs=0.01)


def test_a_walls_own_build_up_goes_before_the_assumed_mortar() -> None:
    data = shower()
    data["surfaces"][1]["build_up"] = "3/4"
    assert measures(data, "niche")["finished width"] == pytest.approx(12 - 1.5, abs=0.01)


def test_a_valve_is_set_for_the_finished_face() -> None:
    """Board 1/2, mortar 1/8 and tile 3/8 in: the face is 1 in before the framing; across from the back wall's studs."""
    valve = measures(shower(), "valve")
    assert valve["framing to finished face"] == pytest.approx(1, abs=0.01)
    assert valve["center, across"] == pytest.approx(18.5, abs=0.01)
    assert valve["center, up"] == pytest.approx(44, abs=0.01)


def test_a_bar_gets_its_blocking_centered() -> None:
    bar = measures(shower(), "blocking")
    assert (bar["bottom of the blocking"] + bar["top of the blocking"]) / 2 == pytest.approx(36, abs=0.01)
    assert bar["top of the blocking"] - bar["bottom of the blocking"] == pytest.approx(7.25, abs=0.01)


def test_a_bench_finishes_a_joint_under_a_course_and_is_framed_lower_by_what_lies_on_it() -> None:
    data = plain(60, 96, tile=(12, 6), joint="1/8", edge_gap="1/8", pin={"y": "full-at-bottom"})
    data["surfaces"][0]["kind"] = "wall"
    data["surfaces"].append({"id": "bench", "kind": "bench", "outline": [[0, 0], [36, 0], [36, 14], [0, 14]]})
    bench = measures(data, "bench")
    # Courses stand every 6 1/8 in from 1/8 in: their joints' tops at 18 3/8 + 1/8, so the bench finishes at 18 3/8.
    assert bench["finished top"] == pytest.approx(18.375, abs=0.01)
    assert bench["framing height"] == pytest.approx(17.375, abs=0.01)


def corner(wide: float) -> dict[str, Any]:
    """Two walls that meet, the first pinned so that its left column is what is left over."""
    data = plain(wide, 96, tile=(12, 12), joint="1/8", edge_gap="1/8", pin={"x": "full-at-right"})
    data["surfaces"][0].update({"kind": "wall", "joins": {"left": "side"}})
    side = {"id": "side", "kind": "wall", "outline": [[0, 0], [30, 0], [30, 96], [0, 96]]}
    data["surfaces"].append(side)
    return data


def test_a_sliver_in_a_corner_tells_how_far_to_fur_out_the_other_wall() -> None:
    """Gaps 1/8 and 1/8, four tiles and their joints 48 1/2, and 3/4 in left: less its own joint 7/8 in to fur."""
    room, result, _ = laid(corner(1 / 8 + 3 / 4 + 4 * 12.125 + 1 / 8))
    (item,) = [item for item in layout.rough_in(room, result)["items"] if item["kind"] == "furring"]
    assert item["surface"] == "side"
    assert item["measures"][0]["mm"] == pytest.approx(0.875 * INCH, abs=0.01)


def test_a_wide_cut_in_a_corner_is_no_reason_to_fur() -> None:
    room, result, _ = laid(corner(1 / 8 + 5 + 4 * 12.125 + 1 / 8))
    assert not [item for item in layout.rough_in(room, result)["items"] if item["kind"] == "furring"]


def test_it_defers_to_code_and_licensed_trades() -> None:
    room, result, _ = laid(shower())
    rules = {finding["rule"] for finding in layout.rough_in(room, result)["findings"]}
    assert {"safety.plumbing", "safety.wiring", "safety.structure", "rough-in.finished-face"} <= rules


def test_a_missing_thickness_is_told_with_what_was_assumed() -> None:
    data = shower()
    del data["tile"]["thickness"]
    room, result, _ = laid(data)
    assert any("thickness is missing" in text for text in layout.rough_in(room, result)["assumed"])


def test_the_chosen_options_changes_are_in_it() -> None:
    data = shower()
    data["surfaces"][1]["openings"][0]["movable"] = {"x": [-2, 2], "y": [-3, 3]}
    count = len(laid(data)[1].options)
    numbers = [n for n in range(1, count + 1) if laid(data, option=n)[1].option.changes.moved]
    room, result, _ = laid(data, option=numbers[0])
    (moved,) = result.option.changes.moved
    niche = next(item for item in layout.rough_in(room, result)["items"] if item["kind"] == "niche")
    bottom = next(each for each in niche["measures"] if each["name"] == "bottom of the rough opening")
    assert bottom["mm"] == pytest.approx(39.5 * INCH + moved.y, abs=0.01)


def test_a_whole_wall_by_hand() -> None:
    """Wall 60 x 96 in beside another; tile 12 x 12 x 3/8, joints and gaps 1/8, board 1/2, build-up 5/8 of its own.

    Courses pinned: lines at x = 24 and y = 12. Joints then end tiles at 24 - 1/8 = 23 7/8 and start them at 24 across.
    The niche's hole is 14 x 26 in from (23, 30). By hand:

    - rough opening: 14 + 2 x 1/2 = 15 wide, 26 + 1 = 27 high; finished 14 - 2 x 5/8 = 12 3/4 and 24 3/4;
    - its left framing starts 1/2 before the hole, and the other wall's framing lies 1/2 behind its board: 23;
      its bottom at 30 - 1/2 = 29 1/2;
    - a full tile left of it would end at 23 - 1/8 = 22 7/8, the nearest does at 23 7/8: 1 in off, it moves right;
    - below it at 29 7/8: tiles end at 24 + 12 1/8 n, and at 24: 5 7/8 off.

    The valve at (36, 44): 36 1/2 from the framing, its face 1/2 + 5/8 = 1 1/8 before the studs.
    The seat's blocking at 20 in: 20 - 3 5/8 = 16 3/8 to 23 5/8, a 2x8 being 7 1/4 high.
    """
    niche = {"id": "niche", "kind": "niche", "outline": [[23, 30], [37, 30], [37, 56], [23, 56]]}
    aims = [{"at": [36, 44], "want": "joint-centered", "why": "valve"}]
    aims.append({"at": [50, 20], "want": "joint-centered", "why": "fold-down seat"})
    data = plain(60, 96, tile=(12, 12), joint="1/8", edge_gap="1/8", pin={"y": 12})
    data["surfaces"][0].update(
        {
            "kind": "wall",
            "build_up": "5/8",
            "pin": {"x": 24},
            "openings": [niche],
            "aim": aims,
            "joins": {"left": "side"},
        }
    )
    data["surfaces"].append({"id": "side", "kind": "wall", "outline": [[0, 0], [30, 0], [30, 96], [0, 96]]})
    found = measures(data, "niche")
    assert found["rough width"] == pytest.approx(15)
    assert found["rough height"] == pytest.approx(27)
    assert found["finished width"] == pytest.approx(12.75, abs=1e-3)
    assert found["finished height"] == pytest.approx(24.75)
    assert found["left side of the rough opening"] == pytest.approx(23)
    assert found["bottom of the rough opening"] == pytest.approx(29.5)
    assert found["left side, off the joints"] == pytest.approx(1, abs=1e-3)
    assert found["bottom side, off the joints"] == pytest.approx(5.875, abs=1e-3)
    valve = measures(data, "valve")
    assert valve["center, across"] == pytest.approx(36.5)
    assert valve["center, up"] == pytest.approx(44)
    assert valve["framing to finished face"] == pytest.approx(1.125, abs=1e-3)
    seat = measures(data, "blocking")
    assert seat["bottom of the blocking"] == pytest.approx(16.375, abs=1e-3)
    assert seat["top of the blocking"] == pytest.approx(23.625, abs=1e-3)
    room, result, _ = laid(data)
    sheet = layout.rough_in(room, result)
    how = {each["name"]: each["how"] for item in sheet["items"] if item["kind"] == "niche" for each in item["measures"]}
    assert how["left side, off the joints"].endswith("further right")
    assert any("lined with the same board" in text for text in sheet["assumed"])


def test_a_niche_on_the_joints_says_so() -> None:
    """The tile left of column 0 ends at 23 7/8, where the gap of 1/8 at the hole's left begins."""
    hole = [[24, 24.125], [47.875, 24.125], [47.875, 48], [24, 48]]
    data = plain(60, 96, joint="1/8", edge_gap="1/8", pin={"x": 24, "y": 24.125})
    data["surfaces"][0].update({"kind": "wall", "openings": [{"id": "niche", "kind": "niche", "outline": hole}]})
    found = measures(data, "niche")
    # At the right the gap ends at 48, and a tile starts at 48 1/4.
    assert found["left side, off the joints"] == pytest.approx(0, abs=1e-6)
    assert found["right side, off the joints"] == pytest.approx(0.25, abs=1e-3)


def test_a_drain_that_is_drawn_is_measured_to_its_center() -> None:
    """Board 1/2, mortar 1/8, tile 3/8 in: its top lies 1 in above the framing, where no bed is."""
    drain = {"id": "drain", "kind": "drain", "circle": [20, 15, 2]}
    data = plain(42, 36, tile=(6, 6), pin={"x": 18, "y": 18}, surface={"openings": [drain]})
    found = measures(data, "drain")
    assert found["center, across"] == pytest.approx(20)
    assert found["center, away"] == pytest.approx(15)
    assert found["framing to finished face"] == pytest.approx(1)


def test_what_stands_behind_the_other_walls_tile_needs_no_furring() -> None:
    """Back runs 5/8 + 1/8 behind side's tile at its left: a column of 1 1/4 in shows 1/2, less a gap of 1/8 in hidden.

    Hidden past the gap of 1/8: 3/4 - 1/8 = 5/8. Seen 1 1/4 - 5/8 = 5/8; with its joint 3/4 in to fur.
    """
    data = corner(1 / 8 + 1.25 + 4 * 12.125 + 1 / 8)
    del data["surfaces"][0]["joins"]
    data["surfaces"][1]["build_up"] = "5/8"
    data["corners"] = [{"first": "floor.left", "second": "side.right", "soft": "1/8"}]
    room, result, _ = laid(data)
    (item,) = [item for item in layout.rough_in(room, result)["items"] if item["kind"] == "furring"]
    assert item["measures"][0]["mm"] == pytest.approx(0.75 * INCH, abs=0.01)


def test_of_framing_outlines_the_board_is_in_the_build_up() -> None:
    """Taped stud to stud: 3/8 tile, 3/16 mortar and 1/2 board make 1 1/16. By hand: the valve's face 1 1/16 before the
    framing, 18 in from the back wall's framing; the niche's hole 12 in less twice 9/16 finishes 10 7/8 wide."""
    data = shower(outlines_of="framing")
    for surface in data["surfaces"]:
        surface["build_up"] = "1 1/16"
    valve = measures(data, "valve")
    assert valve["framing to finished face"] == pytest.approx(1.0625, abs=0.001)
    assert valve["center, across"] == pytest.approx(18, abs=0.01)
    niche = measures(data, "niche")
    assert niche["rough width"] == pytest.approx(13)
    assert niche["finished width"] == pytest.approx(10.875, abs=0.001)
    # The hole stands 22 in from the left wall's studs, its framing 1/2 in before.
    assert niche["left side of the rough opening"] == pytest.approx(21.5, abs=0.01)
    room, result, _ = laid(data)
    assert any("Outlines are the framing's face" in text for text in layout.rough_in(room, result)["assumed"])


def test_of_framing_outlines_a_bench_is_framed_lower_by_its_build_up() -> None:
    data = plain(60, 96, tile=(12, 6), joint="1/8", edge_gap="1/8", pin={"y": "full-at-bottom"})
    data["surfaces"][0]["kind"] = "wall"
    outline = [[0, 0], [36, 0], [36, 14], [0, 14]]
    data["surfaces"].append({"id": "bench", "kind": "bench", "outline": outline, "build_up": "1 1/16"})
    bench = measures({**data, "outlines_of": "framing"}, "bench")
    assert bench["finished top"] - bench["framing height"] == pytest.approx(1.0625, abs=0.001)
    # Of the board's outlines the board comes on top, as it always did.
    bench = measures(data, "bench")
    assert bench["finished top"] - bench["framing height"] == pytest.approx(1.5625, abs=0.001)


def test_a_build_up_that_has_the_board_in_it_over_board_is_told() -> None:
    data = shower()
    data["surfaces"][1]["build_up"] = "1 1/16"
    room, result, _ = laid(data)
    assert sum("stud to stud" in text for text in layout.rough_in(room, result)["assumed"]) == 1
    data["surfaces"][1]["build_up"] = "9/16"
    room, result, _ = laid(data)
    assert not any("stud to stud" in text for text in layout.rough_in(room, result)["assumed"])


def test_what_outlines_are_of_is_one_of_two() -> None:
    with pytest.raises(layout.RoomError, match="outlines_of"):
        layout.read_room(shower(outlines_of="paint"))


def with_openings(*openings: dict[str, Any]) -> dict[str, Any]:
    data = shower()
    data["surfaces"][2]["openings"] = list(openings)
    return data


def test_a_pipe_is_measured_to_its_center_and_its_fitting_set_for_the_finished_face() -> None:
    arm = {"id": "shower arm", "kind": "pipe", "circle": [18, 80, 0.5]}
    data = with_openings(arm)
    pipe = measures(data, "pipe")
    assert (pipe["center, across"], pipe["center, up"]) == (pytest.approx(18.5), pytest.approx(80))
    assert pipe["framing to finished face"] == pytest.approx(1, abs=0.01)
    room, result, _ = laid(data)
    assert "safety.plumbing" in {each["rule"] for each in layout.rough_in(room, result)["findings"]}


@pytest.mark.parametrize("kind", ["window", "door", "fixture"])
def test_windows_doors_and_fixtures_stand_where_the_room_has_them(kind: str) -> None:
    """10 x 20 in at (12, 50): 12 1/2 in from the back wall's framing."""
    hole = {"id": "it", "kind": kind, "outline": [[12, 50], [22, 50], [22, 70], [12, 70]]}
    found = measures(with_openings(hole), kind)
    assert (found["opening width"], found["opening height"]) == (pytest.approx(10), pytest.approx(20))
    assert found["left side of the opening"] == pytest.approx(12.5)
    assert found["bottom of the opening"] == pytest.approx(50)


def test_blocking_is_marked_by_itself_and_moves_no_tile() -> None:
    data = shower()
    del data["surfaces"][2]["aim"]
    before = laid(data)[1].to_json()["options"]
    data["surfaces"][2]["blocking"] = [{"at": [34, 78], "for": "glass"}]
    glass = measures(data, "blocking")
    assert glass["center, across"] == pytest.approx(34.5)
    assert glass["top of the blocking"] - 78 == pytest.approx(3.625, abs=0.01)
    room, result, _ = laid(data)
    (item,) = [each for each in layout.rough_in(room, result)["items"] if each["kind"] == "blocking"]
    assert (item["id"], item["mark"]) == ("glass", {"blocking": 0})
    assert result.to_json()["options"] == before
