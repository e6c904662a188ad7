"""Each pin is kept, or refused at its own place with a reason that a setter understands. Figures by hand."""

from __future__ import annotations

from typing import Any

import pytest

import layout
from tests.layout.helpers import laid, plain

INCH = 25.4


def walls(*pins: dict[str, Any] | None, heights: tuple[float, ...] = (96, 96), **more: Any) -> dict[str, Any]:
    """Two walls that meet in a corner, 60 and 36 in wide, tile 12 x 12, joints 1/8, gaps 1/8."""
    data = plain(tile=(12, 12), joint="1/8", edge_gap="1/8", **more)
    data["surfaces"] = [
        {"id": name, "name": f"{name.title()} wall", "kind": "wall", "build_up": "1/2", **({"pin": pin} if pin else {})}
        | {"outline": [[0, 0], [wide, 0], [wide, high], [0, high]]}
        for name, wide, high, pin in zip(("back", "side"), (60, 36), heights, pins, strict=True)
    ]
    data["corners"] = [{"first": "back.right", "second": "side.left", "soft": "1/8"}]
    return data


def refused(data: dict[str, Any]) -> str:
    with pytest.raises(layout.RoomError) as told:
        laid(data)
    return str(told.value)


def test_walls_that_share_courses_are_not_pinned_to_two_heights() -> None:
    """Full at the top of 96 and of 90 in: the tops are 6 in apart, which is no whole course of 12 1/8."""
    told = refused(walls({"y": "full-at-top"}, {"y": "full-at-top"}, heights=(96, 90)))
    assert told.startswith("surfaces[1].pin.y: ")
    assert "Back wall" in told
    assert '6"' in told


def test_walls_that_share_courses_may_be_pinned_to_heights_whole_courses_apart() -> None:
    _, result, _ = laid(walls({"y": 10}, {"y": 10 + 12.125}))
    assert result.option.datums["back"][1] == result.option.datums["side"][1] == pytest.approx(10 * INCH)


def test_a_pin_of_the_whole_room_is_refused_at_its_place() -> None:
    data = walls(None, None, heights=(96, 90), pin={"y": "full-at-top"})
    assert refused(data).startswith("pin.y: ")


@pytest.mark.parametrize(("pin", "what"), [({"y": "full-at-top"}, "course"), ({"x": "full-at-left"}, "column")])
def test_a_full_course_or_column_needs_room_for_one(pin: dict[str, str], what: str) -> None:
    """8 in less a gap of 1/8 at both ends leaves 7 3/4 in, a tile has 12."""
    told = refused(plain(8, 8, edge_gap="1/8", surface={"pin": pin}))
    assert told.startswith(f"surfaces[0].pin.{next(iter(pin))}: a full {what} is 12")
    assert '7 3/4"' in told


def test_a_tile_may_be_centered_where_no_full_one_fits() -> None:
    """8 in: the tile's middle at 4 in, so its left side 2 in left of the edge."""
    _, result, _ = laid(plain(8, 8, edge_gap="1/8", surface={"pin": {"x": "tile-centered"}}))
    assert result.option.datums["floor"][0] == pytest.approx(-2 * INCH)


@pytest.mark.parametrize(
    ("pin", "told"),
    [
        ({"y": 100}, 'would stand 4 1/8" above'),
        ({"y": -13}, 'would stand 13 1/8" below'),
        ({"x": 61}, 'would stand 1 1/8" right of'),
        ({"x": -20}, 'would stand 20 1/8" left of'),
    ],
)
def test_a_line_off_what_is_tiled_is_refused(pin: dict[str, float], told: str) -> None:
    """What is tiled runs from 1/8 to 59 7/8 across and 95 7/8 up."""
    found = refused(plain(60, 96, edge_gap="1/8", surface={"pin": pin}))
    assert found.startswith(f"surfaces[0].pin.{next(iter(pin))}: ")
    assert told in found


def test_where_nothing_is_tiled_nothing_can_be_pinned() -> None:
    data = walls(None, {"x": "tile-centered"})
    data["surfaces"][1]["outline"] = [[0, 0], [0.5, 0], [0.5, 96], [0, 96]]
    assert refused(data).startswith("surfaces[1].pin.x: the gaps at its edges leave nothing to tile")
    # What is pinned for the whole room still goes for the wall that is tiled.
    data = walls(None, None, pin={"x": "full-at-left"})
    data["surfaces"][1]["outline"] = [[0, 0], [0.5, 0], [0.5, 96], [0, 96]]
    off = (laid(data)[1].option.datums["back"][0] / INCH - 1 / 8) / 12.125
    assert off == pytest.approx(round(off), abs=1e-4)


def test_a_wrapped_pattern_is_pinned_on_one_wall_only() -> None:
    """Back ends at 60 - 1/8; side's tile starts at 1/2 + 1/8. The saw takes 2.5 mm: 59 7/8 on back is 5/8 - 2.5 mm."""
    assert refused(walls({"x": 24}, {"x": 7}, wrap=True)).startswith("surfaces[1].pin.x: its pattern runs on")
    apart = 5 / 8 - 2.5 / INCH - 59.875
    _, result, _ = laid(walls({"x": 24}, {"x": 24 + apart + 4 * 12.125}, wrap=True))
    assert result.option.datums["back"][0] == pytest.approx(24 * INCH)
    off = (result.option.datums["side"][0] / INCH - 24 - apart) / 12.125
    assert off == pytest.approx(round(off), abs=1e-4)


@pytest.mark.parametrize("wall", [0, 1])
def test_a_pin_across_one_wrapped_wall_goes_for_the_other(wall: int) -> None:
    pins: list[dict[str, Any] | None] = [None, None]
    pins[wall] = {"x": "full-at-left"}
    _, result, _ = laid(walls(*pins, wrap=True))
    start = (1 / 8, 5 / 8)[wall]
    off = (result.option.datums[("back", "side")[wall]][0] / INCH - start) / 12.125
    assert off == pytest.approx(round(off), abs=1e-4)


def test_a_pin_goes_before_an_aim_and_what_the_aim_misses_is_told() -> None:
    """Pinned to 31 in, joints stand 1/16 in left of 31 and every 12 1/8 in: the nearest to 40 stands at 43 1/16."""
    aim = [{"at": [40, 24 - 1 / 16], "want": "joint-centered", "why": "valve"}]
    _, result, _ = laid(plain(60, 96, edge_gap=0, surface={"aim": aim, "pin": {"x": 31, "y": 24}}))
    assert result.option.datums["floor"] == (pytest.approx(31 * INCH), pytest.approx(24 * INCH))
    (finding,) = [finding for finding in result.findings if finding.rule == "layout.aim"]
    assert 'the nearest joint is 3 1/16" right' in finding.text


def test_an_aim_that_a_diagonal_misses_is_told() -> None:
    """A diagonal tile of 12 in pinned with its low corner at (24, 24) has its middle 12 / √2 = 8 1/2 in above that."""
    aim = [{"at": [24, 34], "want": "tile-centered", "why": "drain"}]
    data = plain(60, 60, pattern={"kind": "diagonal"}, surface={"aim": aim, "pin": {"x": 24, "y": 24}})
    (finding,) = [finding for finding in laid(data)[1].findings if finding.rule == "layout.aim"]
    assert "the nearest tile's middle is 1 1/2\" down" in finding.text


def test_an_option_that_a_pin_has_no_room_for_is_not_offered() -> None:
    """A wall 10 in wide: 6 x 12 tile is full at the left, hung the other way it is 12 in wide."""
    data = plain(10, 48, tile=(6, 12), surface={"kind": "wall", "pin": {"x": "full-at-left"}})
    assert not [option for option in laid(data)[1].options if option.changes.turned]
    del data["surfaces"][0]["pin"]
    assert [option for option in laid(data)[1].options if option.changes.turned]
