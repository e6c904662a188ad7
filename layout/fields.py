"""The fields of a room, each held as suits it: as cells where all is level and plumb, else as polygons."""

from __future__ import annotations

from layout.field import Field, field_of, gaps_of
from layout.free_field import FreeField, free_field
from layout.room import Room

AnyField = Field | FreeField


def fields_of(room: Room) -> dict[str, tuple[AnyField, AnyField]]:
    """Return for each surface (by id) its field and the part of it that is seen; the same where nothing hides."""
    found: dict[str, tuple[AnyField, AnyField]] = {}
    gaps = gaps_of(room)
    for surface in room.surfaces:
        make = field_of if surface.square else free_field
        own, seen = gaps[surface.id]
        field = make(surface, own)
        found[surface.id] = (field, field if seen == own else make(surface, seen))
    return found
