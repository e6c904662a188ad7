"""The rod shows where a job stands, in one place."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from home.rod import rod_of
from jobs.actions import move_job
from rooms.actions import choose_layout
from tests.factories import RoomFactory
from tests.inspections.opening import open_phases_of
from tests.inspections.proofs import prove_and_sign

pytestmark = pytest.mark.django_db


def now(job) -> list[str]:
    job.refresh_from_db()
    return [segment.name for segment in rod_of(job) if segment.state == "now"]


def test_a_new_job_is_being_measured(job):
    assert now(job) == ["Measure"]


def test_a_measured_room_waits_for_its_layout(room):
    assert now(room.job) == ["Choose layout"]


def test_a_chosen_layout_leads_to_the_price(room, owner):
    choose_layout(room=room, option=1, why="", by=owner)
    assert now(room.job) == ["Price"]


def test_the_work_stands_at_the_first_unsigned_phase(room, installer):
    phases = open_phases_of(room)
    assert now(room.job) == [phases[0].name]
    prove_and_sign(phases[0], by=installer)
    assert now(room.job) == [phases[1].name]


def test_phases_to_come_are_shown_before_the_work(room):
    names = [segment.name for segment in rod_of(room.job)]
    assert names.index("Proposal") < names.index("Waterproofing") < names.index("Punch list")


def test_no_two_lengths_of_the_rod_have_one_name(room):
    names = [segment.name for segment in rod_of(room.job)]
    assert "Layout" in names, "the phase in which lines are snapped"
    assert len(set(names)) == len(names)


def test_a_lost_job_stands_nowhere(job, owner):
    move_job(job=job, to="lost", by=owner)
    assert now(job) == []


def test_the_rod_costs_the_same_with_many_rooms(room):
    job = room.job
    with CaptureQueriesContext(connection) as few:
        rod_of(job)
    for _ in range(4):
        RoomFactory(job=job)
    with CaptureQueriesContext(connection) as many:
        rod_of(job)
    assert len(many) == len(few) <= 8
