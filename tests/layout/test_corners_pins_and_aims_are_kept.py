"""Inside corners, pins, aims, levels: what the file says about a datum and about what is seen."""

from __future__ import annotations

from typing import Any

import pytest

import layout
from layout.fields import fields_of
from layout.verify import faults
from tests.layout.helpers import laid, plain, sample

INCH = 25.4


def corner_room(**more: Any) -> dict[str, Any]:
    """Two walls that meet: `back`, set first, runs into the corner behind the tile of `side`."""
    room = plain(tile=(12, 12), joint="1/8", edge_gap=0, **more)
    walls = [("back", 60), ("side", 30)]
    room["surfaces"] = [
        {"id": name, "kind": "wall", "build_up": "5/8", "outline": [[0, 0], [wide, 0], [wide, 96], [0, 96]]}
        for name, wide in walls
    ]
    room["corners"] = [{"first": "back.right", "second": "side.left", "soft": "1/8"}]
    return room


def test_the_second_wall_starts_at_the_firsts_finished_face() -> None:
    fields = fields_of(layout.read_room(corner_room()))
    assert fields["side"][0].bounds[0] == pytest.approx(0.75 * INCH)
    assert fields["back"][0].bounds[2] == pytest.approx(60 * INCH)


def test_what_hides_behind_the_second_wall_is_not_judged() -> None:
    field, seen = fields_of(layout.read_room(corner_room()))["back"]
    assert seen.bounds[2] == pytest.approx((60 - 0.75) * INCH)
    assert field.bounds[2] == pytest.approx(60 * INCH)
    room, result, printed = laid(corner_room())
    assert faults(room, printed) == []
    # The pieces run on into the corner all the same.
    right = max(x for piece in result.surface("back").pieces for x, _ in piece.outline)
    assert right == pytest.approx(60 * INCH)


def test_a_cut_share_counts_what_is_seen() -> None:
    """Five tiles and a bit: the last piece is 6 in wide, 5 1/4 in of it are seen past the side wall's tile."""
    data = corner_room(pin={"x": 6.125 * INCH / INCH})
    _, result, _ = laid(data)
    last = [piece for piece in result.surface("back").pieces if piece.course == 0][-1]
    assert max(x for x, _ in last.outline) - min(x for x, _ in last.outline) == pytest.approx((60 - 54.625) * INCH)
    assert last.cut_share == pytest.approx((60 - 54.625 - 0.75) / 12, abs=1e-6)


def test_walls_that_meet_share_one_height_measured_from_the_level_line() -> None:
    data = corner_room()
    data["surfaces"][1]["level"] = 4
    _, result, _ = laid(data)
    datums = result.option.datums
    assert datums["back"][1] - datums["side"][1] == pytest.approx(4 * INCH)


@pytest.mark.parametrize(
    ("pin", "edge", "offset"),
    [
        ({"x": "full-at-left"}, 0, 0.0),
        ({"x": "full-at-right"}, 0, 60.0 - 12),
        ({"x": "tile-centered"}, 0, 30.0 - 6),
        ({"x": "joint-centered"}, 0, 30.0 + 1 / 16),
        ({"y": "full-at-bottom"}, 1, 0.0),
        ({"y": "full-at-top"}, 1, 96.0 - 12),
        ({"x": 7}, 0, 7.0),
        ({"y": "9 1/2"}, 1, 9.5),
    ],
)
def test_a_pin_is_kept(pin: dict[str, object], edge: int, offset: float) -> None:
    data = plain(60, 96, edge_gap=0, pin=pin)
    data["surfaces"][0]["kind"] = "wall"
    room, result, printed = laid(data)
    off = result.option.datums["floor"][edge] / INCH - offset
    assert off / 12.125 == pytest.approx(round(off / 12.125), abs=1e-4)
    assert faults(room, printed) == []


def test_a_length_pins_the_datum_itself() -> None:
    _, result, _ = laid(plain(60, 96, edge_gap=0, pin={"x": 31, "y": "2 ft"}))
    assert result.option.datums["floor"] == (pytest.approx(31 * INCH), pytest.approx(24 * INCH))


def test_a_room_that_is_pinned_both_ways_has_one_option() -> None:
    assert len(laid(plain(60, 96, pin={"x": 31, "y": 24}))[1].options) == 1


def test_an_aim_parts_equal_scores() -> None:
    """A floor where many datums are as good: the one that puts a joint on the drain is taken."""
    aim = [{"at": [41, 41], "want": "joint-centered", "why": "drain"}]
    free = laid(plain(96, 96, enough=0.3))[1].option.datums["floor"]
    _, result, _ = laid(plain(96, 96, enough=0.3, surface={"aim": aim}))
    for axis in (0, 1):
        off = (result.option.datums["floor"][axis] / INCH - 1 / 16 - aim[0]["at"][axis]) / 12.125
        assert off == pytest.approx(round(off), abs=1 / 32 / 12)
    assert free != result.option.datums["floor"]


def test_a_hidden_edge_does_not_count_in_the_score() -> None:
    data = plain(60, 12, edge_gap=0, surface={"edges": {"right": {"hidden": True}}})
    _, result, _ = laid(data)
    assert len(result.option.score) == 3
    data["surfaces"][0]["edges"] = {}
    assert len(laid(data)[1].option.score) == 4


def test_a_niche_that_may_move_stays_where_it_is_drawn_unless_an_option_is_chosen() -> None:
    data = sample("quarry-lane-shower")
    data["surfaces"][1]["openings"][0]["movable"] = {"x": [-2, 2]}
    _, result, _ = laid(data)
    assert not result.option.changes
    assert result.option.score == laid(sample("quarry-lane-shower"))[1].option.score
    assert any("niche" in option.title for option in result.options)


def test_an_example_of_the_format_is_laid() -> None:
    """The room in FORMATS.md, as it stands there."""
    tile = {
        "width": 11.8125,
        "height": 23.625,
        "thickness": "3/8",
        "edge": "rectified",
        "size_spread": 0.4,
        "warp": 0.6,
    }
    niche = {"id": "niche", "kind": "niche", "outline": [[18, 42], [32, 42], [32, 56], [18, 56]]}
    back = {"id": "back", "name": "Back wall", "kind": "wall", "wet": True, "focal": True, "build_up": "9/16"}
    room, _, printed = laid(
        {
            "format": "gaugerod-room/1",
            "name": "Upstairs bath, shower",
            "units": "in",
            "tile": {**tile, "turns": [0, 180], "per_box": 8, "finish": "glazed"},
            "joint": "5/32",
            "joint_high": "3/16",
            "pattern": {"kind": "offset", "share": "1/3", "run": "alternate"},
            "edge_gap": "1/8",
            "enough": 0.5,
            "kerf": 2.5,
            "reuse": "factory-edge",
            "setting": {"coverage": 0.95, "back_butter": True, "trowel": "1/2 x 1/2 square"},
            "surfaces": [
                {
                    **back,
                    "outline": [[0, 0], [60, 0], [60, 96], [0, 96]],
                    "openings": [{**niche, "movable": {"x": [-2, 2], "y": [-3, 3]}}],
                    "edges": {"top": {"gap": "1/8"}},
                },
                {
                    "id": "left",
                    "kind": "wall",
                    "wet": True,
                    "build_up": "9/16",
                    "outline": [[0, 0], [36, 0], [36, 96], [0, 96]],
                },
            ],
            "corners": [{"first": "back.left", "second": "left.right", "soft": "1/8"}],
        }
    )
    assert faults(room, printed) == []
    assert [surface["id"] for surface in printed["options"][0]["surfaces"]] == ["back", "left"]
