"""Where a datum may stand, and where somebody wants it: the domain of the search, pins, symmetry and aims."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from layout.errors import RoomError
from layout.grid import Axis
from layout.model import Floats, Model, around
from layout.room import SOFT, Room, Surface

HUNG = ("wall", "jamb", "niche")
"""Kinds whose courses are counted from a level line near their foot; the others from lines through their middle."""


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


def axis_of(model: Model, axis: int) -> Axis:
    """The pattern's axis along x (0) or y (1)."""
    return model.grid.u if model.grid.turned == bool(axis) else model.grid.v


def extent(model: Model, axis: int) -> tuple[float, float]:
    """Least and greatest x (0) or y (1) of the field."""
    bounds = model.looked.bounds
    at = axis if not model.grid.turned else 1 - axis
    return bounds[at], bounds[at + 2]


def domain(surface: Surface, model: Model, axis: int, *, bottom: float | None = None) -> Domain:
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


def symmetry(surface: Surface, model: Model, axis: int) -> list[float]:
    """Return datums that balance a focal surface, tile or joint on its middle: across walls, both ways elsewhere."""
    if not surface.focal or (axis == 1 and surface.kind in HUNG):
        return []
    shifted = (axis == 0) != model.grid.turned
    if shifted and surface.pattern.share not in (0, Fraction(1, 2)):
        return []
    low, high = extent(model, axis)
    line = axis_of(model, axis)
    return [(low + high - line.side) / 2, (low + high) / 2 + line.joint_half]


def aims(surface: Surface, model: Model, axis: int) -> list[float]:
    """Return the datums that meet the surface's aims: a tile's middle, or a joint, at a point."""
    line = axis_of(model, axis)
    return [
        aim.at[axis] - line.side / 2 if aim.want == "tile-centered" else aim.at[axis] + line.joint_half
        for aim in surface.aims
    ]


def named(name: str, model: Model, axis: int) -> float:
    """Return the datum that a pin's name stands for, whole pitches apart."""
    low, high = extent(model, axis)
    line = axis_of(model, axis)
    return {
        "full-at-left": low,
        "full-at-right": high - line.side,
        "full-at-bottom": low,
        "full-at-top": high - line.side,
        "tile-centered": (low + high - line.side) / 2,
        "joint-centered": (low + high) / 2 + line.joint_half,
    }[name]


def allowed_x(name: str | float, surface: Surface, model: Model) -> tuple[float, ...]:
    """Return the datums x that a pin allows."""
    if not isinstance(name, str):
        return (name,)
    span = domain(surface, model, 0)
    return _all(named(name, model, 0), axis_of(model, 0).pitch, span)


def allowed_y(name: str | float, surface: Surface, model: Model, bottom: float) -> tuple[float, ...]:
    """Return the heights above the level line that a pin on a surface allows; `bottom` as for `domain`."""
    if not isinstance(name, str):
        return (name + surface.level,)
    span = domain(surface, model, 1, bottom=bottom)
    found = _all(named(name, model, 1), axis_of(model, 1).pitch, span)
    return tuple(value + surface.level for value in found)


def _all(value: float, pitch: float, span: Domain) -> tuple[float, ...]:
    first = float(around(np.array([value]), pitch, span.middle)[0])
    return tuple(first + step * pitch for step in range(span.cycles))


def foot(surfaces: Sequence[Surface], models: Mapping[str, Model]) -> float:
    """Return the highest foot of joined surfaces, as a height above the level line."""
    return max(extent(models[s.id], 1)[0] + s.level for s in surfaces if not models[s.id].looked.empty)


def pins_of(room: Room, models: Mapping[str, Model]) -> dict[str, Pinned]:
    """Return what the room pins. Raises RoomError where joined walls are pinned to different heights."""
    places = {surface.id: f"surfaces[{index}].pin.y" for index, surface in enumerate(room.surfaces)}
    found: dict[str, Pinned] = {}
    for group in room.groups:
        laid = [room.surface(name) for name in group if not models[name].looked.empty]
        heights: tuple[float, ...] | None = None
        for surface in laid:
            if surface.pin.y is None:
                continue
            model = models[surface.id]
            mine = allowed_y(surface.pin.y, surface, model, foot(laid, models) - surface.level)
            if heights is None:
                heights = mine
            elif not _agree(mine[0], heights[0], axis_of(model, 1).pitch):
                reason = "it shares courses with a wall that is pinned to another height; pin only one of them"
                raise RoomError(places[surface.id], reason)
        for name in group:
            surface, model = room.surface(name), models[name]
            pinned = surface.pin.x is not None and not model.looked.empty
            x = allowed_x(surface.pin.x, surface, model) if pinned and surface.pin.x is not None else None
            found[name] = Pinned(x, heights)
    return found


def _agree(a: float, b: float, pitch: float) -> bool:
    return abs((a - b) - round((a - b) / pitch) * pitch) <= SOFT


def off(marks: Sequence[float], starts: Floats, pitch: float, step: float) -> Floats:
    """Return how far each datum is from the nearest mark, in steps of `step` mm; 0 without marks."""
    if not marks:
        return np.zeros(len(starts))
    gaps = np.subtract.outer(starts, np.array(marks))
    gaps = np.abs(gaps - np.round(gaps / pitch) * pitch)
    found: Floats = np.round(gaps.min(axis=1) / step)
    return found
