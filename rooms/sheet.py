"""The layout sheet, out of a frozen layout alone: what was chosen is set, whatever happened to the room since."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from layout.drawing import draw_surface
from layout.lattice import LATTICES, lattice_of
from layout.rereading import SPECK, area, is_whole, least_of, surfaces_of
from layout.room import Room, Surface
from rooms.chosen import ChosenRoom, chosen_room
from rooms.models import Layout
from shop.retelling import is_english, retold
from trade.lengths import THIRTY_SECOND, Unit, format_length, parse_length


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line to snap: `text` is its distance from what `origin` names."""

    name: str
    origin: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetSurface:
    id: str
    name: str
    svg: SafeString
    lines: tuple[SheetLine, ...]
    whole: int
    cut: int


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A piece to cut: where it goes and how large, along its tile's own sides.

    `label`: its course and column as on the drawing, and which part it is where its tile falls into several.
    `notched`: more than straight cuts; `angled`: straight ones, not all of them square to the tile.
    """

    surface: str
    surface_id: str
    label: str
    course: int
    column: int
    width: str
    height: str
    notched: bool
    angled: bool
    turn: int


@dataclass(frozen=True, slots=True)
class SheetTile:
    """One tile out of the box and what is cut from it."""

    number: int
    name: str
    cuts: tuple[SheetCut, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """`changes`: what of the room isn't as it was measured, in words. `numbered`: whether courses are level ones that
    count up from the level line."""

    tile: str
    joint: str
    joint_high: str
    changes: tuple[str, ...]
    numbered: bool
    surfaces: tuple[SheetSurface, ...]
    tiles: tuple[SheetTile, ...]
    whole: int
    cut: int
    needed: int
    order: int
    boxes: int | None
    findings: tuple[Mapping[str, str], ...]


def sheet_of(layout: Layout) -> Sheet:
    """The sheet of a layout; lengths to 1/16 in, or in mm, as the layout was chosen."""
    option = layout.result["options"][layout.option - 1]
    units: Unit = layout.input["units"]
    names = {drawing["id"]: drawing["name"] for drawing in layout.drawings}
    chosen = chosen_room(layout)
    drawn = _drawings(layout, chosen.room)
    room = chosen.room
    pieces = {piece["id"]: (surface["id"], piece) for surface in option["surfaces"] for piece in surface["pieces"]}
    tiles = []
    for tile in option["cut_plan"]:
        cuts = []
        for cut in tile["cuts"]:
            surface_id, piece = pieces[cut["piece"]]
            surface = room.surface(surface_id)
            if not is_whole(piece, surface):
                name = names.get(surface_id, surface_id)
                cuts.append(_cut(piece, surface, room, turn=cut["turn"], name=name, units=units))
        if cuts:
            tiles.append(SheetTile(number=tile["tile"], name=tile.get("name", ""), cuts=tuple(cuts)))
    many = len({tile.name for tile in tiles}) > 1
    return Sheet(
        tile=_tile(layout, chosen, units),
        joint=_joint(layout, chosen, units),
        joint_high=_length(layout.input.get("joint_high"), units),
        changes=tuple(chosen.texts()),
        numbered=all(surface.pattern.square for surface in room.surfaces),
        surfaces=tuple(_surface(surface, room.surface(surface["id"]), names, drawn) for surface in option["surfaces"]),
        tiles=tuple(tile if many else SheetTile(tile.number, "", tile.cuts) for tile in tiles),
        whole=option["counts"]["whole"],
        cut=option["counts"]["cut"],
        needed=option["tiles"]["needed"],
        order=option["tiles"]["order"],
        boxes=option["tiles"].get("boxes"),
        findings=tuple(layout.result["findings"]),
    )


def _drawings(layout: Layout, room: Room) -> dict[str, str]:
    """The drawings by their surface's id: as they were kept, or the same drawn anew for who doesn't read English."""
    if is_english():
        return {drawing["id"]: drawing["svg"] for drawing in layout.drawings}
    option = layout.result["options"][layout.option - 1]
    least = least_of(option)
    return {
        key: draw_surface(room, room.surface(key), laid, least, say=retold)
        for key, laid in surfaces_of(option, room).items()
    }


def _tile(layout: Layout, chosen: ChosenRoom, units: Unit) -> str:
    """The room's tile by its name; one that hangs turned with how it hangs."""
    raw = layout.input["tile"]
    name: str = raw if isinstance(raw, str) else raw["name"]
    if chosen.tile is None or not chosen.tile_is_turned:
        return name
    sides = {side: format_length(getattr(chosen.tile, side), unit=units) for side in ("width", "height")}
    return _("%(name)s, hung turned: %(width)s wide, %(height)s high") % {"name": name, **sides}


def _joint(layout: Layout, chosen: ChosenRoom, units: Unit) -> str:
    """The room's joint as it will be set."""
    widest = layout.input.get("joint_high")
    high = None if widest is None else parse_length(widest, unit=units)
    joint = chosen.joint(parse_length(layout.input["joint"], unit=units), high)
    return format_length(joint, unit=units, step=THIRTY_SECOND)


def _surface(
    surface: Mapping[str, Any], laid: Surface, names: Mapping[str, str], drawn: Mapping[str, str]
) -> SheetSurface:
    whole = sum(is_whole(piece, laid) for piece in surface["pieces"])
    return SheetSurface(
        id=surface["id"],
        name=names.get(surface["id"], surface["id"]),
        # Our own engine's drawing, kept by our own action; it escapes what it is given.
        svg=mark_safe(drawn.get(surface["id"], "")),  # noqa: S308
        lines=tuple(SheetLine(line["name"], line["from"], line["text"]) for line in surface["lines"]),
        whole=whole,
        cut=len(surface["pieces"]) - whole,
    )


def _cut(piece: Mapping[str, Any], surface: Surface, room: Room, *, turn: int, name: str, units: Unit) -> SheetCut:
    outline = [(x, y) for x, y in piece["outline"]]
    if surface.pattern.kind in LATTICES:
        # Measured along the tile's own sides, wherever the pattern turns them to.
        lattice = lattice_of(surface, room.regrid)
        outline = list(lattice.to_tile(piece["column"], (0.0, 0.0), tuple(outline)))
    xs, ys = [x for x, _y in outline], [y for _x, y in outline]
    box = (max(xs) - min(xs)) * (max(ys) - min(ys))
    notched = bool(piece["holes"]) or not _convex(outline)
    return SheetCut(
        surface=name,
        surface_id=surface.id,
        label=piece["id"][len(surface.id) + 1 :],
        course=piece["course"],
        column=piece["column"],
        width=format_length(max(xs) - min(xs), unit=units, feet=False),
        height=format_length(max(ys) - min(ys), unit=units, feet=False),
        notched=notched,
        angled=not notched and surface.pattern.kind != "hex" and area(outline) < box - SPECK,
        turn=turn,
    )


def _convex(outline: Sequence[Sequence[float]]) -> bool:
    """Whether an outline, counter-clockwise or not, has no corner that goes inward."""
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in _sides(outline)]
    turns = [(a[0] * b[1] - a[1] * b[0]) / ((math.hypot(*a) * math.hypot(*b)) or 1.0) for a, b in _sides(sides)]
    return all(turn > -1e-3 for turn in turns) or all(turn < 1e-3 for turn in turns)


def _sides(points: Sequence[Any]) -> Iterable[tuple[Any, Any]]:
    """Each point with the next, round to the first."""
    return zip(points, [*points[1:], points[0]], strict=True)


def _length(text: str | None, units: Unit) -> str:
    """A length of the frozen input as the setter reads it; nothing where there is none."""
    return "" if text is None else format_length(parse_length(text, unit=units), unit=units, step=THIRTY_SECOND)
