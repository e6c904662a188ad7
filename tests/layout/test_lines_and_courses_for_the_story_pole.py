"""Lines measured from what exists on site, and the running course heights above them."""

from __future__ import annotations

from typing import Any

import pytest

import layout
from tests.layout.helpers import laid, plain, sample

INCH = 25.4


def test_courses_run_up_from_the_level_line_a_tile_and_a_joint_each() -> None:
    """12 in tile and 1/8 in joints: tops at 12, 24 1/8, 36 1/4 … above the line under course 0."""
    data = plain(60, 50, edge_gap=0, pin={"y": "full-at-bottom"})
    data["surfaces"][0]["kind"] = "wall"
    _, result, printed = laid(data)
    courses = result.surface("floor").courses
    assert [course.course for course in courses] == [0, 1, 2, 3, 4]
    assert [course.mm / INCH for course in courses] == pytest.approx([12, 24.125, 36.25, 48.375, 60.5])
    assert [course["text"] for course in printed["options"][0]["surfaces"][0]["courses"]][:3] == [
        '12"',
        '24 1/8"',
        '36 1/4"',
    ]


def test_every_full_tile_ends_at_its_courses_height() -> None:
    for name in ("quarry-lane-shower", "mill-house-tub", "station-hall-floor"):
        _, result, _ = laid(sample(name))
        for surface in result.option.surfaces:
            heights = {course.course: course.mm for course in surface.courses}
            for piece in surface.pieces:
                if piece.whole:
                    top = max(y for _, y in piece.outline)
                    assert top == pytest.approx(surface.datum[1] + heights[piece.course], abs=0.01)


def test_a_fresh_line_is_snapped_as_often_as_the_room_says() -> None:
    """Every 36 in of 12 1/8 in courses is every second one (FORMATS.md, rule 5: the whole part of 36 / 12 1/8)."""
    data = plain(60, 96, pin={"y": "full-at-bottom"}, edge_gap=0)
    data["surfaces"][0]["kind"] = "wall"
    fresh = [course.course for course in laid(data)[1].surface("floor").courses if course.fresh]
    assert fresh == [2, 4, 6]


def test_a_plumb_line_is_measured_from_the_corner_with_the_wall_that_meets_there() -> None:
    _, result, _ = laid(sample("quarry-lane-shower"))
    origins = {surface.id: {line.axis: line.origin for line in surface.lines} for surface in result.option.surfaces}
    assert origins["back"] == {"y": "bottom edge of back", "x": "corner with left"}
    assert origins["left"]["x"] == "left edge of left"


def test_courses_that_step_are_those_of_column_0() -> None:
    data = plain(60, 60, pattern={"kind": "offset", "share": "1/2", "axis": "columns"}, edge_gap=0)
    _, result, _ = laid(data)
    surface = result.surface("floor")
    heights = {course.course: course.mm for course in surface.courses}
    column = [piece for piece in surface.pieces if piece.column == 0 and piece.whole]
    assert column
    for piece in column:
        assert max(y for _, y in piece.outline) == pytest.approx(surface.datum[1] + heights[piece.course], abs=0.01)


def test_an_empty_surface_has_no_courses() -> None:
    _, result, _ = laid(plain(10, 10, edge_gap=6))
    assert result.surface("floor").courses == ()
    assert isinstance(result, layout.Result)


def lines(data: dict[str, Any]) -> dict[str, tuple[float, str]]:
    """Return of the first surface each line's measure in inches and what it is measured from, by name."""
    _, result, _ = laid(data)
    found = result.option.surfaces[0]
    return {line.name: (round(line.mm / INCH, 3), line.origin) for line in (*found.lines, *found.slants)}


def wall(*openings: dict[str, Any], outline: list[list[float]] | None = None, **pin: float) -> dict[str, Any]:
    data = plain(90, 96, edge_gap="1/8", surface={"kind": "wall", "pin": pin, "openings": list(openings)})
    if outline:
        data["surfaces"][0]["outline"] = outline
    return data


def test_where_a_door_takes_the_corner_the_plumb_line_is_measured_from_the_other_wall() -> None:
    """At 41 in, 6 up, the door's jamb stands at the left, 30 in, and the far edge at 90: 49 in from it."""
    for high in (80, 96):
        door = {"id": "door", "kind": "door", "outline": [[0, 0], [30, 0], [30, high], [0, high]]}
        found = lines(wall(door, x=41, y=6))
        assert found["plumb line"] == (49, "right edge of floor")
        assert found["level line"] == (6, "bottom edge of floor")


def test_above_a_tub_the_level_line_is_measured_from_its_rim() -> None:
    tub = {"id": "tub", "kind": "tub", "outline": [[0, 0], [90, 0], [90, 20], [0, 20]]}
    assert lines(wall(tub, x=41, y=26))["level line"] == (6, "top of tub on floor")


def test_beside_a_slanting_edge_the_plumb_line_is_measured_from_the_plumb_one() -> None:
    found = lines(wall(outline=[[0, 0], [60, 0], [60, 96], [30, 96]], x=41, y=6))
    assert found["plumb line"] == (19, "right edge of floor")


def test_from_an_edge_a_little_out_of_plumb_it_is_measured_where_the_lines_cross() -> None:
    """The left edge leans 1 in over 96: 48 in up it stands at 1/2 in."""
    found = lines(wall(outline=[[0, 0], [60, 0], [61, 96], [1, 96]], x=25, y=48))
    assert found["plumb line"] == (24.5, "left edge of floor, where the two lines cross its height")


def test_the_lines_of_a_diagonal_are_marked_on_the_edges_that_they_meet() -> None:
    """Through (30, 20) at 45 degrees: up to the right from (10, 0), down to the right to (50, 0)."""
    data = plain(60, 48, pattern={"kind": "diagonal"}, surface={"pin": {"x": 30, "y": 20}})
    found = lines(data)
    assert found["first line"] == (30, "left edge of floor")
    assert found["second line"] == (20, "bottom edge of floor")
    assert found["line at 45 degrees, up to the right"] == (10, "left end of the bottom edge of floor, along it")
    assert found["line at 45 degrees, down to the right"] == (50, "left end of the bottom edge of floor, along it")
    data["surfaces"][0]["pin"] = {"x": 20, "y": 30}
    # From (0, 10) on the left edge, and down to (50, 0).
    found = lines(data)
    assert found["line at 45 degrees, up to the right"] == (10, "lower end of the left edge of floor, along it")
    assert found["line at 45 degrees, down to the right"] == (50, "left end of the bottom edge of floor, along it")


def test_rounding_does_not_add_up_along_the_pole() -> None:
    """Tile 3.97 and joint 1/16 in: ten courses end at 40.2625 in, 40 1/4; ten times 4 1/16 less one are 40 9/16."""
    data = plain(30, 44, tile=(3.97, 3.97), joint="1/16", edge_gap=0, surface={"kind": "wall"})
    data["pin"] = {"y": "full-at-bottom"}
    texts = {course.course: course.text for course in laid(data)[1].surface("floor").courses}
    assert texts[9] == '40 1/4"'


def test_walls_that_meet_have_one_pole() -> None:
    _, result, _ = laid(sample("quarry-lane-shower"))
    poles = [
        {course.course: course.text for course in surface.courses}
        for surface in result.option.surfaces
        if surface.id in ("left", "back", "right")
    ]
    assert len(poles) == 3
    shared = set(poles[0]) & set(poles[1]) & set(poles[2])
    assert len(shared) >= 4
    assert all(poles[0][n] == poles[1][n] == poles[2][n] for n in shared)
