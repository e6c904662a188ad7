"""Rooms that aren't all level and plumb, or whose tiles aren't: shapes, patterns, and seeded random ones."""

from __future__ import annotations

import random
from typing import Any

from tests.layout.helpers import plain

OUT_OF_SQUARE = [[0, 0], [60, 0], [60.5, 96], [-0.25, 96.25]]
SLOPED = [[0, 0], [60, 0], [60, 60], [30, 96], [0, 96]]
ELL = [[0, 0], [70, 0], [70, 40], [31, 40], [31, 81], [0, 81]]
CURVED = [[0, 0], [50, 0], [50, 30], [48, 42], [42, 51], [33, 57], [20, 60], [0, 60]]
TRIANGLE = [[0, 0], [63, 4], [20, 50]]
DRAIN = {"id": "drain", "kind": "drain", "circle": [30, 30, 3]}
BAY = {"id": "bay", "kind": "fixture", "outline": [[10, 20], [25, 18], [28, 30], [12, 33]]}

PATTERNS: dict[str, dict[str, Any]] = {
    "stack": {"kind": "stack"},
    "thirds": {"kind": "offset", "share": "1/3"},
    "stair by columns": {"kind": "offset", "share": "1/4", "run": "stair", "axis": "columns"},
    "diagonal": {"kind": "diagonal"},
    "herringbone": {"kind": "herringbone"},
    "straight herringbone": {"kind": "herringbone", "angle": 0},
    "hex": {"kind": "hex"},
}
SHAPES: dict[str, list[list[float]]] = {
    "rectangle": [[0, 0], [60, 0], [60, 96], [0, 96]],
    "out of square": OUT_OF_SQUARE,
    "sloped": SLOPED,
    "ell": ELL,
    "curved": CURVED,
    "triangle": TRIANGLE,
}


def free_room(shape: str, pattern: str, *, openings: Any = (), **more: Any) -> dict[str, Any]:
    """Return a room of one surface of the zoo; the tile suits the pattern."""
    tile = {"hex": (8, 8), "herringbone": (12, 6), "straight herringbone": (6, 18)}.get(pattern, (12, 12))
    surface = {"openings": [dict(each) for each in openings], "outline": SHAPES[shape]}
    return plain(60, 96, tile=tile, pattern=PATTERNS[pattern], surface=surface, **more)


def random_free_room(seed: int) -> dict[str, Any]:
    """Return a floor whose corners are a little, or much, out of square, under any pattern, perhaps with a drain."""
    rng = random.Random(seed)
    wide, high = rng.uniform(30, 70), rng.uniform(30, 80)
    lean = rng.choice([0.0, 0.3, 1.0, 12.0])
    outline = [
        [round(x + rng.uniform(-lean, lean), 3), round(y + rng.uniform(-lean, lean), 3)]
        for x, y in ([0, 0], [wide, 0], [wide, high], [0, high])
    ]
    if rng.random() < 0.3:
        outline.insert(3, [round(wide * 0.5, 3), round(high * rng.choice([0.7, 1.2]), 3)])
    name = rng.choice(list(PATTERNS))
    tile = (round(rng.uniform(5, 14), 2), round(rng.uniform(5, 14), 2))
    if name == "diagonal":
        tile = (tile[0], tile[0])
    if "herringbone" in name:
        tile = (tile[0], round(tile[0] * rng.choice([2, 2.5, 3]), 2))
    surface: dict[str, Any] = {"outline": outline}
    if rng.random() < 0.4:
        middle = [round(wide / 2, 2), round(high / 2.5, 2), 2.5]
        surface["openings"] = [{"id": "drain", "kind": "drain", "circle": middle}]
    more: dict[str, Any] = {"reuse": rng.choice(["factory-edge", "any-edge", "none"])}
    if rng.random() < 0.3:
        more["joint_high"] = "3/16"
    if rng.random() < 0.3:
        more["edge_gap"] = rng.choice(["1/4", 0])
    return plain(60, 96, tile=tile, pattern=PATTERNS[name], surface=surface, **more)
