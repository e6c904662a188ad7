"""The room as a chosen layout has it.

An option may change the room that was measured: an opening moved, the joint tuned, the tile hung turned. Nobody
measured that room, so no row holds it: it is made here from what was frozen, and all that follows from a layout (sheet,
estimate, proposal, phases) asks here.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

import layout
from layout.changes import Changes, Moved, changed, joint_text
from layout.room import Opening, Surface, Tile, Units
from rooms.models import Layout
from trade.lengths import format_length


@dataclass(frozen=True, slots=True)
class ChosenRoom:
    """The engine's room: as it was `measured`, and `room`, as it will be set. `tile_name`: of the room's own tile."""

    measured: layout.Room
    room: layout.Room
    changes: Changes
    tile_name: str

    def texts(self) -> list[str]:
        """What isn't as it was measured, in words."""
        if not self.changes:
            return []
        return [*_moves(self), *_joints(self), *_turns(self)]

    @property
    def tile(self) -> Tile | None:
        """The room's own tile as it will hang; None where no surface takes it."""
        return self.room.tiles.get(self.tile_name)

    @property
    def tile_is_turned(self) -> bool:
        return self.tile_name in self.changes.turned

    def joint(self, joint: Decimal, widest: Decimal | None) -> Decimal:
        """A joint of the range `joint` to `widest` as it will be set, mm."""
        if self.changes.joint is None or widest is None:
            return joint
        tuned = decimal_mm(self.changes.joint)
        return tuned if joint <= tuned <= widest else joint


def chosen_room(chosen: Layout) -> ChosenRoom:
    """The room of a chosen layout, from what was frozen with it."""
    return as_set(layout.read_room(chosen.input), changes_of(chosen), data=chosen.input)


def changes_of(chosen: Layout) -> Changes:
    """What a chosen layout changes of the room as it was measured."""
    raw = chosen.result["options"][chosen.option - 1].get("changes") or {}
    return Changes(
        moved=tuple(
            Moved(each["surface"], each["opening"], each["x"], each["y"]) for each in raw.get("openings") or ()
        ),
        joint=raw["joint"]["mm"] if raw.get("joint") else None,
        turned=tuple(raw.get("turned") or ()),
    )


def as_set(measured: layout.Room, changes: Changes, *, data: Mapping[str, Any]) -> ChosenRoom:
    """A measured room, read from `data`, with the changes of an option."""
    tile = data.get("tile")
    return ChosenRoom(measured, changed(measured, changes), changes, tile if isinstance(tile, str) else "tile")


def decimal_mm(mm: float) -> Decimal:
    """A length of the engine as stored lengths are: six places, 1/64 in exact."""
    return Decimal(str(round(mm, 6)))


def _moves(chosen: ChosenRoom) -> Iterator[str]:
    units = chosen.measured.units
    for moved in chosen.changes.moved:
        surface = chosen.room.surface(moved.surface)
        opening = next(each for each in surface.openings if each.id == moved.opening)
        left, bottom, _right, _top = surface.bounds
        text = _("%(opening)s on %(surface)s moved %(by)s: now %(left)s from the left, %(bottom)s from the bottom.")
        yield text % {
            "opening": _name(opening, surface),
            "surface": surface.name,
            "by": _way(moved, units),
            "left": format_length(min(x for x, _y in opening.outline) - left, unit=units),
            "bottom": format_length(min(y for _x, y in opening.outline) - bottom, unit=units),
        }


def _name(opening: Opening, surface: Surface) -> str:
    """The kind of an opening, where that tells it from the others."""
    alone = sum(each.kind == opening.kind for each in surface.openings) == 1
    name = (opening.kind if alone else "") or opening.id
    return name[:1].upper() + name[1:]


def _way(moved: Moved, units: Units) -> str:
    ways = []
    if moved.x:
        ways.append((_("%(length)s right") if moved.x > 0 else _("%(length)s left"), moved.x))
    if moved.y:
        ways.append((_("%(length)s up") if moved.y > 0 else _("%(length)s down"), moved.y))
    return ", ".join(way % {"length": format_length(abs(mm), unit=units)} for way, mm in ways)


def _joints(chosen: ChosenRoom) -> Iterator[str]:
    units = chosen.measured.units
    surfaces = zip(chosen.measured.surfaces, chosen.room.surfaces, strict=True)
    tuned = [(before.joint, after) for before, after in surfaces if before.joint != after.joint]
    for old in dict.fromkeys(joint for joint, _after in tuned):
        alike = [after for joint, after in tuned if joint == old]
        words = {"joint": joint_text(alike[0].joint, units), "before": joint_text(old, units)}
        if len(alike) == len(chosen.room.surfaces):
            yield _("Joint %(joint)s everywhere instead of %(before)s.") % words
        else:
            names = ", ".join(surface.name for surface in alike)
            yield _("Joint %(joint)s instead of %(before)s: %(surfaces)s.") % {**words, "surfaces": names}


def _turns(chosen: ChosenRoom) -> Iterator[str]:
    for name in chosen.changes.turned:
        tile = chosen.room.tiles[name]
        words = {
            "width": format_length(tile.width, unit=chosen.room.units),
            "height": format_length(tile.height, unit=chosen.room.units),
        }
        if len(chosen.room.tiles) == 1:
            yield _("Tile hung turned: %(width)s wide, %(height)s high.") % words
        else:
            yield _("Tile “%(name)s” hung turned: %(width)s wide, %(height)s high.") % {"name": name, **words}
