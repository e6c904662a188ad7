"""Processor time of surveys as large as anybody reads. The bounds are about twice what an idle machine of ours takes:
they catch work that grows with the cube of the readings, not a busy neighbor."""

from __future__ import annotations

import time
from random import Random
from typing import Any

import numpy as np
import pytest

from layout.survey import read_survey, survey
from layout.survey.gaps import worst_gap
from layout.survey.picture import contour_svg, pictures
from tests.layout_survey.surveys import substrate


def rough(lines: int, readings: int, **more: Any) -> dict[str, Any]:
    dice = Random(3)
    return substrate(*[[(12 * n, dice.randint(-3, 3) / 16) for n in range(readings)] for _ in range(lines)], **more)


def seconds(data: dict[str, Any]) -> float:
    taken = []
    for _ in range(3):
        start = time.process_time()
        survey(read_survey(data))
        taken.append(time.process_time() - start)
    return min(taken)


@pytest.mark.parametrize("aim", ["least-total", "fewest-lines", "shims-only"])
def test_sixty_studs_of_nine_readings_take_a_blink(aim: str) -> None:
    assert seconds(rough(60, 9, aim=aim)) < 0.2


def test_two_thousand_readings_on_a_line_take_less_than_a_second() -> None:
    assert seconds(rough(1, 2000)) < 1.0


@pytest.mark.parametrize("share", [0.02, 0.5, 0.95, 2.0])
def test_a_straightedge_of_any_length_over_two_thousand_readings_takes_less_than_a_second(share: float) -> None:
    dice = np.random.default_rng(1)
    along, out = np.cumsum(dice.uniform(5, 15, 2000)), np.cumsum(dice.normal(size=2000))
    start = time.process_time()
    worst_gap(along, out, share * float(along[-1] - along[0]))
    assert time.process_time() - start < 1.0


def seconds_drawn(data: dict[str, Any]) -> float:
    read = read_survey(data)
    result = survey(read)
    start = time.process_time()
    for what in pictures(read, result):
        assert contour_svg(read, result, what=what)
    return time.process_time() - start


@pytest.mark.parametrize("to", ["level", "least-volume"])
def test_a_floor_of_2500_readings_takes_less_than_a_second_and_so_does_its_picture(to: str) -> None:
    data = rough(50, 50, kind="floor", leveling={"to": to, "grind": "1/8"})
    assert seconds(data) < 1.0
    assert seconds_drawn(data) < 1.5


def test_a_bed_over_2500_readings_takes_less_than_two_seconds() -> None:
    outline = [[0, 0], [784, 0], [784, 588], [0, 588]]
    bed = {"outline": outline, "drain": {"circle": [300, 300, 2]}, "slope": {"percent": 2}, "least_bed": 1}
    data = rough(50, 50, kind="floor", bed=bed)
    assert seconds(data) < 2.0
    assert seconds_drawn(data) < 2.0
