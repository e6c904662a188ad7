"""What a floor is to become, as a survey file asks for it: the plane it is leveled to, and a shower's bed of mortar."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast, get_args

from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Place

from layout.errors import RoomError
from layout.outline import read_outline, signed_area
from layout.room import TOLERANCE, Point, Units
from layout.values import choice, items, length, mapping, number, point

To = Literal["level", "least-volume", "slope"]
Side = Literal["first", "last", "start", "end"]

MOST_GROUND = 50.0
"""mm. More is breaking out, not grinding."""
STEEPEST = 0.5
"""A fall of one in two is no floor."""
THICKEST = 500.0
"""mm of mortar in a layer."""
NEAR = 1.0
"""mm. What is nearer to each other than this gives no direction."""


@dataclass(frozen=True, slots=True)
class LevelTo:
    """The plane a floor is brought to: level, leaning as takes least, or falling by `fall` (a ratio) toward a side of
    the readings or a point. `grind`: mm taken off the highest spot at most."""

    to: To = "level"
    grind: float = 0.0
    fall: float = 0.0
    toward: Side | Point | None = None
    bag_liters: float | None = None
    """What a bag of compound makes by its label."""


@dataclass(frozen=True, slots=True)
class BedWanted:
    """A shower's floor: its outline counter-clockwise, the drain, the slope (a ratio) and the least thickness, mm.

    The drain is a segment from `start` to `end`, which are equal for a point and for a round drain of `radius`.
    """

    outline: tuple[Point, ...]
    start: Point
    end: Point
    radius: float
    slope: float
    least_bed: float
    pre_slope: float | None
    bag_liters: float | None


def read_leveling(value: Any, units: Units) -> LevelTo:
    """Return the plane that `leveling` asks for. Raises RoomError."""
    if value is None:
        return LevelTo()
    raw = mapping(value, "leveling")
    to = cast(To, choice(raw.get("to", "level"), "leveling.to", get_args(To)))
    grind = length(raw.get("grind", 0), "leveling.grind", units, most=MOST_GROUND)
    for name in ("fall", "toward"):
        given = raw.get(name) is not None
        if given and to != "slope":
            raise RoomError(f"leveling.{name}", f'this goes with "to": "slope" only, not with "{to}"')
        if not given and to == "slope":
            raise RoomError(f"leveling.{name}", "this is missing: a slope needs how much it falls, and toward what")
    bag = _bag(raw.get("bag_liters"), "leveling.bag_liters")
    if to != "slope":
        return LevelTo(to, grind, bag_liters=bag)
    return LevelTo(to, grind, _ratio(raw["fall"], "leveling.fall", units), _toward(raw["toward"], units), bag)


def read_bed(value: Any, units: Units) -> BedWanted:
    """Return the bed that `bed` asks for. Raises RoomError, also for a drain outside the outline."""
    raw = mapping(value, "bed")
    for name in ("outline", "drain", "slope", "least_bed"):
        if raw.get(name) is None:
            raise RoomError(f"bed.{name}", "this is missing")
    outline = read_outline(raw["outline"], "bed.outline", units)
    if signed_area(outline) < 0:
        outline = outline[::-1]
    start, end, radius = _drain(raw["drain"], units)
    place = f"bed.drain.{next(iter(mapping(raw['drain'], 'bed.drain')))}"
    floor = Polygon(outline)
    drain = Place(start).buffer(radius) if radius else LineString([start, end])
    if not floor.buffer(2 * TOLERANCE).covers(drain):
        raise RoomError(place, "the drain doesn't lie in the outline; look at its place")
    if radius and math.pi * radius**2 >= floor.area:
        raise RoomError(place, "the drain leaves no floor")
    pre = raw.get("pre_slope")
    return BedWanted(
        outline,
        start,
        end,
        radius,
        _ratio(raw["slope"], "bed.slope", units),
        length(raw["least_bed"], "bed.least_bed", units, most=THICKEST),
        None if pre is None else length(pre, "bed.pre_slope", units, most=THICKEST),
        _bag(raw.get("bag_liters"), "bed.bag_liters"),
    )


def bags_for(liters: float, bag_liters: float | None) -> int | None:
    """Return how many bags hold so many liters; None where it isn't known what a bag makes."""
    return None if bag_liters is None else math.ceil(liters / bag_liters - 1e-9)


def _bag(value: Any, place: str) -> float | None:
    """Return how many liters a bag makes, None where nobody says."""
    return None if value is None else number(value, place, least=0.1, most=1000.0)


def _ratio(value: Any, place: str, units: Units) -> float:
    """Return a slope as a ratio, from percent or from the fall in a foot."""
    raw = mapping(value, place)
    if len(raw) != 1 or next(iter(raw)) not in ("percent", "per_foot"):
        raise RoomError(place, 'a slope is {"percent": 2} or {"per_foot": "1/4"}')
    if "percent" in raw:
        return number(raw["percent"], f"{place}.percent", least=0.1, most=STEEPEST * 100) / 100
    # A bare number of a fall in a foot is in the file's units, as every length.
    return length(raw["per_foot"], f"{place}.per_foot", units, least=0.3, most=STEEPEST * 304.8) / 304.8


def _toward(value: Any, units: Units) -> Side | Point:
    if isinstance(value, str):
        return cast(Side, choice(value, "leveling.toward", get_args(Side)))
    return point(value, "leveling.toward", units)


def _drain(value: Any, units: Units) -> tuple[Point, Point, float]:
    raw: Mapping[str, Any] = mapping(value, "bed.drain")
    if len(raw) != 1 or next(iter(raw)) not in ("point", "circle", "line"):
        what = 'a drain is {"point": [x, y]}, {"circle": [x, y, radius]} or {"line": [[x, y], [x, y]]}'
        raise RoomError("bed.drain", what)
    if "point" in raw:
        middle = point(raw["point"], "bed.drain.point", units)
        return middle, middle, 0.0
    if "circle" in raw:
        three = items(raw["circle"], "bed.drain.circle", most=3)
        if len(three) != 3:
            raise RoomError("bed.drain.circle", "a round drain is three lengths, [x, y, radius]")
        middle = point(three[:2], "bed.drain.circle", units)
        return middle, middle, length(three[2], "bed.drain.circle[2]", units, least=NEAR)
    two = items(raw["line"], "bed.drain.line", most=2)
    if len(two) != 2:
        raise RoomError("bed.drain.line", "a linear drain is two points, [[x, y], [x, y]]")
    start, end = (point(each, f"bed.drain.line[{index}]", units) for index, each in enumerate(two))
    if math.dist(start, end) < NEAR:
        raise RoomError("bed.drain.line", "its ends are the same place; a drain without length is a point")
    return start, end, 0.0
