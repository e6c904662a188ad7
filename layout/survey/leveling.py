"""How much leveling compound a floor takes to come level with its highest reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.survey.gaps import Floats
from layout.survey.reading import SurveyLine


@dataclass(frozen=True, slots=True)
class Pour:
    """A pour to one level. `level`: mm from the laser plane; `deepest`: mm; `area`: mm² between the lines; mm³."""

    level: float
    deepest: float
    area: float
    volume: float


def pour(lines: Sequence[SurveyLine]) -> Pour | None:
    """Return the pour that covers the floor to the height of its highest reading, exactly for the floor as read.

    Between the readings of a line, and from each line straight across to the next, the floor is straight: that is a
    ruled surface, and its volume is the mean of the two lines' areas times their distance. Only where neighboring lines
    both reach is there a floor. None where there isn't any.
    """
    order = sorted(lines, key=lambda line: line.at)
    strips = []
    for first, second in pairwise(order):
        low = max(first.readings[0][0], second.readings[0][0])
        high = min(first.readings[-1][0], second.readings[-1][0])
        if high > low:
            strips.append((first, second, low, high))
    if not strips:
        return None
    stretches = [(line, low, high) for first, second, low, high in strips for line in (first, second)]
    points = [_within(*stretch)[1] for stretch in stretches]
    level = max(float(out.max()) for out in points)
    deepest = level - min(float(out.min()) for out in points)
    area = volume = 0.0
    for first, second, low, high in strips:
        wide = second.at - first.at
        area += wide * (high - low)
        for line in (first, second):
            along, out = _within(line, low, high)
            volume += wide / 2 * float(np.trapezoid(level - out, along))
    return Pour(level, deepest, area, volume)


def _within(line: SurveyLine, low: float, high: float) -> tuple[Floats, Floats]:
    """Return a line's profile between two places along it."""
    along, out = np.array(line.readings).T
    inside = along[(along > low) & (along < high)]
    places = np.concatenate(([low], inside, [high]))
    return places, np.interp(places, along, out)
