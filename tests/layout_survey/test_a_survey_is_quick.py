"""Processor time of surveys as large as anybody reads. The bounds are two to three times what was measured on an idle
machine: they catch work that grows with the cube of the readings."""

from __future__ import annotations

from functools import partial
from random import Random
from typing import Any

import numpy as np
import pytest

from layout.survey import read_survey, survey
from layout.survey.gaps import worst_gap
from layout.survey.picture import contour_svg, pictures
from tests.layout_survey.surveys import substrate
from tests.speed import within


def rough(lines: int, readings: int, **more: Any) -> dict[str, Any]:
    dice = Random(3)
    return substrate(*[[(12 * n, dice.randint(-3, 3) / 16) for n in range(readings)] for _ in range(lines)], **more)


def judged_within(seconds: float, data: dict[str, Any]) -> bool:
    return within(seconds, lambda: survey(read_survey(data)))


def drawn_within(seconds: float, data: dict[str, Any]) -> bool:
    read = read_survey(data)
    result = survey(read)
    return within(seconds, lambda: [contour_svg(read, result, what=what) for what in pictures(read, result)])


@pytest.mark.parametrize("aim", ["least-total", "fewest-lines", "shims-only"])
def test_sixty_studs_of_nine_readings_take_a_blink(aim: str) -> None:
    assert judged_within(0.2, rough(60, 9, aim=aim))


def test_two_thousand_readings_on_a_line_take_less_than_a_second() -> None:
    assert judged_within(1.0, rough(1, 2000))


@pytest.mark.parametrize("share", [0.02, 0.5, 0.95, 2.0])
def test_a_straightedge_of_any_length_over_two_thousand_readings_takes_less_than_a_second(share: float) -> None:
    dice = np.random.default_rng(1)
    along, out = np.cumsum(dice.uniform(5, 15, 2000)), np.cumsum(dice.normal(size=2000))
    assert within(1.0, partial(worst_gap, along, out, share * float(along[-1] - along[0])))


@pytest.mark.parametrize("to", ["level", "least-volume"])
def test_a_floor_of_2500_readings_takes_less_than_a_second_and_so_does_its_picture(to: str) -> None:
    data = rough(50, 50, kind="floor", leveling={"to": to, "grind": "1/8"})
    assert judged_within(1.0, data)
    assert drawn_within(1.5, data)


def test_a_bed_over_2500_readings_takes_less_than_two_seconds() -> None:
    outline = [[0, 0], [784, 0], [784, 588], [0, 588]]
    bed = {"outline": outline, "drain": {"circle": [300, 300, 2]}, "slope": {"percent": 2}, "least_bed": 1}
    data = rough(50, 50, kind="floor", bed=bed)
    assert judged_within(2.0, data)
    assert drawn_within(2.0, data)
