"""The plane of each aim against independent solvers, all planes through three readings, and its own certificate."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp

import layout
from layout.survey import read_survey, survey
from layout.survey.plane import FREE, fit, places
from tests.layout_survey.surveys import random_survey, said, substrate

Floats = NDArray[np.float64]
AIMS = ("least-total", "shims-only", "fewest-lines")
SIXTEENTH = 25.4 / 16


def measured(data: dict[str, Any]) -> tuple[Floats, Floats, list[int]]:
    """Return (readings, 3) of 1, across and along in m, the readings in mm, and the number of each one's line."""
    points, out, lines = [], [], []
    for number, line in enumerate(data["lines"]):
        for along, reading in line["readings"]:
            points.append((1.0, line["at"] * 0.0254, along * 0.0254))
            out.append(reading * 25.4)
            lines.append(number)
    return np.array(points), np.array(out), lines


def amounts_of(data: dict[str, Any], printed: dict[str, Any]) -> Floats:
    listed = {(each["line"], each["along_mm"]): each["amount_mm"] for each in printed["plane"]["corrections"]}
    places = [(line["id"], round(along * 25.4, 6)) for line in data["lines"] for along, _ in line["readings"]]
    assert set(listed) <= set(places)
    return np.array([listed.get(place, 0.0) for place in places])


def by_linprog(points: Floats, out: Floats, *, shims_only: bool) -> float:
    """Return the least work by the textbook's primal program: plane, amounts up, amounts down."""
    count = len(out)
    equal = np.hstack((points, -np.eye(count), np.eye(count)))
    bounds = [(None, None)] * 3 + [(0, None)] * count + [(0, 0 if shims_only else None)] * count
    solved = linprog(np.r_[np.zeros(3), np.ones(2 * count)], A_eq=equal, b_eq=out, bounds=bounds, method="highs")
    assert solved.status == 0
    return float(solved.fun)


def by_milp(points: Floats, out: Floats, lines: list[int], *, far: float = 1e4) -> int:
    """Return the fewest lines that a plane touches: a switch for each line lets all its readings off the plane."""
    count, switches = len(out), max(lines) + 1
    switch = np.zeros((count, switches))
    switch[np.arange(count), lines] = far
    near = 1e-4
    limits = [
        LinearConstraint(np.hstack((points, switch)), lb=out - near),
        LinearConstraint(np.hstack((points, -switch)), ub=out + near),
    ]
    lower = np.r_[np.full(3, -far), np.zeros(switches)]
    upper = np.r_[np.full(3, far), np.ones(switches)]
    solved = milp(
        np.r_[np.zeros(3), np.ones(switches)],
        constraints=limits,
        integrality=np.r_[np.zeros(3), np.ones(switches)],
        bounds=(lower, upper),
        options={"mip_rel_gap": 0},
    )
    assert solved.status == 0
    return round(solved.fun)


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("seed", range(12))
def test_after_it_every_reading_lies_on_one_plane_and_the_work_is_the_sum(seed: int, aim: str) -> None:
    data = random_survey(seed, lines=3 + seed % 5, readings=1 + seed % 6, aim=aim)
    printed = said(data)
    points, out, _ = measured(data)
    amounts = amounts_of(data, printed)
    brought = out + amounts
    off = points @ np.linalg.lstsq(points, brought, rcond=None)[0] - brought
    assert np.abs(off).max() < 2e-6
    assert printed["plane"]["aim"] == aim
    assert printed["plane"]["work_mm"] == pytest.approx(np.abs(amounts).sum(), abs=1e-6 * len(out))
    touched = {each["line"] for each in printed["plane"]["corrections"]}
    assert printed["plane"]["lines_touched"] == len(touched)


@pytest.mark.parametrize("seed", range(30))
def test_no_plane_needs_less_by_another_solver(seed: int) -> None:
    data = random_survey(seed, lines=1 + seed % 9, readings=1 + seed % 7)
    points, out, _ = measured(data)
    assert said(data)["plane"]["work_mm"] == pytest.approx(by_linprog(points, out, shims_only=False), abs=1e-5)
    shims = said({**data, "aim": "shims-only"})
    assert shims["plane"]["work_mm"] == pytest.approx(by_linprog(points, out, shims_only=True), abs=1e-5)
    assert all(each["amount_mm"] > 0 for each in shims["plane"]["corrections"])


@pytest.mark.parametrize("seed", range(8))
def test_no_plane_through_three_readings_needs_less(seed: int) -> None:
    # A least sum of absolute differences is met by a plane through three of the points (from memory).
    data = random_survey(100 + seed, lines=4, readings=4)
    points, out, _ = measured(data)
    best = best_above = np.inf
    for three in combinations(range(len(out)), 3):
        if abs(np.linalg.det(points[list(three)])) > 1e-9:
            amounts = points @ np.linalg.solve(points[list(three)], out[list(three)]) - out
            best = min(best, np.abs(amounts).sum())
            if amounts.min() > -1e-9:
                best_above = min(best_above, amounts.sum())
    assert said(data)["plane"]["work_mm"] == pytest.approx(best, abs=1e-5)
    assert said({**data, "aim": "shims-only"})["plane"]["work_mm"] == pytest.approx(best_above, abs=1e-5)


@pytest.mark.parametrize("seed", range(20))
def test_the_work_proves_itself_by_its_dual(seed: int) -> None:
    data = random_survey(200 + seed, lines=12, readings=9)
    points, out, _ = measured(data)
    rows, ones = places(points[:, 1], points[:, 2]), np.ones(len(out))
    for low in (-ones, -FREE * ones):
        found = fit(rows, out, low, ones)
        assert found.bound == pytest.approx(np.abs(found.amounts).sum(), abs=1e-6)


@pytest.mark.parametrize("seed", range(25))
def test_no_plane_leaves_more_lines_alone_by_a_mixed_integer_program(seed: int) -> None:
    data = random_survey(300 + seed, lines=3 + seed % 6, readings=1 + seed % 4, aim="fewest-lines")
    plane = said(data)["plane"]
    assert plane["lines_touched"] == by_milp(*measured(data))
    assert plane["work_mm"] >= said({**data, "aim": "least-total"})["plane"]["work_mm"] - 1e-5


def test_two_proud_studs_are_planed_and_the_rest_left_alone() -> None:
    flat = [(0, 0), (48, 0), (96, 0)]
    proud = [(0, "3/8"), (48, "3/8"), (96, "3/8")]
    printed = said(substrate(flat, proud, flat, proud, flat, aim="fewest-lines"))["plane"]
    assert {each["line"] for each in printed["corrections"]} == {"stud 2", "stud 4"}
    assert {each["text"] for each in printed["corrections"]} == {'plane 3/8"'}
    assert printed["work_mm"] == pytest.approx(6 * 9.525)


def test_of_choices_that_touch_as_few_lines_the_one_with_the_least_work_is_taken() -> None:
    # Any two of three level studs lie on a plane. Moving the first takes least: the others are as far from a plane
    # through their neighbors or farther. By hand: 1/2 in at both ends of stud 1, or 1/4 in each of stud 2.
    level = [[(0, out), (96, out)] for out in (0, 0.25, 0)]
    printed = said(substrate(*level, aim="fewest-lines"))["plane"]
    assert {each["line"] for each in printed["corrections"]} == {"stud 2"}
    assert printed["work_mm"] == pytest.approx(2 * 6.35)


def test_a_single_straight_stud_is_left_alone_while_the_plane_turns_about_it() -> None:
    bowed = [(0, 0), (48, "1/4"), (96, 0)]
    straight = [(0, "1/16"), (48, "1/8"), (96, "3/16")]
    data = substrate(bowed, straight, [(0, 0), (48, "-1/4"), (96, 0)], aim="fewest-lines")
    printed = said(data)["plane"]
    assert {each["line"] for each in printed["corrections"]} == {"stud 1", "stud 3"}
    # Through the middle stud the plane has one turn left: the best of many, spread finely.
    least = np.inf
    for lean in np.linspace(-0.5, 0.5, 4001):
        left = [abs(1 / 16 + y / 768 + lean * side - out) for side, y, out in TURNED]
        least = min(least, sum(left))
    assert printed["work_mm"] / 25.4 == pytest.approx(least, abs=2e-3)
    assert printed["work_mm"] / 25.4 <= least + 1e-9


TURNED = [(-1, 0, 0), (-1, 48, 0.25), (-1, 96, 0), (1, 0, 0), (1, 48, -0.25), (1, 96, 0)]


@pytest.mark.parametrize("other", [[(0, 0), (48, "1/4"), (96, "-1/8")], [(0, 1), (96, 1)]])
def test_three_readings_in_a_row_are_left_alone_beside_studs_off_it(other: list[tuple[object, object]]) -> None:
    data = substrate([(48, 0)], [(48, "1/16")], [(48, "1/8")], other, [(48, 1)], aim="fewest-lines")
    printed = said(data)["plane"]
    assert {each["line"] for each in printed["corrections"]} == {"stud 4", "stud 5"}


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("readings", [[(48, "1/4")], [(0, 0), (96, "1/4")]])
def test_one_straight_line_needs_nothing(aim: str, readings: list[tuple[object, object]]) -> None:
    plane = said(substrate(readings, aim=aim))["plane"]
    assert (plane["work_mm"], plane["corrections"]) == (0.0, [])


def test_where_planes_tie_it_is_rather_shimmed_than_planed() -> None:
    # Two studs 1/4 in apart over one pair of heights, two and two: any plane between takes the same.
    data = substrate([(0, 0), (96, 0)], [(0, "1/4"), (96, "1/4")], [(0, "1/4"), (96, "1/4")], [(0, 0), (96, 0)])
    plane = said(data)["plane"]
    assert plane["work_mm"] == pytest.approx(4 * 6.35)
    assert [(each["line"], each["text"]) for each in plane["corrections"]] == [
        (name, 'shim 1/4"') for name in ("stud 1", "stud 1", "stud 4", "stud 4")
    ]


@pytest.mark.parametrize("aim", AIMS)
def test_the_same_survey_gives_the_same_bytes_and_the_same_plane_in_any_order(aim: str) -> None:
    for seed in range(10):
        data = random_survey(400 + seed, lines=6, readings=4, aim=aim)
        once, again = (layout.dumps(survey(read_survey(data)).to_json()) for _ in range(2))
        assert once == again
        turned = {**data, "lines": data["lines"][::-1]}
        forward, backward = said(data)["plane"], said(turned)["plane"]
        assert forward["work_mm"] == pytest.approx(backward["work_mm"], abs=1e-5)
        if aim != "fewest-lines":
            told = {(each["line"], each["along_mm"]): each["amount_mm"] for each in forward["corrections"]}
            other = {(each["line"], each["along_mm"]): each["amount_mm"] for each in backward["corrections"]}
            assert told == pytest.approx(other, abs=2e-6)


def test_an_offset_from_the_laser_and_a_lean_of_it_change_no_amount() -> None:
    data = random_survey(1, lines=5, readings=5)
    moved = random_survey(1, lines=5, readings=5)
    for line in moved["lines"]:
        line["readings"] = [(along, out + 40 + along / 64 + line["at"] / 32) for along, out in line["readings"]]
    assert said(moved)["plane"]["work_mm"] == pytest.approx(said(data)["plane"]["work_mm"], abs=1e-4)


def test_amounts_are_told_to_the_sixteenth_and_not_at_all_where_they_round_to_nothing() -> None:
    flat = [(0, 0), (48, 0), (96, 0)]
    data = substrate(flat, [(0, 0), (48, "1/64"), (96, 0)], [(0, 0), (48, "-1/8"), (96, 0)], flat, flat)
    corrections = said(data)["plane"]["corrections"]
    assert [(each["line"], each["amount_mm"], each["text"]) for each in corrections] == [
        ("stud 2", -0.396875, ""),
        ("stud 3", 3.175, 'shim 1/8"'),
    ]
    metric = said({**data, "units": "mm", "tile_longest_edge": 600})["plane"]["corrections"]
    assert [each["text"] for each in metric] == ["", "shim 3.2 mm"]
