"""Board sheets, profile, bands and soft joints across floors: geometry, bounds and small cases tried out whole."""

from __future__ import annotations

import itertools
import json
import math
import random

import pytest

import layout
from layout.boards import SHEET, SLIVER, STAGGER, plan_boards
from layout.coverings import STICK_MM, sticks_for
from tests.layout.helpers import plain, sample

INCH = 25.4
FOOT = 304.8


def lines(data):
    room = layout.read_room(data)
    return {line["key"]: line for line in layout.take_off(room, layout.lay_out(room))["lines"]}


@pytest.mark.parametrize(
    ("wall", "sheets"),
    [
        ((60, 96), 3),  # three rows of one sheet, the last ripped: 40 of 45 sq ft
        ((60, 72), 2),  # exactly two
        ((36, 60), 1),
        ((30, 36), 1),
        ((90, 72), 3),  # 45 sq ft in 3: each row a whole sheet and half of one
    ],
)
def test_a_plain_wall_takes_the_sheets_that_anybody_would_count(wall, sheets):
    plan = plan_boards([(wall[0] * INCH, wall[1] * INCH)])
    assert plan.sheets == sheets
    assert plan.at_least == math.ceil(wall[0] * wall[1] / (36 * 60))


@pytest.mark.parametrize("seed", range(60))
def test_the_boards_cover_the_walls_and_keep_the_bound(seed):
    rng = random.Random(seed)
    walls = [(rng.uniform(8, 200) * INCH, rng.uniform(8, 120) * INCH) for _ in range(rng.randint(1, 4))]
    plan = plan_boards(walls)
    assert sum(long * high for long, high in plan.pieces) == pytest.approx(sum(w * h for w, h in walls))
    assert plan.at_least <= plan.sheets <= len(plan.pieces)
    assert all(0 < long <= max(SHEET) + 1e-6 and 0 < high <= max(SHEET) + 1e-6 for long, high in plan.pieces)
    assert plan_boards(walls) == plan


def fewest(lengths, sheet):
    """The least number of sheets that hold pieces of full height, every way of putting them tried."""
    best = len(lengths)

    def put(left, bins):
        nonlocal best
        if len(bins) >= best:
            return
        if not left:
            best = len(bins)
            return
        for number in range(len(bins)):
            if bins[number] >= left[0] - 1e-6:
                put(left[1:], [*bins[:number], bins[number] - left[0], *bins[number + 1 :]])
        put(left[1:], [*bins, sheet - left[0]])

    put(sorted(lengths, reverse=True), [])
    return best


def row(width, start, sheet):
    pieces = [min(start, width)]
    while width - sum(pieces) > 1e-6:
        pieces.append(min(sheet, width - sum(pieces)))
    return pieces


@pytest.mark.parametrize("width", [61, 70, 80, 84, 90, 96, 100, 110, 120, 126])
def test_no_other_beginning_of_the_rows_saves_a_sheet(width):
    """Two rows of whole height: every beginning on a 2 in grid that keeps the joints apart, packed every way."""
    best = math.inf
    for lying in ((60, 36), (36, 60)):
        sheet, high = lying
        for first, second in itertools.product(range(2, sheet + 1, 2), repeat=2):
            pair = row(width, first, sheet), row(width, second, sheet)
            joints = [list(itertools.accumulate(each))[:-1] for each in pair]
            close = any(abs(a - b) < min(STAGGER / INCH, sheet / 2) for a in joints[0] for b in joints[1])
            if close or min(*pair[0], *pair[1]) < SLIVER / INCH or high != 36:
                continue
            best = min(best, fewest([*pair[0], *pair[1]], sheet))
    assert plan_boards([(width * INCH, 72 * INCH)]).sheets <= best


def test_sticks_hold_the_runs():
    assert sticks_for([STICK_MM]) == 1
    assert sticks_for([STICK_MM + 1]) == 2
    assert sticks_for([STICK_MM / 2] * 4) == 2
    assert sticks_for([2000, 1500, 900, 438]) == 2
    assert sticks_for([]) == 0


def test_a_profile_is_as_long_as_the_edges_that_end_in_one():
    data = plain(60, 96)
    data["surfaces"][0]["edges"] = {"left": {"finish": "profile", "gap": 0}, "right": {"finish": "profile", "gap": 0}}
    trim = lines(data)["edge_trim_length"]
    room = layout.read_room(data)
    height = room.surfaces[0].bounds[3] - room.surfaces[0].bounds[1]
    assert trim["quantity"] == pytest.approx(2 * height / 1000, abs=0.02)
    assert trim["packages"] == 2
    assert trim["left_over"] == pytest.approx(2 * STICK_MM / 1000 - trim["quantity"], abs=0.03)
    assert "edge_trim_length" not in lines(plain(60, 96))


def test_wet_walls_get_board_bands_and_folded_corners():
    """The shower: walls 36 + 60 + 36 by 96 in, a niche of 12 x 24 in, two inside corners."""
    found = lines(sample("quarry-lane-shower"))
    assert found["board_area"]["quantity"] == pytest.approx((132 * 96 - 12 * 24) * INCH**2 / 1e6, abs=0.011)
    # 132 by 96 in are 5.9 sheets: six, cut out whole, the last rows out of what the others leave.
    assert found["board_sheets"]["quantity"] == math.ceil((132 * 96) / (36 * 60)) == 6
    assert found["membrane_band_length"]["quantity"] == pytest.approx((2 * 96 + 2 * (12 + 24)) * INCH / 1000, abs=0.011)
    assert found["membrane_corners"]["quantity"] == 2 + 4
    assert found["board_fasteners"]["quantity"] > 0
    assert not {"board_area", "membrane_band_length"} & set(lines(sample("station-hall-floor")))


def test_a_long_floor_gets_soft_joints_across_it():
    """TCNA EJ171 (as reported): at most 25 ft between joints indoors; the source stands beside the line."""
    short = plain(12 * 20, 12 * 10)
    long = plain(12 * 60, 12 * 10)
    for data in (short, long):
        data["surfaces"][0]["kind"] = "floor"
    assert "movement_joint_length" not in lines(short)
    joint = lines(long)["movement_joint_length"]
    room = layout.read_room(long)
    left, bottom, right, top = room.surfaces[0].bounds
    bays = math.ceil((right - left) / (25 * FOOT))
    assert joint["quantity"] == pytest.approx((bays - 1) * (top - bottom) / 1000, abs=0.011)
    assert "EJ171" in joint["source"]


def test_the_printed_takeoff_is_the_same_each_time():
    data = sample("quarry-lane-shower")
    assert json.dumps(lines(data)) == json.dumps(lines(data))
