"""The layout sheet, out of a frozen layout alone: what was chosen is set, whatever happened to the room since."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from rooms.models import Layout
from trade.lengths import THIRTY_SECOND, Unit, format_length, parse_length


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A line to snap: `text` is its distance from what `origin` names."""

    name: str
    origin: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetSurface:
    name: str
    svg: SafeString
    lines: tuple[SheetLine, ...]
    whole: int
    cut: int


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A piece to cut: where it goes and how large; `notched`: more than straight cuts."""

    surface: str
    course: int
    column: int
    width: str
    height: str
    notched: bool
    turn: int


@dataclass(frozen=True, slots=True)
class SheetTile:
    """One tile out of the box and what is cut from it."""

    number: int
    name: str
    cuts: tuple[SheetCut, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    tile: str
    joint: str
    joint_high: str
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
    drawn = {drawing["id"]: drawing["svg"] for drawing in layout.drawings}
    pieces = {piece["id"]: (surface["id"], piece) for surface in option["surfaces"] for piece in surface["pieces"]}
    tiles = []
    for tile in option["cut_plan"]:
        cuts = [
            _cut(*pieces[cut["piece"]], turn=cut["turn"], names=names, units=units)
            for cut in tile["cuts"]
            if not _whole(pieces[cut["piece"]][1])
        ]
        if cuts:
            tiles.append(SheetTile(number=tile["tile"], name=tile.get("name", ""), cuts=tuple(cuts)))
    many = len({tile.name for tile in tiles}) > 1
    tile = layout.input["tile"]
    return Sheet(
        tile=tile if isinstance(tile, str) else tile["name"],
        joint=_length(layout.input["joint"], units),
        joint_high=_length(layout.input.get("joint_high"), units),
        surfaces=tuple(_surface(surface, names, drawn) for surface in option["surfaces"]),
        tiles=tuple(tile if many else SheetTile(tile.number, "", tile.cuts) for tile in tiles),
        whole=option["counts"]["whole"],
        cut=option["counts"]["cut"],
        needed=option["tiles"]["needed"],
        order=option["tiles"]["order"],
        boxes=option["tiles"].get("boxes"),
        findings=tuple(layout.result["findings"]),
    )


def _surface(surface: Mapping[str, Any], names: Mapping[str, str], drawn: Mapping[str, str]) -> SheetSurface:
    whole = sum(_whole(piece) for piece in surface["pieces"])
    return SheetSurface(
        name=names.get(surface["id"], surface["id"]),
        # Our own engine's drawing, kept by our own action; it escapes what it is given.
        svg=mark_safe(drawn.get(surface["id"], "")),  # noqa: S308
        lines=tuple(SheetLine(line["name"], line["from"], line["text"]) for line in surface["lines"]),
        whole=whole,
        cut=len(surface["pieces"]) - whole,
    )


def _cut(surface: str, piece: Mapping[str, Any], *, turn: int, names: Mapping[str, str], units: Unit) -> SheetCut:
    xs, ys = [x for x, _ in piece["outline"]], [y for _, y in piece["outline"]]
    return SheetCut(
        surface=names.get(surface, surface),
        course=piece["course"],
        column=piece["column"],
        width=format_length(max(xs) - min(xs), unit=units, feet=False),
        height=format_length(max(ys) - min(ys), unit=units, feet=False),
        notched=len(piece["outline"]) > 4 or bool(piece["holes"]),
        turn=turn,
    )


def _length(text: str | None, units: Unit) -> str:
    """A length of the frozen input as the setter reads it; nothing where there is none."""
    return "" if text is None else format_length(parse_length(text, unit=units), unit=units, step=THIRTY_SECOND)


def _whole(piece: Mapping[str, Any]) -> bool:
    return piece["cut_share"] >= 1 and len(piece["outline"]) == 4 and not piece["holes"]
