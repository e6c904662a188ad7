"""From checked forms to the room file that they describe, on top of what the file said before."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.text import slugify

from base.keys import free_key
from layout import read_room
from rooms.corners import CornerRow, write_corners
from rooms.entry.forms import BLOCKING, EDGE_FIELDS, OpeningForm
from rooms.entry.page import OpeningPart, RoomEntry, SurfacePart
from rooms.entry.state import JOINTS, NO_KIND
from rooms.entry.taken import KEY, OwnOutline, corner_of, kept_legs, kept_measures, moves_shown
from rooms.files import FORMAT, mm_text, tile_to_file
from rooms.measured import Box, Corner, Point, box_from
from rooms.models import Tile
from rooms.outlines import box_of, fitted, is_rectangle, outline_of, rectangle
from trade.lengths import parse_length

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
    # A phone may send what it kept before it was asked.
    if room["outlines_of"]:
        data["outlines_of"] = room["outlines_of"]
    if data.get("outlines_of") == "board":
        del data["outlines_of"]
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
    _soften(data, base, entry)
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


def _soften(data: _Data, base: Mapping[str, Any], entry: RoomEntry) -> None:
    """A corner that is new gets the usual soft joint of walls."""
    before = base.get("corners") or ()
    for corner in data.get("corners") or ():
        if corner.get("soft") is None and corner not in before:
            corner["soft"] = mm_text(parse_length(JOINTS[entry.unit][0], unit=entry.unit))


def surface_raw(part: SurfacePart, base: Mapping[str, Any]) -> _Data:
    """A surface for its drawing, with as many of its openings as are right. It has to have an outline."""
    return _surface(part, set(), base, valid_only=True)


def _surface(part: SurfacePart, taken: set[str], base: Mapping[str, Any], *, valid_only: bool = False) -> _Data:
    typed = part.form.cleaned_data
    found = deepcopy(dict(part.raw))
    if not part.raw:
        found["id"] = _new_key(typed.get("key") or typed.get("name") or typed.get("kind") or "", taken)
    found |= {name: typed.get(name) for name in ("kind", "wet", "focal")}
    if typed.get("name") or "name" in found:
        found["name"] = typed.get("name")
    for name in ("build_up", "edge_gap"):
        _set(found, name, typed.get(name))
    own = part.own
    if not part.fixed:
        own = _write_outline(found, part)
    if not valid_only:
        _write_finishes(found, part, base)
    openings = _openings(part, base, own, valid_only)
    for name, rows in (("openings", openings), ("blocking", _blocking(part, own, valid_only))):
        if rows:
            found[name] = rows
        else:
            found.pop(name, None)
    return found


def _own_of(part: SurfacePart) -> OwnOutline:
    """The outline that was measured, standing where the file had it."""
    x, y = part.own.origin
    points = [(px + x, py + y) for px, py in part.outlined.points]
    return OwnOutline(points, (x, y), part.measures)


def _write_outline(found: _Data, part: SurfacePart) -> OwnOutline:
    """That outline, with the measures that its points don't say."""
    own = _own_of(part)
    points, measures = list(own.points), own.measures
    sure = bool(part.form.cleaned_data.get("sure"))
    kept = kept_measures(measures, part.bows, sure=sure) if measures else kept_legs(part.steps)
    if kept:
        found[KEY] = kept
    else:
        found.pop(KEY, None)
    if is_rectangle(points) and is_rectangle(part.own.points):
        found["outline"] = fitted(part.own.points, box_of(points))
    elif points != list(part.own.points):
        found["outline"] = [[mm_text(px), mm_text(py)] for px, py in points]
    return own


def _write_finishes(found: _Data, part: SurfacePart, base: Mapping[str, Any]) -> None:
    """How edges end, where that was changed."""
    edges = deepcopy(found.get("edges") or {})
    for name, finish in _finishes(part, base).items():
        if finish != (edges.get(name) or {}).get("finish", "soft"):
            edges[name] = {**(edges.get(name) or {}), "finish": finish}
    if part.walked:
        there = {f"edge {number}" for number in range(len(part.outlined.points))}
        edges = {name: edge for name, edge in edges.items() if name in there or not name.startswith("edge ")}
    if edges or "edges" in found:
        found["edges"] = edges


def _finishes(part: SurfacePart, base: Mapping[str, Any]) -> dict[str, str]:
    """What was chosen for the edges, by their names in the file."""
    typed = part.form.cleaned_data
    if part.walked and "closing" in part.form.fields:
        legs = [leg.cleaned_data["finish"] or "soft" for leg in part.legs if leg.step]
        closing = [typed.get("closing") or "soft"] * (len(part.outlined.points) - len(legs))
        return {f"edge {number}": finish for number, finish in enumerate([*legs, *closing])}
    if all_edges := typed.get("all_edges"):
        told = part.raw.get("edges") or {}
        (surface,) = (each for each in read_room(base).surfaces if each.id == part.raw["id"])
        return {edge.name if edge.name in told else f"edge {edge.index}": all_edges for edge in surface.edges}
    return {side: typed.get(name) or "soft" for side, name in EDGE_FIELDS.items() if name in part.form.fields}


def _openings(part: SurfacePart, base: Mapping[str, Any], own: OwnOutline, valid_only: bool) -> list[_Data]:
    known = {raw["id"]: raw for raw in part.raw.get("openings", ())}
    forms = [each for each in _right(part, valid_only) if not each.form.is_blocking]
    taken = {key for each in forms if (key := each.form.cleaned_data["key"]) in known}
    found = []
    for each in forms:
        typed = each.form.cleaned_data
        raw = known.get(typed["key"], {})
        opening = deepcopy(dict(raw))
        if not raw:
            opening["id"] = _new_key(typed["kind"], taken)
        if typed["kind"] != (raw.get("kind") or NO_KIND) or not raw:
            opening["kind"] = typed["kind"]
        if not each.fixed:
            _place_opening(opening, each.form, own, base)
        _write_moves(opening, typed, raw, base)
        found.append(opening)
    return found


def _right(part: SurfacePart, valid_only: bool) -> list[OpeningPart]:
    return [each for each in part.openings if not valid_only or each.form.is_valid()]


def _blocking(part: SurfacePart, own: OwnOutline, valid_only: bool) -> list[_Data]:
    known = {f"{BLOCKING}{number}": raw for number, raw in enumerate(part.raw.get("blocking") or ())}
    found = []
    for each in _right(part, valid_only):
        if each.form.is_blocking:
            typed = each.form.cleaned_data
            raw = deepcopy(dict(known.get(typed["key"], {})))
            x, y = _box(own, each.form)[:2]
            _write_corner(raw, each.form)
            found.append({**raw, "at": [mm_text(x), mm_text(y)], "for": typed["kind"].removeprefix(BLOCKING)})
    return found


def opening_box(part: SurfacePart, form: OpeningForm) -> Box:
    """Where a valid opening's box stands on a surface that has an outline of its own."""
    return _box(_own_of(part), form)


def _box(own: OwnOutline, form: OpeningForm) -> Box:
    typed = form.cleaned_data
    corner: Corner = typed["corner"] or "lower left"
    if not form.is_round and not form.is_blocking:
        size = (typed["width"], typed["height"])
        return box_from(own.corner(corner), corner, typed["left"], typed["bottom"], size)
    x, y = box_from(own.corner(corner), corner, typed["left"], typed["bottom"], _NO_SIZE)[:2]
    radius = typed["width"] / 2 if form.is_round else Decimal(0)
    return x - radius, y - radius, x + radius, y + radius


def _place_opening(opening: _Data, form: OpeningForm, own: OwnOutline, base: Mapping[str, Any]) -> None:
    typed = form.cleaned_data
    _write_corner(opening, form)
    box = _box(own, form)
    if form.is_round:
        radius = typed["width"] / 2
        opening["circle"] = [mm_text(each) for each in (box[0] + radius, box[1] + radius, radius)]
        opening.pop("outline", None)
        return
    points = outline_of(opening, base["units"]) if opening.get("outline") else None
    opening["outline"] = fitted(points, box) if points else rectangle(box)
    opening.pop("circle", None)


def _write_corner(raw: _Data, form: OpeningForm) -> None:
    corner: Corner = form.cleaned_data["corner"] or "lower left"
    if corner != corner_of(raw):
        raw[KEY] = {"from": corner}


_NO_SIZE: Point = (Decimal(0), Decimal(0))


def _write_moves(opening: _Data, typed: Mapping[str, Any], raw: Mapping[str, Any], base: Mapping[str, Any]) -> None:
    """How far it may be moved, each way alike, where that was changed."""
    shown = moves_shown(raw, base["units"]) if raw else {}
    movable = dict(opening.get("movable") or {})
    for axis in ("x", "y"):
        most = typed[f"moves_{axis}"]
        if most == shown.get(f"moves_{axis}"):
            continue
        movable.pop(axis, None)
        if most is not None:
            movable[axis] = [mm_text(-most), mm_text(most)]
    if movable:
        opening["movable"] = movable
    else:
        opening.pop("movable", None)


def _set(data: _Data, name: str, mm: Decimal | None) -> None:
    if mm is None:
        data.pop(name, None)
    else:
        data[name] = mm_text(mm)


def _new_key(wish: str, taken: set[str]) -> str:
    """A short name for the file that nobody has yet; it goes into `taken`."""
    return free_key(slugify(wish)[:40] or "surface", taken)
