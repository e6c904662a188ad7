"""The switches of the layout page: pins, wrap, joint, offset and tile direction, each as what it would ask for."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from urllib.parse import urlencode

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

import layout
from layout.changes import joint_text, tunable
from layout.values import decimal
from layout.variants import joints_within, may_turn
from layout.wrapping import wraps_of
from rooms.chosen import pattern_text
from rooms.varying import Asked, first_seen
from trade.lengths import format_length


@dataclass(frozen=True, slots=True)
class Switch:
    """One position: `query` is the address that shows it; `on` where it stands now; `told` what it would come to, where
    that was asked for without a script."""

    label: str
    query: str
    on: bool
    told: SafeString | str = ""


@dataclass(frozen=True, slots=True)
class Switches:
    """The positions of one thing: one of them is on, but for lines that stand where they were put by hand."""

    name: str
    positions: tuple[Switch, ...]
    aside: bool = False
    """A pin of another surface than the one seen first."""
    places: bool = False
    """It places lines: those put by hand are at none of its positions."""

    @property
    def moved(self) -> bool:
        """Whether it isn't as the room says."""
        return self.on and not self.positions[0].on

    @property
    def on(self) -> bool:
        return any(position.on for position in self.positions)


def switches_of(asked: Asked, room: layout.Room) -> list[Switches]:
    """What can be set anew in a room, as measured; a thing with one position only is left out."""
    now = asked.searched
    found = []
    tries_of = [(name, tries, False) for name, tries in _tries(now, room)]
    for name, tries, aside in [*tries_of, *((name, tries, True) for name, tries in _pins_aside(now, room))]:
        places = any(_placed(tried) != _placed(now) for _label, tried in tries)
        by_hand = bool(asked.hand) and places
        positions = tuple(
            Switch(label, urlencode(tried.query()) or "option=1", not by_hand and tried.query() == now.query())
            for label, tried in tries
        )
        found.append(Switches(name, positions, aside, places))
    return [each for each in found if len(each.positions) > 1]


def _tries(now: Asked, room: layout.Room) -> Iterator[tuple[str, list[tuple[str, Asked]]]]:
    yield from _pins(now, room, first_seen(room))
    yield _("Corners"), _wraps(now, room)
    yield _("Joint"), _joints(now, room)
    yield _("Pattern"), _patterns(now, room)
    yield _("Tile"), _directions(now, room)


def _placed(asked: Asked) -> tuple[object, ...]:
    return asked.across, asked.up, asked.pins


def _pins_aside(now: Asked, room: layout.Room) -> Iterator[tuple[str, list[tuple[str, Asked]]]]:
    first = first_seen(room)
    for n in range(len(room.surfaces)):
        if n != first:
            yield from _pins(now, room, n)


def _pins(now: Asked, room: layout.Room, n: int) -> Iterator[tuple[str, list[tuple[str, Asked]]]]:
    """What a surface can be pinned to across and up; without a pin of the page's own it is as the room says."""
    surface = room.surfaces[n]
    across = {
        "tile-centered": _("A tile on the middle"),
        "joint-centered": _("A joint on the middle"),
        "full-at-left": _("A full tile at the left"),
        "full-at-right": _("A full tile at the right"),
    }
    up = {"full-at-top": _("A full course at the top"), "full-at-bottom": _("A full course at the bottom")}
    for axis, name, named, pinned in (
        ("x", _("%(surface)s, across"), across, surface.pin.x),
        ("y", _("%(surface)s, up"), up, surface.pin.y),
    ):
        free = {"": _("Best cuts")} if pinned is None else {"": _("As the room pins it"), "none": _("Best cuts")}
        tries = [(label, now.pinned(axis, n, pin, room)) for pin, label in {**free, **named}.items()]
        yield name % {"surface": surface.name}, tries


def _wraps(now: Asked, room: layout.Room) -> list[tuple[str, Asked]]:
    if not wraps_of(replace(room, wrap=True)):
        return []
    labels = {False: _("Each wall by itself"), True: _("The pattern wraps round")}
    return [(label, replace(now, wrap=None if wrap == room.wrap else wrap)) for wrap, label in labels.items()]


def _joints(now: Asked, room: layout.Room) -> list[tuple[str, Asked]]:
    ranged = [surface for surface in room.surfaces if tunable(surface)]
    if not ranged:
        return []
    planned = min(surface.joint for surface in ranged)
    marks: list[Decimal] = [decimal(mm) for mm in joints_within(ranged, room.units)]
    if now.joint is not None and now.joint not in marks:
        marks.append(now.joint)
    tries = [(joint_text(planned, room.units), replace(now, joint=None))]
    return [*tries, *((joint_text(float(mm), room.units), replace(now, joint=mm)) for mm in sorted(marks))]


def _patterns(now: Asked, room: layout.Room) -> list[tuple[str, Asked]]:
    """Of straight courses only; surfaces with a pattern of their own keep it."""
    pattern = room.surfaces[first_seen(room)].pattern
    if not all(surface.pattern.square for surface in room.surfaces):
        return []
    measured = f"{pattern.share.numerator}/{pattern.share.denominator}" if pattern.share else "stack"
    tries = [(pattern_text(pattern), replace(now, share=""))]
    labels = {"stack": _("stacked"), "1/2": _("offset by 1/2"), "1/3": _("offset by 1/3")}
    if now.share:
        labels.setdefault(now.share, _("offset by %(share)s") % {"share": now.share})
    return [*tries, *((label, replace(now, share=share)) for share, label in labels.items() if share != measured)]


def _directions(now: Asked, room: layout.Room) -> list[tuple[str, Asked]]:
    names = may_turn(room)
    if not names:
        return []
    tile = room.tiles[names[0]]
    sides = [format_length(side, unit=room.units) for side in (tile.width, tile.height)]
    hung = _("%(width)s wide, %(height)s high")
    return [
        (hung % {"width": sides[0], "height": sides[1]}, replace(now, turned=False)),
        (hung % {"width": sides[1], "height": sides[0]}, replace(now, turned=True)),
    ]
