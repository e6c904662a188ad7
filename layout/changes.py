"""What an option changes about the room as it was read: an opening moved, the joint tuned, a tile hung turned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from layout.room import Opening, Room, Surface, Tile, Units
from trade.lengths import THIRTY_SECOND, format_length


@dataclass(frozen=True, slots=True)
class Moved:
    """An opening moved by x to the right and y up, mm."""

    surface: str
    opening: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Changes:
    """`joint`: mm, on every surface whose range holds it; `turned`: tiles, by name, that hang turned by 90°."""

    moved: tuple[Moved, ...] = ()
    joint: float | None = None
    turned: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.moved or self.turned) or self.joint is not None

    def to_json(self, units: Units) -> dict[str, Any]:
        """Plain data; only what is changed is in it."""
        found: dict[str, Any] = {}
        if self.moved:
            found["openings"] = [
                {
                    "surface": each.surface,
                    "opening": each.opening,
                    "x": each.x,
                    "y": each.y,
                    "text": moved_text(each, units),
                }
                for each in self.moved
            ]
        if self.joint is not None:
            found["joint"] = {"mm": self.joint, "text": joint_text(self.joint, units)}
        if self.turned:
            found["turned"] = list(self.turned)
        return found


UNCHANGED = Changes()


def changed(room: Room, changes: Changes) -> Room:
    """Return the room with the changes made; the room itself where there are none."""
    if not changes:
        return room
    moved = {(each.surface, each.opening): each for each in changes.moved}
    return replace(room, surfaces=tuple(_changed(surface, changes, moved) for surface in room.surfaces))


def _changed(surface: Surface, changes: Changes, moved: Mapping[tuple[str, str], Moved]) -> Surface:
    openings = tuple(_shifted(each, moved.get((surface.id, each.id))) for each in surface.openings)
    joint = surface.joint
    if changes.joint is not None and tunable(surface) and surface.joint <= changes.joint <= surface.joint_high:
        joint = changes.joint
    tile = turned_tile(surface.tile) if surface.tile.name in changes.turned else surface.tile
    return replace(surface, openings=openings, joint=joint, tile=tile)


def tunable(surface: Surface) -> bool:
    """Whether the surface's joint has a range to choose from."""
    return surface.joint_high > surface.joint


def turned_tile(tile: Tile) -> Tile:
    """Return the tile hung the other way: its sides exchanged."""
    return replace(tile, width=tile.height, height=tile.width)


def _shifted(opening: Opening, by: Moved | None) -> Opening:
    if by is None:
        return opening
    more: dict[str, Any] = {}
    circle = getattr(opening, "circle", None)
    if circle:
        more["circle"] = (circle[0] + by.x, circle[1] + by.y, circle[2])
    outline = tuple((round(x + by.x, 6), round(y + by.y, 6)) for x, y in opening.outline)
    return replace(opening, outline=outline, **more)


def moved_text(moved: Moved, units: Units) -> str:
    """Return how far an opening is moved, in words: `3/8" right, 1" up`."""
    ways = [(moved.x, "right", "left"), (moved.y, "up", "down")]
    return ", ".join(f"{format_length(abs(by), unit=units)} {on if by > 0 else back}" for by, on, back in ways if by)


def joint_text(mm: float, units: Units) -> str:
    """Return a joint as it is spoken of: to 1/32 in, or in mm."""
    return format_length(mm, unit=units, step=THIRTY_SECOND) if units == "in" else format_length(mm, unit=units)
