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
from layout.room import Opening, Pattern, Surface, Tile, Units
from rooms.models import Layout, PatternKind
from trade.lengths import format_length


@dataclass(frozen=True, slots=True)
class ChosenRoom:
    """The engine's room: as it was `measured`, and `room`, as it will be set. `changes`: the option's; what was set
    anew on the layout page shows in the rooms alone. `tile_name`: of the room's own tile."""

    measured: layout.Room
    room: layout.Room
    changes: Changes
    tile_name: str

    def texts(self) -> list[str]:
        """What isn't as it was measured, in words."""
        return [*_moves(self), *_joints(self), *_turns(self), *_patterns(self)]

    @property
    def moved(self) -> tuple[Moved, ...]:
        """The openings that stand elsewhere than they were measured, and by how much."""
        found = []
        for before, after in zip(self.measured.surfaces, self.room.surfaces, strict=True):
            for one, other in zip(before.openings, after.openings, strict=True):
                x, y = (round(b - a, 6) for a, b in zip(one.outline[0], other.outline[0], strict=True))
                if x or y:
                    found.append(Moved(after.id, other.id, x, y))
        return tuple(found)

    @property
    def tile(self) -> Tile | None:
        """The room's own tile as it will hang; None where no surface takes it."""
        return self.room.tiles.get(self.tile_name)

    @property
    def tile_is_turned(self) -> bool:
        return self.tile_name in self.turned

    @property
    def turned(self) -> tuple[str, ...]:
        """The tiles, by name, that hang the other way than they were measured."""
        before, after = self.measured.tiles, self.room.tiles
        return tuple(
            name
            for name, tile in after.items()
            if name in before and before[name].width != tile.width and before[name].width == tile.height
        )

    @property
    def tunes_the_joint(self) -> bool:
        surfaces = zip(self.measured.surfaces, self.room.surfaces, strict=True)
        return any(before.joint != after.joint for before, after in surfaces)

    def joint(self, joint: Decimal, widest: Decimal | None) -> Decimal:
        """A joint of the range `joint` to `widest` as it will be set, mm."""
        if widest is None:
            return joint
        surfaces = zip(self.measured.surfaces, self.room.surfaces, strict=True)
        for before, after in surfaces:
            tuned = decimal_mm(after.joint)
            if before.joint != after.joint and joint <= tuned <= widest:
                return tuned
        return joint


def chosen_room(chosen: Layout) -> ChosenRoom:
    """The room of a chosen layout, from what was frozen with it."""
    measured = layout.read_room(chosen.measured) if chosen.measured else None
    return as_set(layout.read_room(chosen.input), changes_of(chosen), data=chosen.input, measured=measured)


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


def as_set(
    laid: layout.Room, changes: Changes, *, data: Mapping[str, Any], measured: layout.Room | None = None
) -> ChosenRoom:
    """A room that was laid out, read from `data`, with the changes of an option. `measured`: the room before something
    of it was set anew on the layout page."""
    tile = data.get("tile")
    return ChosenRoom(measured or laid, changed(laid, changes), changes, tile if isinstance(tile, str) else "tile")


def decimal_mm(mm: float) -> Decimal:
    """A length of the engine as stored lengths are: six places, 1/64 in exact."""
    return Decimal(str(round(mm, 6)))


def _moves(chosen: ChosenRoom) -> Iterator[str]:
    units = chosen.measured.units
    for moved in chosen.moved:
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
    for name in chosen.turned:
        tile = chosen.room.tiles[name]
        words = {
            "width": format_length(tile.width, unit=chosen.room.units),
            "height": format_length(tile.height, unit=chosen.room.units),
        }
        if len(chosen.room.tiles) == 1:
            yield _("Tile hung turned: %(width)s wide, %(height)s high.") % words
        else:
            yield _("Tile “%(name)s” hung turned: %(width)s wide, %(height)s high.") % {"name": name, **words}


def _patterns(chosen: ChosenRoom) -> Iterator[str]:
    """What was set anew on the layout page of pattern and corners."""
    before, after = chosen.measured, chosen.room
    for one, other in dict.fromkeys(
        (one.pattern, other.pattern)
        for one, other in zip(before.surfaces, after.surfaces, strict=True)
        if one.pattern != other.pattern
    ):
        yield _("Pattern: %(pattern)s instead of %(before)s.") % {
            "pattern": pattern_text(other),
            "before": pattern_text(one),
        }
    if after.wrap and not before.wrap:
        yield _("The pattern wraps round the corners.")
    elif before.wrap and not after.wrap:
        yield _("The pattern doesn’t wrap round the corners.")


def pattern_text(pattern: Pattern) -> str:
    """A pattern of straight courses in words; another one by its name."""
    if pattern.kind == "offset":
        return _("offset by %(share)s") % {"share": f"{pattern.share.numerator}/{pattern.share.denominator}"}
    return str(PatternKind(pattern.kind).label)
