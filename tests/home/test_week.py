"""The Week: who is where on each day, and what waits for somebody."""

from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inspections.actions import record_entry
from jobs.actions import book, cancel_booking
from tests.factories import JobFactory, RoomFactory
from tests.inspections.opening import open_phases_of

pytestmark = pytest.mark.django_db


def at(day, hour: int) -> datetime:
    return timezone.make_aware(datetime(day.year, day.month, day.day, hour))


def book_on(job, person, by, *, day=None, first=8, last=12, what="Setting"):
    day = day or timezone.localdate()
    return book(job=job, person=person, kind="phase", what=what, starts=at(day, first), ends=at(day, last), by=by)


def week(client, **query) -> str:
    return client.get(reverse("home:week"), query).content.decode()


def test_each_role_starts_on_its_own_page(as_owner, as_office, as_installer):
    for client, home in ((as_owner, "home:week"), (as_office, "home:week"), (as_installer, "home:today")):
        assert client.get("/")["Location"] == reverse(home)


def test_a_booking_stands_on_its_day_and_links_to_its_job(as_office, job, installer, office):
    book_on(job, installer, office)
    page = week(as_office)
    assert "Setting, 14 Quarry Lane" in page
    assert reverse("home:job", args=[job.pk]) in page


def test_a_canceled_booking_is_gone(as_office, job, installer, office):
    cancel_booking(booking=book_on(job, installer, office), by=office)
    assert "Setting, 14 Quarry Lane" not in week(as_office)


def test_a_booking_over_midnight_stands_on_both_days(as_office, job, installer, office):
    monday = timezone.localdate() - timedelta(days=timezone.localdate().weekday())
    book(
        job=job,
        person=installer,
        kind="phase",
        what="Night grout",
        starts=at(monday, 22),
        ends=at(monday + timedelta(days=1), 2),
        by=office,
    )
    assert week(as_office).count("Night grout, 14 Quarry Lane") == 2


@pytest.mark.parametrize("asked", ["", "yesterday", "0001-01-01", "9999-12-31", "2026-02-30"])
def test_a_day_that_cannot_be_shown_is_this_week(as_office, asked):
    response = as_office.get(reverse("home:week"), {"day": asked})
    assert response.context["week"].days[0].date <= timezone.localdate() <= response.context["week"].days[-1].date


def test_what_is_held_says_by_what(as_office, room, installer):
    phases = open_phases_of(room)
    check = phases[0].checks.filter(kind="tick").first()
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    page = week(as_office).replace("&#x27;", "'")
    assert f"{check.text}: failed" in page
    assert reverse("inspections:phase", args=[phases[0].pk]) in page


def test_an_empty_week_says_what_to_do_next(as_office):
    page = week(as_office)
    assert "Nobody is booked." in page
    assert reverse("jobs:new") in page


def test_the_week_costs_the_same_with_ten_jobs(as_office, job, room, installer, office):
    open_phases_of(room)
    book_on(job, installer, office)
    with CaptureQueriesContext(connection) as few:
        week(as_office)
    for number in range(9):
        other = JobFactory(title=f"Bath {number}")
        book_on(other, installer, office, first=12 + number, last=13 + number)
        open_phases_of(RoomFactory(job=other))
    with CaptureQueriesContext(connection) as many:
        week(as_office)
    assert len(many) == len(few) <= 14
