"""The three sample rooms against the figures of an independent dense search on a 1/32 in grid (rooms/README.md)."""

from __future__ import annotations

import pytest

import layout
from layout.verify import faults
from tests.layout.helpers import NAMES, laid, sample
from tests.speed import within

FIGURES = {"quarry-lane-shower": 0.2407, "mill-house-tub": 0.5213, "station-hall-floor": 0.4949}
"""The largest least cut share at the planned joint, to be met within 1/32 in of cut."""


@pytest.mark.parametrize("name", NAMES)
def test_one_option_has_the_largest_least_cut(name: str) -> None:
    room, result, _ = laid(sample(name))
    side = max(max(tile.width, tile.height) for tile in room.tiles.values())
    best = max(option.least_cut_share for option in result.options if not option.changes)
    assert best >= FIGURES[name] - (25.4 / 32) / side


@pytest.mark.parametrize("name", NAMES)
def test_each_option_is_right_by_the_judge(name: str) -> None:
    count = len(laid(sample(name))[1].options)
    for option in range(1, count + 1):
        room, _, printed = laid(sample(name), option=option)
        assert faults(room, printed) == []


def test_the_showers_walls_share_their_courses() -> None:
    _, result, _ = laid(sample("quarry-lane-shower"))
    assert len({surface.datum[1] for surface in result.option.surfaces}) == 1


def test_the_tubs_walls_do_not_have_to() -> None:
    """Nothing in the file joins them: so each may take the height that is best for it."""
    room, _, _ = laid(sample("mill-house-tub"))
    assert room.groups == (("end",), ("long",), ("valve",))


def test_a_three_wall_shower_takes_well_under_a_second() -> None:
    room = layout.read_room(sample("quarry-lane-shower"))
    assert within(0.6, lambda: layout.lay_out(room))


@pytest.mark.parametrize("name", NAMES)
def test_the_same_room_gives_the_same_bytes(name: str) -> None:
    first, second = (layout.dumps(laid(sample(name))[1].to_json()) for _ in range(2))
    assert first == second


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_keys_in_the_file_does_not_matter(name: str) -> None:
    turned = dict(reversed(sample(name).items()))
    assert layout.dumps(laid(turned)[1].to_json()) == layout.dumps(laid(sample(name))[1].to_json())
