"""Today: the installer's jobs of the day, and no others."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.actions import put_on_crew, take_off_crew
from tests.factories import RoomFactory
from tests.home.test_week import book_on
from tests.inspections.opening import open_phases_of

pytestmark = pytest.mark.django_db


def today(client) -> str:
    return client.get(reverse("home:today")).content.decode()


def test_a_booked_job_leads_to_the_phase_whose_turn_it_is(as_installer, room, installer, office):
    phases = open_phases_of(room)
    book_on(room.job, installer, office)
    page = today(as_installer)
    assert "14 Quarry Lane" in page
    assert reverse("inspections:phase", args=[phases[0].pk]) in page
    assert reverse("inspections:phase", args=[phases[1].pk]) not in page


def test_a_job_of_the_crew_without_a_booking_stands_among_the_others(as_installer, room):
    open_phases_of(room)
    page = today(as_installer)
    assert "Your jobs" in page
    assert "14 Quarry Lane" in page


def test_the_pages_of_the_day_take_as_many_queries_for_three_jobs_as_for_one(
    as_installer, room, installer, office, django_assert_max_num_queries
):
    """And they are the pages that lead there: job, room and every phase."""

    def pages() -> list[str]:
        return as_installer.get(reverse("home:phone_day")).json()["pages"]

    phases = open_phases_of(room)
    with CaptureQueriesContext(connection) as one:
        first = pages()
    assert {reverse("inspections:phase", args=[phase.pk]) for phase in phases} <= set(first)
    assert reverse("home:job", args=[room.job_id]) in first
    for _ in range(2):
        other = RoomFactory()
        open_phases_of(other)
        put_on_crew(job=other.job, person=installer, by=office)
    with django_assert_max_num_queries(len(one)):
        assert len(pages()) == 3 * (len(first) - 3) + 3


def test_who_is_on_no_job_is_told_whom_to_call(as_other_installer, room):
    open_phases_of(room)
    page = today(as_other_installer)
    assert "Nothing for you today" in page
    assert "14 Quarry Lane" not in page


def test_who_left_the_crew_sees_the_job_no_longer(as_installer, room, installer, office):
    open_phases_of(room)
    take_off_crew(job=room.job, person=installer, by=office)
    assert "14 Quarry Lane" not in today(as_installer)
    assert as_installer.get(reverse("home:job", args=[room.job_id])).status_code == 404


def test_the_gate_code_is_for_those_on_the_job(as_installer, as_other_installer, room):
    url = reverse("home:job", args=[room.job_id])
    assert "Gate code 4711" in as_installer.get(url).content.decode()
    assert as_other_installer.get(url).status_code == 404


def test_a_booking_of_tomorrow_is_not_today(as_installer, job, installer, office):
    book_on(job, installer, office, day=timezone.localdate() + timedelta(days=1))
    assert "14 Quarry Lane" not in today(as_installer)
