"""What to ask the supplier for in a room, and what the figures say of tile and place, in words."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from layout.room import Surface
from layout.takeoff import Bed
from layout.values import decimal
from rooms.models import Layout, Room, SurfaceKind
from rooms.specification import specification_of
from rooms.tiles.worn import largest_tile, tile_called
from rooms.watching import known_of, longest_run, tile_kg
from trade.asking import Materials, materials_for
from trade.lengths import THIRTY_SECOND, Unit, format_length
from trade.limits import Outcome
from trade.lippage import Way, ways
from trade.materials import EPOXY, Direction, mortar_for_all, trowel_for
from trade.rules import Place
from trade.shop_limits import ShopLimits
from trade.sources import Rule
from trade.specification import PANEL_MM2
from trade.suiting import suits

_DIRECTIONS: tuple[tuple[Direction, str | Promise, frozenset[str]], ...] = (
    ("floor", gettext_lazy("Floor"), frozenset({SurfaceKind.FLOOR})),
    ("wall", gettext_lazy("Walls"), frozenset(set(SurfaceKind) - {SurfaceKind.FLOOR, SurfaceKind.CEILING})),
    ("ceiling", gettext_lazy("Ceiling"), frozenset({SurfaceKind.CEILING})),
)


_SHAPES = {"square": gettext_noop("square"), "v": gettext_noop("V"), "u": gettext_noop("U")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing to ask for, such as mortar; `why` are sentences with their sources."""

    name: str
    text: str
    why: tuple[tuple[str, str], ...]
    wrong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The lines of a room's floor, walls or ceiling."""

    heading: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What one rule says by this room's figures."""

    outcome: Outcome
    text: str
    source: str


def asked_for(room: Room, layout: Layout | None, *, unit: Unit, limits: ShopLimits) -> list[Asked]:
    """What each direction of the room asks for by the shop's `limits`, by class, lengths in `unit`; nothing of a room
    without surfaces.

    Reads what `rooms.queries.with_parts` has prefetched.
    """
    found = {surface.kind for surface in room.surfaces.all()}
    return [
        Asked(heading=str(heading), lines=tuple(_lines(_materials(room, layout, direction, kinds, limits), unit)))
        for direction, heading, kinds in _DIRECTIONS
        if found & kinds
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Classes:
    """What a room asks for: the ANSI classes of one mortar for all of it and of its grout, the kind of membrane and of
    substrate. None where no one does for all, or nobody has said."""

    mortar: str | None
    grout: str | None
    membrane: str | None
    substrate: str | None


def classes_of(room: Room, layout: Layout | None, *, limits: ShopLimits) -> Classes:
    """What `asked_for` has for each direction, put together. Reads what `rooms.queries.with_parts` has prefetched."""
    spec = specification_of(room, layout)
    found = {surface.kind for surface in room.surfaces.all()}
    asked = [
        _materials(room, layout, direction, kinds, limits) for direction, _name, kinds in _DIRECTIONS if found & kinds
    ]
    grouts = {EPOXY} if spec.epoxy_grout else {each.grout.classes[0] if each.grout else None for each in asked}
    return Classes(
        mortar=mortar_for_all(each.mortar.classes[0] for each in asked),
        grout=grouts.pop() if len(grouts) == 1 else None,
        membrane=spec.membrane,
        substrate=spec.substrate,
    )


def what_figures_say(room: Room, layout: Layout | None, *, unit: Unit, limits: ShopLimits) -> list[Said]:
    """Every verdict that the room's figures allow or ask for: what fails first, then what nobody can tell yet."""
    if not room.surfaces.all():
        return []
    order: list[Outcome] = ["fails", "can't tell", "holds"]
    spec = specification_of(room, layout)
    found = suits(spec, known_of(room, spec), limits=limits)
    verdicts = sorted((verdict for _concern, verdict in found), key=lambda each: order.index(each.outcome))
    return [
        Said(outcome=each.outcome, text=each.say(unit=unit, translate=_), source=each.rule.cited) for each in verdicts
    ]


def beds_of(room: Room) -> Callable[[Surface], Bed]:
    """How the engine's surfaces of the room are set, by tile and place: what `asked_for` says, for the takeoff."""
    place = cast(Place, room.place)

    def bed(surface: Surface) -> Bed:
        tile = tile_called(room, surface.tile.name)
        sides = decimal(surface.tile.width), decimal(surface.tile.height)
        advice = trowel_for(
            longest_edge_mm=max(sides),
            place=place,
            mosaic=tile.mosaic,
            panel=sides[0] * sides[1] >= PANEL_MM2,
            stone=surface.tile.stone,
        )
        return Bed(notch=advice.notch, back_butter=advice.back_butter, ribs_mm=tile.ribs or Decimal(0))

    return bed


def other_ways(room: Room, layout: Layout | None, *, limits: ShopLimits) -> Sequence[Way]:
    """What lippage the tile's bow makes as planned and otherwise; nothing in a stack, or before the bow is measured."""
    if not room.surfaces.all():
        return ()
    spec, tile = specification_of(room, layout), largest_tile(room)
    if not spec.pattern_offset:
        return ()
    return ways(
        warp_mm=tile.warp,
        longest_mm=spec.tile_longest_edge_mm,
        spread_mm=tile.size_spread,
        rectified=spec.rectified,
        stone=spec.stone,
        joint_mm=spec.joint_mm,
        share=spec.pattern_offset,
        limits=limits,
    )


def _materials(
    room: Room, layout: Layout | None, direction: Direction, kinds: frozenset[str], limits: ShopLimits
) -> Materials:
    return materials_for(
        specification_of(room, layout, kinds=kinds),
        direction=direction,
        tile_kg=tile_kg(largest_tile(room, kinds)),
        longest_run_mm=longest_run(room) if direction == "floor" else None,
        limits=limits,
    )


def _lines(found: Materials, unit: Unit) -> Iterable[Line]:
    size, _space, shape = found.notch.rpartition(" ")
    notch = {"size": size, "shape": _(_SHAPES[shape])}
    trowel = _("%(size)s in %(shape)s notch to begin with") % notch
    if found.back_butter:
        trowel = _("%(size)s in %(shape)s notch to begin with, each tile back-buttered") % notch
    yield Line(name=_("Trowel"), text=trowel, why=_why(found.trowel_rules))
    yield Line(name=_("Mortar"), text=_either(found.mortar.classes), why=_why(found.mortar.rules))
    if found.grout is None:
        yield Line(name=_("Grout"), text=_(found.grout_trouble), why=(), wrong=True)
    else:
        ansi, iso, *sand = found.grout.classes
        text = ", ".join([_either((ansi, iso)), *(_(each) for each in sand)])
        yield Line(name=_("Grout"), text=text, why=_why(found.grout.rules))
    soft, least, most = (_length(mm, unit) for mm in (found.soft_mm, *found.sealant_depth_mm))
    depth = least if least == most else _("%(least)s to %(most)s") % {"least": least, "most": most}
    text = _("%(width)s wide, sealant %(depth)s deep over a backer") % {"width": soft, "depth": depth}
    yield Line(name=_("Soft joints"), text=text, why=_why((found.soft_rule,)))
    yield Line(
        name=_("Sealant"), text=", ".join(_(each) for each in found.sealant.classes), why=_why(found.sealant.rules)
    )


def _either(classes: tuple[str, ...]) -> str:
    """The two standards' marks for one thing."""
    ansi, iso = classes
    return _("ANSI %(ansi)s or ISO %(iso)s") % {"ansi": ansi, "iso": iso}


def _why(rules: Iterable[Rule]) -> tuple[tuple[str, str], ...]:
    return tuple((_(rule.text), rule.cited) for rule in rules)


def _length(mm: Decimal, unit: Unit) -> str:
    return format_length(mm, unit=unit, step=THIRTY_SECOND, feet=False)
