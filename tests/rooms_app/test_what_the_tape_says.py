"""From widths, heights, plumb and diagonals to an outline, against closed forms."""

import math
from decimal import Decimal
from itertools import pairwise

import pytest

from rooms.measured import (
    HALF_STEP,
    Measures,
    box_from,
    corner_at,
    outline,
    slack,
    two_measures,
    walk,
)
from trade.lengths import inches


def measured(**lengths) -> Measures:
    return Measures(**{name: inches(length) for name, length in lengths.items()})


def in_inches(points) -> list[tuple[float, float]]:
    return [(round(float(x) / 25.4, 8), round(float(y) / 25.4, 8)) for x, y in points]


def far(a, b) -> float:
    return math.dist([float(part) for part in a], [float(part) for part in b]) / 25.4


def stops(found) -> list[str]:
    return [said.name for said in found.said if said.stops]


def test_width_and_height_alone_are_a_rectangle():
    assert in_inches(outline(measured(width=60, height=96)).points) == [(0, 0), (60, 0), (60, 96), (0, 96)]


def test_three_four_five_is_square():
    """3-4-5, common practice: sides of 36 and 48 in with a diagonal of 60 in stand square (Pythagoras)."""
    found = outline(measured(width=36, height=48, falling=60))
    assert [(round(x, 4), round(y, 4)) for x, y in in_inches(found.points)] == [(0, 0), (36, 0), (36, 48), (0, 48)]
    assert stops(found) == []
    assert [said.name for said in found.said] == ["falling"]
    both = outline(measured(width=36, height=48, falling=60, rising=60))
    assert stops(both) == []


@pytest.mark.parametrize("which", ["falling", "rising"])
def test_a_diagonal_says_the_lean_by_the_law_of_cosines(which):
    """cos A = (w² + h² - d²) / 2wh, from any book of trigonometry: w 60, h 96, d 113 1/2."""
    found = outline(measured(width=60, height=96, **{which: "227/2"}))
    cosine = (60**2 + 96**2 - 113.5**2) / (2 * 60 * 96)
    lean = 96 * cosine
    _, _, top_right, top_left = in_inches(found.points)
    if which == "falling":
        assert top_left[0] == pytest.approx(lean, abs=1e-5)
        assert far(found.points[3], found.points[1]) == pytest.approx(113.5, abs=1e-5)
    else:
        assert 60 - top_right[0] == pytest.approx(lean, abs=1e-5)
        assert far(found.points[0], found.points[2]) == pytest.approx(113.5, abs=1e-5)
    sides = [far(a, b) for a, b in pairwise([*found.points, found.points[0]])]
    assert sides == pytest.approx([60, 96, 60, 96], abs=1e-5)
    # The parallelogram law: p² + q² = 2a² + 2b².
    diagonals = far(found.points[0], found.points[2]), far(found.points[1], found.points[3])
    assert sum(each**2 for each in diagonals) == pytest.approx(2 * 60**2 + 2 * 96**2, abs=1e-3)


def test_four_sides_and_a_diagonal_meet_as_eulers_law_says():
    """Euler: the squares of the sides are those of the diagonals and four times that of the line between their
    middles."""
    found = outline(measured(width=60, top="121/2", height=96, right_height="383/4", falling="905/8"))
    points = [(float(x) / 25.4, float(y) / 25.4) for x, y in found.points]
    a, b, c, d = points
    sides = [math.dist(*pair) for pair in ((a, b), (b, c), (c, d), (d, a))]
    assert sides == pytest.approx([60, 95.75, 60.5, 96], abs=1e-5)
    middles = [((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in ((a, c), (b, d))]
    squares = math.dist(a, c) ** 2 + math.dist(b, d) ** 2 + 4 * math.dist(*middles) ** 2
    assert sum(side**2 for side in sides) == pytest.approx(squares, abs=1e-6)


def test_diagonals_that_do_not_close_are_told_beside_the_second():
    # A rectangle of 60 by 96 has two diagonals of 113 3/16 in; 113 3/16 and 113 1/2 can't both be.
    found = outline(measured(width=60, height=96, falling="1811/16", rising="227/2"))
    assert stops(found) == ["rising"]
    makes = found.said[0].figures["makes"]
    assert float(makes) / 25.4 == pytest.approx(113.23, abs=0.05)


@pytest.mark.parametrize("off", ["1/16", "-1/16", "1/8", "-1/8"])
def test_what_a_tape_can_be_off_closes(off):
    rising = Decimal(str(math.hypot(60, 96) * 25.4)) + inches(off)
    found = outline(Measures(width=inches(60), height=inches(96), falling=inches("1811/16"), rising=rising))
    assert stops(found) == []


def test_the_slack_is_what_six_readings_at_their_worst_make():
    """Each of four sides and a diagonal off by half a step, either way: how far the other diagonal moves at most."""
    step, worst = float(HALF_STEP) / 25.4, 0.0
    for signs in range(32):
        off = [step if signs >> bit & 1 else -step for bit in range(5)]
        sides = {"width": 60 + off[0], "right_height": 96 + off[1], "top": 60 + off[2], "height": 96 + off[3]}
        lengths = {name: Decimal(str(each * 25.4)) for name, each in sides.items()}
        falling = Decimal(str((math.hypot(60, 96) + off[4]) * 25.4))
        points = outline(Measures(**lengths, falling=falling)).points
        worst = max(worst, abs(far(points[0], points[2]) - math.hypot(60, 96)))
    said = float(slack(inches(60), inches(96), inches("1811/16"))) / 25.4
    # The sixth reading is that of the other diagonal itself.
    assert worst + step == pytest.approx(said, rel=0.02)


def test_a_diagonal_that_no_triangle_has_is_told():
    found = outline(measured(width=60, height=96, falling=160))
    assert (found.points, stops(found)) == ((), ["falling"])


def test_plumb_readings_say_where_the_tops_stand_and_diagonals_test_them():
    found = outline(measured(width=60, height=96, lean_left="1/2", lean_right="-1/4"))
    _, _, top_right, top_left = in_inches(found.points)
    assert (top_left[0], top_right[0]) == pytest.approx((0.5, 59.75), abs=1e-6)
    # A height is measured along its corner.
    assert top_left[1] == pytest.approx(math.sqrt(96**2 - 0.5**2), abs=1e-6)
    wrong = outline(measured(width=60, height=96, lean_left="1/2", lean_right="-1/4", falling=110))
    assert stops(wrong) == ["falling"]
    assert stops(outline(measured(width=60, height=96, lean_left="1/2", lean_right="-1/4", top=60))) == ["top"]
    assert stops(outline(measured(width=60, height=96, lean_left="1/2", lean_right="-1/4", top="237/4"))) == []


def test_of_one_plumb_reading_the_other_corner_follows_from_the_widths():
    _, _, top_right, top_left = in_inches(outline(measured(width=60, top="119/2", height=96, lean_left="1/4")).points)
    assert (top_left[0], top_right[0]) == pytest.approx((0.25, 59.75), abs=1e-6)


def test_heights_that_differ_slope_the_top():
    points = in_inches(outline(measured(width=60, height=96, right_height="193/2")).points)
    assert points == [(0, 0), (60, 0), (60, 96.5), (0, 96)]


def test_a_middle_that_bows_is_a_corner_where_no_wall_meets():
    measures = measured(width=60, middle="121/2", top=60, height=96)
    assert in_inches(outline(measures, bows="right").points)[2] == (60.5, 48)
    assert in_inches(outline(measures, bows="left").points)[4] == (-0.5, 48)
    straight = outline(measures, bows=None)
    assert (len(straight.points), stops(straight)) == (4, [])
    assert straight.said[0].name == "middle"
    assert straight.said[0].figures["off"] == inches("1/2")
    # Within two readings nobody can tell.
    assert len(outline(measured(width=60, middle="961/16", height=96)).points) == 4


def test_a_walk_closes_by_itself():
    legs = [(inches(x), inches(y)) for x, y in ((36, 0), (0, 24), (24, 0), (0, 36), (-60, 0))]
    corners = [(0, 0), (36, 0), (36, 24), (60, 24), (60, 60), (0, 60)]
    assert in_inches(walk(legs)) == corners
    back = walk([*legs, (Decimal(0), inches(-60) + inches("1/16"))])
    assert in_inches(back) == corners
    # Walked to the left first, it still lies right of zero.
    assert min(x for x, _ in walk([(inches(-36), Decimal(0)), (Decimal(0), inches(24))])) == 0


def test_two_measures_from_any_corner_are_the_same_place():
    wall = outline(measured(width=60, height=96, right_height=97)).points
    size = (inches(14), inches(12))
    box = box_from(corner_at(wall, "upper right"), "upper right", inches(10), inches(20), size)
    assert [float(each) / 25.4 for each in box] == [36, 65, 50, 77]
    for corner in ("lower left", "lower right", "upper left", "upper right"):
        at = corner_at(wall, corner)
        assert box_from(at, corner, *two_measures(at, corner, box), size) == box


@pytest.mark.parametrize(
    ("lengths", "name"),
    [
        ({"middle": 200}, "middle"),
        ({"middle": 1}, "middle"),
        ({"top": 20}, "top"),
        ({"rising": 150}, "rising"),
        ({"falling": "90"}, "falling"),
        ({"lean_left": 70, "top": 60}, "lean_left"),
        ({"lean_right": -7}, "lean_right"),
    ],
)
def test_what_hardly_any_wall_has_is_told_as_odd_once(lengths, name):
    """By the shares of rooms.measured (common practice, no source)."""
    found = outline(measured(width=60, height=96, **lengths))
    assert [said.name for said in found.said if said.odd] == [name]
    assert stops(found) == []
    assert found.points


@pytest.mark.parametrize(
    "lengths",
    [
        {"middle": "121/2", "top": 61},
        {"falling": "227/2"},
        {"lean_left": 2, "lean_right": -2},
        {"right_height": 48},
        {"middle": 56},
    ],
)
def test_an_old_house_is_not_odd(lengths):
    assert not any(said.odd for said in outline(measured(width=60, height=96, **lengths)).said)
