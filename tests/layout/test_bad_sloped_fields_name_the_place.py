"""Sloped and round fields that can't be are refused at once, with one error that names the place."""

from __future__ import annotations

import math
from typing import Any

import pytest

import layout
from tests.layout.helpers import plain
from tests.speed import within

ROOF = [[0, 0], [60, 0], [60, 60], [30, 96], [0, 96]]


def shape(outline: Any) -> dict[str, Any]:
    return plain(60, 96, surface={"outline": outline})


def holed(**opening: Any) -> dict[str, Any]:
    return plain(60, 96, surface={"outline": ROOF, "openings": [{"id": "o", "kind": "niche", **opening}]})


def corner(value: Any) -> dict[str, Any]:
    return shape([[0, 0], [value, 0], [60, 96], [0, 96]])


RING = [[30 + 30 * math.cos(n / 480), 30 + 30 * math.sin(n / 480)] for n in range(3000)]
TWO_LOOPS = [[10, 10], [20, 10], [15, 15], [20, 20], [10, 20], [15, 15]]
HUGE = [{"id": str(n), "kind": "floor", "outline": [[0, 0], [400, 1], [401, 400], [0, 399]]} for n in range(5)]
AT, HOLE = "surfaces[0].outline", "surfaces[0].openings[0]"

CASES: list[tuple[str, dict[str, Any], str, str]] = [
    ("a bow tie", shape([[0, 0], [60, 90], [60, 0], [0, 90]]), AT, "cross"),
    ("a spike that turns back", shape([[0, 0], [60, 0], [60, 50], [90, 50], [60, 50], [60, 96]]), AT, "on each other"),
    ("a slanted spike", shape([[0, 0], [60, 0], [60, 50], [90, 70], [60, 50.0001], [60, 96], [0, 96]]), AT, "cross"),
    ("a point twice", shape([[0, 0], [60, 0], [60, 0], [61, 96], [0, 96]]), AT, "same place"),
    ("a slanted line", shape([[0, 0], [30, 30], [60, 60]]), AT, "on each other"),
    ("thousands of points", shape(RING), AT, "1,000"),
    ("an opening that touches itself", holed(outline=TWO_LOOPS), f"{HOLE}.outline", "cross"),
    ("an opening across the roof", holed(outline=[[40, 70], [55, 70], [55, 90]]), f"{HOLE}.outline", "outside"),
    ("a circle of nothing", holed(circle=[30, 30, 0]), f"{HOLE}.circle[2]", "nothing"),
    ("a circle that isn't a number", holed(circle=[30, 30, math.nan]), f"{HOLE}.circle[2]", "not a number"),
    ("a negative circle", holed(circle=[30, 30, -3]), f"{HOLE}.circle[2]", "negative"),
    ("a circle outside", holed(circle=[200, 30, 3]), f"{HOLE}.circle", "outside"),
    ("a circle across the roof", holed(circle=[45, 77, 3]), f"{HOLE}.circle", "outside"),
    ("a circle of two", holed(circle=[45, 77]), f"{HOLE}.circle", "three lengths"),
    ("far beyond", corner(1e308), f"{AT}[1][0]", "1 km"),
    ("thirteen inches", corner("5' 13\""), f"{AT}[1][0]", "twelve"),
    ("marks of inches for feet", corner("5'' 3"), f"{AT}[1][0]", "read"),
    ("half a million", {**plain(60, 96, tile=(1, 1)), "surfaces": HUGE}, "surfaces", "500,000"),
]


@pytest.mark.parametrize(("room", "place", "reason"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_it_is_refused_at_once_with_its_place(room: dict[str, Any], place: str, reason: str) -> None:
    errors = []

    def lay() -> None:
        with pytest.raises(layout.RoomError) as caught:
            layout.lay_out(layout.read_room(room))
        errors.append(caught.value)

    assert within(1.0, lay)
    assert errors[0].place == place
    assert reason in errors[0].reason


def test_circles_may_touch_each_other() -> None:
    pipes = [{"id": str(n), "kind": "pipe", "circle": [20 + 6 * n, 30, 3]} for n in range(2)]
    room = layout.read_room(plain(60, 96, surface={"outline": ROOF, "openings": pipes}))
    assert [opening.id for opening in room.surfaces[0].openings] == ["0", "1"]


@pytest.mark.parametrize("outline", [ROOF, [[0, 0], [60, 0], [60, 0.02]]], ids=["all opening", "a needle"])
def test_a_field_in_which_nothing_lies_is_laid_with_nothing(outline: list[list[float]]) -> None:
    surface: dict[str, Any] = {"outline": outline}
    if outline is ROOF:
        surface["openings"] = [{"id": "o", "kind": "window", "outline": ROOF}]
    result = layout.lay_out(layout.read_room(plain(60, 96, surface=surface)))
    assert (result.option.counts.whole, result.option.counts.cut) == (0, 0)
