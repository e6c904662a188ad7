"""The judge is judged in each pattern and on sloped and round fields: one table of small faults, times the rooms."""

from __future__ import annotations

import copy
import functools
import math
from collections.abc import Callable
from typing import Any

import pytest
from shapely.geometry import Polygon

import layout
from layout.verify import faults
from layout.verify_tiles import tile_at
from tests.layout.free_rooms import PATTERNS
from tests.layout.helpers import laid, plain, sample

Printed = dict[str, Any]
Plant = Callable[[layout.Room, Printed], object]

DRAIN = {"id": "drain", "kind": "drain", "circle": [7, 5, 2]}
SLOPED = [[0, 0], [25, 0], [25.25, 20], [0, 20]]
DRIFTS = {"joint_high": "3/16"}
ROOMS: dict[str, dict[str, Any]] = {
    "stack": plain(27, 20, tile=(8, 6), **DRIFTS),
    "offset": plain(27, 20, tile=(8, 6), pattern=PATTERNS["thirds"], **DRIFTS),
    "columns": plain(27, 20, tile=(8, 6), pattern={"kind": "offset", "share": "1/4", "axis": "columns"}, **DRIFTS),
    "sloped": plain(tile=(8, 6), surface={"outline": SLOPED}, **DRIFTS),
    "round": plain(16, 12, tile=(8, 6), surface={"openings": [DRAIN]}),
    "diagonal": plain(20, 17, tile=(8, 8), pattern=PATTERNS["diagonal"], **DRIFTS),
    "herringbone": plain(20, 17, tile=(12, 6), pattern=PATTERNS["herringbone"], **DRIFTS),
    "hex": plain(20, 17, tile=(6, 6), pattern=PATTERNS["hex"], **DRIFTS),
}
ALL = tuple(ROOMS)
LEVEL = ("stack", "offset", "columns", "sloped", "round")
"""With level courses, and a story pole."""
SLANTED = ("diagonal", "herringbone", "hex")
NOTE = {"level": "note", "rule": "a", "source": "b", "text": "c"}
DRIFTING = tuple(name for name in ALL if name != "round")


@functools.cache
def good(name: str) -> tuple[layout.Room, Printed]:
    """Return a room and its printed result, laid once for all faults."""
    room, _, printed = laid(ROOMS[name])
    return room, printed


def option(printed: Printed) -> dict[str, Any]:
    return printed["options"][0]


def whole(printed: Printed) -> dict[str, Any]:
    return printed


def surface(printed: Printed) -> dict[str, Any]:
    return option(printed)["surfaces"][0]


def pieces(printed: Printed) -> list[dict[str, Any]]:
    return surface(printed)["pieces"]


def size(piece: dict[str, Any]) -> float:
    """Area in mm², by the corners."""
    points = piece["outline"]
    return abs(sum(points[n - 1][0] * y - x * points[n - 1][1] for n, (x, y) in enumerate(points))) / 2


def cut(printed: Printed) -> dict[str, Any]:
    """The smallest cut: no offcut of another."""
    return min((piece for piece in pieces(printed) if piece["cut_share"] < 1), key=size)


def large(printed: Printed) -> dict[str, Any]:
    return max(pieces(printed), key=size)


def move(piece: dict[str, Any], x: float, y: float) -> None:
    piece["outline"] = [[a + x, b + y] for a, b in piece["outline"]]


def shift(laid_surface: dict[str, Any], by: float) -> None:
    laid_surface["datum"][0] += by


def lengthen(piece: dict[str, Any], by: float) -> None:
    piece["range"][1] += by


def grow(piece: dict[str, Any], by: float) -> None:
    """Push a piece's sides out (negative: in) about its middle, by mm at the furthest corner."""
    xs, ys = zip(*piece["outline"], strict=True)
    x, y = sum(xs) / len(xs), sum(ys) / len(ys)
    share = 1 + by / max(math.dist((x, y), corner) for corner in piece["outline"])
    piece["outline"] = [[x + (a - x) * share, y + (b - y) * share] for a, b in piece["outline"]]


def clip(piece: dict[str, Any]) -> None:
    """Cut the first corner off, 5 mm each way."""
    before, corner, after = (piece["outline"][n] for n in (-1, 0, 1))
    ends = []
    for other in (before, after):
        part = 5 / math.dist(corner, other)
        ends.append([corner[0] + (other[0] - corner[0]) * part, corner[1] + (other[1] - corner[1]) * part])
    piece["outline"][:1] = ends


def bore(piece: dict[str, Any]) -> None:
    """A hole of 10 mm where the field has none."""
    x, y = Polygon(piece["outline"], piece["holes"]).representative_point().coords[0]
    piece["holes"] = [[[x - 5, y - 5], [x - 5, y + 5], [x + 5, y + 5], [x + 5, y - 5]]]


def fill(room: layout.Room, printed: Printed) -> None:
    """Lay a tile over the drain as if there were none."""
    piece = next(piece for piece in pieces(printed) if piece["holes"] or len(piece["outline"]) > 6)
    tile = tile_at(room.surfaces[0], surface(printed)["datum"], piece["course"], piece["column"])[0]
    x0, y0, x1, y1 = tile.bounds
    xs, ys = zip(*piece["outline"], strict=True)
    x0, y0, x1, y1 = max(x0, min(xs)), max(y0, min(ys)), min(x1, max(xs)), min(y1, max(ys))
    piece["outline"], piece["holes"] = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]], []


def spoil(holder: Callable[[Printed], dict[str, Any]], key: str, by: float) -> Plant:
    def plant(_: layout.Room, printed: Printed) -> None:
        holder(printed)[key] += by

    return plant


def put(holder: Callable[[Printed], Any], key: Any, value: Any) -> Plant:
    def plant(_: layout.Room, printed: Printed) -> None:
        holder(printed)[key] = value

    return plant


def on(what: Callable[[Printed], dict[str, Any]], change: Callable[..., object], *amounts: float) -> Plant:
    return lambda _, printed: change(what(printed), *amounts)


def alone(printed: Printed) -> dict[str, Any]:
    """How the largest piece is cut."""
    name = large(printed)["id"]
    return next(each for tile in option(printed)["cut_plan"] for each in tile["cuts"] if each["piece"] == name)


def course(printed: Printed) -> dict[str, Any]:
    return surface(printed)["courses"][-1]


FAULTS: list[tuple[str, Plant, str, tuple[str, ...]]] = [
    ("a piece moved by 0.1 mm", on(large, move, 0.07, 0.07), "", ALL),
    ("a cut moved by 0.1 mm", on(cut, move, -0.07, -0.07), "", ALL),
    ("a piece missing", lambda _, p: pieces(p).remove(large(p)), "bare", ALL),
    ("a piece twice", lambda _, p: pieces(p).append(copy.deepcopy(cut(p))), "there twice", ALL),
    ("a piece over its neighbors", on(large, grow, 15), "overlap", ALL),
    ("a piece outside its tile", on(large, grow, 3), "leaves its tile", ALL),
    ("a piece far too small", on(large, grow, -12), "bare", ALL),
    ("a corner cut off", on(large, clip), "neither the tile's nor the field's", ALL),
    ("a hole in a piece", on(large, bore), "neither the tile's nor the field's", ALL),
    ("a drain tiled over", fill, "leaves the field", ("round",)),
    ("a wrong course", spoil(large, "course", 1), "leaves its tile", ALL),
    ("a wrong column", spoil(large, "column", 2), "leaves its tile", ALL),
    ("an id of another piece", put(cut, "id", "floor:99:99"), "the id", ALL),
    ("a datum moved by 0.1 mm", on(surface, shift, 0.1), "leaves its tile", ALL),
    ("a wrong share", spoil(cut, "cut_share", 0.001), "cut_share", ALL),
    ("a range beside the piece", put(cut, "range", [1, 2]), "range", ALL),
    ("a range that ends too late", on(cut, lengthen, 5), "range ends", [name for name in ALL if name != "herringbone"]),
    ("a range that falls", put(cut, "range", [999, 1]), "falls", ALL),
    ("a wrong score", lambda _, p: option(p)["score"].__setitem__(0, option(p)["score"][0] - 0.001), "score", ALL),
    ("a score too short", lambda _, p: option(p)["score"].pop(), "score", ALL),
    ("a wrong least share", spoil(option, "least_cut_share", 0.001), "least_cut_share is", ALL),
    ("a drift that helps", spoil(option, "least_cut_share_drift", 0.3), "over all drifts", ALL),
    ("a wrong least cut", spoil(lambda p: option(p)["least_cut"], "mm", 1), "least_cut.mm", ALL),
    ("a least cut's text", put(lambda p: option(p)["least_cut"], "text", '19"'), "least_cut.text", ALL),
    ("another piece's least cut", put(lambda p: option(p)["least_cut"], "piece", "floor:77:7"), "least_cut.piece", ALL),
    ("a wrong count", lambda _, p: option(p)["counts"].update(whole=99, cut=1, pieces=100), "counts", ALL),
    ("a sum that isn't", spoil(lambda p: option(p)["counts"], "pieces", 1), "add up", ALL),
    ("too few tiles", spoil(lambda p: option(p)["tiles"], "needed", -1), "tiles.needed", ALL),
    ("a bound above the plan", spoil(lambda p: option(p)["tiles"], "at_least", 99), "rising", ALL),
    ("boxes of no size", put(lambda p: option(p)["tiles"], "boxes", 1), "boxes", ALL),
    ("a line moved by 0.1 mm", spoil(lambda p: surface(p)["lines"][0], "mm", 0.1), "stands at", ALL),
    ("a line's text", put(lambda p: surface(p)["lines"][1], "text", '99"'), "isn't", ALL),
    ("a line missing", lambda _, p: surface(p)["lines"].pop(), "one plumb and one level", ALL),
    ("a course's height", spoil(course, "mm", 0.1), "its tile's top", LEVEL),
    ("a course's text", put(course, "text", '99"'), "isn't", LEVEL),
    ("a course missing", lambda _, p: surface(p)["courses"].pop(0), "aren't those of the pieces", LEVEL),
    ("a fresh line too many", put(course, "fresh_line", True), "fresh line", LEVEL),
    ("a course of no level", put(surface, "courses", [{"course": 0}]), "aren't those", SLANTED),
    ("a piece never cut", lambda _, p: option(p)["cut_plan"].pop(), "is cut 0 times", ALL),
    ("a piece cut twice", lambda _, p: option(p)["cut_plan"][0]["cuts"].append(alone(p)), "is cut 2 times", ALL),
    ("a piece nobody has", put(alone, "piece", "x"), "there is no piece", ALL),
    ("a turn of 45", put(alone, "turn", 45), "turned 45", ALL),
    ("a piece over the tile's edge", lambda _, p: alone(p)["at"].__setitem__(0, 150), "reaches over", ALL),
    ("an uncut side off the edge", lambda _, p: alone(p).__setitem__("at", [0.2, 0.2]), "", ALL),
    ("tiles out of order", put(lambda p: option(p)["cut_plan"][0], "tile", 7), "numbered", ALL),
    ("a finding of no rule", put(whole, "findings", [NOTE | {"rule": ""}]), "lacks its rule", ALL),
    ("a finding of no level", put(whole, "findings", [NOTE | {"level": "x"}]), "level", ALL),
    ("a change nobody knows", lambda _, p: option(p).update(changes={"color": 1}), "isn't known", ALL),
]  # fmt: skip
CASES = [
    pytest.param(room, plant, word, id=f"{room}-{name.replace(' ', '-')}")
    for name, plant, word, rooms in FAULTS
    for room in rooms
]


@pytest.mark.parametrize("name", ALL)
def test_a_good_result_has_no_fault(name: str) -> None:
    room, printed = good(name)
    assert faults(room, printed, dense=5) == []


@pytest.mark.parametrize(("name", "plant", "word"), CASES)
def test_a_planted_fault_is_found(name: str, plant: Plant, word: str) -> None:
    room, right = good(name)
    printed = copy.deepcopy(right)
    plant(room, printed)
    found = faults(room, printed)
    assert any(word in fault for fault in found), found


@pytest.mark.parametrize("name", DRIFTING)
def test_a_joint_that_drifts_further_is_found(name: str) -> None:
    """The same figures, for joints that may end up 3/8 in wider: what a drift does is worked out."""
    room = layout.read_room({**ROOMS[name], "joint_high": "1/2"})
    found = faults(room, good(name)[1])
    assert any("a drift makes it" in fault or "range ends" in fault for fault in found), found


def test_walls_that_do_not_share_their_course_heights_are_found() -> None:
    room, _, printed = laid(sample("quarry-lane-shower"))
    printed["options"][-1]["surfaces"][0]["datum"][1] += 1
    assert any("course heights" in fault for fault in faults(room, printed))


CORNER = {
    **plain(30, 20, tile=(8, 6)),
    "surfaces": [
        {"id": "a", "kind": "wall", "build_up": "5/8", "outline": [[0, 0], [30, 0], [30, 20], [0, 20]]},
        {"id": "b", "kind": "wall", "build_up": "5/8", "outline": [[0, 0], [22, 0], [22, 20], [0, 20]]},
    ],
}
MET = {**CORNER, "corners": [{"first": "a.right", "second": "b.left", "soft": "1/8"}]}


def test_a_second_wall_that_does_not_begin_at_the_firsts_face_is_found() -> None:
    room, (_, _, apart) = layout.read_room(MET), laid(CORNER)
    found = faults(room, apart)
    assert any(fault.startswith("b: b:") and "leaves the field" in fault for fault in found)


def test_a_strip_behind_the_second_wall_counted_as_seen_is_found() -> None:
    """The first wall is laid alike with the corner and without; what of it is judged isn't."""
    room, _, printed = laid(MET)
    assert faults(room, printed) == []
    bare = layout.read_room({**MET, "corners": [{"first": "b.left", "second": "a.right", "soft": "1/8"}]})
    assert any(fault.startswith("a: ") for fault in faults(bare, printed))


def test_a_hidden_edge_that_is_not_hidden_is_found() -> None:
    hidden = plain(27, 20, tile=(8, 6), surface={"edges": {"left": {"hidden": True}}})
    room, _, printed = laid(hidden)
    assert faults(room, printed) == []
    seen = layout.read_room(plain(27, 20, tile=(8, 6)))
    assert any("the score is" in fault for fault in faults(seen, printed))


def test_a_move_an_opening_may_not_make_is_found() -> None:
    niche = {"id": "niche", "kind": "niche", "outline": [[9, 7], [15, 7], [15, 12], [9, 12]]}
    room, _, printed = laid(plain(27, 20, tile=(8, 6), surface={"openings": [{**niche, "movable": {"x": [-1, 1]}}]}))
    for x, text in ((50.0, '2" right'), (12.7, '2" right'), (12.7, '1/2" up')):
        planted = copy.deepcopy(printed)
        move = {"surface": "floor", "opening": "niche", "x": x, "y": 0.0, "text": text}
        planted["options"][0]["changes"] = {"openings": [move]}
        assert any(fault.startswith("option 1: changes: niche") for fault in faults(room, planted))


def test_a_joint_beyond_its_range_is_found() -> None:
    room, right = good("stack")
    for mm, text in ((6.35, '1/4"'), (4.0, '1/2"')):
        printed = copy.deepcopy(right)
        option(printed)["changes"] = {"joint": {"mm": mm, "text": text}}
        assert any("option 1: changes:" in fault and "joint" in fault for fault in faults(room, printed))
