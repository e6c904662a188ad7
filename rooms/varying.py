"""What somebody tries on the layout page: the room's file with pins, wrap, joint, pattern or tile direction set anew.

It lives in the page's address until it is chosen; then it is frozen with the layout (`rooms.models.Layout.asked`), and
the room itself stays as it was measured.
"""

from collections.abc import Collection, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _

import layout
from layout.changes import Changes, tunable
from layout.values import decimal
from layout.variants import may_turn
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
    where as measured. `hand`: a surface's lines from its left end and its lowest point; `moved`: surface, opening, and
    how far right and up. `wrong`: what couldn't be read, by its name.
    """

    wrap: bool | None = None
    joint: Decimal | None = None
    share: str = ""
    turned: bool = False
    across: str = ""
    up: str = ""
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
        if self.turned:
            found["turned"] = "yes"
        if self.moved:
            found["moved"] = ";".join(f"{s},{o},{x.normalize():f},{y.normalize():f}" for s, o, x, y in self.moved)
        return found

    def by_hand(self, lines: Mapping[tuple[str, int], Decimal]) -> "Asked":
        """The same with its lines where somebody put them; named pins go."""
        return replace(self, across="", up="", hand=dict(lines))

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
            new["pattern"] = _pattern(new["pattern"], self.share)
        if self.joint is not None:
            _set_joint(new, room, self.joint)
        if self.turned:
            _turn(new, may_turn(room))
        if self.wrap is not None:
            new["wrap"] = self.wrap
        for surface, opening, x, y in self.moved:
            _move(new, surface, opening, x, y)
        first = first_seen(room)
        if self.across:
            _pin(new, room, "x", {first: self.across})
        if self.up:
            _pin(new, room, "y", {first: self.up})
        for low, axis in enumerate("xy"):
            lines = {
                index: f"{mm + decimal(room.surfaces[index].bounds[low]):f} mm"
                for (mine, index), mm in self.hand.items()
                if mine == axis and index < len(room.surfaces)
            }
            if lines:
                _pin(new, room, axis, lines)
        return new


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
        moved=_moved(raw.get("moved", "")),
        hand=hand,
        wrong=wrong,
    )


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


def _pattern(pattern: Mapping[str, Any], share: str) -> dict[str, Any]:
    kept = {key: pattern[key] for key in ("axis", "run") if key in pattern}
    return {**kept, "kind": "stack"} if share == "stack" else {**kept, "kind": "offset", "share": share}


def _set_joint(data: dict[str, Any], room: layout.Room, joint: Decimal) -> None:
    """Set the joint of every surface whose range holds it, as the engine tunes it: the gaps at the edges stay."""
    for raw, surface in zip(data["surfaces"], room.surfaces, strict=True):
        if not (tunable(surface) and surface.joint <= float(joint) + 1e-9 <= surface.joint_high + 2e-9):
            continue
        raw.setdefault("edge_gap", f"{decimal(surface.edge_gap):f} mm")
        raw["joint_high"] = f"{decimal(surface.joint_high):f} mm"
        raw["joint"] = mm_text(joint)
    if all("joint" in raw for raw in data["surfaces"]):
        data["joint"] = mm_text(joint)


def _turn(data: dict[str, Any], names: Collection[str]) -> None:
    """Hang tiles the other way, by the engine's names of them."""
    tile, tiles = data["tile"], data.get("tiles", {})
    if not isinstance(tile, str) and "tile" in names:
        data["tile"] = _on_its_side(tile)
    for name in set(tiles) & set(names):
        tiles[name] = _on_its_side(tiles[name])


def _on_its_side(tile: Mapping[str, Any]) -> dict[str, Any]:
    return {**tile, "width": tile["height"], "height": tile["width"]}


def _move(data: dict[str, Any], surface: int, opening: int, x: Decimal, y: Decimal) -> None:
    try:
        raw = data["surfaces"][surface]["openings"][opening]
    except (IndexError, KeyError):
        return
    units = data["units"]

    def shifted(value: Any, by: Decimal) -> str:
        return mm_text(parse_length(value, unit=units) + by)

    if "circle" in raw:
        across, up, radius = raw["circle"]
        raw["circle"] = [shifted(across, x), shifted(up, y), radius]
    else:
        raw["outline"] = [[shifted(across, x), shifted(up, y)] for across, up in raw["outline"]]


def _pin(data: dict[str, Any], room: layout.Room, axis: str, pins: Mapping[int, str]) -> None:
    """Pin surfaces, by their place, in one direction; pins of others that would hold them elsewhere go."""
    ids = [surface.id for surface in room.surfaces]
    for group in room.groups:
        mine = [ids.index(name) for name in group]
        if not any(n in pins for n in mine):
            continue
        together = axis == "y" or data.get("wrap")
        for n in mine:
            raw = data["surfaces"][n]
            pin = {**data.get("pin", {}), **raw.get("pin", {})}
            if n in pins or together:
                pin.pop(axis, None)
            if n in pins and pins[n] != "none":
                pin[axis] = pins[n]
            # Said here for each, so that the whole room's says nothing to the surfaces of this group.
            raw["pin"] = pin
    others = [n for n in range(len(ids)) if "pin" not in data["surfaces"][n]]
    whole = data.pop("pin", None)
    if whole:
        for n in others:
            data["surfaces"][n]["pin"] = dict(whole)
