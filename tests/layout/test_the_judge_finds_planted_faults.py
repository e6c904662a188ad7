"""The judge is judged: each fault that is planted in a right layout is found, and named."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

import layout
from layout.verify import faults
from tests.layout.helpers import laid, plain, sample

Plant = Callable[[dict[str, Any]], object]

ROOM, _, PRINTED = laid(sample("quarry-lane-shower"))


def option(printed: dict[str, Any]) -> dict[str, Any]:
    return printed["options"][0]


def pieces(printed: dict[str, Any]) -> list[dict[str, Any]]:
    return option(printed)["surfaces"][1]["pieces"]


def first_cut(printed: dict[str, Any]) -> dict[str, Any]:
    return next(piece for piece in pieces(printed) if piece["cut_share"] < 1)


def first_whole(printed: dict[str, Any]) -> dict[str, Any]:
    return next(piece for piece in pieces(printed) if piece["cut_share"] == 1)


def move(piece: dict[str, Any], x: float, y: float = 0.0) -> None:
    piece["outline"] = [[a + x, b + y] for a, b in piece["outline"]]


def shared_tile(printed: dict[str, Any]) -> list[dict[str, Any]]:
    return next(tile["cuts"] for tile in option(printed)["cut_plan"] if len(tile["cuts"]) > 1)


def alone(printed: dict[str, Any]) -> dict[str, Any]:
    """The tile of a notched piece, which no other shares."""
    notched = {piece["id"] for piece in pieces(printed) if len(piece["outline"]) > 4}
    return next(tile for tile in option(printed)["cut_plan"] if tile["cuts"][0]["piece"] in notched)


def add(holder: Callable[[dict[str, Any]], dict[str, Any]], key: str, amount: float) -> Plant:
    def plant(printed: dict[str, Any]) -> None:
        holder(printed)[key] += amount

    return plant


def bring_together(printed: dict[str, Any]) -> None:
    """Move one of two pieces in a tile until they are closer than the kerf."""
    cuts = shared_tile(printed)
    by_id = {piece["id"]: piece for surface in option(printed)["surfaces"] for piece in surface["pieces"]}
    sizes = []
    for cut in cuts[:2]:
        xs, ys = zip(*by_id[cut["piece"]]["outline"], strict=True)
        sizes.append((max(xs) - min(xs), max(ys) - min(ys)))
    if abs(cuts[0]["at"][0] - cuts[1]["at"][0]) > 1:
        low, high = sorted(range(2), key=lambda n: cuts[n]["at"][0])
        cuts[high]["at"][0] = cuts[low]["at"][0] + sizes[low][0] + ROOM.kerf - 0.1
    else:
        low, high = sorted(range(2), key=lambda n: cuts[n]["at"][1])
        cuts[high]["at"][1] = cuts[low]["at"][1] + sizes[low][1] + ROOM.kerf - 0.1


def drop_piece(printed: dict[str, Any]) -> None:
    pieces(printed).remove(first_whole(printed))


def double_piece(printed: dict[str, Any]) -> None:
    pieces(printed).append(copy.deepcopy(first_whole(printed)))


def stretch(printed: dict[str, Any]) -> None:
    """Widen a tile over the joint onto its neighbor."""
    piece = first_whole(printed)
    right = max(x for x, _ in piece["outline"])
    piece["outline"] = [[x + 4 * (x == right), y] for x, y in piece["outline"]]


def swap_tiles(printed: dict[str, Any]) -> None:
    piece = first_whole(printed)
    piece["column"] += 1


PLANTED: list[tuple[str, Plant, str]] = [
    ("a whole tile moved by 0.1 mm", lambda p: move(first_whole(p), 0.1), "leaves its tile"),
    ("a cut piece moved by 0.1 mm", lambda p: move(first_cut(p), -0.1), "neither the tile's nor the field's"),
    ("a cut piece moved up by 0.1 mm", lambda p: move(first_cut(p), 0, 0.1), "leaves its tile"),
    ("a piece missing", drop_piece, "bare"),
    ("a piece twice", double_piece, "there twice"),
    ("a piece over its neighbor", stretch, "overlap"),
    ("a wrong column", swap_tiles, "leaves its tile"),
    ("a wrong share", add(first_cut, "cut_share", 0.001), "cut_share"),
    ("a cut called whole", lambda p: first_cut(p).__setitem__("cut_share", 1), "cut_share"),
    ("a range without the piece", lambda p: first_cut(p).__setitem__("range", [1, 2]), "range"),
    ("a piece of no id", lambda p: first_cut(p).__setitem__("id", "back"), "id"),
    ("a datum moved", lambda p: option(p)["surfaces"][1]["datum"].__setitem__(0, 0), "leaves its tile"),
    ("a line moved", add(lambda p: option(p)["surfaces"][1]["lines"][0], "mm", 1), "stands at"),
    ("a line's text", lambda p: option(p)["surfaces"][1]["lines"][0].__setitem__("text", '1"'), "isn't"),
    ("a wrong score", lambda p: option(p)["score"].__setitem__(0, 0.1), "score"),
    ("a score too short", lambda p: option(p)["score"].pop(), "score"),
    ("a wrong least share", add(option, "least_cut_share", 0.01), "least_cut_share"),
    ("a drift that helps", add(option, "least_cut_share_drift", 0.5), "drifts"),
    ("a wrong least cut", add(lambda p: option(p)["least_cut"], "mm", 1), "least_cut.mm"),
    ("a wrong text", lambda p: option(p)["least_cut"].__setitem__("text", '9"'), "least_cut.text"),
    ("a wrong count", add(lambda p: option(p)["counts"], "whole", 1), "counts"),
    ("a sum that isn't", add(lambda p: option(p)["counts"], "pieces", 1), "add up"),
    ("too few tiles", add(lambda p: option(p)["tiles"], "needed", -1), "tiles.needed"),
    ("a bound above the plan", add(lambda p: option(p)["tiles"], "at_least", 99), "rising"),
    ("too few boxes", add(lambda p: option(p)["tiles"], "boxes", -1), "boxes"),
    ("a kerf too small", bring_together, "kerf"),
    ("a piece never cut", lambda p: option(p)["cut_plan"].pop(), "is cut 0 times"),
    ("a piece cut twice", lambda p: alone(p)["cuts"].append(shared_tile(p)[0]), "is cut 2 times"),
    ("a piece nobody has", lambda p: alone(p)["cuts"][0].__setitem__("piece", "x"), "there is no piece"),
    ("a turn of 45", lambda p: shared_tile(p)[0].__setitem__("turn", 45), "turned 45"),
    ("a piece over the edge", lambda p: alone(p)["cuts"][0]["at"].__setitem__(0, 5), "reaches over"),
    ("an uncut side cut", lambda p: shared_tile(p)[0]["at"].__setitem__(0, 40), "uncut"),
    ("tiles out of order", lambda p: alone(p).__setitem__("tile", 0), "numbered"),
    ("another format", lambda p: p.__setitem__("format", "x"), "format"),
]


def test_the_layout_is_right_before_anything_is_planted() -> None:
    assert faults(ROOM, PRINTED) == []


@pytest.mark.parametrize(("plant", "word"), [each[1:] for each in PLANTED], ids=[each[0] for each in PLANTED])
def test_a_planted_fault_is_found(plant: Plant, word: str) -> None:
    printed = copy.deepcopy(PRINTED)
    plant(printed)
    found = faults(ROOM, printed)
    assert any(word in fault for fault in found), found


def test_a_forbidden_turn_is_found() -> None:
    """The same plan, for a face that may not be turned at all."""
    data = sample("quarry-lane-shower")
    data["tile"]["turns"] = [0]
    turned = {cut["turn"] for tile in option(PRINTED)["cut_plan"] for cut in tile["cuts"]}
    assert 180 in turned
    assert any("doesn't allow" in fault for fault in faults(layout.read_room(data), PRINTED))


def test_pieces_that_no_cut_from_edge_to_edge_parts_are_found() -> None:
    """Four strips around a middle, like a pinwheel: every straight cut runs through one of them."""
    data = plain(5, 5, tile=(12, 12), joint="1/8", edge_gap=0, reuse="any-edge", kerf=0)
    spans = [([0, 0], [8, 4]), ([8, 0], [12, 8]), ([4, 8], [12, 12]), ([0, 4], [4, 12])]
    surfaces = []
    for n, ((x0, y0), (x1, y1)) in enumerate(spans):
        outline = [[0, 0], [x1 - x0, 0], [x1 - x0, y1 - y0], [0, y1 - y0]]
        surfaces.append({"id": f"s{n}", "kind": "wall", "outline": outline})
    data["surfaces"] = surfaces
    data["pin"] = {"x": "full-at-left", "y": "full-at-bottom"}
    room, _, printed = laid(data)
    cuts = [{"piece": f"s{n}:0:0", "at": [25.4 * a for a in spans[n][0]], "turn": 0} for n in range(4)]
    names = [each["pieces"][0]["id"] for each in printed["options"][0]["surfaces"]]
    for cut, name in zip(cuts, names, strict=True):
        cut["piece"] = name
    printed["options"][0]["cut_plan"] = [{"tile": 1, "name": "tile", "cuts": cuts}]
    found = [fault for fault in faults(room, printed) if fault.startswith("tile 1:")]
    assert found == ["tile 1: no cuts from edge to edge part its pieces"]


def test_offcuts_where_none_may_be_used_are_found() -> None:
    data = {**sample("quarry-lane-shower"), "reuse": "none"}
    assert any("aren't reused" in fault for fault in faults(layout.read_room(data), PRINTED))
