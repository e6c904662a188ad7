"""Every nasty file gets one error that names the place, and never an answer."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import layout
from tests.layout.helpers import NAMES, places_in, plain, sample

Change = Callable[[dict[str, Any]], object]


def wall(room: dict[str, Any]) -> dict[str, Any]:
    return room["surfaces"][1]


def niche(room: dict[str, Any]) -> dict[str, Any]:
    return room["surfaces"][1]["openings"][0]


def put(name: str, value: object) -> Change:
    return lambda room: room.__setitem__(name, value)


def put_tile(name: str, value: object) -> Change:
    return lambda room: room["tile"].__setitem__(name, value)


def put_wall(name: str, value: object) -> Change:
    return lambda room: wall(room).__setitem__(name, value)


def put_niche(name: str, value: object) -> Change:
    return lambda room: niche(room).__setitem__(name, value)


BOW_TIE = [[0, 0], [60, 96], [60, 0], [0, 96]]
CROSSED = [[0, 0], [60, 0], [60, 40], [30, 40], [30, -10], [20, -10], [20, 96], [0, 96]]

CASES: list[tuple[str, Change, str, str]] = [
    ("another format", put("format", "room/1"), "format", "gaugerod-room/1"),
    ("no format", lambda room: room.pop("format"), "format", "nothing"),
    ("no units", lambda room: room.pop("units"), "units", "in, mm"),
    ("unknown units", put("units", "cm"), "units", '"cm"'),
    ("no name", lambda room: room.pop("name"), "name", "missing"),
    ("a number for a name", put("name", 7), "name", "text"),
    ("a name with a line break", put("name", "a\nb"), "name", "control"),
    ("no tile", lambda room: room.pop("tile"), "tile", "missing"),
    ("tile is a list", put("tile", []), "tile", "a list"),
    ("no width", lambda room: room["tile"].pop("width"), "tile.width", "missing"),
    ("a width of nothing", put_tile("width", 0), "tile.width", "nothing"),
    ("a negative width", put_tile("width", -3), "tile.width", "negative"),
    ("a width that isn't a number", put_tile("width", math.nan), "tile.width", "not a number"),
    ("an endless width", put_tile("width", math.inf), "tile.width", "not a number"),
    ("true for a width", put_tile("width", True), "tile.width", "true"),
    ("a word for a width", put_tile("width", "wide"), "tile.width", "wide"),
    ("a chip", put_tile("width", "1/8"), "tile.width", "sheet"),
    ("a turn of 45", put_tile("turns", [0, 45]), "tile.turns", "0, 90, 180"),
    ("true for a turn", put_tile("turns", [True]), "tile.turns", "0, 90, 180"),
    ("no turn as it hangs", put_tile("turns", [180]), "tile.turns", "0 is missing"),
    ("half a tile in a box", put_tile("per_box", 7.5), "tile.per_box", "whole"),
    ("an edge nobody makes", put_tile("edge", "torn"), "tile.edge", "rectified"),
    ("no joint", lambda room: room.pop("joint"), "joint", "missing"),
    ("a negative joint", put("joint", -1), "joint", "negative"),
    ("a joint wider than the tile", put("joint", 12), "joint", "narrower"),
    ("a widest joint below the joint", put("joint_high", "1/16"), "joint_high", "below"),
    ("a widest joint wider than the tile", put("joint_high", 40), "joint_high", "smaller side"),
    ("a list for a kind", put("pattern", {"kind": ["stack"]}), "pattern.kind", "a list"),
    ("offset by nothing", put("pattern", {"kind": "offset"}), "pattern.share", "missing"),
    ("offset by a whole tile", put("pattern", {"kind": "offset", "share": 1}), "pattern.share", "below 1"),
    ("offset by a third of nothing", put("pattern", {"kind": "offset", "share": "1/0"}), "pattern.share", "1/3"),
    (
        "offset by a number without end",
        put("pattern", {"kind": "offset", "share": "1e-99999999"}),
        "pattern.share",
        "1/3",
    ),
    ("offset by nan", put("pattern", {"kind": "offset", "share": math.nan}), "pattern.share", "1/3"),
    ("offset backward", put("pattern", {"kind": "offset", "share": -0.5}), "pattern.share", "above 0"),
    ("an unknown run", put("pattern", {"kind": "offset", "share": 0.5, "run": "up"}), "pattern.run", "stair"),
    ("wrap is a word", put("wrap", "yes"), "wrap", "true or false"),
    ("enough of two", put("enough", 2), "enough", "from 0 to 1"),
    ("a negative kerf", put("kerf", -2), "kerf", "negative"),
    ("reuse of everything", put("reuse", "all"), "reuse", "factory-edge"),
    ("no surfaces", put("surfaces", []), "surfaces", "at least one"),
    ("surfaces as an object", put("surfaces", {}), "surfaces", "a list"),
    ("a surface that is a number", lambda room: room["surfaces"].append(3), "surfaces[3]", "object"),
    ("two of one id", put_wall("id", "left"), "surfaces[1].id", "twice"),
    ("a colon in an id", put_wall("id", "a:b"), "surfaces[1].id", "colon"),
    ("a kind of its own", put_wall("kind", "roof"), "surfaces[1].kind", "ceiling"),
    ("no outline", lambda room: wall(room).pop("outline"), "surfaces[1].outline", "missing"),
    ("a bow tie", put_wall("outline", BOW_TIE), "surfaces[1].outline", "the edges cross"),
    ("crossing edges", put_wall("outline", CROSSED), "surfaces[1].outline", "the edges cross"),
    ("two points", put_wall("outline", [[0, 0], [1, 1]]), "surfaces[1].outline", "three points"),
    ("a point twice", put_wall("outline", [[0, 0], [60, 0], [60, 0], [60, 9], [0, 9]]), "surfaces[1].outline", "same"),
    ("a fold", put_wall("outline", [[0, 0], [60, 0], [30, 0], [30, 9], [0, 9]]), "surfaces[1].outline", "each other"),
    ("a line", put_wall("outline", [[0, 0], [9, 0], [9, 1e-4], [0, 1e-4]]), "surfaces[1].outline", "same place"),
    ("a point of three", put_wall("outline", [[0, 0, 0]] * 4), "surfaces[1].outline[0]", "entries"),
    ("a point of one", put_wall("outline", [[0]] * 4), "surfaces[1].outline[0]", "two lengths"),
    ("a point of nothing", put_wall("outline", [None] * 4), "surfaces[1].outline[0]", "a list"),
    ("a point that isn't a number", put_wall("outline", [[0, "x"]] * 4), "surfaces[1].outline[0][1]", "x"),
    (
        "a kilometer and more",
        put_wall("outline", [[0, 0], [10**8, 0], [0, 1], [1, 1]]),
        "surfaces[1].outline[1][0]",
        "1 km",
    ),
    ("a huge integer", put_wall("outline", [[0, 10**400]] * 4), "surfaces[1].outline[0][1]", "huge"),
    ("thousands of points", put_wall("outline", [[n, n % 2] for n in range(4000)]), "surfaces[1].outline", "1,000"),
    ("an unknown edge", put_wall("edges", {"middle": {}}), "surfaces[1].edges", "middle"),
    ("an edge beyond the last", put_wall("edges", {"edge 9": {}}), "surfaces[1].edges", "edge 9"),
    ("one edge by two names", put_wall("edges", {"left": {}, "edge 3": {}}), "surfaces[1].edges.edge 3", "same edge"),
    ("a negative gap", put_wall("edges", {"left": {"gap": -1}}), "surfaces[1].edges.left.gap", "negative"),
    ("an unknown finish", put_wall("edges", {"left": {"finish": "x"}}), "surfaces[1].edges.left.finish", "bullnose"),
    ("hidden by a word", put_wall("edges", {"left": {"hidden": "no"}}), "surfaces[1].edges.left.hidden", "true"),
    ("an unknown tile", put_wall("tile", "blue"), "surfaces[1].tile", "blue"),
    ("a tile that isn't a name", put_wall("tile", {"width": 3}), "surfaces[1].tile", "name"),
    ("wet by a number", put_wall("wet", 1), "surfaces[1].wet", "true or false"),
    ("joins nobody", put_wall("joins", {"left": "attic"}), "surfaces[1].joins.left", "attic"),
    ("joins itself", put_wall("joins", {"left": "back"}), "surfaces[1].joins.left", "itself"),
    ("joins by no edge", put_wall("joins", {"corner": "left"}), "surfaces[1].joins", "corner"),
    ("a pin at nothing", put_wall("pin", {"x": "middle"}), "surfaces[1].pin.x", "tile-centered"),
    ("an aim at nothing", put_wall("aim", [{"want": "tile-centered"}]), "surfaces[1].aim[0].at", "point"),
    ("a circle and an outline", put_niche("circle", [1, 2, 3]), "surfaces[1].openings[0]", "not both"),
    (
        "an opening outside",
        put_niche("outline", [[50, 40], [70, 40], [70, 60], [50, 60]]),
        "surfaces[1].openings[0].outline",
        "outside",
    ),
    ("an opening of no outline", lambda room: niche(room).pop("outline"), "surfaces[1].openings[0].outline", "missing"),
    ("an opening of no id", lambda room: niche(room).pop("id"), "surfaces[1].openings[0].id", "missing"),
    (
        "two openings of one id",
        lambda room: wall(room)["openings"].append(niche(room)),
        "surfaces[1].openings[1].id",
        "twice",
    ),
    (
        "openings on each other",
        lambda room: wall(room)["openings"].append({**niche(room), "id": "other"}),
        "surfaces[1].openings[1].outline",
        "overlaps",
    ),
    ("movable the wrong way", put_niche("movable", {"x": [2, -2]}), "surfaces[1].openings[0].movable.x", "least first"),
    ("a corner of nobody", put("corners", [{"first": "up.left", "second": "left.right"}]), "corners[0].first", "up"),
    (
        "a corner without an edge",
        put("corners", [{"first": "left", "second": "back.left"}]),
        "corners[0].first",
        "back.left",
    ),
    ("a corner at no edge", put("corners", [{"first": "left.rim", "second": "back.left"}]), "corners[0].first", "rim"),
    ("a corner with itself", put("corners", [{"first": "left.left", "second": "left.right"}]), "corners[0]", "itself"),
    (
        "a corner twice",
        put("corners", [{"first": "left.right", "second": "back.left"}] * 2),
        "corners[1].first",
        "already",
    ),
    ("a corner with half a name", put("corners", [{"first": "left.right"}]), "corners[0].second", "missing"),
    ("a trowel of numbers", put("setting", {"trowel": 6}), "setting.trowel", "text"),
    ("coverage over all", put("setting", {"coverage": 95}), "setting.coverage", "from 0 to 1"),
]


@pytest.mark.parametrize(("change", "place", "reason"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_it_is_refused_with_its_place(change: Change, place: str, reason: str) -> None:
    room = sample("quarry-lane-shower")
    change(room)
    with pytest.raises(layout.RoomError) as caught:
        layout.lay_out(layout.read_room(room))
    assert caught.value.place == place
    assert str(caught.value).startswith(f"{place}: ")
    assert reason in caught.value.reason
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("data", [None, [], "room", 3, math.nan])
def test_what_is_no_object_is_no_room(data: Any) -> None:
    with pytest.raises(layout.RoomError) as caught:
        layout.read_room(data)
    assert caught.value.place == "room"


def test_half_a_million_pieces_are_refused_at_once() -> None:
    with pytest.raises(layout.RoomError, match=r"surfaces: .* pieces"):
        layout.lay_out(layout.read_room(plain("100 m", "100 m", tile=("20 mm", "20 mm"), joint="2 mm")))


def test_joined_walls_pinned_to_different_heights_are_refused() -> None:
    room = sample("quarry-lane-shower")
    room["surfaces"][0]["pin"] = {"y": "full-at-top"}
    room["surfaces"][2]["pin"] = {"y": "full-at-bottom"}
    with pytest.raises(layout.RoomError) as caught:
        layout.lay_out(layout.read_room(room))
    assert caught.value.place == "surfaces[2].pin.y"


def test_an_option_that_is_not_there_is_refused() -> None:
    with pytest.raises(layout.RoomError, match=r"option: there are \d options, not 9"):
        layout.lay_out(layout.read_room(sample("quarry-lane-shower")), option=9)


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=8),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)


@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data(), name=st.sampled_from(NAMES), junk=JUNK)
def test_junk_anywhere_is_read_or_refused_and_nothing_else(data: st.DataObject, name: str, junk: object) -> None:
    room = copy.deepcopy(sample(name))
    path = data.draw(st.sampled_from(places_in(room)))
    within: Any = room
    for key in path[:-1]:
        within = within[key]
    within[path[-1]] = junk
    said = _said_of(room)
    assert said is None or (said[0] and "\n" not in said[1])


def _said_of(room: dict[str, Any]) -> tuple[str, str] | None:
    """Return the place and the text of the error that a room raises, or None."""
    try:
        layout.read_room(room)
    except layout.RoomError as error:
        return error.place, str(error)
    return None
