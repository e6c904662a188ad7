"""Small rooms to start a test from."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import layout

SAMPLES = Path(__file__).parents[2] / "config/demo/rooms"
NAMES = ("quarry-lane-shower", "mill-house-tub", "station-hall-floor")


def sample(name: str) -> dict[str, Any]:
    """Return a sample room file as data."""
    return json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def plain(
    wide: object = 60, high: object = 96, *, tile: tuple[object, object] = (12, 12), joint: object = "1/8", **more: Any
) -> dict[str, Any]:
    """Return a room of one rectangular floor, in inches; `surface` adds to the surface, the rest to the room."""
    surface = more.pop("surface", {})
    outline = [[0, 0], [wide, 0], [wide, high], [0, high]]
    room = {
        "format": "gaugerod-room/1",
        "name": "Plain",
        "units": "in",
        "tile": {"width": tile[0], "height": tile[1], "thickness": "3/8"},
        "joint": joint,
        "surfaces": [{"id": "floor", "kind": "floor", "outline": outline, **surface}],
    }
    return {**room, **more}


def laid(data: dict[str, Any], *, option: int = 1) -> tuple[layout.Room, layout.Result, dict[str, Any]]:
    """Return the room, the result, and the result as it is printed and read back."""
    room = layout.read_room(copy.deepcopy(data))
    result = layout.lay_out(room, option=option)
    return room, result, json.loads(layout.dumps(result.to_json()))


def places_in(data: object, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the way, key by key, to everything that stands in plain data."""
    found = [path] if path else []
    parts = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in parts:
        found += places_in(value, (*path, key))
    return found
