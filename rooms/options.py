"""Rooms that a client may choose among: a room copied, laid out, and what becomes of all when the choice is made."""

from collections.abc import Collection
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import F

from jobs.models import Job
from layout import RoomError
from rooms.actions import choose_layout
from rooms.files import mm_text, room_to_file, tile_to_file, write_room
from rooms.models import LONGEST_TEXT, Conditions, Layout, Room, Standing, Survey, Tile
from rooms.queries import room_with_parts
from shop.audit import change
from shop.models import Staff


def copy_room(*, room: Room, name: str, by: Staff, tile: Tile | None = None, joint: Decimal | None = None) -> Room:
    """An offered room behind `room`, with its surfaces, openings, corners, tiles, conditions and surveys; in another
    tile of the shop's, or with another joint in mm, where these are given.

    It has no layout: `lay_recommended` takes one. The caller holds the lock on the job. Raises layout.RoomError.
    """
    with change(by):
        measured = room_with_parts(room)
        data = _otherwise(room_to_file(measured), tile, joint)
        later = Room.objects.filter(job=room.job_id, position__gt=measured.position)
        later.update(position=F("position") + 1)
        copy = Room(job=measured.job, position=measured.position + 1, standing=Standing.OFFERED)
        data["name"] = name.strip()[:LONGEST_TEXT]
        write_room(copy, data, place=measured.place, demolition=measured.demolition, tile=tile or measured.tile)
        if said := Conditions.objects.filter(room=measured).first():
            Conditions.objects.create(**_fields(said), room=copy)
        surveys = Survey.objects.filter(room=measured, result__isnull=False).order_by("happened_at", "id")
        Survey.objects.bulk_create([Survey(**_fields(each), room=copy) for each in surveys])
    return copy


def _otherwise(data: dict[str, Any], tile: Tile | None, joint: Decimal | None) -> dict[str, Any]:
    """A room's file in another tile, whose measures are all its own, and with another joint."""
    if tile:
        data["tile"] = tile_to_file(tile)
    if joint is not None:
        data["joint"] = mm_text(joint)
        data.pop("joint_high", None)
    return data


def _fields(row: Conditions | Survey) -> dict[str, Any]:
    """What a row says, without its key, its time and its room."""
    left_out = ("id", "created_at", "room")
    return {field.name: getattr(row, field.name) for field in row._meta.concrete_fields if field.name not in left_out}


def lay_recommended(*, room: Room, by: Staff) -> Layout | None:
    """The recommended layout of the room, chosen; its title says so. None where it can't be laid out as it is."""
    try:
        return choose_layout(room=room, option=1, why="", by=by)
    except RoomError:
        return None


def set_standing(*, room: Room, standing: Standing, by: Staff) -> None:
    """Whether the room is part of the job. The caller holds the lock on the job and looks after its options."""
    with change(by):
        Room.objects.filter(pk=room.pk).update(standing=standing)
        room.standing = standing


def settle(*, job: Job, taken: Collection[UUID]) -> None:
    """What the client chose: of the rooms that are options, those in `taken` are part of the job, the others aren't.

    Rooms that are no options stay what they are. The caller holds the lock on the job, in its transaction.
    """
    options = Room.objects.filter(job=job, option__isnull=False)
    options.filter(pk__in=taken).update(standing=Standing.IN)
    options.exclude(pk__in=taken).update(standing=Standing.OUT)
