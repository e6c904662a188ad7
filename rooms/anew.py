"""A room's file with joint, pattern, tile direction, an opening or pins set anew: it is changed in place."""

from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import Any

import layout
from layout.changes import tunable
from layout.values import decimal
from rooms.files.going_out import mm_text
from trade.lengths import parse_length


def pattern_anew(pattern: Mapping[str, Any], share: str) -> dict[str, Any]:
    kept = {key: pattern[key] for key in ("axis", "run") if key in pattern}
    return {**kept, "kind": "stack"} if share == "stack" else {**kept, "kind": "offset", "share": share}


def set_joint(data: dict[str, Any], room: layout.Room, joint: Decimal) -> None:
    """Set the joint of every surface whose range holds it, as the engine tunes it: the gaps at the edges stay."""
    for raw, surface in zip(data["surfaces"], room.surfaces, strict=True):
        if not (tunable(surface) and surface.joint <= float(joint) + 1e-9 <= surface.joint_high + 2e-9):
            continue
        raw.setdefault("edge_gap", f"{decimal(surface.edge_gap):f} mm")
        raw["joint_high"] = f"{decimal(surface.joint_high):f} mm"
        raw["joint"] = mm_text(joint)
    if all("joint" in raw for raw in data["surfaces"]):
        data["joint"] = mm_text(joint)


def turn(data: dict[str, Any], names: Collection[str]) -> None:
    """Hang tiles the other way, by the engine's names of them."""
    tile, tiles = data["tile"], data.get("tiles", {})
    if not isinstance(tile, str) and "tile" in names:
        data["tile"] = _on_its_side(tile)
    for name in set(tiles) & set(names):
        tiles[name] = _on_its_side(tiles[name])


def _on_its_side(tile: Mapping[str, Any]) -> dict[str, Any]:
    return {**tile, "width": tile["height"], "height": tile["width"]}


def move(data: dict[str, Any], surface: int, opening: int, x: Decimal, y: Decimal) -> None:
    try:
        raw = data["surfaces"][surface]["openings"][opening]
    except (IndexError, KeyError):
        return
    units = data["units"]

    def shifted(value: Any, by: Decimal) -> str:
        return mm_text(parse_length(value, unit=units) + by)

    if "circle" in raw:
        across, up, radius = raw["circle"]
        raw["circle"] = [shifted(across, x), shifted(up, y), radius]
    else:
        raw["outline"] = [[shifted(across, x), shifted(up, y)] for across, up in raw["outline"]]


def line_text(room: layout.Room, index: int, low: int, mm: Decimal) -> str:
    """A line's place along x (0) or y (1) in its surface's coordinates, as a file says it."""
    return f"{mm + decimal(room.surfaces[index].bounds[low]):f} mm"


def pinned_with(room: layout.Room, axis: str, pins: Collection[int], *, wrap: bool) -> list[int]:
    """The places of the surfaces that pins along an axis hold, and of those they would be held elsewhere by."""
    ids = {surface.id: n for n, surface in enumerate(room.surfaces)}
    groups = [[ids[name] for name in group] for group in room.groups]
    together = axis == "y" or wrap
    return [n for mine in groups for n in mine if n in pins or (together and any(each in pins for each in mine))]


def pin_lines(data: dict[str, Any], room: layout.Room, axis: str, pins: Mapping[int, str]) -> None:
    """Pin surfaces, by their place, in one direction; pins of others that would hold them elsewhere go."""
    ids = {surface.id: n for n, surface in enumerate(room.surfaces)}
    anew = pinned_with(room, axis, pins, wrap=bool(data.get("wrap")))
    for mine in ([ids[name] for name in group] for group in room.groups):
        if not any(n in pins for n in mine):
            continue
        for n in mine:
            raw = data["surfaces"][n]
            pin = {**data.get("pin", {}), **raw.get("pin", {})}
            if n in anew:
                pin.pop(axis, None)
            if n in pins and pins[n] != "none":
                pin[axis] = pins[n]
            # Said here for each, so that the whole room's says nothing to the surfaces of this group.
            raw["pin"] = pin
    others = [n for n in range(len(ids)) if "pin" not in data["surfaces"][n]]
    whole = data.pop("pin", None)
    if whole:
        for n in others:
            data["surfaces"][n]["pin"] = dict(whole)
