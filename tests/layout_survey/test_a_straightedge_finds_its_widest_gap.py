"""The gap under a straightedge against closed forms and a fine sliding window that shares no code with it."""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from layout.survey.gaps import worst_gap
from tests.layout_survey.surveys import said, substrate

Profile = list[tuple[float, float]]


def exact(profile: Profile, length: float) -> tuple[float, float]:
    along, out = np.array(profile, dtype=float).T
    found = worst_gap(along, out, length)
    assert found is not None
    return found


def height(profile: Profile, place: float) -> float:
    index = min(max(bisect_left([x for x, _ in profile], place), 1), len(profile) - 1)
    (x0, y0), (x1, y1) = profile[index - 1], profile[index]
    return y0 + (y1 - y0) * (place - x0) / (x1 - x0)


def in_window(profile: Profile, start: float, length: float) -> float:
    """Return the widest gap in one window: points, their upper hull by cross products, and the hull less the points."""
    inside = [(x, y) for x, y in profile if start < x < start + length]
    points = [(start, height(profile, start)), *inside, (start + length, height(profile, start + length))]
    hull: Profile = []
    for x, y in points:
        while len(hull) > 1:
            (ax, ay), (bx, by) = hull[-2:]
            if (bx - ax) * (y - ay) - (by - ay) * (x - ax) < 0:
                break
            hull.pop()
        hull.append((x, y))
    return max(height(hull, x) - y for x, y in points)


def random_profile(dice: Random) -> Profile:
    count = dice.randint(2, 14)
    places = [24 * n for n in range(count)] if dice.random() < 0.5 else sorted(dice.sample(range(400), count))
    rough = dice.choice([1, 8, 60])
    return [(float(place), dice.choice([dice.uniform(-rough, rough), float(dice.randint(-2, 2))])) for place in places]


@pytest.mark.parametrize("block", range(10))
def test_it_is_never_less_than_a_sliding_window_and_no_more_than_its_step_can_miss(block: int) -> None:
    dice = Random(block)
    for _ in range(50):
        profile = random_profile(dice)
        first, last = profile[0][0], profile[-1][0]
        length = min(dice.choice([7.0, 24.0, 48.0, dice.uniform(3, 500)]), last - first)
        gap, start = exact(profile, length)
        steps = 400
        step = (last - first - length) / steps
        found = max(in_window(profile, min(first + n * step, last - length), length) for n in range(steps + 1))
        # A chord's ends slide with the window: its height over a reading changes by at most twice the steepest slope,
        # and the worst window is at most half a step from one that was tried.
        steepest = max(abs((d - b) / (c - a)) for (a, b), (c, d) in pairwise(profile))
        assert found - 1e-9 <= gap <= found + steepest * step + 1e-9
        assert in_window(profile, start, length) == pytest.approx(gap, abs=1e-9)
        assert first <= start <= last - length + 1e-9


def test_the_worst_window_need_not_start_or_end_at_a_reading() -> None:
    # The contract's own example: 5.4, where windows at readings show 3.0.
    profile = [(0.0, 10.0), (40.0, 0.0), (100.0, 12.0)]
    gap, start = exact(profile, 48.0)
    assert gap == pytest.approx(5.4, abs=1e-12)
    assert start == pytest.approx(16.0, abs=1e-12)
    at_readings = max(in_window(profile, start, 48.0) for start in (0.0, 40.0, 52.0))
    assert at_readings == pytest.approx(3.0)


@pytest.mark.parametrize(("slope", "length"), [(0.01, 600.0), (0.2, 24.0), (1.0, 1.0)])
def test_a_symmetrical_valley_gaps_by_half_the_length_times_its_slope(slope: float, length: float) -> None:
    # Plain geometry: the chord of a V over its middle.
    profile = [(-1000.0, 1000 * slope), (0.0, 0.0), (1000.0, 1000 * slope)]
    gap, start = exact(profile, length)
    assert gap == pytest.approx(slope * length / 2, rel=1e-12)
    assert start == pytest.approx(-length / 2)


@pytest.mark.parametrize("length", [101.5, 610.0, 3048.0])
def test_a_hollow_bows_by_the_square_of_the_straightedge(length: float) -> None:
    # Plain geometry: over y = k·x² a chord of length L stands k·L² / 4 over its middle, wherever it lies. Readings a mm
    # apart stand over the curve by at most k / 4.
    bend = 1e-5
    profile = [(float(x), bend * x * x) for x in range(-1600, 1601)]
    gap, _ = exact(profile, length)
    assert gap == pytest.approx(bend * length**2 / 4, abs=bend / 4 + 1e-9)


@pytest.mark.parametrize("length", [5.0, 24.0, 47.0, 300.0])
def test_a_crown_and_a_straight_lean_show_no_gap(length: float) -> None:
    crown = [(float(x), -((x - 48) ** 2) / 700) for x in range(0, 97, 6)]
    lean = [(float(x), x / 3) for x in range(0, 97, 6)]
    assert exact(crown, length)[0] == pytest.approx(0.0, abs=1e-9)
    assert exact(lean, length) == (0.0, 0.0)


def test_neither_offset_nor_lean_nor_direction_changes_a_gap() -> None:
    dice = Random(5)
    for _ in range(60):
        profile, length = random_profile(dice), dice.uniform(3, 300)
        gap, _ = exact(profile, length)
        leaning = [(x, y + 0.01 * x + 7) for x, y in profile]
        backward = [(-x, y) for x, y in reversed(profile)]
        finer = sorted({*profile, *((x, height(profile, x)) for x in (profile[0][0] + 0.5, profile[-1][0] - 0.5))})
        for other in (leaning, backward, finer):
            assert exact(other, length)[0] == pytest.approx(gap, abs=1e-9)


def test_a_longer_straightedge_never_shows_less() -> None:
    dice = Random(6)
    for _ in range(60):
        profile = random_profile(dice)
        gaps = [exact(profile, length)[0] for length in (6.0, 12.0, 24.0, 60.0, 120.0, 1e4)]
        assert all(a <= b + 1e-9 for a, b in pairwise(gaps))


def test_a_straightedge_longer_than_the_line_is_as_long_as_the_line() -> None:
    line = [(0, 0), (24, "1/16"), (48, "-1/8"), (96, 0)]
    gaps = said(substrate(line))["lines"][0]["gaps"]
    # From 24 in to 96 in the chord stands 1/24 in out at 48 in: 1/6 in over the reading. By hand.
    assert gaps[0]["length_mm"] == 3048.0
    assert gaps[0]["gap_mm"] == pytest.approx(25.4 / 6, abs=1e-6)
    assert gaps[0]["from_mm"] == 0.0


def test_of_equal_windows_the_first_is_named() -> None:
    teeth = [(12.0 * n, float(n % 2)) for n in range(9)]
    assert exact(teeth, 24.0) == (pytest.approx(1.0), pytest.approx(12.0))


def test_many_readings_are_worked_off_in_blocks_without_a_seam(monkeypatch: pytest.MonkeyPatch) -> None:
    dice = Random(8)
    profile = [(float(n), dice.uniform(-1, 1)) for n in range(120)]
    whole = [exact(profile, length) for length in (3.5, 17.25, 60.5, 119.0)]
    monkeypatch.setattr("layout.survey.gaps._CELLS", 300)
    assert [exact(profile, length) for length in (3.5, 17.25, 60.5, 119.0)] == whole
