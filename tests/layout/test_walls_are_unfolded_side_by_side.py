"""Walls that meet stand side by side as seen from inside the room, on one level line, their courses running through."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import pytest

import layout
from layout.hand import leads_of
from layout.unfolding import Unfolded, picture, unfolded
from tests.layout.helpers import plain
from tests.layout.nasty import by_hand, nasty


def box(key: str, wide: float, high: float, **more: Any) -> dict[str, Any]:
    outline = [[0, 0], [wide, 0], [wide, high], [0, high]]
    return {"id": key, "kind": "wall", "build_up": "1/2", "outline": outline, **more}


def file_of(surfaces: list[dict[str, Any]], corners: Sequence[tuple[str, str]] = ()) -> dict[str, Any]:
    return {**plain(), "surfaces": surfaces, "corners": [{"first": a, "second": b} for a, b in corners]}


def room_of(surfaces: list[dict[str, Any]], corners: Sequence[tuple[str, str]] = ()) -> layout.Room:
    return layout.read_room(file_of(surfaces, corners))


def order(found: Unfolded) -> list[str]:
    return [each.surface.id for each in found.placed]


def drawn(data: dict[str, Any], lead: str, *, movable: bool = True) -> str:
    """Return the first picture of a room, its lines somewhere on its walls."""
    every = {surface["id"]: ("13 in", None) for surface in data["surfaces"]}
    at = {lead: ("13 in", "9 in")}
    room = layout.read_room(by_hand(data, at if data.get("wrap") else {**every, **at}))
    option = layout.lay_by_hand(room).option
    handles = leads_of(room) if movable else None
    surfaces = {surface.id: surface for surface in option.surfaces}
    least = option.least_cut
    assert least
    return picture(unfolded(room)[0], surfaces, (least.piece, least.text), handles=handles, label="Walls")


def test_they_stand_from_left_to_right_whichever_is_set_first() -> None:
    walls = [box("back", 60, 96), box("right", 36, 96), box("left", 36, 96)]
    for corners in (
        [("back.left", "left.right"), ("back.right", "right.left")],
        [("left.right", "back.left"), ("right.left", "back.right")],
    ):
        (found,) = unfolded(room_of(walls, corners))
        assert order(found) == ["left", "back", "right"]


def test_joined_edges_put_them_in_order_too() -> None:
    walls = [box("b", 60, 96, joins={"right": "c", "left": "a"}), box("a", 30, 96), box("c", 30, 96)]
    assert order(unfolded(room_of(walls))[0]) == ["a", "b", "c"]


def test_walls_round_a_room_have_the_focal_one_in_the_middle() -> None:
    ring = ["north", "east", "south", "west"]
    walls = [box(name, 60, 96, **({"focal": True} if name == "west" else {})) for name in ring]
    corners = [(f"{one}.right", f"{other}.left") for one, other in zip(ring, [*ring[1:], ring[0]], strict=True)]
    found = order(unfolded(room_of(walls, corners))[0])
    assert found.index("west") in (1, 2)
    turned = found.index("north")
    assert found[turned:] + found[:turned] == ring


@pytest.mark.parametrize("level", [0, 7, -5])
def test_one_level_line_runs_through_all_of_them(level: int) -> None:
    walls = [box("back", 60, 90, focal=True), box("left", 36, 84, level=level)]
    svg = drawn(file_of(walls, [("back.left", "left.right")]), "back")
    heights = re.findall(r'<g class="lines"><path d="M[-0-9.]+,([-0-9.]+) H', svg)
    assert len(heights) == 2
    assert abs(float(heights[0]) - float(heights[1])) <= 0.1001


def test_nothing_overlaps_and_all_is_in_the_picture() -> None:
    (found,) = unfolded(layout.read_room(nasty()))
    ends = []
    for each in found.placed:
        left, bottom, right, top = each.surface.bounds
        (x0, y0), (x1, y1) = each.at((left, top)), each.at((right, bottom))
        assert 0 < x0 < x1 < found.width
        assert 0 < y0 < y1 < found.height
        # One scale: 60 in are drawn 60 in wide.
        assert (x1 - x0) / (right - left) == pytest.approx(found.scale) == pytest.approx((y1 - y0) / (top - bottom))
        ends += [x0, x1]
    assert ends == sorted(ends)


def test_a_floor_has_a_picture_of_its_own_below_the_walls() -> None:
    floor = {"id": "floor", "kind": "floor", "outline": [[0, 0], [60, 0], [60, 36], [0, 36]]}
    pictures = unfolded(room_of([floor, box("a", 30, 96), box("b", 30, 96)], [("a.right", "b.left")]))
    assert [order(each) for each in pictures] == [["a", "b"], ["floor"]]
    assert len({each.scale for each in pictures}) == 1


def test_every_line_has_its_handle_and_walls_that_wrap_have_one() -> None:
    assert drawn(nasty(), "back").count('class="handle"') == 3
    wrapped = drawn(nasty(wrap=True), "back")
    assert wrapped.count('class="handle"') == 1
    assert wrapped.count('data-lead="1"') == 3
    assert 'class="handle"' not in drawn(nasty(), "back", movable=False)


def test_names_are_escaped() -> None:
    svg = drawn(file_of([box("a", 30, 96, name='<b>"&')]), "a")
    assert "<b>" not in svg
    assert "&lt;b&gt;" in svg
