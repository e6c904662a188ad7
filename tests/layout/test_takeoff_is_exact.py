"""Quantities against plain counting and the table of TRADE.md 7."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

import layout
from layout.takeoff import Bed
from tests.layout.helpers import NAMES, laid, plain, sample
from trade.quantities import GROUT_KG_PER_LITER

INCH = 25.4


def lines(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    room, result, _ = laid(data)
    taken = layout.take_off(room, result)
    assert taken["format"] == "gaugerod-takeoff/1"
    return {line["key"]: line for line in taken["lines"]}


def metric(
    count: tuple[int, int], tile: tuple[float, float], joint: float, depth: float, **more: Any
) -> dict[str, Any]:
    """Return a floor that full tiles fill, with half a joint beyond them all round: each tile with its own joint."""
    wide, high = (n * (side + joint) for n, side in zip(count, tile, strict=True))
    data = plain(wide, high, tile=tile, joint=joint, edge_gap=joint / 2, **more)
    data["units"] = "mm"
    data["tile"]["thickness"] = depth
    return data


@pytest.mark.parametrize(
    ("tile", "depth", "joint", "kg_per_m2"),
    [
        ((100, 100), 6, 3, 0.5511),
        ((150, 150), 6, 3, 0.3728),
        ((200, 200), 8, 3, 0.3755),
        ((300, 300), 8, 2, 0.1690),
        ((300, 300), 10, 3, 0.3153),
        ((300, 300), 10, 10, 1.0156),
        ((300, 600), 10, 3, 0.2372),
        ((600, 600), 10, 3, 0.1588),
    ],
)
def test_grout_meets_the_exact_column(tile: tuple[float, float], depth: float, joint: float, kg_per_m2: float) -> None:
    """TRADE.md 7, exact geometry (computed there). The half joint at the walls is soft joint, not field: so the field's
    own joints are compared, per area of tile with joint, on a floor large enough for the rim to drop out."""
    count = (30, 30)
    volume = lines(metric(count, tile, joint, depth))["grout_volume"]["quantity"]
    (width, height), (across, up) = tile, count
    # Joints between tiles: all modules less the half joint around the rim.
    rim = (across * (width + joint) + up * (height + joint)) * 2 * (joint / 2) - 4 * (joint / 2) ** 2
    area = across * up * (width + joint) * (height + joint)
    whole = volume + rim * depth / 1e6
    assert whole * float(GROUT_KG_PER_LITER) / (area / 1e6) == pytest.approx(kg_per_m2, abs=6e-5)


def test_joints_are_counted_once() -> None:
    """5 by 4 tiles: 4 joints of 4 tiles' height, 3 joints of 5 tiles' width."""
    found = lines(metric((5, 4), (300, 200), 3, 8))["joint_length"]["quantity"]
    assert found == pytest.approx((4 * 4 * 200 + 3 * 5 * 300) / 1000, abs=0.01)


def test_joints_of_an_offset_floor_are_as_long_as_those_of_a_stacked_one_along_the_courses() -> None:
    stacked = metric((6, 4), (300, 200), 3, 8)
    offset = {
        **stacked,
        "pattern": {"kind": "offset", "share": "1/2"},
        "pin": {"x": "full-at-left", "y": "full-at-bottom"},
    }
    # Upright: 5 joints in the two full courses, 6 in the two that start with a half tile. Level: the field's width less
    # where an upright joint of one of the two courses stands.
    found = lines(offset)["joint_length"]["quantity"]
    level = 3 * (6 * 303 - 3 - 11 * 3)
    assert found == pytest.approx((2 * 5 * 200 + 2 * 6 * 200 + level) / 1000, abs=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_grout_volume_is_what_the_pieces_leave(name: str) -> None:
    room, result, _ = laid(sample(name))
    volume = 0.0
    for surface in result.option.surfaces:
        pieces = sum(_area(piece.outline) - sum(_area(hole) for hole in piece.holes) for piece in surface.pieces)
        volume += (surface.field_area - pieces) * (room.surface(surface.id).tile.thickness or 0) / 1e6
    assert lines(sample(name))["grout_volume"]["quantity"] == pytest.approx(volume, abs=1e-5)


def test_a_showers_inside_corners_are_sealed_once() -> None:
    """Three walls, 36 + 60 + 36 in wide and 96 in high: along top and bottom of each, at two corners and two ends."""
    gap = 1 / 8
    level = 2 * sum(wide - 2 * gap for wide in (36, 60, 36))
    upright = 4 * (96 - 2 * gap)
    found = lines(sample("quarry-lane-shower"))["sealant_length"]["quantity"]
    assert found == pytest.approx((level + upright) * INCH / 1000, abs=0.011)


def test_membrane_goes_on_wet_surfaces_only() -> None:
    found = lines(sample("quarry-lane-shower"))["membrane_area"]["quantity"]
    assert found == pytest.approx((36 * 96 * 2 + 60 * 96 - 12 * 24) * INCH**2 / 1e6, abs=0.011)
    assert "membrane_area" not in lines(sample("station-hall-floor"))


def test_tiles_come_in_boxes_and_say_how() -> None:
    tile = lines(sample("quarry-lane-shower"))["tile"]
    assert tile["quantity"] <= tile["packages"] * 8
    assert tile["how"]
    assert tile["source"]


def test_a_tile_without_thickness_leaves_grout_out_and_says_so() -> None:
    data = sample("quarry-lane-shower")
    del data["tile"]["thickness"]
    assert "grout" not in lines(data)
    room, result, _ = laid(data)
    assert any("thickness" in finding["text"] for finding in layout.take_off(room, result)["findings"])


def test_a_trowel_that_cannot_be_read_leaves_mortar_out_and_says_so() -> None:
    data = {**sample("quarry-lane-shower"), "setting": {"trowel": "the big one"}}
    assert "mortar" not in lines(data)
    room, result, _ = laid(data)
    assert any("the big one" in finding["text"] for finding in layout.take_off(room, result)["findings"])


def _area(points: tuple[tuple[float, float], ...]) -> float:
    return abs(sum(points[n - 1][0] * y - x * points[n - 1][1] for n, (x, y) in enumerate(points))) / 2


def test_mortar_follows_how_a_surface_is_set() -> None:
    # piprolink.com, back-buttering: where 95 percent of the back is asked for, each tile is back-buttered; 15 percent
    # more mortar: common practice, no source. Ribs: geometry, see tests/trade.
    data = metric((6, 6), (300, 600), 3, 10)
    room, result, _ = laid(data)

    def mortar(setting: dict[str, Any] | None = None, **said: Any) -> float:
        told = room if setting is None else laid(data | {"setting": setting})[0]
        bed = Bed(notch="1/4 x 3/8 square", **said)
        taken = layout.take_off(told, result, bed=lambda _surface: bed)
        return next(line["quantity"] for line in taken["lines"] if line["key"] == "mortar")

    plain_back = mortar()
    assert mortar(back_butter=True) == pytest.approx(plain_back * 1.15, abs=0.1)
    assert mortar(ribs_mm=Decimal(4)) > plain_back
    assert mortar({"coverage": 0.95}) == mortar(back_butter=True)
    assert mortar({"coverage": 0.8}) == plain_back
    # What the room's file says of the trowel goes first.
    assert mortar({"trowel": "1/2 x 1/2 square"}) > plain_back
