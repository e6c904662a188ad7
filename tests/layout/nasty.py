"""A deliberately hard room: an attic shower of 4 in tiles with 1/8 in joints, sloped ceilings and five openings."""

from __future__ import annotations

from typing import Any


def nasty(**more: Any) -> dict[str, Any]:
    """Return the room file; `more` adds to the room or takes the place of what it says."""
    room: dict[str, Any] = {
        "format": "gaugerod-room/1",
        "name": "Attic shower",
        "units": "in",
        "tile": {"width": 4, "height": 4, "thickness": "5/16", "per_box": 80},
        "joint": "1/8",
        "pattern": {"kind": "stack"},
        "surfaces": [
            _wall(
                "left",
                [[0, 0], [38.25, 0], [38.25, 92.5], [14, 92.5], [0, 61]],
                [_box("window", "window", 9, 38, 14.5, 20)],
            ),
            _wall(
                "back",
                [[0, 0], [59.6875, 0], [59.6875, 92.5], [0, 92.5]],
                [
                    _box("niche", "niche", 12.25, 41, 14, 14),
                    _box("bench", "bench", 43, 0, 16.6875, 18.5),
                    {"id": "valve", "kind": "valve", "circle": [30, 44, 2.5]},
                ],
                focal=True,
            ),
            _wall(
                "right",
                [[0, 0], [38, 0], [38, 61], [24, 92.5], [0, 92.5]],
                [_box("door", "door", 26, 0, 12, 30)],
            ),
        ],
        "corners": [
            {"first": "back.left", "second": "left.right", "soft": "1/8"},
            {"first": "back.right", "second": "right.left", "soft": "1/8"},
        ],
    }
    return {**room, **more}


def with_a_curb() -> dict[str, Any]:
    """Return the same room with a curb, which has two courses at most."""
    curb = _wall("curb", [[0, 0], [33.875, 0], [33.875, 4.75], [0, 4.75]], [], kind="curb")
    return nasty(surfaces=[*nasty()["surfaces"], curb])


def by_hand(room: dict[str, Any], lines: dict[str, tuple[object, object]]) -> dict[str, Any]:
    """Return a room file with lines pinned by lengths: by the id of a surface, x and y; None: not said."""
    surfaces = []
    for surface in room["surfaces"]:
        x, y = lines.get(surface["id"], (None, None))
        pin = {axis: value for axis, value in (("x", x), ("y", y)) if value is not None}
        surfaces.append({**surface, **({"pin": pin} if pin else {})})
    return {**room, "surfaces": surfaces}


def _wall(name: str, outline: list[list[float]], openings: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    wall = {"id": name, "name": f"{name.capitalize()} wall", "kind": "wall", "wet": True, "build_up": "9/16"}
    return {**wall, "outline": outline, "openings": openings, **more}


def _box(name: str, kind: str, x: float, y: float, wide: float, high: float) -> dict[str, Any]:
    return {"id": name, "kind": kind, "outline": [[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]]}
