"""Inside corners between walls: in the file they are `corners` (with build-up) or `joins`, on the page one row each.

A row says that the right edge of one wall meets the left edge of the next. Whatever else meets in a file, such as a
floor and a wall, has no row and stays as it is.
"""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from trade.lengths import Unit, format_length, parse_length

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class CornerRow:
    """Surfaces by index: the wall on the left, the wall on the right, and which is set first ("joins": neither)."""

    left: int
    right: int
    first: str


def corner_rows(data: Mapping[str, Any]) -> list[CornerRow]:
    """The rows of a room file, in order of its corners, then of its joins."""
    index = {raw["id"]: number for number, raw in enumerate(data.get("surfaces", ()))}
    return [CornerRow(index[left], index[right], first) for (left, right), first in _pairs(data).items()]


def corner_texts(data: Mapping[str, Any], *, unit: Unit) -> list[str]:
    """What meets in a room, in words: every corner and join of its file."""
    names = {raw["id"]: raw.get("name") or raw["id"] for raw in data["surfaces"]}
    texts = []
    for corner in data.get("corners") or ():
        (first, _a), (second, _b) = _split(corner["first"]), _split(corner["second"])
        text = _("%(first)s is set first, %(second)s begins at its face") % {
            "first": names[first],
            "second": names[second],
        }
        if corner.get("soft") is not None:
            soft = parse_length(corner["soft"], unit=data["units"])
            text += ", " + _("soft joint %(soft)s") % {"soft": format_length(soft, unit=unit)}
        texts.append(text)
    joined = {
        tuple(sorted((raw["id"], other))) for raw in data["surfaces"] for other in (raw.get("joins") or {}).values()
    }
    for one, other in sorted(joined):
        texts.append(_("%(one)s and %(other)s meet, no build-up") % {"one": names[one], "other": names[other]})
    return texts


def write_corners(data: dict[str, Any], rows: Sequence[CornerRow], *, base: Mapping[str, Any]) -> None:
    """Brings `corners` and `joins` of `data` to what the rows say; what `base` said already stays as it is."""
    surfaces = {raw["id"]: raw for raw in data["surfaces"]}
    keys = list(surfaces)
    before = _pairs(base)
    now = {(keys[row.left], keys[row.right]): row.first for row in rows}
    corners = [deepcopy(dict(each)) for each in base.get("corners") or ()]
    corners = [each for each in corners if all(_split(each[end])[0] in surfaces for end in ("first", "second"))]
    for raw in surfaces.values():
        _keep_joins(raw, {side: other for side, other in (raw.get("joins") or {}).items() if other in surfaces})
    for pair in before:
        if pair in now and now[pair] == before[pair]:
            del now[pair]
            continue
        _part(surfaces, pair)
        if now.get(pair, "joins") == "joins":
            corners = [each for each in corners if _pair_of(each)[0] != pair]
    for (left, right), first in now.items():
        if first == "joins":
            _keep_joins(surfaces[left], {**(surfaces[left].get("joins") or {}), "right": right})
            _keep_joins(surfaces[right], {**(surfaces[right].get("joins") or {}), "left": left})
            continue
        ends = (f"{left}.right", f"{right}.left")
        corner = next((each for each in corners if _pair_of(each)[0] == (left, right)), None)
        if corner is None:
            corner = {}
            corners.append(corner)
        corner["first"], corner["second"] = ends if first == "left" else ends[::-1]
    if corners:
        data["corners"] = corners
    else:
        data.pop("corners", None)


def _pairs(data: Mapping[str, Any]) -> dict[Pair, str]:
    """Each pair of walls (left, right) that meets, with which of them is set first."""
    walls = {raw["id"] for raw in data.get("surfaces", ()) if raw["kind"] == "wall"}
    found: dict[Pair, str] = {}
    for corner in data.get("corners") or ():
        pair, first = _pair_of(corner)
        if pair and walls.issuperset(pair):
            found[pair] = first
    for raw in data.get("surfaces", ()):
        joins = raw.get("joins") or {}
        pairs = [(raw["id"], joins.get("right")), (joins.get("left"), raw["id"])]
        for pair in pairs:
            if walls.issuperset(pair):
                found.setdefault(pair, "joins")
    return found


def _pair_of(corner: Mapping[str, Any]) -> tuple[Pair | None, str]:
    """The walls left and right of a corner, and which is set first; None where other edges meet."""
    (first, first_side), (second, second_side) = _split(corner["first"]), _split(corner["second"])
    if (first_side, second_side) == ("right", "left"):
        return (first, second), "left"
    if (first_side, second_side) == ("left", "right"):
        return (second, first), "right"
    return None, ""


def _split(end: str) -> Pair:
    surface, _dot, side = end.rpartition(".")
    return surface, side


def _part(surfaces: Mapping[str, dict[str, Any]], pair: Pair) -> None:
    """Takes a join between two walls out of both."""
    for key, side, other in ((pair[0], "right", pair[1]), (pair[1], "left", pair[0])):
        if key in surfaces:
            joins = dict(surfaces[key].get("joins") or {})
            if joins.get(side) == other:
                del joins[side]
            _keep_joins(surfaces[key], joins)


def _keep_joins(raw: dict[str, Any], joins: dict[str, str]) -> None:
    if joins:
        raw["joins"] = joins
    else:
        raw.pop("joins", None)
