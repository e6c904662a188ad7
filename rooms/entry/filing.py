"""From checked forms to the room file that they describe, on top of what the file said before."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.text import slugify

from rooms.corners import CornerRow, write_corners
from rooms.entry.page import RoomEntry, SurfacePart
from rooms.entry.state import NO_KIND
from rooms.files import FORMAT, mm_text, tile_to_file
from rooms.models import Tile
from rooms.outlines import box_of, fitted, outline_of, rectangle

_Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Filed:
    """A room file, and the tile of the shop that was picked for it, if one was."""

    data: _Data
    tile: Tile | None


def file_entry(entry: RoomEntry) -> Filed:
    """The file that the entry describes. Its forms have to be valid."""
    base = entry.base
    room = entry.room_form.cleaned_data
    data: _Data = {"format": FORMAT, "units": entry.unit, **base}
    data |= {"name": room["name"], "place": room["place"], "demolition": room["demolition"]}
    for name in ("joint", "joint_high", "edge_gap"):
        _set(data, name, room[name])
    data["pattern"] = _pattern(room, base.get("pattern") or {})
    picked = entry.tile_form.cleaned_data.get("tile")
    if picked is None:
        data["tile"] = _new_tile(entry.tile_form.cleaned_data)
    elif picked != entry.room_tile:
        data["tile"] = tile_to_file(picked)
    taken = {part.raw["id"] for part in entry.surfaces if part.raw}
    data["surfaces"] = [_surface(part, taken, base) for part in entry.surfaces]
    typed = [form.cleaned_data for form in entry.corners]
    rows = [CornerRow(int(each["left"]), int(each["right"]), each["first"]) for each in typed]
    write_corners(data, rows, base=base)
    return Filed(data, picked)


def _pattern(room: Mapping[str, Any], raw: Mapping[str, Any]) -> _Data:
    kind, _space, angle = room["pattern"].partition(" ")
    found = {**raw, "axis": room["axis"], "run": room["run"]}
    if "/" in kind:
        found |= {"kind": "offset", "share": kind}
    elif raw.get("kind") != kind:
        found.pop("share", None)
        found["kind"] = kind
    # A herringbone without an angle is turned by 45 degrees.
    if angle:
        found["angle"] = int(angle)
    elif kind != "herringbone" or not found.get("angle"):
        found.pop("angle", None)
    return found


def _new_tile(typed: Mapping[str, Any]) -> _Data:
    found: _Data = {"edge": typed["edge"]}
    for name in ("width", "height", "thickness", "size_spread", "warp"):
        _set(found, name, typed[name])
    for name in ("per_box", "name"):
        if typed[name]:
            found[name] = typed[name]
    if typed["stone"]:
        found["stone"] = True
    if typed["directional"]:
        found["turns"] = [0]
    return found


def _surface(part: SurfacePart, taken: set[str], base: Mapping[str, Any]) -> _Data:
    typed = part.form.cleaned_data
    found = deepcopy(dict(part.raw))
    if not part.raw:
        found["id"] = _new_key(typed["key"] or typed["name"] or typed["kind"], taken)
    found |= {"kind": typed["kind"], "wet": typed["wet"], "focal": typed["focal"]}
    if typed["name"] or "name" in found:
        found["name"] = typed["name"]
    _set(found, "build_up", typed["build_up"])
    # Openings are measured from the lower left of the surface, wherever its file puts that.
    points = outline_of(part.raw, base["units"]) if part.raw else None
    left, bottom = box_of(points)[:2] if points else (Decimal(0), Decimal(0))
    if not part.fixed:
        box = (left, bottom, left + typed["width"], bottom + typed["height"])
        found["outline"] = fitted(points, box) if points else rectangle(box)
    openings = _openings(part, base, left, bottom)
    if openings:
        found["openings"] = openings
    else:
        found.pop("openings", None)
    return found


def _openings(part: SurfacePart, base: Mapping[str, Any], left: Decimal, bottom: Decimal) -> list[_Data]:
    known = {raw["id"]: raw for raw in part.raw.get("openings", ())}
    taken = {key for each in part.openings if (key := each.form.cleaned_data["key"]) in known}
    found = []
    for each in part.openings:
        typed = each.form.cleaned_data
        raw = known.get(typed["key"], {})
        opening = deepcopy(dict(raw))
        if not raw:
            opening["id"] = _new_key(typed["kind"], taken)
        if typed["kind"] != (raw.get("kind") or NO_KIND) or not raw:
            opening["kind"] = typed["kind"]
        if not each.fixed:
            x, y = left + typed["left"], bottom + typed["bottom"]
            box = (x, y, x + typed["width"], y + typed["height"])
            points = outline_of(raw, base["units"]) if raw else None
            opening["outline"] = fitted(points, box) if points else rectangle(box)
        found.append(opening)
    return found


def _set(data: _Data, name: str, mm: Decimal | None) -> None:
    if mm is None:
        data.pop(name, None)
    else:
        data[name] = mm_text(mm)


def _new_key(wish: str, taken: set[str]) -> str:
    """A short name for the file that nobody has yet; it goes into `taken`."""
    stem = slugify(wish)[:40] or "surface"
    key, number = stem, 1
    while key in taken:
        number += 1
        key = f"{stem}-{number}"
    taken.add(key)
    return key
