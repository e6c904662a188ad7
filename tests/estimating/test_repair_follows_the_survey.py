"""What is repaired of a substrate is what the newest surveys have out of plane; the line says whether any stands."""

from decimal import Decimal

import pytest
from django.utils import timezone

from estimating.actions import fill_estimate
from estimating.models import EstimateLine
from rooms.actions import choose_layout, import_room
from rooms.surveys.keeping import keep_survey
from tests.layout_survey.surveys import substrate
from tests.rooms_app.files import one_wall
from tests.rooms_app.test_surveys_go_into_the_takeoff import floor_read

pytestmark = pytest.mark.django_db


def read_wall(room, owner, *lines, key="back"):
    surface = room.surfaces.get(key=key)
    data = substrate(*lines, kind="wall")
    return keep_survey(room=room, kind="wall", surface=surface, data=data, happened_at=timezone.now(), by=owner)


def lines_of(job, owner):
    fill_estimate(job=job, by=owner)
    return {line.key: line for line in EstimateLine.objects.filter(estimate__job=job)}


STRAIGHT, CROOKED = [(0, 0), (24, 0), (48, 0)], [(0, 0), (24, "3/4"), (48, 0)]


def test_without_a_survey_all_is_prepared_and_the_line_says_that_none_stands(laid_out, rates, owner):
    lines = lines_of(laid_out, owner)
    assert lines["labor_substrate"].quantity == 86
    assert "No survey stands" in lines["labor_substrate"].how
    assert "labor_patch" not in lines


def test_of_a_wall_that_fails_what_is_out_of_plane_is_patched(laid_out, room, rates, owner):
    """The back wall is 60 by 96 in, less a niche of 12 by 24 in: 38 sq ft."""
    survey = read_wall(room, owner, STRAIGHT, CROOKED, STRAIGHT, STRAIGHT)
    assert survey.verdict == "fails"
    touched = survey.result["plane"]["lines_touched"]
    assert 0 < touched < 4
    lines = lines_of(laid_out, owner)
    assert lines["labor_patch"].quantity == Decimal(38 * touched) / 4
    assert lines["labor_patch"].cost > 0
    assert "the part whose lines the newest survey touches" in lines["labor_patch"].how
    assert lines["labor_substrate"].quantity == 86
    assert "Repair comes apart" in lines["labor_substrate"].how
    order = sorted(lines, key=lambda key: lines[key].position)
    assert order.index("labor_patch") == order.index("labor_substrate") + 1


def test_the_newest_survey_counts_and_one_that_holds_asks_for_nothing(laid_out, room, rates, owner):
    read_wall(room, owner, STRAIGHT, CROOKED, STRAIGHT, STRAIGHT)
    assert "labor_patch" in lines_of(laid_out, owner)
    read_wall(room, owner, STRAIGHT, STRAIGHT)
    assert "labor_patch" not in lines_of(laid_out, owner)


def test_of_a_floor_what_is_ground(job, rates, owner):
    data = one_wall()
    data["surfaces"].append({"id": "floor", "kind": "floor", "outline": [[0, 0], [1000, 0], [1000, 2000], [0, 2000]]})
    room = import_room(job=job, data=data, place="shower", by=owner)
    read = {**floor_read(20.0), "leveling": {"to": "level", "grind": 5}}
    floor = room.surfaces.get(key="floor")
    survey = keep_survey(room=room, kind="floor", surface=floor, data=read, happened_at=timezone.now(), by=owner)
    ground = Decimal(str(survey.result["leveling"]["ground"]["area_m2"]))
    assert ground > 0
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    line = lines_of(job, owner)["labor_patch"]
    # The rate is by the square foot: 0.09290304 m² (international foot, 1959).
    assert abs(line.quantity - ground / Decimal("0.09290304")) < Decimal("0.01")
    assert "what the survey grinds" in line.how
