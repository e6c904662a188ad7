"""Seeded random rooms, as a measurer might bring them home and as nobody would."""

from __future__ import annotations

import random
from typing import Any

INCH = 25.4


def random_room(seed: int, *, walls: int | None = None, size: float = 1.0) -> dict[str, Any]:
    """Return a room file: one floor, or up to three walls that meet, with whatever the seed brings.

    `size`: how large the surfaces are against the usual, to make rooms of few pieces.
    """
    rng = random.Random(seed)
    units = rng.choice(["in", "mm"])
    one = 1.0 if units == "in" else INCH
    width = _size(rng, 5, 24, one)
    height = _size(rng, 5, 24, one)
    room: dict[str, Any] = {
        "format": "gaugerod-room/1",
        "name": f"Room {seed}",
        "units": units,
        "tile": {
            "width": width,
            "height": height,
            "thickness": "3/8",
            "turns": rng.choice([[0], [0, 180], [0, 90, 180, 270]]),
        },
        "joint": rng.choice(["1/16", "1/8", "3/16", "2 mm", "5 mm"]),
        "pattern": random_pattern(rng),
        "reuse": rng.choice(["factory-edge", "factory-edge", "any-edge", "none"]),
        "kerf": rng.choice([0, 2, 2.5, 3.2]),
        "enough": rng.choice([0.5, 0.5, 0.33, 1]),
    }
    if rng.random() < 0.6:
        room["joint_high"] = rng.choice(["3/16", "7/32", "1/4"]) if room["joint"] != "5 mm" else "6 mm"
    if rng.random() < 0.4:
        room["edge_gap"] = rng.choice(["1/8", "1/4", "8 mm", 0])
    count = walls or rng.choice([1, 1, 2, 3])
    if count == 1:
        kind = rng.choice(["floor", "wall"])
        room["surfaces"] = [random_surface(rng, one, "only", kind, shaped=True, size=size)]
        return room
    tall = _size(rng, 40 * size, 100 * size, one)
    room["surfaces"] = [
        random_surface(rng, one, f"w{n}", "wall", shaped=False, tall=tall, size=size) for n in range(count)
    ]
    room["surfaces"][rng.randrange(count)]["focal"] = True
    if rng.random() < 0.5:
        for surface in room["surfaces"]:
            surface["build_up"] = rng.choice(["9/16", "5/8", "1/2"])
        pairs = [("w0.right", "w1.left"), ("w1.right", "w2.left")][: count - 1]
        room["corners"] = [
            {"first": a, "second": b, "soft": "1/8"} if rng.random() < 0.5 else {"first": b, "second": a}
            for a, b in pairs
        ]
    else:
        for n in range(count - 1):
            room["surfaces"][n]["joins"] = {"right": f"w{n + 1}"}
            room["surfaces"][n + 1].setdefault("joins", {})["left"] = f"w{n}"
    return room


def thin_room(seed: int) -> dict[str, Any]:
    """Return a small random room whose openings are slots, or lie a hair from an edge or from each other: what is left
    beside them is about as wide as the 1 mm of rule 1."""
    rng = random.Random(seed)
    room = random_room(seed, size=rng.choice([0.3, 0.5]))
    one = 1.0 if room["units"] == "in" else INCH
    room["edge_gap"] = rng.choice([0, "1 mm", "0.5 mm", "1.5 mm", "1/8", "1/2"])
    for surface in room["surfaces"]:
        if len(surface["outline"]) > 4:
            continue
        wide, high = (max(point[axis] for point in surface["outline"]) for axis in (0, 1))
        kept: list[list[list[float]]] = []
        for _ in range(rng.choice([1, 2, 3])):
            slot = rng.uniform(0.5, 3) / INCH * one
            x0, y0 = rng.choice([0.0, rng.uniform(0, wide * 0.8)]), rng.choice([0.0, rng.uniform(0, high * 0.8)])
            x1 = min(wide, x0 + rng.choice([slot, rng.uniform(0.02, 0.5) * wide]))
            y1 = min(high, y0 + rng.uniform(0.02, 0.5) * high)
            x0, x1, y0, y1 = (round(value, 3) for value in (x0, x1, y0, y1))
            if all(x1 <= o[0][0] or x0 >= o[1][0] or y1 <= o[0][1] or y0 >= o[2][1] for o in kept):
                kept.append([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        surface["openings"] = [{"id": f"slot {n}", "kind": "niche", "outline": each} for n, each in enumerate(kept)]
        surface["edges"] = {
            side: {"gap": rng.choice([0, "1 mm", "2 mm", "1/2"]), "hidden": rng.random() < 0.4}
            for side in ("left", "right", "top", "bottom")
            if rng.random() < 0.4
        }
    return room


def random_pattern(rng: random.Random) -> dict[str, Any]:
    if rng.random() < 0.4:
        return {"kind": "stack"}
    share = rng.choice(["1/2", "1/3", "1/4", 0.35, "2/3"])
    run = rng.choice(["alternate", "alternate", "stair"])
    return {"kind": "offset", "share": share, "run": run, "axis": rng.choice(["rows", "rows", "columns"])}


def random_surface(
    rng: random.Random,
    one: float,
    name: str,
    kind: str,
    *,
    shaped: bool,
    tall: float | None = None,
    size: float = 1.0,
) -> dict[str, Any]:
    wide, high = _size(rng, 20 * size, 90 * size, one), tall or _size(rng, 20 * size, 100 * size, one)
    outline = [[0, 0], [wide, 0], [wide, high], [0, high]]
    form = rng.choice(["plain", "ell", "tee", "notch"]) if shaped else "plain"
    x, y = (round(side * rng.uniform(0.3, 0.7), 3) for side in (wide, high))
    x2 = round(x + (wide - x) * rng.uniform(0.2, 0.8), 3)
    if form == "ell":
        outline = [[0, 0], [wide, 0], [wide, y], [x, y], [x, high], [0, high]]
    elif form == "tee":
        outline = [[0, 0], [wide, 0], [wide, y], [x2, y], [x2, high], [x, high], [x, y], [0, y]]
    elif form == "notch":
        outline = [[0, 0], [x, 0], [x, y], [x2, y], [x2, 0], [wide, 0], [wide, high], [0, high]]
    if rng.random() < 0.3:
        outline.reverse()
    surface: dict[str, Any] = {"id": name, "kind": kind, "outline": outline}
    if form in ("plain", "ell") and rng.random() < 0.7:
        surface["openings"] = _openings(rng, x if form == "ell" else wide, y if form == "ell" else high)
    if form == "plain" and rng.random() < 0.3:
        side = rng.choice(["left", "right", "top", "bottom"])
        surface["edges"] = {side: {"gap": rng.choice([0, "1/4", "10 mm"]), "hidden": rng.random() < 0.5}}
    return surface


def _openings(rng: random.Random, wide: float, high: float) -> list[dict[str, Any]]:
    """Return an opening or two, now and then against an edge, or an L of one."""
    x0, x1 = sorted(round(wide * rng.uniform(0.05, 0.95), 3) for _ in range(2))
    y0, y1 = sorted(round(high * rng.uniform(0.1, 0.9), 3) for _ in range(2))
    if rng.random() < 0.2:
        y0 = 0.0
    if x1 - x0 < wide / 20 or y1 - y0 < high / 20:
        return []
    outline = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
    if rng.random() < 0.2:
        mx, my = round((x0 + x1) / 2, 3), round((y0 + y1) / 2, 3)
        outline = [[x0, y0], [x1, y0], [x1, my], [mx, my], [mx, y1], [x0, y1]]
    return [{"id": "opening", "kind": "niche", "outline": outline}]


def _size(rng: random.Random, low: float, high: float, one: float) -> float:
    """Return a size as it is read off a tape: mostly to 1/16, sometimes as it comes."""
    inches = rng.uniform(low, high)
    inches = round(inches * 16) / 16 if rng.random() < 0.7 else round(inches, 3)
    return round(inches * one, 3)
