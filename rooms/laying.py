"""Runs the layout engine on a room's file, and remembers what it said for a while: the same input gives the same."""

import hashlib
import json
import pickle
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.core.cache import cache
from django.utils.translation import gettext as _

import layout
from layout.drawing import surface_svg
from rooms.apart import TookTooLong, lay_out_apart, recommended_apart
from rooms.chosen import ChosenRoom, as_set
from shop.queries import shop_limits
from trade.shop_limits import ShopLimits

_Made = TypeVar("_Made")

_SECONDS = 600
_TOO_LONG = "too long"

_MOST_PIECES = 20_000
"""More make a page and a row of tens of megabytes. Such a floor is laid out by the file command."""

MOST_FOLLOWED = 3_000
"""Tiles. More take longer than half a second on their datums, as measured: no hand waits for that."""

_QUICK_TILES, _QUICK_TILES_THAT_DRIFT, _QUICK_POINTS = 1_000, 200, 40
"""Up to this many tiles and corners, with its edges level and plumb, its tiles in straight courses and no opening that
may be moved, a room is laid out where it is asked for: in 1.5 s of work at most, as measured on the hardest such rooms.
Every other one goes to a process of its own, which takes half a second to begin and can be ended."""


@dataclass(frozen=True, slots=True)
class Laid:
    """One option laid out. `room` (as measured) and `result` are the engine's, `data` the file that they come from."""

    data: Mapping[str, Any]
    room: layout.Room
    result: layout.Result

    def as_set(self) -> ChosenRoom:
        """The room with what the option changes about it."""
        return as_set(self.room, self.result.option.changes, data=self.data)

    def drawings(self) -> list[dict[str, str]]:
        """Each surface that carries tile: `id`, `name` and `svg`."""
        return [
            {"id": surface.id, "name": surface.name, "svg": surface_svg(self.room, self.result, surface.id)}
            for surface in self.room.surfaces
        ]


def lay(data: Mapping[str, Any], *, option: int = 1) -> Laid:
    """The room of a file laid out, with pieces and cut plan of `option`. An option that isn't there is the first. Its
    findings judge by the shop's limits of this moment.

    Raises layout.RoomError, with its place, for a room that can't be laid out, and for one that is too much for a page.
    """
    room, quick = _read(data)
    limits = shop_limits()
    key = f"rooms:laid:{layout.ENGINE_VERSION}:{fingerprint([data, limits.to_json()])}"
    try:
        result = _remembered(key, room, option, limits=limits, data=None if quick else data)
    except layout.RoomError as error:
        if error.place != "option":
            raise
        result = _remembered(key, room, 1, limits=limits, data=None if quick else data)
    return Laid(data=data, room=room, result=result)


def lay_by_hand(data: Mapping[str, Any]) -> Laid:
    """The room of a file whose lines are pinned by lengths, without a search; with a line left free, as `lay`.

    Raises layout.RoomError as `lay`.
    """
    room, _quick = _read(data)
    if _about(room) > MOST_FOLLOWED:
        return lay(data)
    limits = shop_limits()
    key = f"rooms:by-hand:{layout.ENGINE_VERSION}:{fingerprint([data, limits.to_json()])}"
    try:
        return Laid(data, room, _kept(key, lambda: layout.lay_by_hand(room, limits=limits)))
    except layout.RoomError as error:
        if error.place != "pin":
            raise
        return lay(data)


def foresee(data: Mapping[str, Any]) -> layout.Option:
    """The figures of the recommended option of a room. Raises layout.RoomError as `lay`."""
    room, quick = _read(data)
    key = f"rooms:foreseen:{layout.ENGINE_VERSION}:{fingerprint(data)}"
    return _kept(key, lambda: layout.recommended(room) if quick else recommended_apart(data))


def follows(room: layout.Room) -> bool:
    """Whether the room's lines can be moved by hand on a page."""
    return _about(room) <= MOST_FOLLOWED


def _read(data: Mapping[str, Any]) -> tuple[layout.Room, bool]:
    """The room of a file, and whether it is quickly laid out. Raises layout.RoomError."""
    room = layout.read_room(data)
    tiles = _about(room)
    if tiles > _MOST_PIECES:
        raise layout.RoomError(
            "surfaces",
            _("about %(pieces)s tiles are too many for a page, which takes %(most)s; divide the room")
            % {"pieces": f"{tiles:,.0f}", "most": f"{_MOST_PIECES:,}"},
        )
    return room, _is_quick(room, tiles)


def _remembered(
    key: str, room: layout.Room, option: int, *, limits: ShopLimits, data: Mapping[str, Any] | None
) -> layout.Result:
    """The engine's result, in a process of its own where `data` is given. What took too long isn't tried again soon."""

    def work() -> layout.Result:
        if data is None:
            return layout.lay_out(room, option=option, limits=limits)
        return lay_out_apart(data, option=option, limits=limits)

    return _kept(f"{key}:{option}", work)


def _kept(key: str, work: Callable[[], _Made]) -> _Made:
    """What the work gives, out of the memory where it is there."""
    found = cache.get(key)
    if isinstance(found, bytes):
        kept: _Made = pickle.loads(zlib.decompress(found))  # noqa: S301 -- out of our own process's memory
        return kept
    try:
        if found == _TOO_LONG:
            raise TookTooLong
        made = work()
    except TookTooLong:
        cache.set(key, _TOO_LONG, _SECONDS)
        raise layout.RoomError("", _too_much()) from None
    # 20,000 pieces take two thirds of a megabyte so. The cache holds three hundred results, in each process.
    cache.set(key, zlib.compress(pickle.dumps(made), 1), _SECONDS)
    return made


def _too_much() -> str:
    return _(
        "This room asks for more work than a page can wait for. Divide it into rooms of fewer surfaces, or make it "
        "simpler: fewer corners, a round edge of fewer sides, joints of one width."
    )


def fingerprint(data: Any) -> str:
    """SHA-256 of plain data as JSON with its keys sorted: the same before the database kept it and after."""
    text = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _about(room: layout.Room) -> float:
    """About how many tiles the room takes, openings not taken off."""
    tiles = 0.0
    for surface in room.surfaces:
        left, bottom, right, top = surface.bounds
        tile, joint = surface.tile, surface.joint
        tiles += (right - left) * (top - bottom) / ((tile.width + joint) * (tile.height + joint))
    return tiles


def _is_quick(room: layout.Room, tiles: float) -> bool:
    """Whether the room is surely laid out in no time. See `_QUICK_TILES`."""
    outlines = [
        outline
        for surface in room.surfaces
        for outline in (surface.outline, *(opening.outline for opening in surface.openings))
    ]
    plain = all(surface.square for surface in room.surfaces)
    movable = any(opening.movable for surface in room.surfaces for opening in surface.openings)
    drifts = any(surface.joint_high > surface.joint for surface in room.surfaces)
    most = _QUICK_TILES_THAT_DRIFT if drifts else _QUICK_TILES
    return plain and not movable and tiles <= most and sum(map(len, outlines)) <= _QUICK_POINTS
