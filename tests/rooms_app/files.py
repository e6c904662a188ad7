"""Room files for these tests: the three samples, the format's own example, and small ones made here."""

import json
from copy import deepcopy
from pathlib import Path

SAMPLES = Path(__file__).parents[2] / "config/demo/rooms"
PLACES = {
    "quarry-lane-shower": "shower",
    "mill-house-tub": "tub_surround",
    "station-hall-floor": "dry_floor",
    "format-example": "shower",
}

# The example of FORMATS.md, `gaugerod-room/1`, word for word.
EXAMPLE = {
    "format": "gaugerod-room/1",
    "name": "Upstairs bath, shower",
    "units": "in",
    "tile": {
        "width": 11.8125,
        "height": 23.625,
        "thickness": "3/8",
        "edge": "rectified",
        "size_spread": 0.4,
        "warp": 0.6,
        "turns": [0, 180],
        "per_box": 8,
        "finish": "glazed",
    },
    "joint": "5/32",
    "joint_high": "3/16",
    "pattern": {"kind": "offset", "share": "1/3", "run": "alternate"},
    "edge_gap": "1/8",
    "enough": 0.5,
    "kerf": 2.5,
    "reuse": "factory-edge",
    "setting": {"coverage": 0.95, "back_butter": True, "trowel": "1/2 x 1/2 square"},
    "surfaces": [
        {
            "id": "back",
            "name": "Back wall",
            "kind": "wall",
            "wet": True,
            "focal": True,
            "build_up": "9/16",
            "outline": [[0, 0], [60, 0], [60, 96], [0, 96]],
            "openings": [
                {
                    "id": "niche",
                    "kind": "niche",
                    "outline": [[18, 42], [32, 42], [32, 56], [18, 56]],
                    "movable": {"x": [-2, 2], "y": [-3, 3]},
                }
            ],
            "edges": {"top": {"gap": "1/8"}},
        },
        {
            "id": "left",
            "kind": "wall",
            "wet": True,
            "build_up": "9/16",
            "outline": [[0, 0], [36, 0], [36, 96], [0, 96]],
        },
    ],
    "corners": [{"first": "back.left", "second": "left.right", "soft": "1/8"}],
}


def sample(name: str) -> dict:
    if name == "format-example":
        return deepcopy(EXAMPLE)
    return json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def one_wall(**changes) -> dict:
    """A wall of 1000 x 500 mm with a tile of 100 x 100 mm, joint 2 mm."""
    wall = {"id": "wall", "kind": "wall", "outline": [[0, 0], [1000, 0], [1000, 500], [0, 500]]}
    return {
        "format": "gaugerod-room/1",
        "name": "Backsplash",
        "units": "mm",
        "tile": {"width": 100, "height": 100, "thickness": 8},
        "joint": 2,
        "surfaces": [wall],
        **changes,
    }


def changeable() -> dict:
    """The format's example, so that one of its options moves the niche, one tunes the joint and one turns the tile."""
    data = sample("format-example")
    data["tile"]["turns"] = [0, 90, 180, 270]
    data |= {"joint": "1/8", "joint_high": "3/16"}
    data["surfaces"][0]["openings"][0]["outline"] = [[18, 42], [31, 42], [31, 57], [18, 57]]
    return data


def option_that(result, change: str) -> int:
    """The number of the option of an engine's result that changes `openings`, `joint` or `turned`."""
    found = [n for n, each in enumerate(result.options, 1) if change in each.changes.to_json("in")]
    assert found, f"no option changes {change}"
    return found[0]
