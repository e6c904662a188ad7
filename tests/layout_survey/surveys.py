"""Small surveys to start a test from."""

from __future__ import annotations

import json
from collections.abc import Sequence
from random import Random
from typing import Any

import layout
from layout.survey import read_survey, survey


def substrate(*lines: Sequence[Sequence[object]], every: float = 16, **more: Any) -> dict[str, Any]:
    """Return a survey file in inches: one line's readings after another, `every` inches apart."""
    data = {
        "format": "gaugerod-survey/1",
        "units": "in",
        "kind": "studs",
        "tile_longest_edge": 24,
        "lines": [
            {"id": f"stud {number + 1}", "at": number * every, "readings": [list(pair) for pair in readings]}
            for number, readings in enumerate(lines)
        ],
    }
    return {**data, **more}


def said(data: dict[str, Any]) -> dict[str, Any]:
    """Return what is printed, read back."""
    return json.loads(layout.dumps(survey(read_survey(data)).to_json()))


def random_survey(seed: int, *, lines: int, readings: int, **more: Any) -> dict[str, Any]:
    """Return lines read to the sixteenth at uneven places; in some surveys many of them stand straight."""
    dice = Random(seed)
    found, steps = [], [0, 1, 3]
    for _ in range(lines):
        places = sorted(dice.sample(range(0, 97, 6), readings))
        start, lean = dice.choice(steps), dice.choice([0, 0, 0, 1])
        crooked = dice.random() < 0.6
        sixteenths = [start + lean * place / 6 + (dice.randint(-3, 3) if crooked else 0) for place in places]
        found.append([(place, each / 16) for place, each in zip(places, sixteenths, strict=True)])
    return substrate(*found, **more)
