"""Lines under somebody's hand on the layout page: what was worked out for the last move serves the next one.

A process remembers the rooms that were moved in last. Another process, or one that forgot, works all of it out anew and
says the same.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext as _

import layout
from layout.unfolding import Unfolded, face_marks, ground_marks, unfolded
from rooms.laying import follows
from rooms.varying import Asked, read_asked
from shop.queries import shop_limits
from trade.lengths import format_length

_REMEMBERED = 6
"""Rooms in each process: a room of 3,000 tiles takes a few megabytes."""


@dataclass(frozen=True, slots=True)
class _Followed:
    """A room with what is set anew but its lines, its pictures, and the marks of each surface as it was laid last."""

    room: layout.Room
    hand: layout.Hand
    pictures: tuple[Unfolded, ...]
    drawn: dict[str, tuple[layout.SurfaceLayout, str]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Followed:
    """A room on lines under a hand. By the place of a surface in the room: `faces`, its marks, and `places`, where its
    datum stands in the picture."""

    room: layout.Room
    look: layout.Look
    faces: dict[int, str]
    places: dict[int, tuple[float, float]]


def follow(data: Mapping[str, Any], asked: Asked) -> Followed:
    """The room of a file with what is asked for, as quickly as it can be had: its tiles aren't counted.

    Raises layout.RoomError as `lay`, and for more tiles than can follow a hand.
    """
    followed = _followed(json.dumps([data, asked.searched.query()], sort_keys=True))
    room = asked.lined(followed.room)
    look = followed.hand.look(room, limits=shop_limits())
    faces, places = _faces(followed, look)
    return Followed(room, look, faces, places)


@lru_cache(maxsize=_REMEMBERED)
def _followed(text: str) -> _Followed:
    data, query = json.loads(text)
    room = layout.read_room(read_asked(query, unit="mm").applied(data))
    if not follows(room):
        raise layout.RoomError("surfaces", _("so many tiles can’t follow the hand; type the lengths instead"))
    return _Followed(room, layout.Hand(room), unfolded(room))


def _faces(followed: _Followed, look: layout.Look) -> tuple[dict[int, str], dict[int, tuple[float, float]]]:
    least = look.worth.least
    smallest = (least[1], format_length(least[0].mm, unit=followed.room.units)) if least else ("", "")
    index = {surface.id: n for n, surface in enumerate(followed.room.surfaces)}
    laid = {surface.id: surface for surface in look.surfaces}
    marks, places = {}, {}
    for each in followed.pictures:
        for placed in each.placed:
            name = placed.surface.id
            last = followed.drawn.get(name)
            if last is None or last[0] is not laid[name]:
                last = followed.drawn[name] = laid[name], ground_marks(each, placed, laid[name])
            marks[index[name]] = face_marks(placed, laid[name], last[1], smallest)
            x, y = placed.at(laid[name].datum)
            places[index[name]] = round(x, 2), round(y, 2)
    return marks, places
