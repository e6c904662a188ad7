"""A floor brought to a plane: what to grind, what to fill, and what grinding saves.

The plane is level, leans as takes the least compound, or falls as wanted. It first lies on the floor's highest spot,
seen from itself; grinding lowers it. Compound and what is ground are exact for the floor of `surface`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from layout.errors import RoomError
from layout.survey.gaps import Floats
from layout.survey.plane import FREE, fit, places
from layout.survey.reading import Survey
from layout.survey.result import Choice, Correction, Leveling, Spot
from layout.survey.surface import Surface, ruled
from layout.survey.wanted import NEAR, LevelTo, bags_for
from layout.survey.words import NOTHING, area_text, mm, volume_text
from trade.lengths import Unit, format_length, inches
from trade.words import gettext_noop

STEPS: Mapping[Unit, Sequence[float]] = {
    "in": tuple(float(inches(each)) for each in ("1/16", "1/8", "3/16", "1/4", "3/8")),
    "mm": (1.0, 2.0, 3.0, 5.0, 8.0),
}
"""How much might be ground, mm: what a tape shows."""

_TOUCH = 1e-6
"""mm. The floor's highest spot touches the plane; rounding doesn't make it stand proud."""

_SIDES: Mapping[str, tuple[float, float]] = {
    "first": (-1.0, 0.0),
    "last": (1.0, 0.0),
    "start": (0.0, -1.0),
    "end": (0.0, 1.0),
}


def level_floor(read: Survey) -> Leveling | None:
    """Return how a floor is brought to the plane it asks for; None where no two lines reach side by side.

    Raises RoomError where a point gives a fall no direction.
    """
    surface = ruled(read.lines)
    if surface is None:
        return None
    wanted = read.leveling
    lean = _lean(surface, wanted)
    over = surface.nodes[:, 2] - surface.nodes[:, :2] @ lean
    highest, lowest = float(over.max()), float(over.min())
    volume = surface.above(highest - over)[0]
    choices = [_choice(read.units, surface, over, grind, volume / 1e6) for grind in _steps(read, highest - lowest)]
    height = highest - wanted.grind
    chosen = next(each for each in choices if each.grind == mm(wanted.grind))
    ground = max(0.0, min(wanted.grind, highest - lowest))
    deepest = max(0.0, height - lowest)
    return Leveling(
        to=wanted.to,
        unit=read.units,
        plane=(height, float(lean[0]), float(lean[1])),
        grind=mm(wanted.grind),
        area_m2=mm(surface.area / 1e6),
        deepest_mm=mm(deepest),
        volume_l=chosen.volume_l,
        bags=bags_for(chosen.volume_l, wanted.bag_liters),
        ground_area_m2=chosen.ground_area_m2,
        ground_l=chosen.ground_l,
        ground_mm=mm(ground),
        high=_high(read, surface, over - height),
        choices=tuple(choices),
        corrections=_corrections(read, lean, height),
    )


def _lean(surface: Surface, wanted: LevelTo) -> Floats:
    """Return how much the plane rises per mm across and along."""
    if wanted.to == "level":
        return np.zeros(2)
    if wanted.to == "slope":
        return -wanted.fall * np.array(_direction(surface, wanted))
    # Of the planes that lie nowhere under the floor the one lowest at the middle of its area has the least volume under
    # it: a plane's volume is the area times its height there. What is bilinear less a plane is highest at nodes.
    at, along, out = surface.nodes.T
    x, y = surface.middle
    rows = places(np.append(at, x), np.append(along, y))
    floor = float(out.min()) - 1.0
    low, high = np.full(len(rows), -FREE), np.zeros(len(rows))
    low[-1] = high[-1] = 1.0
    plane = fit(rows, np.append(out, floor) - floor, low, high).plane
    halves = [(values.max() - values.min()) / 2 for values in (at, along)]
    return np.array([plane[1] / halves[0], plane[2] / halves[1]])


def _direction(surface: Surface, wanted: LevelTo) -> tuple[float, float]:
    """Return the direction, of length 1, in which the floor is to fall. Toward a point: from the middle of its area."""
    if isinstance(wanted.toward, str):
        return _SIDES[wanted.toward]
    assert wanted.toward is not None
    x, y = (point - middle for point, middle in zip(wanted.toward, surface.middle, strict=True))
    far = math.hypot(x, y)
    if far < NEAR:
        raise RoomError(
            "leveling.toward",
            "this is the middle of the floor: no plane falls to there. A floor that falls to its middle is a bed",
        )
    return x / far, y / far


def _steps(read: Survey, relief: float) -> list[float]:
    """Return what might be ground: nothing, what a tape shows and the floor has, and what was asked for."""
    most = read.leveling.grind
    return sorted({0.0, most, *(step for step in STEPS[read.units] if step < relief)})


def _choice(unit: Unit, surface: Surface, over: Floats, grind: float, without: float) -> Choice:
    proud = over - (float(over.max()) - grind)
    filled, _ = surface.above(-proud)
    ground, area = surface.above(proud) if grind else (0.0, 0.0)
    liters = filled / 1e6
    spots = [peak for peak in peaks(surface, proud) if proud[peak] >= NOTHING]
    told = {
        "grind": format_length(grind, unit=unit),
        "spots": len(spots),
        "area": area_text(area / 1e6, unit),
        "volume": volume_text(liters, unit),
        "without": volume_text(without, unit),
    }
    if not grind:
        text = gettext_noop("Grind nothing: %(volume)s of compound.")
    elif len(spots) == 1:
        text = gettext_noop(
            "Grind up to %(grind)s off 1 spot, %(area)s: %(volume)s of compound instead of %(without)s."
        )
    else:
        text = gettext_noop(
            "Grind up to %(grind)s off %(spots)s spots, %(area)s: %(volume)s of compound instead of %(without)s."
        )
    return Choice(
        unit=unit,
        grind=mm(grind),
        volume_l=mm(liters),
        saved_l=mm(without - liters),
        deepest_mm=mm(max(0.0, -float(proud.min()))),
        ground_area_m2=mm(area / 1e6),
        ground_l=mm(ground / 1e6),
        spots=len(spots),
        text=text % told,
    )


def peaks(surface: Surface, proud: Floats) -> list[int]:
    """Return the highest node of each spot that stands proud of the plane, highest first.

    Nodes at the ends of a rectangle's side are one spot where both stand proud: straight between them the floor does
    too. Across a rectangle they are where its saddle does.
    """
    up = proud > _TOUCH
    corners, heights = surface.cells, proud[surface.cells]
    pairs = [corners[:, pair][up[corners[:, pair]].all(axis=1)] for pair in ([0, 1], [2, 3], [0, 2], [1, 3])]
    for pair, rest in (([0, 3], [1, 2]), ([1, 2], [0, 3])):
        one, other = heights[:, pair], heights[:, rest]
        bridge = (one > _TOUCH).all(axis=1) & (one.prod(axis=1) > other.prod(axis=1)) & (other <= _TOUCH).all(axis=1)
        pairs.append(corners[bridge][:, pair])
    spot = np.arange(len(proud))
    linked = np.concatenate(pairs)
    while True:
        # Each node takes the least number among its neighbors' until none changes, halving the way each time.
        before = spot.copy()
        least = np.minimum(spot[linked[:, 0]], spot[linked[:, 1]])
        np.minimum.at(spot, linked[:, 0], least)
        np.minimum.at(spot, linked[:, 1], least)
        spot = spot[spot]
        if np.array_equal(spot, before):
            break
    order = np.lexsort((np.arange(len(proud)), -proud))
    order = order[up[order]]
    _, first = np.unique(spot[order], return_index=True)
    return [int(order[index]) for index in sorted(first)]


def _high(read: Survey, surface: Surface, proud: Floats) -> tuple[Spot, ...]:
    """Return the spots to grind; what rounds to nothing is left to the compound."""
    names = {line.at: line.id for line in read.lines}
    found = []
    for node in peaks(surface, proud):
        amount = float(proud[node])
        if amount >= NOTHING:
            at, along = (float(value) for value in surface.nodes[node, :2])
            found.append(Spot(read.units, names[at], mm(at), mm(along), mm(amount)))
    return tuple(found)


def _corrections(read: Survey, lean: Floats, height: float) -> tuple[Correction, ...]:
    found = []
    for line in read.lines:
        for along, out in line.readings:
            amount = height + line.at * float(lean[0]) + along * float(lean[1]) - out
            if abs(amount) > _TOUCH:
                way = gettext_noop("fill") if amount > 0 else gettext_noop("grind")
                text = f"{way} {format_length(abs(amount), unit=read.units)}" if abs(amount) >= NOTHING else ""
                found.append(Correction(read.units, line.id, mm(along), mm(amount), text))
    return tuple(found)
