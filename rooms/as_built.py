"""What was built otherwise than the rough-in sheet has it, put into the room's file: the room that is really there.

Of the measures that a tape reads off the framing, size and place of a niche and the center of a point change the room;
depths, heights and furring are kept on record, since no room file has them.
"""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, cast

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from layout.changes import Moved
from rooms.chosen import changes_of, chosen_room
from rooms.files import mm_text
from rooms.laying import Laid, lay, lay_by_hand
from rooms.models import Layout
from rooms.outlines import box_of, fitted, is_rectangle, outline_of
from rooms.rough_in import Item, Measure, RoughIn
from rooms.varying import Asked, read_asked
from trade.lengths import Unit, format_length, parse_length

_WIDE = ("rough width", "opening width")
_HIGH = ("rough height", "opening height")
_LEFT = ("left side of the rough opening", "left side of the opening", "center, across")
_BOTTOM = ("bottom of the rough opening", "bottom of the opening", "center, up", "center, away")
_MOVING = (_LEFT, _BOTTOM, _WIDE, _HIGH)
"""What of an item each measure is: where it is across and up, and how large."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A measure that isn't as the sheet has it. `moves`: it changes the room."""

    item: Item
    measure: Measure
    mm: Decimal
    units: Unit

    @property
    def text(self) -> str:
        return format_length(self.mm, unit=self.units)

    @property
    def by(self) -> Decimal:
        return self.mm - Decimal(str(self.measure.mm))

    @property
    def moves(self) -> bool:
        return bool(self.item.mark) and any(self.measure.name in names for names in _MOVING)


def differences(sheet: RoughIn, measured: Sequence[Mapping[str, Any]]) -> list[Difference]:
    """What of `measured` ([{"item", "name", "mm"}], as `AsBuilt.measures`) the sheet doesn't say, read as finely as it
    says it."""
    units = cast(Unit, sheet.layout.input["units"])
    found = []
    for each in measured:
        item = sheet.items[each["item"] - 1]
        measure = next(one for one in item.measures if one.name == each["name"])
        mm = Decimal(each["mm"])
        if format_length(mm, unit=units) != measure.text:
            found.append(Difference(item, measure, mm, units))
    return found


def built(data: Mapping[str, Any], shifted: Sequence[Moved], found: Sequence[Difference]) -> dict[str, Any]:
    """A measured room's file as the room was built: framed where the layout `shifted` an opening to, and off the sheet
    by what was `found`. What is framed isn't movable any more. Raises ValueError (a sentence) where a size can't be.
    """
    made = deepcopy(dict(data))
    surfaces = {raw["id"]: raw for raw in made["surfaces"]}
    shifts: dict[tuple[str, str], list[Decimal]] = {}
    for moved in shifted:
        shifts[moved.surface, moved.opening] = [Decimal(str(moved.x)), Decimal(str(moved.y)), Decimal(0), Decimal(0)]
    for each in found:
        if not each.moves:
            continue
        surface, name = each.item.surface, each.measure.name
        place = next(at for at, names in enumerate(_MOVING) if name in names)
        mark, number = next(iter(each.item.mark.items()))
        if mark == "opening":
            shifts.setdefault((surface, number), [Decimal(0)] * 4)[place] += each.by
        else:
            point = surfaces[surface][mark][number]
            at = list(point["at"])
            at[place] = mm_text(parse_length(at[place], unit=made["units"]) + each.by)
            point["at"] = at
    for (surface, opening), (x, y, wide, high) in shifts.items():
        raw = next(one for one in surfaces[surface]["openings"] if one["id"] == opening)
        raw.pop("movable", None)
        _shift(raw, made["units"], x, y, wide, high)
    return made


def _shift(raw: dict[str, Any], units: Unit, x: Decimal, y: Decimal, wide: Decimal, high: Decimal) -> None:
    points = outline_of(raw, units)
    if points is None:
        circle = [parse_length(part, unit=units) for part in raw["circle"]]
        raw["circle"] = [mm_text(circle[0] + x), mm_text(circle[1] + y), mm_text(circle[2])]
        return
    left, bottom, right, top = box_of(points)
    if wide or high:
        box = (left + x, bottom + y, right + x + wide, top + y + high)
        if not is_rectangle(points):
            raise ValueError(
                _("“%(opening)s” is no rectangle: enter its size as built in the room’s file.") % {"opening": raw["id"]}
            )
        if box[0] >= box[2] or box[1] >= box[3]:
            raise ValueError(_("“%(opening)s” would have no size left. Measure it again.") % {"opening": raw["id"]})
        raw["outline"] = fitted(points, box)
    else:
        raw["outline"] = [[mm_text(px + x), mm_text(py + y)] for px, py in points]


@dataclass(frozen=True, slots=True)
class Again:
    """A room as built, laid out anew: `laid` beside the chosen `before`."""

    before: Layout
    laid: Laid

    @property
    def figures(self) -> list[tuple[str, str, str]]:
        """Name, as chosen, as built: what the layout comes to."""
        old = self.before.result["options"][self.before.option - 1]
        new = self.laid.result.to_json()["options"][self.laid.result.chosen - 1]
        rows = [
            (_("Layout"), old["title"], new["title"]),
            (_("Smallest cut"), _least(old), _least(new)),
            (_("Cut pieces"), str(old["counts"]["cut"]), str(new["counts"]["cut"])),
            (_("Full tiles"), str(old["counts"]["whole"]), str(new["counts"]["whole"])),
            (_("Tiles needed"), str(old["tiles"]["needed"]), str(new["tiles"]["needed"])),
            (_("Tiles to order"), _ordered(old["tiles"]), _ordered(new["tiles"])),
        ]
        names = {each["id"]: each["name"] for each in self.before.drawings}
        for was, now in zip(old["surfaces"], new["surfaces"], strict=True):
            lines = {line["name"]: line["text"] for line in now["lines"]}
            for line in was["lines"]:
                label = _("%(surface)s, %(line)s") % {"surface": names[was["id"]], "line": line["name"]}
                rows.append((label, line["text"], lines.get(line["name"], "–")))
        return rows

    @property
    def drawings(self) -> list[dict[str, str]]:
        """Each surface whose drawing changes: `name`, `before` and `after`."""
        return [
            {"name": was["name"], "before": was["svg"], "after": now["svg"]}
            for was, now in zip(self.before.drawings, self.laid.drawings(), strict=True)
            if was["svg"] != now["svg"]
        ]


def lay_again(chosen: Layout, found: Sequence[Difference]) -> Again:
    """The layout's room as it was built, laid out as it was asked for: on the lines that were put by hand, else by the
    option that is most like the chosen one. Raises ValueError as `built` does, and layout.RoomError."""
    asked = asked_still(chosen)
    data = asked.applied(built(chosen.measured or chosen.input, chosen_room(chosen).moved, found))
    if asked.hand:
        return Again(chosen, lay_by_hand(data))
    return Again(chosen, lay(data, option=option_like(chosen, lay(data))))


def asked_still(chosen: Layout) -> Asked:
    """What was set anew on the layout page, without the openings that it moved: those are framed, so the room has them
    where they stand."""
    return replace(read_asked(chosen.asked, unit=chosen.input["units"]), moved=())


def option_like(chosen: Layout, laid: Laid) -> int:
    """The number of the option with the joint, the turned tiles and, if it can be, the title of the chosen one."""
    was = changes_of(chosen)
    title = chosen.result["options"][chosen.option - 1]["title"]
    kept = [
        (option.changes.turned == was.turned, option.changes.joint == was.joint, option.title == title, -number)
        for number, option in enumerate(laid.result.options, 1)
        if not option.changes.moved
    ]
    return -max(kept)[3] if kept else 1


def _ordered(tiles: Mapping[str, Any]) -> str:
    if not tiles.get("boxes"):
        return str(tiles["order"])
    boxes = ngettext("%(count)s box", "%(count)s boxes", tiles["boxes"]) % {"count": tiles["boxes"]}
    return f"{tiles['order']}, {boxes}"


def _least(option: Mapping[str, Any]) -> str:
    return option["least_cut"]["text"] if option.get("least_cut") else _("none")
