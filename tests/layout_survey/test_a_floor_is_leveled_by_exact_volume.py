"""Litres of leveling compound against closed forms and a sum over a fine grid."""

from __future__ import annotations

from random import Random
from typing import Any

import numpy as np
import pytest

from tests.layout_survey.surveys import said


def floor(*lines: list[tuple[float, float]], at: list[float]) -> dict[str, Any]:
    return {
        "format": "gaugerod-survey/1",
        "units": "mm",
        "kind": "floor",
        "tile_longest_edge": 600,
        "lines": [{"id": str(x), "at": x, "readings": readings} for x, readings in zip(at, lines, strict=True)],
    }


def figures(printed: dict[str, Any]) -> dict[str, float]:
    return {name: printed["leveling"][name] for name in ("area_m2", "deepest_mm", "volume_l")}


def test_a_level_floor_takes_nothing() -> None:
    printed = said(floor([(0, 3), (4000, 3)], [(0, 3), (4000, 3)], at=[0, 3000]))
    assert figures(printed) == {"area_m2": 12.0, "deepest_mm": 0.0, "volume_l": 0.0}


def test_a_tilted_floor_takes_half_its_box() -> None:
    # A wedge: 3 m × 4 m × 10 mm / 2 = 60 l.
    printed = said(floor([(0, 0), (4000, 0)], [(0, -10), (4000, -10)], at=[0, 3000]))
    assert figures(printed) == {"area_m2": 12.0, "deepest_mm": 10.0, "volume_l": 60.0}


def test_a_valley_between_two_ridges_takes_a_prism() -> None:
    # A triangle of 2 m × 6 mm / 2 along 5 m = 30 l, and as much where its lines are read the other way.
    along = floor([(0, 0), (1000, -6), (2000, 0)], [(0, 0), (1000, -6), (2000, 0)], at=[0, 5000])
    across = floor([(0, 0), (5000, 0)], [(0, -6), (5000, -6)], [(0, 0), (5000, 0)], at=[0, 1000, 2000])
    assert said(along)["leveling"]["volume_l"] == pytest.approx(30.0, abs=1e-6)
    assert said(across)["leveling"]["volume_l"] == pytest.approx(30.0, abs=1e-6)


def test_one_low_corner_takes_a_quarter_of_the_box_above_it() -> None:
    # The ruled surface z = −d·(x/a)·(y/b) over a × b holds d·a·b / 4: 8 mm × 2 m × 3 m / 4 = 12 l.
    printed = said(floor([(0, 0), (3000, 0)], [(0, 0), (3000, -8)], at=[0, 2000]))
    assert printed["leveling"]["volume_l"] == pytest.approx(12.0, abs=1e-6)


def test_uneven_lines_count_where_neighbors_both_reach_and_agree_with_a_fine_sum() -> None:
    dice = Random(4)
    lines, at = [], [0.0, 700.0, 1600.0, 2000.0]
    for _ in at:
        places = [dice.uniform(0, 400), *sorted(dice.uniform(500, 3000) for _ in range(5)), dice.uniform(3100, 4000)]
        lines.append([(place, dice.uniform(-9, 9)) for place in places])
    level, volume, area = -np.inf, 0.0, 0.0
    strips = []
    for (x0, a), (x1, b) in zip(zip(at, lines, strict=True), zip(at[1:], lines[1:], strict=True), strict=False):
        low, high = max(a[0][0], b[0][0]), min(a[-1][0], b[-1][0])
        y = low + (np.arange(200_000) + 0.5) / 200_000 * (high - low)
        both = [np.interp(y, *np.array(line).T) for line in (a, b)]
        level = max(level, *(each.max() for each in both))
        strips.append((x1 - x0, high - low, (both[0] + both[1]) / 2))
    for wide, long, out in strips:
        area += wide * long
        volume += wide * long * float((level - out).mean())
    leveling = said(floor(*lines, at=at))["leveling"]
    assert leveling["area_m2"] == pytest.approx(area / 1e6, abs=1e-6)
    assert leveling["volume_l"] == pytest.approx(volume / 1e6, rel=1e-4)


def test_no_two_lines_side_by_side_and_walls_have_no_pour() -> None:
    assert "leveling" not in said(floor([(0, 0), (1000, 3)], at=[0]))
    assert "leveling" not in said(floor([(0, 0), (1000, 3)], [(2000, 0), (3000, 3)], at=[0, 500]))
    assert "leveling" not in said({**floor([(0, 0), (9, 3)], [(0, 0), (9, 3)], at=[0, 500]), "kind": "wall"})
