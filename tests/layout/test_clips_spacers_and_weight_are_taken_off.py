"""Takeoff lines that follow from where joints run and cross, from the tile's thickness, and from a floor's survey.

Counts and volumes are worked out by hand beside each; how far apart clips stand is common practice, no source.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

import layout
from layout.commands import main_takeoff
from layout.joint_lengths import clips_along
from layout.survey import read_survey, survey
from tests.layout.helpers import laid, plain
from trade.lengths import inches
from trade.shop_limits import ShopLimits

INCH = 25.4


def lines(data: dict[str, Any], **more: Any) -> dict[str, dict[str, Any]]:
    room, result, _ = laid(data)
    return {line["key"]: line for line in layout.take_off(room, result, **more)["lines"]}


def whole(columns: int, courses: int, wide: float, high: float, **more: Any) -> dict[str, Any]:
    """A floor of whole tiles with joints of 1/8 in and a gap of 1/8 in all around, pinned to its corner."""
    size = [count * side + (count + 1) / 8 for count, side in ((columns, wide), (courses, high))]
    pin = {"x": "full-at-left", "y": "full-at-bottom"}
    return plain(*size, tile=(wide, high), joint="1/8", edge_gap="1/8", surface={"pin": pin}, **more)


@pytest.mark.parametrize(("stretch", "count"), [(4, 1), (8, 2), (12, 2), (16, 2), (17, 3), (24, 3), (48, 5)])
def test_clips_stand_2_in_from_crossings_and_12_in_apart(stretch: float, count: int) -> None:
    """Of 24 in, 20 lie between the outer clips: two spaces of 10 in, three clips."""
    assert clips_along(stretch * INCH) == count


def test_four_tiles_of_24_in_have_four_joints_of_three_clips() -> None:
    found = lines(whole(2, 2, 24, 24))
    assert found["leveling_clips"]["quantity"] == 12
    assert "spacers" not in found


def test_a_third_offset_parts_the_long_joints() -> None:
    """Two courses of 24 x 12 in, one set over by a third: the level joint falls into the stretches in which their tiles
    face each other, each with clips of its own, and each course's plumb joints have two clips on 12 in.
    """
    data = whole(2, 2, 24, 12) | {"pattern": {"kind": "offset", "share": "1/3"}}
    _, result, _ = laid(data)
    courses: dict[int, list[tuple[float, float]]] = {}
    for piece in result.option.surfaces[0].pieces:
        xs = [x for x, _ in piece.outline]
        courses.setdefault(piece.course, []).append((min(xs), max(xs)))
    lower, upper = courses.values()
    met = [min(b, d) - max(a, c) for a, b in lower for c, d in upper]
    level = sum(clips_along(each) for each in met if each > 0.01)
    assert sorted(len(course) for course in courses.values()) == [2, 3]
    assert lines(data)["leveling_clips"]["quantity"] == level + (1 + 2) * 2


@pytest.mark.parametrize(
    ("pattern", "count"),
    [
        ({"kind": "stack"}, 3 * 2),
        # Each of the two level joints has the 3 plumb ones of the course under it and the 4 or 3 of the one over it.
        ({"kind": "offset", "share": "1/2"}, (3 + 4) + (4 + 3)),
    ],
)
def test_spacers_stand_where_joints_meet(pattern: dict[str, Any], count: int) -> None:
    assert lines(whole(4, 3, 6, 6, pattern=pattern))["spacers"]["quantity"] == count


def test_a_field_of_hexagons_has_about_two_crossings_for_each_tile() -> None:
    """Each hexagon has six corners, each corner three hexagons (Euler): twice as many as tiles, less the rim."""
    side = 200.0
    data = plain(side, side, tile=(4, 4 * 2 / 3**0.5), pattern={"kind": "hex"}, surface={})
    count = lines(data)["spacers"]["quantity"]
    tiles = side**2 / ((4 + 1 / 8) ** 2 * 3**0.5 / 2)
    assert count == pytest.approx(2 * tiles, rel=0.05)


def test_a_diagonal_has_one_crossing_for_each_tile() -> None:
    side = 200.0
    count = lines(plain(side, side, tile=(6, 6), pattern={"kind": "diagonal"}))["spacers"]["quantity"]
    assert count == pytest.approx(side**2 / (6 + 1 / 8) ** 2, rel=0.05)


def test_tile_of_20_mm_weighs_50_kg_on_a_square_meter() -> None:
    """structural.community/articles/building-material-weights (seen): 20 mm ceramic or quarry tile, 50 kg/m²."""
    data = plain(1003, 1003, tile=(1000, 1000), joint=3, edge_gap=1.5)
    data |= {"units": "mm", "tile": {"width": 1000, "height": 1000, "thickness": 20}}
    assert lines(data)["tile_weight"]["quantity"] == pytest.approx(50.0, abs=0.1)
    del data["tile"]["thickness"]
    assert "tile_weight" not in lines(data)


def test_stone_is_sealed_and_glazed_tile_is_not() -> None:
    data = plain(48, 48)
    assert "sealer_area" not in lines(data)
    data["tile"]["stone"] = True
    assert lines(data)["sealer_area"]["quantity"] == pytest.approx((48 * 0.0254) ** 2, rel=0.02)


LEVELED = {
    "format": "gaugerod-survey/1", "units": "in", "kind": "floor", "tile_longest_edge": 12,
    "lines": [{"id": str(n), "at": 48 * n, "readings": [[0, 0], [96, 1 if n else 0]]} for n in range(2)],
    "leveling": {"to": "level"},
}  # fmt: skip


def bed_of(bag: float | None) -> dict[str, Any]:
    outline = [[0, 0], [48, 0], [48, 48], [0, 48]]
    bed = {"outline": outline, "drain": {"point": [24, 24]}, "slope": {"per_foot": "1/4"}, "least_bed": 1}
    data = {"format": "gaugerod-survey/1", "units": "in", "kind": "floor", "tile_longest_edge": 12, "lines": []}
    return data | {"bed": bed | ({"bag_liters": bag} if bag else {})}


def test_compound_and_primer_follow_from_the_floors_survey() -> None:
    """The far corner stands 1 in up, the floor between ruled: 48 x 96 x (1 - 1/4) in³ to fill it level, by the mean of
    a bilinear patch (a quarter of its corners' sum).
    """
    found = lines(plain(48, 96), surveys=[survey(read_survey(LEVELED))])
    assert found["leveling_volume"]["quantity"] == pytest.approx(48 * 96 * 0.75 * INCH**3 / 1e6, abs=0.11)
    assert found["primer_area"]["quantity"] == pytest.approx(48 * 96 * INCH**2 / 1e6, abs=0.011)
    assert "mud_bed_volume" not in found
    assert "packages" not in found["leveling_volume"]
    bagged = LEVELED | {"leveling": {"to": "level", "bag_liters": 12}}
    # 56.6 L in bags of 12 L: five.
    assert lines(plain(48, 96), surveys=[survey(read_survey(bagged))])["leveling_volume"]["packages"] == 5


@pytest.mark.parametrize("bag", [None, 14.0])
def test_a_bed_of_mortar_follows_from_its_survey(bag: float | None) -> None:
    """1 in under all of 48 x 48, and the cone over it: 1/48 of the mean distance to the middle of a square,
    (√2 + ln(1 + √2)) / 6 of its side.
    """
    mean = (math.sqrt(2) + math.log(1 + math.sqrt(2))) / 6 * 48
    liters = 48 * 48 * (1 + mean / 48) * INCH**3 / 1e6
    found = lines(plain(48, 48), surveys=[survey(read_survey(bed_of(bag)))])["mud_bed_volume"]
    assert found["quantity"] == pytest.approx(liters, abs=0.11)
    assert found.get("packages") == (math.ceil(liters / bag) if bag else None)


def test_soft_joints_across_a_floor_follow_the_shops_limit() -> None:
    """A floor of 40 by 10 ft: under the source's 25 ft one joint of 10 ft; a shop that asks for 12 ft has three."""
    data = plain(480, 120)
    assert lines(data)["movement_joint_length"]["quantity"] == pytest.approx(120 * 0.0254, abs=0.011)
    stricter = ShopLimits(movement_interior_mm=inches(144), movement_moist_mm=inches(96))
    assert lines(data, limits=stricter)["movement_joint_length"]["quantity"] == pytest.approx(
        3 * 120 * 0.0254, abs=0.02
    )


def test_laps_are_what_strips_of_a_meter_take() -> None:
    """2 m by 1 m: three strips of 1 m for 2 m with 2 in laps, so two laps of 1 m by 50.8 mm."""
    wall = {"kind": "wall", "wet": True}
    data = plain(2000, 1000, tile=(300, 300), joint=3, surface=wall) | {"units": "mm"}
    assert lines(data)["membrane_laps"]["quantity"] == pytest.approx(2 * 0.0508, abs=0.011)


def test_packages_say_what_is_left_over() -> None:
    found = lines(plain(96, 96))
    for key, bag in (("mortar", 22.7), ("grout", 4.5)):
        line = found[key]
        assert line["left_over"] == pytest.approx(line["packages"] * bag - line["quantity"])


def test_the_command_takes_surveys_and_names_a_bad_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    room, good, bad = tmp_path / "room.json", tmp_path / "floor.json", tmp_path / "bad.json"
    room.write_text(json.dumps(plain(48, 96)))
    good.write_text(json.dumps(LEVELED))
    bad.write_text(json.dumps(LEVELED | {"kind": "roof"}))
    assert main_takeoff([str(room), "--survey", str(good)]) == 0
    assert "leveling_volume" in capsys.readouterr().out
    assert main_takeoff([str(room), "--survey", str(bad)]) == 2
    assert "kind" in capsys.readouterr().err
