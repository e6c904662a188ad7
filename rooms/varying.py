"""What somebody tries on the layout page: the room's file with pins, wrap, joint, pattern or tile direction set anew.

It lives in the page's address until it is chosen; then it is frozen with the layout (`rooms.models.Layout.asked`), and
the room itself stays as it was measured.
"""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _

import layout
from layout.changes import Changes
from layout.values import decimal, length
from layout.variants import may_turn
from rooms.anew import line_text, move, pattern_anew, pin_lines, pinned_with, set_joint, turn
from rooms.files.going_out import mm_text
from trade.lengths import LengthError, Unit, parse_length

ACROSS = ("none", "tile-centered", "joint-centered", "full-at-left", "full-at-right")
UP = ("none", "full-at-top", "full-at-bottom")

_MOST = 400
"""Surfaces and openings that an address may speak of: twice what a room may have."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is set anew. Lengths are mm; surfaces and openings are counted from 0 in the order of the file.

    `wrap`, `joint`, `share` ("stack" or a fraction), `across` and `up` (pins of the surface seen first): None or empty
    where as measured. `pins`: those of other surfaces, by axis and surface. `hand`: a surface's lines from its left end
    and its lowest point; `moved`: surface, opening, and how far right and up. `wrong`: what couldn't be read, by name.
    """

    wrap: bool | None = None
    joint: Decimal | None = None
    share: str = ""
    turned: bool = False
    across: str = ""
    up: str = ""
    pins: Mapping[tuple[str, int], str] = field(default_factory=dict)
    moved: tuple[tuple[int, int, Decimal, Decimal], ...] = ()
    hand: Mapping[tuple[str, int], Decimal] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.query())

    @property
    def searched(self) -> "Asked":
        """The same with its lines left to the search."""
        return replace(self, hand={})

    def query(self) -> dict[str, str]:
        """Plain data as an address and a frozen layout have it; `read_asked` reads it back."""
        found = {f"{axis}{index}": mm_text(mm) for (axis, index), mm in sorted(self.hand.items())}
        if self.wrap is not None:
            found["wrap"] = "yes" if self.wrap else "no"
        if self.joint is not None:
            found["joint"] = mm_text(self.joint)
        for name in ("share", "across", "up"):
            if value := getattr(self, name):
                found[name] = value
        found |= {f"{'across' if axis == 'x' else 'up'}{n}": pin for (axis, n), pin in sorted(self.pins.items())}
        if self.turned:
            found["turned"] = "yes"
        if self.moved:
            found["moved"] = ";".join(f"{s},{o},{x.normalize():f},{y.normalize():f}" for s, o, x, y in self.moved)
        return found

    def by_hand(self, lines: Mapping[tuple[str, int], Decimal]) -> "Asked":
        """The same with its lines where somebody put them; named pins go."""
        return replace(self, across="", up="", pins={}, hand=dict(lines))

    def pinned(self, axis: str, n: int, pin: str, room: layout.Room) -> "Asked":
        """The same with one pin of a surface along an axis, empty: as measured; those it hangs together with let go."""
        first = first_seen(room)
        wrap = room.wrap if self.wrap is None else self.wrap
        loose = {*pinned_with(room, axis, {n}, wrap=wrap)}
        pins = {at: name for at, name in self.pins.items() if at[0] != axis or at[1] not in loose}
        if pin and n != first:
            pins[axis, n] = pin
        found = replace(self, pins=pins)
        if first not in loose:
            return found
        of_first = pin if n == first else ""
        return replace(found, across=of_first) if axis == "x" else replace(found, up=of_first)

    def with_changes(self, changes: Changes, room: layout.Room) -> "Asked":
        """The same with what an option changes about the room."""
        if not changes:
            return self
        index = {surface.id: n for n, surface in enumerate(room.surfaces)}
        moved = {(s, o): (x, y) for s, o, x, y in self.moved}
        for each in changes.moved:
            at = index[each.surface]
            ids = [opening.id for opening in room.surfaces[at].openings]
            key = at, ids.index(each.opening)
            x, y = moved.get(key, (Decimal(0), Decimal(0)))
            moved[key] = x + decimal(each.x), y + decimal(each.y)
        return replace(
            self,
            joint=self.joint if changes.joint is None else decimal(changes.joint),
            turned=self.turned != bool(changes.turned),
            moved=tuple((*key, *by) for key, by in sorted(moved.items())),
        )

    def applied(self, data: Mapping[str, Any]) -> Mapping[str, Any]:
        """A room's file with what is set anew; the file itself where nothing is. Raises layout.RoomError for a file
        that can't be read."""
        if not self:
            return data
        room = layout.read_room(data)
        new = deepcopy(dict(data))
        if self.share:
            new["pattern"] = pattern_anew(new["pattern"], self.share)
        if self.joint is not None:
            set_joint(new, room, self.joint)
        if self.turned:
            turn(new, may_turn(room))
        if self.wrap is not None:
            new["wrap"] = self.wrap
        for surface, opening, x, y in self.moved:
            move(new, surface, opening, x, y)
        first = {"x": self.across, "y": self.up}
        for axis in "xy":
            pins = {first_seen(room): first[axis]} if first[axis] else {}
            pins |= {n: pin for (mine, n), pin in self.pins.items() if mine == axis and n < len(room.surfaces)}
            if pins:
                pin_lines(new, room, axis, pins)
        for low, axis in enumerate("xy"):
            lines = {
                index: line_text(room, index, low, mm)
                for (mine, index), mm in self.hand.items()
                if mine == axis and index < len(room.surfaces)
            }
            if lines:
                pin_lines(new, room, axis, lines)
        return new

    def lined(self, room: layout.Room) -> layout.Room:
        """The room of `searched.applied` with its lines by hand: what `applied` makes of the file, without reading it.
        Raises layout.RoomError for a length that can't be."""
        surfaces = list(room.surfaces)
        for low, axis in enumerate("xy"):
            lines = {n: mm for (mine, n), mm in self.hand.items() if mine == axis and n < len(surfaces)}
            for n in pinned_with(room, axis, lines, wrap=room.wrap):
                place, value = f"surfaces[{n}].pin.{axis}", None
                if n in lines:
                    value = length(line_text(room, n, low, lines[n]), place, room.units, signed=True)
                pin = surfaces[n].pin
                pin = replace(pin, x=value, at_x=place) if axis == "x" else replace(pin, y=value, at_y=place)
                surfaces[n] = replace(surfaces[n], pin=pin)
        return replace(room, surfaces=tuple(surfaces))


AS_MEASURED = Asked()


def read_asked(raw: Mapping[str, str], *, unit: Unit) -> Asked:
    """What an address, a form or a frozen layout asks for; lengths are in `unit` where they don't say."""
    wrong: dict[str, str] = {}
    hand: dict[tuple[str, int], Decimal] = {}
    for name in raw:
        if name[:1] in "xy" and name[1:].isascii() and name[1:].isdigit() and len(name) < 5:
            mm = _length(raw, name, unit, wrong)
            if mm is not None:
                hand[name[0], int(name[1:])] = mm
    joint = _length(raw, "joint", unit, wrong) if raw.get("joint") else None
    return Asked(
        wrap={"yes": True, "no": False}.get(raw.get("wrap", "")),
        joint=joint if joint and joint > 0 else None,
        share=_share(raw.get("share", "")),
        turned=raw.get("turned") == "yes",
        across=raw["across"] if raw.get("across") in ACROSS else "",
        up=raw["up"] if raw.get("up") in UP else "",
        pins=dict(_pins(raw)),
        moved=_moved(raw.get("moved", "")),
        hand=hand,
        wrong=wrong,
    )


def _pins(raw: Mapping[str, str]) -> Iterator[tuple[tuple[str, int], str]]:
    for start, axis, names in (("across", "x", ACROSS), ("up", "y", UP)):
        for name, pin in raw.items():
            number = name.removeprefix(start)
            if name.startswith(start) and number.isascii() and number.isdigit() and len(number) < 4 and pin in names:
                yield (axis, int(number)), pin


def first_seen(room: layout.Room) -> int:
    """The place of the surface that the eye goes to: the first one named focal, else the largest."""
    focal = [n for n, surface in enumerate(room.surfaces) if surface.focal]
    return focal[0] if focal else max(range(len(room.surfaces)), key=lambda n: _size(room.surfaces[n]))


def _size(surface: layout.Surface) -> float:
    left, bottom, right, top = surface.bounds
    return (right - left) * (top - bottom)


def _length(raw: Mapping[str, str], name: str, unit: Unit, wrong: dict[str, str]) -> Decimal | None:
    try:
        return parse_length(raw[name], unit=unit)
    except LengthError as error:
        wrong[name] = _(error.template) % error.params
    return None


def _share(text: str) -> str:
    if text == "stack":
        return text
    try:
        share = Fraction(text) if len(text) < 8 else Fraction(0)
    except (ValueError, ZeroDivisionError):
        return ""
    return f"{share.numerator}/{share.denominator}" if 0 < share < 1 else ""


def _moved(text: str) -> tuple[tuple[int, int, Decimal, Decimal], ...]:
    found = []
    for each in text.split(";")[:_MOST] if text else ():
        parts = each.split(",")
        try:
            surface, opening, x, y = int(parts[0]), int(parts[1]), Decimal(parts[2]), Decimal(parts[3])
        except (ValueError, IndexError, ArithmeticError):
            continue
        if min(surface, opening) >= 0 and max(abs(x), abs(y)) < 100_000:
            found.append((surface, opening, x, y))
    return tuple(found)
