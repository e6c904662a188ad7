"""Cut plans: the rules of reuse, the bound below, and the spares above."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from layout.cutplan import Blank, at_least, blank_of, plan_cuts
from layout.room import Reuse, Tile
from layout.verify import faults
from tests.layout.helpers import laid, plain, sample


@pytest.mark.parametrize("reuse", ["factory-edge", "any-edge", "none"])
def test_each_rule_of_reuse_gives_a_legal_plan(reuse: str) -> None:
    room, result, printed = laid({**sample("quarry-lane-shower"), "reuse": reuse})
    assert faults(room, printed) == []
    if reuse == "none":
        assert result.option.needed == result.option.counts.whole + result.option.counts.cut


def test_freer_rules_never_need_more_tiles() -> None:
    needed = {
        reuse: laid({**sample("mill-house-tub"), "reuse": reuse})[1].option.needed
        for reuse in ("any-edge", "factory-edge", "none")
    }
    assert needed["any-edge"] <= needed["factory-edge"] <= needed["none"]


def test_two_halves_come_out_of_one_tile() -> None:
    """A row of three full tiles between two pieces of 5 1/2 in: both, and the saw's kerf, fit a 12 in tile."""
    width = 3 * 12 + 4 * 0.125 + 11
    _, result, _ = laid(plain(width, 12, joint="1/8", edge_gap=0, kerf=2, pin={"x": "tile-centered"}))
    assert (result.option.counts.whole, result.option.counts.cut) == (3, 2)
    assert (result.option.needed, result.option.tiles[0].at_least) == (4, 4)


def test_a_kerf_can_cost_a_tile() -> None:
    """Two pieces of just under half: with a thin cut one tile yields both, with a thick one it takes two."""
    wide = 2 * 5.95 + 12 + 2 * 0.125
    needed = []
    for kerf in (1, 4):
        data = plain(wide, 12, tile=(12, 12), joint="1/8", edge_gap=0, kerf=kerf, pin={"x": "tile-centered"})
        needed.append(laid(data)[1].option.needed)
    assert needed == [2, 3]


def test_a_face_that_must_not_turn_wastes_its_offcuts() -> None:
    """Two left pieces both keep their right edge: one tile yields both only if one of them may be turned."""
    wide, high = 5 + 12 + 0.125, 2 * 12 + 0.125
    needed = []
    for turns in ([0, 180], [0]):
        data = plain(wide, high, tile=(12, 12), joint="1/8", edge_gap=0)
        data["pin"] = {"x": "full-at-right", "y": "full-at-bottom"}
        data["tile"]["turns"] = turns
        needed.append(laid(data)[1].option.needed)
    assert needed == [3, 4]


@pytest.mark.parametrize("name", ["quarry-lane-shower", "mill-house-tub", "station-hall-floor"])
def test_the_order_comes_in_full_boxes(name: str) -> None:
    _, _, printed = laid(sample(name))
    tiles = printed["options"][0]["tiles"]
    per_box = sample(name)["tile"]["per_box"]
    assert tiles["at_least"] <= tiles["needed"] < tiles["order"] <= tiles["boxes"] * per_box
    assert (tiles["boxes"] - 1) * per_box < tiles["order"]


def test_a_tile_of_unknown_boxes_has_no_boxes() -> None:
    _, _, printed = laid(plain())
    assert "boxes" not in printed["options"][0]["tiles"]


def random_blanks(rng: random.Random, tile: Tile) -> list[Blank]:
    """Return a few pieces as straight cuts leave them: strips, corners, and middles of the tile."""
    found = []
    for n in range(rng.randint(2, 3)):
        ends = []
        for side in (tile.width, tile.height):
            low, high = sorted(rng.uniform(0.05, 0.95) * side for _ in range(2))
            ends.append(rng.choice([(0.0, high), (low, side), (0.0, side), (low, high)]))
        (x0, x1), (y0, y1) = ends
        found.append(blank_of(str(n), [(x0, y0), (x1, y0), (x1, y1), (x0, y1)], (0.0, 0.0), tile))
    return found


def fewest(tile: Tile, blanks: list[Blank], *, kerf: float, reuse: Reuse) -> int:
    """Return the fewest tiles that the pieces can come out of, by trying every way to share them out and to cut."""

    def legal(blank: Blank, box: tuple[float, float, float, float]) -> bool:
        for turn in tile.turns:
            wide, high, (left, bottom, right, top) = blank.turned(turn)
            if wide > box[2] - box[0] + 1e-6 or high > box[3] - box[1] + 1e-6:
                continue
            if reuse == "any-edge":
                return True
            across = _slides(wide, left, right, box[0], box[2], tile.width)
            if across and _slides(high, bottom, top, box[1], box[3], tile.height):
                return True
        return False

    def fits(names: frozenset[int], box: tuple[float, float, float, float]) -> bool:
        if len(names) == 1:
            return legal(blanks[min(names)], box)
        sides = [side for name in names for side in (blanks[name].width, blanks[name].height)]
        for axis in (0, 1):
            sums = {sum(group) + kerf * (len(group) - 1) for k in (1, 2) for group in combinations(sides, k)}
            cuts = {box[axis] + each for each in sums} | {box[axis + 2] - each - kerf for each in sums}
            for at in cuts:
                if not box[axis] < at < box[axis + 2] - kerf:
                    continue
                low, high = list(box), list(box)
                low[axis + 2], high[axis] = at, at + kerf
                for count in range(1, len(names)):
                    for part in combinations(sorted(names), count):
                        if fits(frozenset(part), tuple(low)) and fits(names - set(part), tuple(high)):  # type: ignore[arg-type]
                            return True
        return False

    whole = (0.0, 0.0, tile.width, tile.height)

    def share(rest: frozenset[int]) -> int:
        if not rest:
            return 0
        first, *others = sorted(rest)
        found = len(rest)
        for count in range(len(others) + 1):
            for more in combinations(others, count):
                group = frozenset((first, *more))
                if count == 0 or fits(group, whole):
                    found = min(found, 1 + share(rest - group))
        return found

    return share(frozenset(range(len(blanks))))


def _slides(size: float, low_own: bool, high_own: bool, low: float, high: float, side: float) -> bool:
    """Whether a piece can lie in a stretch of its tile with the sides that must be at the tile's own ends."""
    near = 1e-6
    if low_own and low > near:
        return False
    if high_own and high < side - near:
        return False
    return not (low_own and high_own) or abs(size - side) <= near


@pytest.mark.parametrize("reuse", ["factory-edge", "any-edge"])
def test_no_plan_needs_fewer_tiles_than_the_bound_nor_ours_fewer_than_there_must_be(reuse: Reuse) -> None:
    """Against every way to cut a few random pieces: bound <= fewest <= planned, and mostly both are met."""
    met = total = 0
    for seed in range(40):
        rng = random.Random(seed)
        tile = Tile("tile", 300.0, rng.choice([300.0, 150.0]), turns=rng.choice([(0, 90, 180, 270), (0, 180), (0,)]))
        blanks = random_blanks(rng, tile)
        kerf = rng.choice([0.0, 2.5, 20.0])
        least = fewest(tile, blanks, kerf=kerf, reuse=reuse)
        planned = len(plan_cuts(tile, [], blanks, kerf=kerf, reuse=reuse))
        assert at_least(tile, 0, blanks, reuse=reuse) <= least <= planned, seed
        met += planned == least
        total += 1
    assert met >= 0.9 * total


def test_a_bound_counts_no_corner_that_a_hidden_edge_lets_be_cut() -> None:
    """Four corners of 4 in and one more from a hidden edge all fit a 12 in tile with its middle left over."""
    tile = Tile("tile", 300.0, 300.0)
    corner = [(0.0, 0.0), (90.0, 0.0), (90.0, 90.0), (0.0, 90.0)]
    shown = [blank_of(str(n), corner, (0.0, 0.0), tile) for n in range(5)]
    assert at_least(tile, 0, shown, reuse="factory-edge") == 2
    hidden = [blank_of(str(n), corner, (0.0, 0.0), tile, hides=True) for n in range(5)]
    assert at_least(tile, 0, hidden, reuse="factory-edge") == 1


def test_a_point_that_ends_in_a_tiles_corner_keeps_none() -> None:
    """Half a tile cut corner to corner keeps one right-angled corner; its two points only touch the others."""
    tile = Tile("tile", 300.0, 300.0)
    half = blank_of("half", [(0.0, 0.0), (300.0, 0.0), (0.0, 300.0)], (0.0, 0.0), tile)
    assert half.corners == 1
    assert at_least(tile, 0, [half, half], reuse="factory-edge") == 1
