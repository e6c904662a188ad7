"""Reads a survey file (`gaugerod-survey/1`): everything checked, or one error with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal, cast, get_args

from layout.errors import RoomError
from layout.room import TOLERANCE, Units
from layout.survey.wanted import BedWanted, LevelTo, read_bed, read_leveling
from layout.values import choice, items, length, mapping, shown, text
from trade.shop_limits import DEFAULTS, ShopLimits

FORMAT = "gaugerod-survey/1"
MOST_LINES = 200
MOST_ON_A_LINE = 5_000
MOST_READINGS = 20_000
"""More than anybody reads by hand. The work on a line grows with the square of its readings."""

APART = 1.0
"""mm. Readings and lines stand at least this far apart: nobody reads finer, and what does is a slip of the unit."""

FARTHEST_OUT = 10_000.0
"""mm. No laser plane stands farther from what it measures."""

Kind = Literal["studs", "wall", "floor"]
Aim = Literal["least-total", "fewest-lines", "shims-only"]


@dataclass(frozen=True, slots=True)
class SurveyLine:
    """A line across the substrate. `readings`: (mm along the line, mm out toward the room), rising along the line."""

    id: str
    at: float
    """mm, where it stands across the surface."""
    readings: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """What was measured, in mm, and for which tile. No two lines stand at one place."""

    units: Units
    limits: ShopLimits = field(default=DEFAULTS, kw_only=True)
    """What a shop judges by; a file has none of its own."""
    kind: Kind
    tile_longest_edge: float
    aim: Aim
    lines: tuple[SurveyLine, ...]
    """Without any only where a `bed` is asked for on a floor that nobody read."""
    leveling: LevelTo
    bed: BedWanted | None


def read_survey(data: Mapping[str, Any]) -> Survey:
    """Return the survey that the data describes. Raises RoomError, whose `place` names where the data is wrong."""
    data = mapping(data, "survey")
    if data.get("format") != FORMAT:
        raise RoomError("format", f'"{FORMAT}" is needed here, not {shown(data.get("format"))}')
    units = cast(Units, choice(data.get("units"), "units", ("in", "mm")))
    kind = cast(Kind, choice(data.get("kind"), "kind", get_args(Kind)))
    aim = cast(Aim, choice(data.get("aim", "least-total"), "aim", get_args(Aim)))
    edge = length(_needed(data, "tile_longest_edge"), "tile_longest_edge", units, least=1e-6, most=10_000.0)
    for name in ("leveling", "bed"):
        if data.get(name) is not None and kind != "floor":
            raise RoomError(name, f'this is for a floor; here "kind" is "{kind}"')
    leveling = read_leveling(data.get("leveling"), units)
    bed = None if data.get("bed") is None else read_bed(data["bed"], units)
    raw = items(data.get("lines") or [] if bed else _needed(data, "lines"), "lines", most=MOST_LINES)
    if not raw and bed is None:
        raise RoomError("lines", "a survey needs at least one line of readings")
    lines: list[SurveyLine] = []
    total = 0
    for index, each in enumerate(raw):
        lines.append(_line(each, f"lines[{index}]", units))
        total += len(lines[-1].readings)
        if total > MOST_READINGS:
            raise RoomError(f"lines[{index}].readings", f"more than {MOST_READINGS:,} readings in all are too many")
    _refuse_twins(lines)
    return Survey(units, kind, edge, aim, tuple(lines), leveling, bed)


def _line(value: Any, place: str, units: Units) -> SurveyLine:
    raw = mapping(value, place)
    name = text(_needed(raw, "id", place), f"{place}.id")
    at = length(_needed(raw, "at", place), f"{place}.at", units, signed=True)
    listed = items(_needed(raw, "readings", place), f"{place}.readings", most=MOST_ON_A_LINE)
    if not listed:
        raise RoomError(f"{place}.readings", "a line needs at least one reading")
    readings = tuple(_reading(each, f"{place}.readings[{index}]", units) for index, each in enumerate(listed))
    for index, ((before, _), (along, _)) in enumerate(pairwise(readings), 1):
        where, this = f"{place}.readings[{index}][0]", shown(listed[index][0])
        if abs(along - before) <= TOLERANCE:
            raise RoomError(where, f"{this} was read already; keep one reading for a place")
        if along < before:
            raise RoomError(where, f"{this} lies behind the reading before it; put them in order")
        if along - before < APART - TOLERANCE:
            raise RoomError(where, f"{this} is less than 1 mm from the reading before it; look at the unit")
    return SurveyLine(name, at, readings)


def _reading(value: Any, place: str, units: Units) -> tuple[float, float]:
    pair = items(value, place, most=2)
    if len(pair) != 2:
        raise RoomError(place, "a reading is two lengths: the distance along the line, and out toward the room")
    along, out = (length(each, f"{place}[{index}]", units, signed=True) for index, each in enumerate(pair))
    if abs(out) > FARTHEST_OUT:
        raise RoomError(f"{place}[1]", f"{shown(pair[1])} is too far from the laser plane; look at the number")
    return along, out


def _needed(raw: Mapping[str, Any], key: str, place: str = "") -> Any:
    if raw.get(key) is None:
        raise RoomError(f"{place}.{key}" if place else key, "this is missing")
    return raw[key]


def _refuse_twins(lines: list[SurveyLine]) -> None:
    seen: set[str] = set()
    for index, line in enumerate(lines):
        if line.id in seen:
            raise RoomError(f"lines[{index}].id", f"{shown(line.id)} is there twice")
        seen.add(line.id)
    order = sorted(range(len(lines)), key=lambda index: (lines[index].at, index))
    for first, second in pairwise(order):
        apart = lines[second].at - lines[first].at
        if apart < APART - TOLERANCE:
            other, index = sorted((first, second))
            here = "stands there already" if apart <= TOLERANCE else "stands less than 1 mm beside it"
            reason = f"{shown(lines[other].id)} {here}; put all readings of a place into one line"
            raise RoomError(f"lines[{index}].at", reason)
