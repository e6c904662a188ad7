"""Where a datum may stand, and where somebody wants it: the domain of the search, pins, symmetry and aims."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from layout.errors import RoomError
from layout.free_model import FreeModel
from layout.grid import Axis
from layout.lattice import Lattice
from layout.model import Floats, Model, around
from layout.room import HUNG, SOFT, Room, Surface, Units
from layout.wrapping import wraps_of
from trade.lengths import format_length

AnyModel = Model | FreeModel


@dataclass(frozen=True, slots=True)
class Pinned:
    """Datums allowed: `x` on the surface, `y` as heights above the level line; None: the search is free."""

    x: tuple[float, ...] | None = None
    y: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Domain:
    """One pitch of datums around `middle`, and how many pitches make all there are."""

    middle: float
    cycles: int


def axis_of(model: AnyModel, axis: int) -> Axis:
    """The pattern's axis along x (0) or y (1)."""
    return model.grid.u if model.grid.turned == bool(axis) else model.grid.v


def extent(model: AnyModel, axis: int) -> tuple[float, float]:
    """Least and greatest x (0) or y (1) of the field."""
    bounds = model.looked.bounds
    # A free field isn't turned with its courses.
    at = 1 - axis if model.grid.turned and isinstance(model, Model) else axis
    return bounds[at], bounds[at + 2]


def domain(surface: Surface, model: AnyModel, axis: int, *, bottom: float | None = None) -> Domain:
    """Return where the datum x (0) or y (1) may stand: column 0 near the middle, course 0 the first above the foot.

    `bottom`: the highest foot of the walls that share courses, in this surface's y. A setter starts there.
    """
    pattern = surface.pattern
    crossing = (axis == 1) != model.grid.turned
    lopsided = pattern.run == "alternate" and pattern.share not in (0, Fraction(1, 2))
    low, high = extent(model, axis)
    if axis == 1 and surface.kind in HUNG:
        middle = (low if bottom is None else bottom) - SOFT + axis_of(model, 1).pitch / 2
    else:
        middle = (low + high) / 2
    return Domain(middle, 2 if crossing and lopsided else 1)


def symmetry(surface: Surface, model: AnyModel, axis: int) -> list[float]:
    """Return datums that balance a focal surface, tile or joint on its middle: across walls, both ways elsewhere."""
    if not surface.focal or (axis == 1 and surface.kind in HUNG):
        return []
    low, high = extent(model, axis)
    if isinstance(model.grid, Lattice):
        return [model.grid.named(name, axis, low, high) for name in ("tile-centered", "joint-centered")]
    shifted = (axis == 0) != model.grid.turned
    if shifted and surface.pattern.share not in (0, Fraction(1, 2)):
        return []
    line = axis_of(model, axis)
    return [(low + high - line.side) / 2, (low + high) / 2 + line.joint_half]


def aims(surface: Surface, model: AnyModel, axis: int, start: float | None = None) -> list[float]:
    """Return the datums that meet the surface's aims: a tile's middle, or a joint, at a point.

    Along shifted courses it depends on the course that meets the point: `start`, the datum across the courses, tells
    which; without it every shift counts.
    """
    if isinstance(model.grid, Lattice):
        return [model.grid.named(aim.want, axis, aim.at[axis], aim.at[axis]) for aim in surface.aims]
    line = axis_of(model, axis)
    shifted = (axis == 0) != model.grid.turned
    found = []
    for aim in surface.aims:
        joint = aim.want == "joint-centered"
        mark = aim.at[axis] + line.joint_half if joint else aim.at[axis] - line.side / 2
        shifts = model.grid.phases() if shifted else (0.0,)
        if shifted and start is not None:
            across = axis_of(model, 1 - axis)
            middle = -across.joint_half if joint else across.side / 2
            nearest = round((aim.at[1 - axis] - start - middle) / across.pitch)
            # On a joint across the courses either of the two courses beside it may meet the aim.
            shifts = tuple(model.grid.shift(course) for course in ((nearest - 1, nearest) if joint else (nearest,)))
        found += [mark - shift for shift in shifts]
    return found


def named(name: str, model: AnyModel, axis: int) -> float:
    """Return the datum that a pin's name stands for, whole pitches apart."""
    low, high = extent(model, axis)
    return model.grid.named(name, axis, low, high)


def allowed_x(name: str | float, surface: Surface, model: AnyModel) -> tuple[float, ...]:
    """Return the datums x that a pin allows."""
    if not isinstance(name, str):
        return (name,)
    span = domain(surface, model, 0)
    return _all(named(name, model, 0), axis_of(model, 0).pitch, span)


def allowed_y(name: str | float, surface: Surface, model: AnyModel, bottom: float) -> tuple[float, ...]:
    """Return the heights above the level line that a pin on a surface allows; `bottom` as for `domain`."""
    if not isinstance(name, str):
        return (name + surface.level,)
    span = domain(surface, model, 1, bottom=bottom)
    found = _all(named(name, model, 1), axis_of(model, 1).pitch, span)
    return tuple(value + surface.level for value in found)


def _all(value: float, pitch: float, span: Domain) -> tuple[float, ...]:
    first = float(around(np.array([value]), pitch, span.middle)[0])
    return tuple(first + step * pitch for step in range(span.cycles))


def foot(surfaces: Sequence[Surface], models: Mapping[str, AnyModel]) -> float:
    """Return the highest foot of joined surfaces, as a height above the level line."""
    return max(extent(models[s.id], 1)[0] + s.level for s in surfaces if not models[s.id].looked.empty)


def pins_of(room: Room, models: Mapping[str, AnyModel]) -> dict[str, Pinned]:
    """Return what the room pins. Raises RoomError, its place the pin, where that can't be: nothing to tile, no room
    for a full course, a line off the surface, surfaces that share courses or a wrapped pattern pinned apart."""
    found: dict[str, Pinned] = {}
    for surface in room.surfaces:
        _refuse_impossible(surface, models[surface.id], room.units)
    for group in room.groups:
        laid = [room.surface(name) for name in group if not models[name].looked.empty]
        heights: tuple[float, ...] | None = None
        lead: Surface | None = None
        for surface in laid:
            if surface.pin.y is None:
                continue
            model = models[surface.id]
            mine = allowed_y(surface.pin.y, surface, model, foot(laid, models) - surface.level)
            if heights is None or lead is None:
                heights, lead = mine, surface
                continue
            apart = _apart(mine[0], heights[0], axis_of(model, 1).pitch)
            if apart > SOFT:
                reason = (
                    f"it shares courses with {lead.name}, whose pin puts them {_shown(apart, room.units)} off; "
                    "pin only one of the two"
                )
                raise RoomError(surface.pin.at_y, reason)
        for name in group:
            surface, model = room.surface(name), models[name]
            pinned = surface.pin.x is not None and not model.looked.empty
            x = allowed_x(surface.pin.x, surface, model) if pinned and surface.pin.x is not None else None
            found[name] = Pinned(x, heights)
    _refuse_torn(room, models, found)
    return found


def _refuse_impossible(surface: Surface, model: AnyModel, units: Units) -> None:
    """Raise RoomError for a pin that a surface has no room for."""
    for axis, pinned, place in ((0, surface.pin.x, surface.pin.at_x), (1, surface.pin.y, surface.pin.at_y)):
        # What the whole room is told goes for the surfaces that have room for it.
        if pinned is None or not place.startswith("surfaces"):
            continue
        if model.looked.empty:
            raise RoomError(place, "the gaps at its edges leave nothing to tile here, so nothing can be pinned")
        low, high = extent(model, axis)
        side = axis_of(model, axis).side
        if isinstance(pinned, str):
            if pinned.startswith("full") and side > high - low + SOFT:
                what, way = ("course", "high") if axis else ("column", "wide")
                full, there = _shown(side, units), _shown(high - low, units)
                raise RoomError(place, f"a full {what} is {full} {way}, and {surface.name} has {there} to tile")
        elif not low - side <= pinned <= high:
            off = _shown(low - pinned if pinned < low else pinned - high, units)
            way = (("left of", "right of"), ("below", "above"))[axis][pinned > high]
            line = ("line left of column 0", "line under course 0")[axis]
            raise RoomError(place, f"the {line} would stand {off} {way} what is tiled of {surface.name}")


def _refuse_torn(room: Room, models: Mapping[str, AnyModel], pins: Mapping[str, Pinned]) -> None:
    """Raise RoomError where two walls of one wrapped pattern are pinned across to places that don't continue it."""
    wrapped = wraps_of(room)
    first: dict[str, tuple[Surface, float]] = {}
    for surface in room.surfaces:
        places = pins[surface.id].x
        if places is None:
            continue
        lead, total = surface.id, 0.0
        while lead in wrapped:
            lead, step = wrapped[lead]
            total += step
        if lead not in first:
            first[lead] = surface, places[0] - total
            continue
        other, start = first[lead]
        apart = _apart(places[0] - total, start, axis_of(models[surface.id], 0).pitch)
        if apart > SOFT:
            reason = (
                f"its pattern runs on round the corner from {other.name}, whose pin puts it "
                f"{_shown(apart, room.units)} off this one; pin only one of them"
            )
            raise RoomError(surface.pin.at_x, reason)


def _apart(a: float, b: float, pitch: float) -> float:
    """How far two datums are from being whole pitches apart, mm."""
    return abs((a - b) - round((a - b) / pitch) * pitch)


def _shown(mm: float, units: Units) -> str:
    return format_length(mm, unit=units)


def off(marks: Sequence[float], starts: Floats, pitch: float, step: float) -> Floats:
    """Return how far each datum is from the nearest mark, in steps of `step` mm; 0 without marks."""
    if not marks:
        return np.zeros(len(starts))
    gaps = np.subtract.outer(starts, np.array(marks))
    gaps = np.abs(gaps - np.round(gaps / pitch) * pitch)
    found: Floats = np.round(gaps.min(axis=1) / step)
    return found
