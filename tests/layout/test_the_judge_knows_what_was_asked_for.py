"""Pins, aims, wrapped corners and the names of options: the judge finds what is planted, and nothing in what is right.

Places worked out by hand; FORMATS.md is what they are judged by.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from layout.verify import faults
from layout.verify_pins import asked_faults
from tests.layout.helpers import NAMES, laid, plain, sample

Plant = Callable[[dict[str, Any]], object]
INCH = 25.4

AIM = [{"at": [40, 24 - 1 / 16], "want": "joint-centered", "why": "valve"}]
MISSED = plain(60, 96, edge_gap=0, surface={"aim": AIM, "pin": {"x": 31, "y": 24}})
"""The nearest joint stands 3 1/16 in right of the aim."""

WALL = plain(60, 96, edge_gap="1/8", surface={"kind": "wall", "pin": {"x": "tile-centered", "y": "full-at-top"}})
SHOWER = sample("quarry-lane-shower")


def option(printed: dict[str, Any], title: str = "Recommended") -> dict[str, Any]:
    return next(each for each in printed["options"] if each["title"] == title)


def shift(title: str, axis: int, mm: float, surface: int = 0) -> Plant:
    def plant(printed: dict[str, Any]) -> None:
        option(printed, title)["surfaces"][surface]["datum"][axis] += mm

    return plant


def say(old: str, new: str) -> Plant:
    def plant(printed: dict[str, Any]) -> None:
        told = next(each for each in printed["findings"] if each["rule"] == "layout.aim")
        assert old in told["text"]
        told["text"] = told["text"].replace(old, new)

    return plant


def drop_aim(printed: dict[str, Any]) -> None:
    printed["findings"] = [each for each in printed["findings"] if each["rule"] != "layout.aim"]


def swap_largest(printed: dict[str, Any]) -> None:
    one, other = option(printed), option(printed, "Largest smallest cut")
    one["title"], other["title"] = other["title"], one["title"]


def better_elsewhere(printed: dict[str, Any]) -> None:
    option(printed, "Full course at the top")["score"][0] = option(printed)["score"][0] + 0.1


PLANTED: list[tuple[str, dict[str, Any], Plant, str]] = [
    ("a pin across kept 1 mm off", WALL, shift("Recommended", 0, 1.0), "pin of x"),
    ("a pin up kept 1 mm off", WALL, shift("Recommended", 1, -1.0), "pin of y"),
    ("a length pinned, kept 0.1 mm off", MISSED, shift("Set by hand", 0, 0.1), "pin of x"),
    ("an aim that is missed untold", MISSED, drop_aim, "no finding says so"),
    ("an aim missed by another length", MISSED, say('3 1/16"', '2 1/16"'), "a finding says"),
    ("an aim missed the other way", MISSED, say("right", "left"), "a finding says"),
    ("an aim missed up as well", MISSED, say(" right", ' right and 1" up'), "a finding says"),
    ("no full course at the top", SHOWER, shift("Full course at the top", 1, 1.0, 1), "full-at-top"),
    ("no full course at the bottom", SHOWER, shift("Full course at the bottom", 1, 0.1, 1), "full-at-bottom"),
    ("a tile 1/16 in off the middle", SHOWER, shift("Tile centered on back", 0, INCH / 16, 1), "tile-centered"),
    ("a joint 1/16 in off the middle", SHOWER, shift("Joint centered on back", 0, -INCH / 16, 1), "joint-centered"),
    ("a largest that isn't", SHOWER, swap_largest, "another option"),
    ("a better one than the recommended", SHOWER | {"joint_high": "1/8"}, better_elsewhere, "the recommended scores"),
]


@pytest.mark.parametrize(("data", "plant", "word"), [each[1:] for each in PLANTED], ids=[each[0] for each in PLANTED])
def test_a_planted_fault_is_found(data: dict[str, Any], plant: Plant, word: str) -> None:
    room, _, printed = laid(data)
    assert list(asked_faults(room, printed)) == []
    plant(printed)
    found = faults(room, printed)
    assert any(word in fault for fault in found), found


def test_an_aim_that_is_met_is_not_told_as_missed() -> None:
    """Pinned to 31, a joint's middle stands 1/16 in left of 31: an aim there is met both ways."""
    aim = [{"at": [31 - 1 / 16, 24 - 1 / 16], "want": "joint-centered", "why": "valve"}]
    room, _, printed = laid(plain(60, 96, edge_gap=0, surface={"aim": aim, "pin": {"x": 31, "y": 24}}))
    assert list(asked_faults(room, printed)) == []
    _, _, missed = laid(MISSED)
    printed["findings"] += [each for each in missed["findings"] if each["rule"] == "layout.aim"]
    assert any("is met" in fault for fault in faults(room, printed))


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_found_in_the_sample_rooms(name: str) -> None:
    room, _, printed = laid(sample(name))
    assert list(asked_faults(room, printed)) == []


PINS: list[dict[str, Any]] = [
    {"x": "full-at-left", "y": "full-at-bottom"},
    {"x": "full-at-right"},
    {"x": "joint-centered", "y": 24},
    {"x": "tile-centered", "y": "full-at-top"},
]
PATTERNS: list[dict[str, Any]] = [
    {"kind": "offset", "share": "1/3", "run": "stair"},
    {"kind": "offset", "share": "1/2", "axis": "columns"},
    {"kind": "diagonal"},
    {"kind": "herringbone"},
    {"kind": "hex"},
]


@pytest.mark.parametrize("pattern", PATTERNS, ids=lambda each: f"{each['kind']}-{each.get('axis', 'rows')}")
@pytest.mark.parametrize("pin", PINS, ids=lambda each: "-".join(map(str, each.values())))
def test_pins_are_kept_in_every_pattern_and_1_mm_is_found(pattern: dict[str, Any], pin: dict[str, Any]) -> None:
    size = {"hex": (8, 8 * 2 / 3**0.5), "diagonal": (8, 8)}.get(pattern["kind"], (6, 12))
    room, _, printed = laid(plain(40, 50, tile=size, pattern=pattern, surface={"kind": "wall", "pin": pin}))
    assert list(asked_faults(room, printed)) == []
    printed["options"][0]["surfaces"][0]["datum"][0] += 1.0
    assert any("pin of x" in fault for fault in asked_faults(room, printed))


@pytest.mark.parametrize("pattern", PATTERNS[2:], ids=lambda each: each["kind"])
def test_other_patterns_go_on_round_a_corner_and_1_mm_is_found(pattern: dict[str, Any]) -> None:
    data = copy.deepcopy(SHOWER) | {"wrap": True, "pattern": pattern}
    data["tile"] |= {"width": 8, "height": 8 * 2 / 3**0.5 if pattern["kind"] == "hex" else 8}
    if pattern["kind"] == "herringbone":
        data["tile"]["height"] = 16
    room, _, printed = laid(data)
    assert faults(room, printed) == []
    printed["options"][0]["surfaces"][0]["datum"][0] += 1.0
    assert any("round their corner" in fault for fault in faults(room, printed))
