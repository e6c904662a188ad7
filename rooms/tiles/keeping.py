"""Everything that changes the shop's tiles and a room's tiles. A room's go through `rooms.actions.change_room`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import ProtectedError
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from rooms.actions import change_room
from rooms.files import measures_to_file, mm_text, room_to_file, tile_to_file
from rooms.laying import fingerprint
from rooms.models import BoxReading, Room, Tile
from rooms.tiles.box import pieces_to_json, sample_of, tile_in
from rooms.tiles.worn import SHEET_FACTS, SHEET_FIGURES
from shop.audit import change
from shop.models import Staff
from trade.sample import Piece

_Data = dict[str, Any]


OWN_NAME = "tile"
"""What the engine calls the room's own tile."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """How a surface is laid that wears a tile of its own: joint in mm, pattern as in a room file; None: the room's."""

    joint: Decimal | None = None
    pattern: Mapping[str, Any] | None = None


class TooFewTiles(Refused):
    """Fewer than five tiles show too small a spread: the room isn't changed by them."""


class TileTaken(Refused):
    """A room has no two tiles of one name."""


# ---------------------------------------------------------------- the shop's list


def save_tile(*, tile: Tile, values: Mapping[str, Any], by: Staff) -> Tile:
    """The shop's tile, new or changed. A room that wears it keeps the measures that it was laid out by."""
    with change(by):
        rooms = list(Room.objects.select_for_update(no_key=True).filter(tile=tile).order_by("pk"))
        before = None if tile._state.adding else Tile.objects.select_for_update(no_key=True).get(pk=tile.pk)
        now = before or tile
        earlier = measures_to_file(now) if before else {}
        for name, value in values.items():
            setattr(now, name, value)
        now.save()
        later = measures_to_file(now)
        # Stone is no measure but what the tile is: that counts everywhere, as its data sheet does.
        changed = {key: value for key, value in earlier.items() if value != later[key] and key != "stone"}
        if changed:
            for room in rooms:
                _keep_measures(room, changed, later)
    return now


def _keep_measures(room: Room, earlier: Mapping[str, Any], later: Mapping[str, Any]) -> None:
    """The room says itself what its tile said until now."""
    own = room.more.get("tile", {})
    if isinstance(own, str):
        return
    own = {**earlier, **own}
    room.more["tile"] = {key: value for key, value in own.items() if key not in later or value != later[key]}
    room.save(update_fields=["more"])


def remove_tile(*, tile: Tile, by: Staff) -> bool:
    """The tile is gone; or archived, where a room wears it or a rate prices it. Returns whether it is gone."""
    with change(by):
        try:
            with transaction.atomic():
                tile.delete()
                return True
        except ProtectedError:
            Tile.objects.filter(pk=tile.pk).update(archived=True)
            return False


def offer_tile(*, tile: Tile, by: Staff) -> None:
    """An archived tile is offered again."""
    with change(by):
        Tile.objects.filter(pk=tile.pk).update(archived=False)


# ---------------------------------------------------------------- a room's tiles


def dress(
    *,
    room: Room,
    name: str,
    tile: Tile | None,
    laid: Mapping[str, Laid],
    was: str = "",
    by: Staff,
) -> Room:
    """The room with one more tile under `name`, or the one that `was` there said anew. `laid`: the surfaces that wear
    it, by key.

    `tile`: the shop's, as the list has it now; None keeps the measures that the room has of it. Raises TileTaken,
    RoomLocked, RoomChanged, and layout.RoomError for what can't be laid out.
    """
    data, seen = _file_of(room)
    tiles = dict(data.get("tiles", {}))
    if (name in tiles and name != was) or name in (OWN_NAME, room.tile.name):
        raise TileTaken(_("This room has a tile for %(name)s already.") % {"name": name})
    raw = tile_snapshot(tile) if tile else tiles[was]
    data["tiles"] = {each: tiles[each] for each in tiles if each != was} | {name: raw}
    for surface in data["surfaces"]:
        if how := laid.get(surface["id"]):
            surface["tile"] = name
            _say(surface, "joint", None if how.joint is None else mm_text(how.joint))
            _say(surface, "pattern", how.pattern)
        elif was and surface.get("tile") == was:
            _undress(surface)
    return change_room(room=room, data=data, tile=room.tile, seen=seen, by=by)


def undress(*, room: Room, name: str, by: Staff) -> Room:
    """The room without the tile of that name: its surfaces wear the room's own again. Raises as `dress` does."""
    data, seen = _file_of(room)
    data["tiles"] = {each: raw for each, raw in data["tiles"].items() if each != name}
    for surface in data["surfaces"]:
        if surface.get("tile") == name:
            _undress(surface)
    return change_room(room=room, data=data, tile=room.tile, seen=seen, by=by)


def as_the_shop_says(*, room: Room, by: Staff) -> Room:
    """The room's own tile with the measures that the shop's list has now. Raises as `dress` does."""
    data, seen = _file_of(room)
    data["tile"] = tile_to_file(room.tile)
    return change_room(room=room, data=data, tile=room.tile, seen=seen, by=by)


def tile_snapshot(tile: Tile) -> _Data:
    """One of the shop's tiles as a room keeps it: its measures, and what its data sheet says."""
    figures = {key: f"{value.normalize():f}" for key in SHEET_FIGURES if (value := getattr(tile, key)) is not None}
    facts = {key: value for key in SHEET_FACTS if (value := getattr(tile, key))}
    if tile.friction_declared is False:
        facts["friction_declared"] = False
    return {**tile_to_file(tile), "data_sheet": {**figures, **facts}}


# ---------------------------------------------------------------- out of the box


def keep_box(*, room: Room, name: str, pieces: Sequence[Piece], key: UUID, by: Staff) -> BoxReading:
    """The tiles as they were measured, beside the earlier ones. A form sent twice has the same `key`: one reading.

    Raises KeyTaken, and KeyError for a tile that the room doesn't have.
    """
    frozen = {
        "room": room,
        "tile": name,
        "tile_name": tile_in(room, name).name,
        "pieces": pieces_to_json(pieces),
        "by": by,
    }
    with change(by):
        kept, made = BoxReading.objects.get_or_create(pk=key, defaults=frozen)
    if not made and any(getattr(kept, name) != value for name, value in frozen.items()):
        raise KeyTaken(_("These readings were kept already, with other figures. Open the page anew."))
    return kept


def take_box(*, reading: BoxReading, by: Staff) -> Room:
    """The room's tile with the mean size, the spread and, where bows were read of five tiles, the bow of a reading.

    Raises TooFewTiles, Refused where the room has no such tile any more, and what `dress` raises.
    """
    sample = sample_of(reading)
    if not sample.enough:
        raise TooFewTiles(_("Measure five tiles: fewer show too small a spread, and the joint comes out too narrow."))
    found: _Data = {"width": mm_text(sample.width_mm), "height": mm_text(sample.height_mm)}
    found["size_spread"] = mm_text(sample.spread_mm or Decimal(0))
    if sample.warp_mm is not None and sample.bows_are_enough:
        found["warp"] = mm_text(sample.warp_mm)
    data, seen = _file_of(reading.room)
    own = data["tile"] if isinstance(data["tile"], str) else ""
    name = reading.tile or own
    if name and name not in data.get("tiles", {}):
        raise Refused(_("The room has no tile for %(name)s any more.") % {"name": name})
    if name:
        data["tiles"] = {**data["tiles"], name: {**data["tiles"][name], **found}}
    else:
        data["tile"] = {**data["tile"], **found}
    return change_room(room=reading.room, data=data, tile=reading.room.tile, seen=seen, by=by)


# ---------------------------------------------------------------- inside


def _file_of(room: Room) -> tuple[_Data, str]:
    """The room's file, to be changed, and its fingerprint."""
    data = room_to_file(room)
    return data, fingerprint(data)


def _say(surface: _Data, key: str, value: Any) -> None:
    if value is None:
        surface.pop(key, None)
    else:
        surface[key] = value


def _undress(surface: _Data) -> None:
    for key in ("tile", "joint", "pattern"):
        surface.pop(key, None)
