"""Seeded rooms of one or two sloped, curved or broken surfaces under stack and offset."""

from __future__ import annotations

import math
import random
from typing import Any

from tests.layout.helpers import plain

Outline = list[list[float]]

SHAPES = ("out of square", "sloped ceiling", "ell", "bay", "arch", "circle", "touching circles", "corner")
PATTERNS: tuple[dict[str, Any], ...] = (
    {"kind": "stack"},
    {"kind": "offset", "share": "1/3"},
    {"kind": "offset", "share": "1/2", "axis": "columns"},
    {"kind": "offset", "share": "1/3", "run": "stair"},
    {"kind": "offset", "share": "1/4", "run": "stair", "axis": "columns"},
)


def out_of_square(rng: random.Random, wide: float, high: float, lean: float = 1.0) -> Outline:
    """Return a rectangle each of whose corners is off by up to `lean` both ways, inches."""
    corners = ([0, 0], [wide, 0], [wide, high], [0, high])
    return [[round(x + rng.uniform(-lean, lean), 3), round(y + rng.uniform(-lean, lean), 3)] for x, y in corners]


def sloped_room(seed: int, shape: str) -> dict[str, Any]:
    """Return a room of a shape, tile, pattern, joint and gap that the seed brings."""
    rng = random.Random(f"{seed} {shape}")
    wide, high = rng.uniform(24, 60), rng.uniform(24, 60)
    surface: dict[str, Any] = {"outline": out_of_square(rng, wide, high)}
    if shape == "sloped ceiling":
        rise = math.tan(math.radians(rng.uniform(2, 60)))
        drop = min(0.8 * wide * rise, 0.8 * high)
        knee = [round(wide - drop / rise, 3), round(high, 3)]
        surface = {"kind": "wall", "outline": [[0, 0], [wide, 0], [wide, round(high - drop, 3)], knee, [0, high]]}
    elif shape == "ell":
        lean = rng.uniform(-2, 2)
        surface["outline"] = [
            [0, 0], [wide, 0], [wide, high / 2], [wide * 0.45, high / 2], [wide * 0.45 + lean, high], [0, high]
        ]  # fmt: skip
    elif shape == "bay":
        bow = [[wide * (1 - t), high * (0.6 + 0.4 * math.sin(math.pi * t))] for t in (0.15, 0.35, 0.5, 0.65, 0.85)]
        surface["outline"] = [[0, 0], [wide, 0], [wide, high * 0.6], *bow, [0, high * 0.6]]
    elif shape == "arch":
        turns = [math.pi * n / 24 for n in range(25)]
        rim = [[wide / 2 * (1 + math.cos(turn)), high * 0.6 + wide / 2 * math.sin(turn)] for turn in turns]
        surface = {"kind": "wall", "outline": [[0, 0], [wide, 0], *rim]}
    elif shape in ("circle", "touching circles"):
        radius = round(rng.uniform(1, 4), 3)
        middle = [round(wide / 2, 3), round(high / 2, 3)]
        surface["openings"] = [{"id": "pipe", "kind": "pipe", "circle": [*middle, radius]}]
        if shape == "touching circles":
            beside = {"id": "other", "kind": "pipe", "circle": [middle[0] + 2 * radius, middle[1], radius]}
            surface["openings"].append(beside)
    surface["outline"] = [[round(x, 3), round(y, 3)] for x, y in surface["outline"]]
    tile = (round(rng.uniform(4, 13), 3), round(rng.uniform(4, 13), 3))
    more: dict[str, Any] = {"reuse": rng.choice(["factory-edge", "any-edge", "none"])}
    if rng.random() < 0.5:
        more["joint_high"] = rng.choice(["3/16", "1/4"])
    if rng.random() < 0.4:
        more["edge_gap"] = rng.choice(["1/4", "3/8"])
    room = plain(60, 96, tile=tile, pattern=rng.choice(PATTERNS), surface=surface, **more)
    if shape == "corner":
        room["surfaces"][0].update(id="first", kind="wall", build_up="9/16")
        outline = [[0, 0], [wide, 0], [wide, round(high * 0.6, 3)], [round(wide * 0.3, 3), high], [0, high]]
        room["surfaces"].append({"id": "second", "kind": "wall", "build_up": "1/2", "outline": outline})
        room["corners"] = [{"first": "first.right", "second": "second.left", "soft": "1/8"}]
    return room
