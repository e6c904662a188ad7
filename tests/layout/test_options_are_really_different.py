"""The options: what each gives and costs, none twice, changes only as allowed, and the largest smallest cut exactly."""

from __future__ import annotations

import copy
from typing import Any

import pytest

import layout
from layout.changes import changed
from layout.verify import faults
from tests.layout.dense import dense_least
from tests.layout.helpers import NAMES, laid, plain, sample
from tests.layout.rooms import random_room

INCH = 25.4


def niche_wall(**niche: Any) -> dict[str, Any]:
    """A wall of 12 x 12 in tile with a niche of two tiles' width and three of height, off the joints as drawn."""
    opening = {"id": "niche", "kind": "niche", "outline": [[19, 31], [43, 31], [43, 67], [19, 67]], **niche}
    data = plain(72.875, 97, tile=(12, 12), joint="1/8", edge_gap="1/8", surface={"openings": [opening]})
    data["surfaces"][0].update({"kind": "wall", "focal": True})
    return data


def moved_options(data: dict[str, Any]) -> list[layout.Option]:
    return [option for option in laid(data)[1].options if option.changes.moved]


@pytest.mark.parametrize("name", NAMES)
def test_one_option_has_the_largest_least_cut_exactly(name: str) -> None:
    """No datum of a 1/32 in grid beats it at all, not even by a hair."""
    room, result, _ = laid(sample(name))
    as_measured = [option.least_cut_share for option in result.options if not option.changes]
    assert max(as_measured) >= dense_least(room, INCH / 32) - 1e-6


def test_an_opening_is_moved_onto_the_joints_where_it_may() -> None:
    (option,) = moved_options(niche_wall(movable={"x": [-6, 6], "y": [-6, 6]}))
    (move,) = option.changes.moved
    assert "onto the joints" in option.title
    assert -6 * INCH <= move.x <= 6 * INCH
    assert option.why.count(".") >= 2


def test_an_opening_that_may_not_be_moved_is_not() -> None:
    assert not moved_options(niche_wall())


def test_an_opening_moves_no_further_than_it_may() -> None:
    for reach in ({"x": [-0.5, 0.25]}, {"y": [-1, 0]}, {"x": [0, 0], "y": [0, 3]}):
        for option in moved_options(niche_wall(movable=reach)):
            for move in option.changes.moved:
                for axis, by in (("x", move.x), ("y", move.y)):
                    low, high = reach.get(axis, [0, 0])
                    assert low * INCH - 0.01 <= by <= high * INCH + 0.01


def test_an_opening_is_not_moved_out_of_its_wall() -> None:
    data = niche_wall(movable={"x": [-40, 40], "y": [-60, 60]})
    for option in moved_options(data):
        (moved,) = changed(layout.read_room(data), option.changes).surfaces[0].openings
        xs, ys = [x for x, _ in moved.outline], [y for _, y in moved.outline]
        assert min(xs) >= 0
        assert min(ys) >= 0
        assert max(xs) <= 72.875 * INCH
        assert max(ys) <= 97 * INCH


def test_a_joint_is_tuned_where_that_loses_a_sliver() -> None:
    """Widening every joint by 1/32 in takes up 3/16 in over six joints (fcimag.com/articles/96540, the principle).

    Seven tiles of 12 in with six joints of 3/16 fill 85 1/8 in. With joints of 1/8 in 3/8 in is left over: a sliver at
    the right, the tiles being pinned to the left. Wider joints lose it, within the 1 mm that a soft joint takes up.
    """
    wide = 7 * 12 + 6 * 3 / 16
    pins = {"x": "full-at-left", "y": "full-at-bottom"}
    data = plain(wide, 12, tile=(12, 12), joint="1/8", joint_high="3/16", edge_gap=0, pin=pins)
    tuned = [option for option in laid(data)[1].options if option.changes.joint]
    assert [option.counts.cut for option in tuned] == [0]
    assert 1 / 8 * INCH < tuned[0].changes.joint <= 3 / 16 * INCH + 1e-6
    assert laid(data)[1].options[0].counts.cut > 0
    data["joint_high"] = "1/8"
    assert not [option for option in laid(data)[1].options if option.changes]


@pytest.mark.parametrize(("turns", "offered"), [([0], False), ([0, 180], False), ([0, 90], True), ([0, 270], True)])
def test_a_tile_is_turned_only_where_its_turns_allow(turns: list[int], offered: bool) -> None:
    data = plain(60, 96, tile=(6, 12))
    data["tile"]["turns"] = turns
    turned = [option for option in laid(data)[1].options if option.changes.turned]
    assert bool(turned) == offered


def test_a_square_tile_is_not_turned() -> None:
    assert not [option for option in laid(plain(60, 96))[1].options if option.changes.turned]


def test_every_option_is_legal_with_its_changes() -> None:
    data = sample("quarry-lane-shower")
    data["surfaces"][1]["openings"][0]["movable"] = {"x": [-2, 2], "y": [-3, 3]}
    options = laid(data)[1].options
    assert {bool(option.changes) for option in options} == {True, False}
    for number, option in enumerate(options, 1):
        if option.changes:
            room, result, printed = laid(data, option=number)
            assert faults(room, printed) == []
            assert printed["options"][number - 1]["changes"]
            assert layout.take_off(room, result)["lines"]


def test_no_two_options_are_alike() -> None:
    for data in (*(sample(name) for name in NAMES), random_room(5), random_room(9)):
        options = laid(data)[1].options
        assert len({option.title for option in options}) == len(options)
        seen = [(option.changes, sorted(option.datums.items())) for option in options]
        for n, one in enumerate(seen):
            assert one not in seen[:n]


def test_each_option_tells_what_it_gives_and_costs() -> None:
    options = laid(sample("quarry-lane-shower"))[1].options
    assert all(option.why.endswith(".") and "Smallest cut" in option.why for option in options)
    full = next(option for option in options if option.title == "Full course at the bottom")
    assert "smaller than recommended" in full.why


def test_full_courses_stand_at_the_top_and_at_the_bottom() -> None:
    data = sample("quarry-lane-shower")
    titles = [option.title for option in laid(data)[1].options]
    for title, edge in (("Full course at the top", 3), ("Full course at the bottom", 1)):
        room, result, _ = laid(data, option=titles.index(title) + 1)
        surface = room.surface("back")
        ends = [
            max(y for _, y in piece.outline) if edge == 3 else min(y for _, y in piece.outline)
            for piece in result.surface("back").pieces
        ]
        end = max(ends) if edge == 3 else min(ends)
        row = [piece for piece, at in zip(result.surface("back").pieces, ends, strict=True) if abs(at - end) < 1.5]
        heights = {round(max(y for _, y in p.outline) - min(y for _, y in p.outline), 1) for p in row}
        assert max(heights) >= surface.tile.height - 1.0


@pytest.mark.parametrize("plant", ["too far", "not movable", "no such", "joint", "turn", "unknown", "not said"])
def test_the_judge_finds_a_change_that_is_not_allowed(plant: str) -> None:
    data = niche_wall(movable={"x": [-6, 6], "y": [-6, 6]})
    count = len(laid(data)[1].options)
    number = next(n for n in range(1, count + 1) if laid(data, option=n)[1].option.changes.moved)
    room, _, printed = laid(data, option=number)
    assert faults(room, printed) == []
    changes = printed["options"][number - 1]["changes"]
    if plant == "too far":
        changes["openings"][0]["x"] = 7 * INCH
    elif plant == "not movable":
        room = layout.read_room(niche_wall())
    elif plant == "no such":
        changes["openings"][0]["opening"] = "window"
    elif plant == "joint":
        changes["joint"] = {"mm": 9.0}
    elif plant == "turn":
        changes["turned"] = ["another"]
    elif plant == "unknown":
        changes["color"] = "red"
    else:
        del printed["options"][number - 1]["changes"]
    assert faults(room, printed) != []


def test_an_aim_that_is_not_met_is_told_with_how_far_and_one_that_is_met_is_not() -> None:
    aim = {"want": "joint-centered", "why": "valve"}
    data = plain(60, 96, edge_gap=0, pin={"x": 31, "y": 24})
    data["surfaces"][0]["aim"] = [{**aim, "at": [31 - 1 / 16, 24 - 1 / 16]}]
    assert not [finding for finding in laid(data)[1].findings if finding.rule == "layout.aim"]
    data["surfaces"][0]["aim"] = [{**aim, "at": [33, 24 - 1 / 16]}]
    (finding,) = [finding for finding in laid(data)[1].findings if finding.rule == "layout.aim"]
    assert 'valve on floor: the nearest joint is 2 1/16" left' in finding.text


@pytest.mark.parametrize("want", ["tile-centered", "joint-centered"])
def test_an_aim_is_met_along_the_course_that_it_lies_on(want: str) -> None:
    """Half-offset courses, any datum being as good: that very course's tile or joint is centered."""
    for at in ([41, 41], [41, 47]):
        aim = [{"at": at, "want": want, "why": "drain"}]
        pattern = {"kind": "offset", "share": "1/2"}
        data = plain(96.3, 96.3, tile=(12, 6), enough=0, pattern=pattern, surface={"aim": aim})
        missed = [finding.text for finding in laid(data)[1].findings if finding.rule == "layout.aim"]
        assert not missed


def test_an_opening_that_no_move_helps_is_told() -> None:
    data = niche_wall(movable={"x": [0, 0]})
    assert [finding for finding in laid(data)[1].findings if finding.rule == "layout.movable"]


def mirrored(data: dict[str, Any]) -> dict[str, Any]:
    """Return a room as a mirror shows it: a stair of share s runs the other way, which is a stair of share 1 - s."""
    data = copy.deepcopy(data)
    swap = {"left": "right", "right": "left"}
    for surface in data["surfaces"]:
        far = max(point[0] for point in surface["outline"])
        for shape in [surface["outline"], *(opening["outline"] for opening in surface.get("openings", ()))]:
            for point in shape:
                point[0] = far - point[0]
        for key in ("edges", "joins"):
            if key in surface:
                surface[key] = {swap.get(name, name): value for name, value in surface[key].items()}
    for corner in data.get("corners", ()):
        for key in ("first", "second"):
            name, _, side = corner[key].rpartition(".")
            corner[key] = f"{name}.{swap.get(side, side)}"
    pattern = data.get("pattern", {})
    if pattern.get("run") == "stair" and pattern.get("axis", "rows") == "rows":
        share = {"1/2": "1/2", "1/3": "2/3", "2/3": "1/3", "1/4": "3/4", 0.35: 0.65}[pattern["share"]]
        pattern["share"] = share
    return data


@pytest.mark.parametrize("seed", [3, 5, 11, 17, 23, 29])
def test_a_mirrored_room_is_laid_as_well(seed: int) -> None:
    data = {key: value for key, value in random_room(seed).items() if key != "joint_high"}
    one, other = laid(data)[1], laid(mirrored(data))[1]
    for both in zip(one.option.score, other.option.score, strict=True):
        assert both[0] == pytest.approx(both[1], abs=0.004)
    least = [max(option.least_cut_share for option in result.options if not option.changes) for result in (one, other)]
    assert least[0] == pytest.approx(least[1], abs=2e-3)


def test_a_mirrored_stair_is_a_stair_of_one_minus_its_share() -> None:
    data = plain(61.3, 83.7, tile=(12, 6), joint="1/8", pattern={"kind": "offset", "share": "1/3", "run": "stair"})
    one, other = laid(data)[1], laid(mirrored(data))[1]
    assert other.option.score == pytest.approx(one.option.score, abs=1e-3)
    data["pattern"]["share"] = "1/4"
    assert mirrored(data)["pattern"]["share"] == "3/4"


@pytest.mark.parametrize("seed", [1, 2, 7, 13])
def test_areas_add_up(seed: int) -> None:
    """Pieces cover the field less the joints: between all of it less every joint's strip, and all of it."""
    room, result, _ = laid(random_room(seed))
    for surface in room.surfaces:
        found = result.surface(surface.id)
        pieces = sum(_area(piece.outline) - sum(_area(hole) for hole in piece.holes) for piece in found.pieces)
        tile = surface.tile
        pitch = (tile.width + surface.joint) * (tile.height + surface.joint)
        assert pieces <= found.field_area + len(found.pieces) * 2 * (tile.width + tile.height)
        rim = 4 * sum(surface.bounds[n + 2] - surface.bounds[n] for n in (0, 1)) * (surface.joint + 2)
        assert pieces >= found.field_area * tile.area / pitch - rim


def _area(points: tuple[tuple[float, float], ...]) -> float:
    return abs(sum(points[n - 1][0] * y - x * points[n - 1][1] for n, (x, y) in enumerate(points))) / 2


@pytest.mark.parametrize("seed", [5, 8])
def test_the_order_of_surfaces_changes_nothing_but_their_order(seed: int) -> None:
    data = random_room(seed, walls=3)
    one = laid(data)[1]
    data["surfaces"].reverse()
    other = laid(data)[1]
    assert [option.title for option in other.options] == [option.title for option in one.options]
    for a, b in zip(one.options, other.options, strict=True):
        assert (a.score, dict(a.datums)) == (b.score, dict(b.datums))


def test_a_round_opening_is_moved_too() -> None:
    """A drain of 2 in radius on 12 in tile, pinned: as drawn it leaves 1/4 in beside it, in the tile's middle 4 in."""
    drain = {"id": "drain", "kind": "drain", "circle": [32.3, 30.2, 2], "movable": {"x": [-3, 3], "y": [-3, 3]}}
    data = plain(60.625, 60.625, edge_gap="1/8", surface={"openings": [drain], "pin": {"x": 24.375, "y": 24.375}})
    (option,) = moved_options(data)
    (move,) = option.changes.moved
    middle = 24.375 + 6
    assert (32.3 + move.x / INCH - middle) == pytest.approx(0, abs=1 / 16)
    assert (30.2 + move.y / INCH - middle) == pytest.approx(0, abs=1 / 16)
    number = laid(data)[1].options.index(option) + 1
    room, _, printed = laid(data, option=number)
    assert faults(room, printed) == []
    assert "Centered" in option.why


def test_a_round_opening_that_stands_well_is_not_moved() -> None:
    drain = {"id": "drain", "kind": "drain", "circle": [30.375, 30.375, 2], "movable": {"x": [-1, 1], "y": [-1, 1]}}
    data = plain(60.625, 60.625, edge_gap="1/8", surface={"openings": [drain], "pin": {"x": 24.375, "y": 24.375}})
    assert not moved_options(data)


def test_hexagons_have_one_centered_option() -> None:
    """In every other course a tile stands on the middle, in the others a joint: no two options."""
    titles = [option.title for option in laid(plain(33, 20, tile=(8, 8), pattern={"kind": "hex"}))[1].options]
    assert sum("centered" in title for title in titles) <= 1


def test_walls_without_a_level_top_have_no_full_course_there() -> None:
    gable = {"kind": "wall", "outline": [[0, 0], [60, 0], [60, 60], [30, 96], [0, 60]], "pin": {"x": 30}}
    titles = [option.title for option in laid(plain(tile=(12, 24), surface=gable))[1].options]
    assert "Full course at the top" not in titles


def test_what_the_recommended_one_has_anyway_it_says() -> None:
    """Seven courses of 12 in and six joints of 1/8, gaps 1/8: full at the top and at the bottom without a choice."""
    data = plain(60, 7 * 12 + 6 / 8 + 2 / 8, edge_gap="1/8", surface={"kind": "wall", "focal": True})
    options = laid(data)[1].options
    assert "It has a full course at the bottom." in options[0].why
    assert "Full course at the bottom" not in [option.title for option in options]


def test_a_few_options_are_few_even_with_three_focal_walls() -> None:
    data = sample("quarry-lane-shower")
    data["surfaces"][1]["openings"][0]["movable"] = {"x": [-2, 2], "y": [-3, 3]}
    for surface in data["surfaces"]:
        surface["focal"] = True
    assert len(laid(data)[1].options) <= 9


def test_a_joint_is_tuned_on_the_surfaces_that_have_a_range_and_named() -> None:
    """The floor as in the test above; the wall beside it has a joint of 1/4 in and no range."""
    wide = 7 * 12 + 6 * 3 / 16
    data = plain(wide, 12, tile=(12, 12), joint="1/8", edge_gap=0, pin={"x": "full-at-left", "y": "full-at-bottom"})
    data["surfaces"][0]["joint_high"] = "3/16"
    wall = {"id": "wall", "name": "North wall", "kind": "wall", "joint": "1/4"}
    data["surfaces"].append({**wall, "outline": [[0, 0], [48.75, 0], [48.75, 12], [0, 12]]})
    (tuned,) = [option for option in laid(data)[1].options if option.changes.joint]
    assert "Every joint of floor" in tuned.why
    room = changed(layout.read_room(data), tuned.changes)
    assert room.surface("wall").joint == pytest.approx(INCH / 4)


def test_a_joint_is_not_tuned_on_one_of_two_walls_that_share_courses() -> None:
    wide = 7 * 12 + 6 * 3 / 16
    data = plain(wide, 36, tile=(12, 12), joint="1/8", edge_gap=0, pin={"x": "full-at-left", "y": "full-at-bottom"})
    data["surfaces"][0].update({"kind": "wall", "joint_high": "3/16"})
    assert [option for option in laid(data)[1].options if option.changes.joint]
    data["surfaces"][0]["joins"] = {"right": "side"}
    data["surfaces"].append({"id": "side", "kind": "wall", "outline": [[0, 0], [48, 0], [48, 36], [0, 36]]})
    assert not [option for option in laid(data)[1].options if option.changes.joint]


def test_an_option_that_wide_joints_spoil_says_so() -> None:
    options = laid(sample("mill-house-tub"))[1].options
    full = next(option for option in options if option.title == "Full course at the bottom")
    assert full.least_cut_share_drift < 0.05
    assert "a sliver comes out" in full.why
