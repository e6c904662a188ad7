"""What a printed wall sheet says, frozen when it is asked for: page one, a page a surface, and the cut list."""

from collections.abc import Iterable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.formats import date_format

from layout.rereading import least_of, surfaces_of
from layout.to_scale import POINTS_PER_MM, draw_to_scale, scale_bar
from rooms.chosen import chosen_room
from rooms.models import Layout, Room, SheetPaper
from rooms.queries import is_stale
from rooms.relaid import relaid_text
from rooms.sheet import Sheet, SheetCut, SheetTile, sheet_of
from rooms.watching import Watch, watch_list
from shop.queries import shop_limits, shop_settings
from shop.retelling import retold
from trade.lengths import Unit

SIZES = {
    SheetPaper.LETTER: (215.9, 279.4),
    SheetPaper.TABLOID: (279.4, 431.8),
    SheetPaper.A4: (210.0, 297.0),
    SheetPaper.A3: (297.0, 420.0),
}
"""Width and height upright, mm: ANSI/ASME Y14.1 sizes A and B, ISO 216. From memory."""

TAKEN = (24.0, 58.0)
"""mm of a page's width and height that margins, heading and scale bar take (`wall_sheet.css`)."""

LEVELS = ("stop", "care", "note")


def sheet_input(room: Room, layout: Layout, *, paper: str) -> dict[str, Any]:
    """The input of `documents/wall_sheet.html`: text and drawings. `room` with its parts; two queries."""
    shop, limits = shop_settings(), shop_limits()
    unit: Unit = layout.input["units"]
    sheet = sheet_of(layout)
    option = layout.result["options"][layout.option - 1]
    with timezone.override(ZoneInfo(shop.time_zone)):
        chosen_at = date_format(timezone.localtime(layout.created_at), "DATETIME_FORMAT")
        today = date_format(timezone.localdate(), "DATE_FORMAT")
    return {
        "paper": paper,
        "shop_name": shop.name,
        "room": room.name,
        "number": f"{room.job.number:04d}",
        "job": room.job.title,
        "site": str(room.job.site),
        "title": layout.title,
        "why": layout.why,
        "chosen_by": str(layout.chosen_by),
        "chosen_at": chosen_at,
        "printed_on": today,
        "engine": layout.engine_version,
        "stale": is_stale(room, layout),
        "relaid": relaid_text(layout),
        "tile": sheet.tile,
        "joint": sheet.joint,
        "joint_high": sheet.joint_high,
        "needs": _needs(option["tiles"], sheet.tile),
        "numbered": sheet.numbered,
        "changes": list(sheet.changes),
        "watch": _watch(watch_list(room, layout, unit=unit, limits=limits), layout.result["findings"]),
        "bar": scale_bar(unit),
        "inches": unit == "in",
        "surfaces": _surfaces(layout, option, sheet, SIZES[SheetPaper(paper)]),
        "cuts": _cuts(sheet),
    }


def _watch(watch: Iterable[Watch], findings: Iterable[Mapping[str, str]]) -> list[dict[str, str]]:
    """What to watch for, of room and layout together, the gravest first; what both say, once."""
    said = [{"level": "care" if each.stop else "note", "text": each.text, "source": each.source} for each in watch]
    told = {each["text"] for each in said}
    found = [{"level": each["level"], "text": retold(each["text"]), "source": each["source"]} for each in findings]
    said += [each for each in found if each["text"] not in told]
    return sorted(said, key=lambda each: LEVELS.index(each["level"]))


def _needs(tiles: Mapping[str, Any], name: str) -> list[dict[str, Any]]:
    """What to order, a row for each tile: pieces by the cut list, to order, and boxes where their content is known."""
    by_tile = tiles.get("by_tile") or {name: tiles}
    return [
        {"tile": tile, "needed": need["needed"], "order": need["order"], "boxes": need.get("boxes")}
        for tile, need in by_tile.items()
    ]


def _surfaces(
    layout: Layout, option: Mapping[str, Any], sheet: Sheet, size: tuple[float, float]
) -> list[dict[str, Any]]:
    room = chosen_room(layout).room
    laid, least = surfaces_of(option, room), least_of(option)
    (width, height), (across, up) = size, TAKEN
    areas = [((w - across) * POINTS_PER_MM, (h - up) * POINTS_PER_MM) for w, h in ((width, height), (height, width))]
    found = []
    for told in sheet.surfaces:
        drawn = draw_to_scale(room, room.surface(told.id), laid[told.id], least, areas, say=retold)
        cuts = [cut for tile in sheet.tiles for cut in tile.cuts if cut.surface_id == told.id]
        found.append(
            {
                "name": told.name,
                "svg": drawn.svg,
                "wide": drawn.wide,
                "ratio": drawn.ratio,
                "notes": list(drawn.notes),
                "lines": [{"name": line.name, "origin": line.origin, "text": line.text} for line in told.lines],
                "whole": told.whole,
                "cut": told.cut,
                "sizes": _sizes(cuts),
            }
        )
    return found


def _sizes(cuts: Iterable[SheetCut]) -> list[dict[str, Any]]:
    """The cut pieces of a surface by what they measure: each size once, with how many and which."""
    alike: dict[tuple[str, str, bool, bool], list[SheetCut]] = {}
    for cut in sorted(cuts, key=_place):
        alike.setdefault((cut.width, cut.height, cut.notched, cut.angled), []).append(cut)
    return [{**_said(same[0]), "pieces": [cut.label for cut in same]} for same in alike.values()]


def _cuts(sheet: Sheet) -> list[dict[str, Any]]:
    """The cut list in the order of setting: surface by surface, course by course. `save`: the pieces that the rest of
    the tile is kept for; a piece out of such a rest is `rest`. Pieces side by side that are cut alike, each out of a
    tile of its own, are one row, from `piece` to `last`."""
    order = {surface.id: n for n, surface in enumerate(sheet.surfaces)}
    rows: list[tuple[SheetCut, SheetTile, list[SheetCut] | None]] = []
    for tile in sheet.tiles:
        first, *later = sorted(tile.cuts, key=lambda cut: (order[cut.surface_id], *_place(cut)))
        rows.append((first, tile, later))
        rows += [(cut, tile, None) for cut in later]
    rows.sort(key=lambda row: (order[row[0].surface_id], *_place(row[0])))
    listed: list[dict[str, Any]] = []
    last: SheetCut | None = None
    for cut, tile, kept_for in rows:
        alone = kept_for == []
        alike = {
            **_said(cut),
            "surface": cut.surface,
            "turn": cut.turn,
            "name": tile.name,
            "tile": None if alone else tile.number,
            "rest": kept_for is None,
            "save": [_named(each, cut) for each in kept_for or ()],
        }
        if alone and last is not None and _next_to(last, cut) and listed[-1].items() >= alike.items():
            listed[-1] |= {"last": cut.label, "count": listed[-1]["count"] + 1}
        else:
            listed.append({**alike, "piece": cut.label, "last": "", "count": 1})
        last = cut
    return listed


def _next_to(one: SheetCut, other: SheetCut) -> bool:
    """Whether a piece stands in the same course right after another."""
    return (one.surface_id, one.course, one.column + 1) == (other.surface_id, other.course, other.column)


def _named(cut: SheetCut, seen_from: SheetCut) -> str:
    return cut.label if cut.surface_id == seen_from.surface_id else f"{cut.surface} {cut.label}"


def _place(cut: SheetCut) -> tuple[int, int, str]:
    return cut.course, cut.column, cut.label


def _said(cut: SheetCut) -> dict[str, Any]:
    return {"size": f"{cut.width} × {cut.height}", "notched": cut.notched, "angled": cut.angled}
