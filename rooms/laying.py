"""Runs the layout engine on a room's file, and remembers what it said for a while: the same input gives the same."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.cache import cache
from django.utils.translation import gettext as _

import layout
from layout.drawing import surface_svg

_SECONDS = 600
_REMEMBERED_PIECES = 2_000
"""About half a megabyte: the cache holds three hundred results, in each process."""

_MOST_PIECES = 20_000
"""More make a page and a row of tens of megabytes. Such a floor is laid out by the file command."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One option laid out. `room` and `result` are the engine's."""

    room: layout.Room
    result: layout.Result

    def drawings(self) -> list[dict[str, str]]:
        """Each surface that carries tile: `id`, `name` and `svg`."""
        return [
            {"id": surface.id, "name": surface.name, "svg": surface_svg(self.room, self.result, surface.id)}
            for surface in self.room.surfaces
        ]


def lay(data: Mapping[str, Any], *, option: int = 1) -> Laid:
    """The room of a file laid out, with pieces and cut plan of `option`. Raises layout.RoomError with its place.

    An option that isn't there is the first.
    """
    room = layout.read_room(data)
    _refuse_too_many(room)
    key = f"rooms:laid:{layout.ENGINE_VERSION}:{fingerprint(data)}"
    result = _remembered(key, room, 1)
    if 1 < option <= len(result.options):
        result = _remembered(key, room, option)
    return Laid(room=room, result=result)


def _remembered(key: str, room: layout.Room, option: int) -> layout.Result:
    result = cache.get(f"{key}:{option}")
    if not isinstance(result, layout.Result):
        result = layout.lay_out(room, option=option)
        if result.option.counts.whole + result.option.counts.cut <= _REMEMBERED_PIECES:
            cache.set(f"{key}:{option}", result, _SECONDS)
    return result


def fingerprint(data: Mapping[str, Any]) -> str:
    """SHA-256 of plain data as JSON with its keys sorted: the same before the database kept it and after."""
    text = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _refuse_too_many(room: layout.Room) -> None:
    pieces = 0.0
    for surface in room.surfaces:
        left, bottom, right, top = surface.bounds
        tile, joint = surface.tile, surface.joint
        pieces += (right - left) * (top - bottom) / ((tile.width + joint) * (tile.height + joint))
    if pieces > _MOST_PIECES:
        raise layout.RoomError(
            "surfaces",
            _("about %(pieces)s tiles are too many for a page, which takes %(most)s; divide the room")
            % {"pieces": f"{pieces:,.0f}", "most": f"{_MOST_PIECES:,}"},
        )
