"""The judge's part on what an option changes: legal by the room, and the room as it then is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from layout.room import Opening, Room, Surface
from layout.verify_figures import move_reads, reads

CLOSE = 0.01
"""mm. The engine's tolerance."""

_KNOWN = {"openings", "joint", "turned"}


def with_changes(room: Room, option: Mapping[str, Any]) -> tuple[Room, list[str]]:
    """Return the room as a printed option has it, and what is wrong with its changes, in words."""
    changes = option.get("changes") or {}
    found = [f"changes: {name} isn't known" for name in changes if name not in _KNOWN]
    surfaces = list(room.surfaces)
    for move in changes.get("openings", ()):
        found += _move(surfaces, move)
    if "joint" in changes:
        joint = changes["joint"]
        found += _joint(surfaces, joint["mm"])
        text = joint.get("text", "")
        if not reads(text, joint["mm"]):
            found.append(f"changes: the joint's {text!r} isn't {joint['mm']} mm")
    for name in changes.get("turned", ()):
        found += _turn(surfaces, name)
    return replace(room, surfaces=tuple(surfaces)), found


def _move(surfaces: list[Surface], move: Mapping[str, Any]) -> list[str]:
    name = f"changes: {move['opening']}"
    for index, surface in enumerate(surfaces):
        for opening in surface.openings:
            if (surface.id, opening.id) != (move["surface"], move["opening"]):
                continue
            moved = _pushed(opening, move["x"], move["y"])
            surfaces[index] = replace(
                surface, openings=tuple(moved if each is opening else each for each in surface.openings)
            )
            if not move_reads(move["text"], move["x"], move["y"]):
                return [f"{name}: {move['text']!r} isn't {move['x']} mm to the right and {move['y']} mm up"]
            if opening.movable is None:
                return [f"{name} may not be moved"]
            for axis in ("x", "y"):
                least, most = getattr(opening.movable, axis)
                if not (least - CLOSE <= move[axis] <= most + CLOSE or abs(move[axis]) <= CLOSE):
                    return [f"{name} is moved {move[axis]} mm in {axis}, it may be from {least} to {most}"]
            return []
    return [f"{name}: there is no such opening"]


def _pushed(opening: Opening, x: float, y: float) -> Opening:
    more: dict[str, Any] = {}
    if getattr(opening, "circle", None):
        a, b, radius = getattr(opening, "circle")  # noqa: B009
        more["circle"] = (a + x, b + y, radius)
    return replace(opening, outline=tuple((a + x, b + y) for a, b in opening.outline), **more)


def _joint(surfaces: list[Surface], joint: float) -> list[str]:
    count = 0
    for index, surface in enumerate(surfaces):
        if surface.joint < surface.joint_high and surface.joint <= joint <= surface.joint_high:
            surfaces[index] = replace(surface, joint=joint)
            count += 1
    return [] if count else [f"changes: no surface's joint may be {joint} mm"]


def _turn(surfaces: list[Surface], name: str) -> list[str]:
    count = 0
    allowed = True
    for index, surface in enumerate(surfaces):
        tile = surface.tile
        if tile.name == name:
            count += 1
            allowed = allowed and (90 in tile.turns or 270 in tile.turns)
            surfaces[index] = replace(surface, tile=replace(tile, width=tile.height, height=tile.width))
    if not count:
        return [f"changes: there is no tile {name}"]
    return [] if allowed else [f"changes: {name} may not hang turned"]
