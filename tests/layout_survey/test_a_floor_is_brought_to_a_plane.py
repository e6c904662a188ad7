"""What to grind and fill for a level floor, the plane of least compound and a wanted fall, by closed forms, fine sums
and another solver."""

from __future__ import annotations

import math
from random import Random
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import linprog

from tests.layout_survey.surveys import said

Floats = NDArray[np.float64]
Lines = list[list[tuple[float, float]]]


def floor(lines: Lines, at: list[float], **leveling: Any) -> dict[str, Any]:
    return {
        "format": "gaugerod-survey/1",
        "units": "mm",
        "kind": "floor",
        "tile_longest_edge": 600,
        "lines": [{"id": f"line {x:g}", "at": x, "readings": read} for x, read in zip(at, lines, strict=True)],
        "leveling": leveling,
    }


def rough(seed: int) -> tuple[Lines, list[float]]:
    """Return four lines read at uneven places, none where its neighbors are."""
    dice = Random(seed)
    at = [0.0, dice.uniform(300, 900), dice.uniform(1000, 1500), 2000.0]
    lines = []
    for _ in at:
        places = [0.0, *sorted(dice.uniform(100, 2900) for _ in range(4)), 3000.0]
        if min(np.diff(places)) < 2:
            places = [0.0, 500.0, 1100.0, 3000.0]
        lines.append([(place, dice.uniform(-8, 8)) for place in places])
    return lines, at


def sampled(lines: Lines, at: list[float], count: int = 1200) -> tuple[Floats, Floats, Floats]:
    """Return places and heights of a floor in the middles of many small rectangles of one size."""
    x = (np.arange(count) + 0.5) / count * (at[-1] - at[0]) + at[0]
    y = (np.arange(count) + 0.5) / count * 3000
    profiles = np.array([np.interp(y, *np.array(line).T) for line in lines])
    z = np.array([np.interp(x, at, profile) for profile in profiles.T])
    return *np.meshgrid(x, y), z  # type: ignore[return-value]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(
    "leveling",
    [
        {"grind": 4},
        {"to": "least-volume", "grind": 3},
        {"to": "slope", "fall": {"percent": 1}, "toward": "last", "grind": 2.5},
        {"to": "slope", "fall": {"per_foot": 3}, "toward": [1900, 100], "grind": 6},
    ],
    ids=["level", "least volume", "to a side", "to a point"],
)
def test_what_is_filled_and_ground_agrees_with_a_fine_sum(seed: int, leveling: dict[str, Any]) -> None:
    lines, at = rough(seed)
    printed = said(floor(lines, at, **leveling))["leveling"]
    x, y, z = sampled(lines, at)
    plane = printed["plane"]
    over = z - (plane["height_mm"] + plane["across"] * x + plane["along"] * y)
    cell = 2000 * 3000 / over.size
    assert printed["volume_l"] == pytest.approx(np.maximum(-over, 0).sum() * cell / 1e6, rel=2e-5)
    assert printed["ground"]["volume_l"] == pytest.approx(np.maximum(over, 0).sum() * cell / 1e6, rel=3e-3)
    assert printed["ground"]["area_m2"] == pytest.approx((over > 0).sum() * cell / 1e6, rel=5e-3)
    assert printed["deepest_mm"] == pytest.approx(-over.min(), abs=0.1)
    assert over.max() == pytest.approx(leveling["grind"], abs=0.1)


def test_grinding_a_wedge_to_its_middle_leaves_a_wedge_to_fill() -> None:
    # 10 mm over 3 m × 4 m: half the floor each, 5 mm × 1.5 m × 4 m / 2 = 15 l.
    printed = said(floor([[(0, 0), (4000, 0)], [(0, -10), (4000, -10)]], [0, 3000], grind=5))["leveling"]
    assert printed["volume_l"] == pytest.approx(15.0, abs=1e-6)
    assert printed["ground"] == {"area_m2": 6.0, "volume_l": 15.0, "deepest_mm": 5.0, "deepest_text": "5 mm"}
    assert printed["choices"][0]["volume_l"] == pytest.approx(60.0, abs=1e-6)
    assert [each["saved_l"] for each in printed["choices"] if each["grind_mm"] == 5.0] == [45.0]


@pytest.mark.parametrize("grind", [0.5, 2, 5, 7.9])
@pytest.mark.parametrize("corner", range(4))
def test_a_raised_corner_is_ground_by_its_logarithm(grind: float, corner: int) -> None:
    # Over the unit square, of u·v what is above c: (1 − c²)/4 − c(1 − c) + c²/2·ln(1/c), on 1 − c + c·ln c of it: by
    # hand. It reaches 8 mm over 1 m².
    high = [0.0] * 4
    high[corner] = 8.0
    lines = [[(0.0, high[0]), (1000.0, high[1])], [(0.0, high[2]), (1000.0, high[3])]]
    ground = said(floor(lines, [0, 1000], grind=grind))["leveling"]["ground"]
    c = 1 - grind / 8
    assert ground["volume_l"] == pytest.approx(8 * ((1 - c * c) / 4 - c * (1 - c) - c * c / 2 * math.log(c)), abs=2e-6)
    assert ground["area_m2"] == pytest.approx(1 - c + c * math.log(c), abs=1e-6)


def test_a_leaning_floor_takes_nothing_where_the_plane_may_lean() -> None:
    lines: Lines = [[(0, 0), (1000, 5), (3000, 15)], [(0, 8), (3000, 23)]]
    printed = said(floor(lines, [0, 2000], to="least-volume"))["leveling"]
    assert printed["volume_l"] == pytest.approx(0.0, abs=1e-5)
    assert (printed["plane"]["across"], printed["plane"]["along"]) == pytest.approx((0.004, 0.005), abs=1e-8)
    assert printed["corrections"] == []


@pytest.mark.parametrize("seed", range(12))
def test_no_plane_over_the_floor_takes_less_by_another_solver(seed: int) -> None:
    lines, at = rough(20 + seed)
    printed = said(floor(lines, at, to="least-volume"))["leveling"]
    # Lowest over the readings and over where a neighbor's readings stand; the mean height is that at the middle.
    places = sorted({place for line in lines for place, _ in line})
    rows = np.array([(1.0, x / 1000, y / 1000) for x in at for y in places])
    out = np.array([np.interp(y, *np.array(line).T) for line in lines for y in places])
    solved = linprog([1.0, 1.0, 1.5], A_ub=-rows, b_ub=-out, bounds=[(None, None)] * 3, method="highs")
    _, _, z = sampled(lines, at, 600)
    assert printed["volume_l"] == pytest.approx((solved.fun - z.mean()) * 6, abs=2e-3)
    level = said(floor(lines, at))["leveling"]
    assert printed["volume_l"] < level["volume_l"]


@pytest.mark.parametrize(
    ("toward", "across", "along"),
    [("first", 0.02, 0), ("last", -0.02, 0), ("start", 0, 0.02), ("end", 0, -0.02), ([1500, 9000], 0, -0.02)],
)
def test_a_fall_is_as_steep_as_wanted_and_goes_where_it_should(toward: object, across: float, along: float) -> None:
    flat: Lines = [[(0, 4), (4000, 4)], [(0, 4), (4000, 4)]]
    printed = said(floor(flat, [0, 3000], to="slope", fall={"percent": 2}, toward=toward))["leveling"]
    assert (printed["plane"]["across"], printed["plane"]["along"]) == pytest.approx((across, along))
    # A wedge over 12 m²: 2 percent of 4 m or of 3 m, and half of that on average.
    assert printed["volume_l"] == pytest.approx(12 * (60 if across else 80) / 2, abs=1e-6)


def test_a_quarter_inch_in_a_foot_is_its_own_slope() -> None:
    # IRC P2709.1 prints 1/4 in per ft as 2 percent; it is 2.0833.
    flat: Lines = [[(0, 0), (40, 0)], [(0, 0), (40, 0)]]
    data = floor(flat, [0, 30], to="slope", fall={"per_foot": "1/4"}, toward="end")
    printed = said({**data, "units": "in", "tile_longest_edge": 12})["leveling"]
    assert printed["plane"]["along"] == pytest.approx(-1 / 48, abs=1e-9)
    assert (printed["deepest_mm"], printed["deepest_text"]) == (pytest.approx(40 / 48 * 25.4, abs=1e-5), '13/16"')
    assert printed["volume_text"].endswith("cu ft)")


def hump(*high: tuple[int, int]) -> Lines:
    """Return five lines of five readings, level but for some 6 mm high: (line, reading)."""
    return [[(500.0 * n, 6.0 if (line, n) in high else 0.0) for n in range(5)] for line in range(5)]


AT = [0.0, 500.0, 1000.0, 1500.0, 2000.0]


def test_high_spots_are_told_apart_and_named_by_the_line_and_place_of_their_peak() -> None:
    lines = hump((1, 1), (3, 3))
    lines[3][3] = (1500.0, 5.0)
    printed = said(floor(lines, AT, grind=4))["leveling"]
    told = [
        (each["line"], each["at_mm"], each["along_mm"], each["amount_mm"], each["text"]) for each in printed["high"]
    ]
    assert told == [
        ("line 500", 500.0, 500.0, 4.0, "grind 4 mm"),
        ("line 1500", 1500.0, 1500.0, 3.0, "grind 3 mm"),
    ]


@pytest.mark.parametrize(("high", "spots"), [([(1, 1), (1, 2)], 1), ([(1, 1), (2, 2)], 2), ([(1, 1), (1, 3)], 2)])
def test_humps_side_by_side_are_one_spot_and_across_a_low_saddle_two(high: list[tuple[int, int]], spots: int) -> None:
    # Between two humps of 6 mm at a rectangle's opposite corners the saddle is 3 mm high, under a plane at 4.
    printed = said(floor(hump(*high), AT, grind=2))["leveling"]
    assert len(printed["high"]) == spots


def test_across_a_high_saddle_humps_are_one_spot() -> None:
    assert len(said(floor(hump((1, 1), (2, 2)), AT, grind=4))["leveling"]["high"]) == 1


def test_choices_run_from_grinding_nothing_to_what_saves_most_and_hold_the_one_that_was_asked_for() -> None:
    lines, at = rough(3)
    printed = said(floor(lines, at, grind=2.5))["leveling"]
    choices = printed["choices"]
    assert [each["grind_mm"] for each in choices] == [0.0, 1.0, 2.0, 2.5, 3.0, 5.0, 8.0]
    liters = [each["volume_l"] for each in choices]
    assert liters == sorted(liters, reverse=True)
    assert all(each["saved_l"] == pytest.approx(liters[0] - each["volume_l"], abs=2e-6) for each in choices)
    assert printed["volume_l"] == choices[3]["volume_l"]
    assert choices[0]["text"] == f"Grind nothing: {liters[0]:.1f} L of compound."
    assert f"{liters[3]:.1f} L of compound instead of {liters[0]:.1f} L." in choices[3]["text"]


def test_after_it_every_reading_lies_on_the_plane() -> None:
    lines, at = rough(5)
    printed = said(floor(lines, at, to="slope", fall={"percent": 0.5}, toward="first", grind=2))["leveling"]
    amounts = {(each["line"], each["along_mm"]): each["amount_mm"] for each in printed["corrections"]}
    plane = printed["plane"]
    for x, line in zip(at, lines, strict=True):
        for place, out in line:
            aim = plane["height_mm"] + plane["across"] * x + plane["along"] * place
            assert out + amounts.get((f"line {x:g}", round(place, 6)), 0.0) == pytest.approx(aim, abs=1e-5)
    assert min(amounts.values()) == pytest.approx(-2.0, abs=1e-6)
    assert {each["text"].split()[0] for each in printed["corrections"] if each["text"]} == {"fill", "grind"}


def test_grinding_carries_its_caution_and_filling_none() -> None:
    # The plane of least work leans with this floor and grinds nothing.
    wedge: Lines = [[(0, 0), (4000, 0)], [(0, -10), (4000, -10)]]
    rules = [[each["rule"] for each in said(floor(wedge, [0, 3000], grind=grind))["findings"]] for grind in (0, 3)]
    assert "safety.silica" not in rules[0]
    assert "safety.silica" in rules[1]


def test_a_floor_on_another_datum_takes_the_same() -> None:
    lines, at = rough(7)
    wanted: dict[str, Any] = {"to": "least-volume", "grind": 1}
    moved = [[(place - 700, out + 55) for place, out in line] for line in lines]
    one = said(floor(lines, at, **wanted))["leveling"]
    other = said(floor(moved, [x + 9000 for x in at], **wanted))["leveling"]
    for name in ("volume_l", "deepest_mm", "area_m2"):
        assert other[name] == pytest.approx(one[name], abs=1e-5)
