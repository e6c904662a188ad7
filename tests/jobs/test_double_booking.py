"""Nobody is booked in two places at once, however the clerks hurry."""

import threading
from datetime import UTC, datetime, timedelta

import psycopg
import pytest
from django.conf import settings
from django.db import IntegrityError, connection, transaction
from psycopg.types.range import TimestamptzRange

from base.keys import uuid7
from jobs.actions import DoubleBooked, book, cancel_booking
from jobs.models import Booking, BookingKind
from tests.factories import JobFactory, StaffFactory

NINE = datetime(2026, 12, 1, 14, 0, tzinfo=UTC)
NOON = NINE + timedelta(hours=3)


def at(job, person, by, starts: datetime = NINE, ends: datetime = NOON, what: str = "Grout") -> Booking:
    return book(job=job, person=person, kind=BookingKind.PHASE, what=what, starts=starts, ends=ends, by=by)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("starts", "ends"),
    [(0, 180), (-60, 1), (179, 300), (60, 120), (-60, 300), (0, 1)],
    ids=["same", "end laps", "start laps", "inside", "around", "first minute"],
)
def test_any_overlap_is_refused_and_says_who_and_when(job, installer, owner, starts, ends):
    at(job, installer, owner)
    other = JobFactory()
    with pytest.raises(DoubleBooked) as refusal:
        at(other, installer, owner, NINE + timedelta(minutes=starts), NINE + timedelta(minutes=ends))
    message = str(refusal.value)
    assert "Rui Tavares" in message
    assert f"{job.number:04d}" in message
    assert "2 p.m." in message  # UTC outside of a request
    assert refusal.value.clash == Booking.objects.get()


@pytest.mark.django_db
@pytest.mark.parametrize(("starts", "ends"), [(-60, 0), (180, 240)], ids=["ends as it starts", "starts as it ends"])
def test_one_after_the_other_is_fine(job, installer, owner, starts, ends):
    at(job, installer, owner)
    at(JobFactory(), installer, owner, NINE + timedelta(minutes=starts), NINE + timedelta(minutes=ends))
    assert Booking.objects.count() == 2


@pytest.mark.django_db
def test_two_people_can_be_booked_for_one_hour(job, installer, other_installer, owner):
    at(job, installer, owner)
    at(job, other_installer, owner)
    assert Booking.objects.count() == 2


@pytest.mark.django_db
def test_a_canceled_booking_gives_its_time_back(job, installer, owner):
    booking = at(job, installer, owner)
    cancel_booking(booking=booking, by=owner)
    since = booking.canceled_at
    assert cancel_booking(booking=booking, by=owner).canceled_at == since
    at(job, installer, owner)
    assert Booking.objects.filter(canceled_at=None).count() == 1


@pytest.mark.django_db
def test_the_same_booking_sent_twice_is_one(job, installer, owner):
    assert at(job, installer, owner) == at(job, installer, owner)
    with pytest.raises(DoubleBooked):
        at(job, installer, owner, what="Seal")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "change",
    [
        "INSERT INTO jobs_booking (id, job_id, person_id, kind, what, during) "
        "SELECT gen_random_uuid(), job_id, person_id, kind, what, during FROM jobs_booking",
        "INSERT INTO jobs_booking (id, job_id, person_id, kind, what, during) "
        "SELECT gen_random_uuid(), job_id, person_id, kind, what, 'empty' FROM jobs_booking",
        "INSERT INTO jobs_booking (id, job_id, person_id, kind, what, during) "
        "SELECT gen_random_uuid(), job_id, person_id, kind, what, tstzrange(upper(during), NULL) FROM jobs_booking",
        "UPDATE jobs_booking SET during = tstzrange(lower(during), lower(during))",
        "UPDATE jobs_booking SET during = tstzrange(NULL, upper(during))",
    ],
    ids=["twice", "empty", "no end", "made empty", "made endless"],
)
def test_raw_sql_cannot_do_it_either(job, installer, owner, change):
    at(job, installer, owner)
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(change)


# ---------------------------------------------------------------- two clerks at once


def together(*tasks) -> list[BaseException | None]:
    """Runs the tasks in threads of their own, with a barrier as argument; what each raised."""
    barrier = threading.Barrier(len(tasks), timeout=20)
    raised: list[BaseException | None] = [None] * len(tasks)

    def run(place: int, task) -> None:
        try:
            task(barrier)
        except Exception as error:
            raised[place] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(tasks)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return raised


def look_then_book(url: str, table: str, job, person):
    """A clerk's program that looks whether the hour is free, and books it if it is. Both look before either books."""

    def task(barrier: threading.Barrier) -> None:
        with psycopg.connect(url) as session:
            taken = session.execute(
                f"SELECT count(*) FROM {table} WHERE person_id = %s AND during && %s",
                [person.pk, TimestamptzRange(NINE, NOON)],
            ).fetchone()
            barrier.wait()
            if taken == (0,):
                session.execute(
                    f"INSERT INTO {table} (id, job_id, person_id, kind, what, during, created_at) "
                    "VALUES (%s, %s, %s, 'phase', 'Grout', %s, now())",
                    [uuid7(), job.pk, person.pk, TimestamptzRange(NINE, NOON)],
                )

    return task


def test_looking_first_is_not_enough_and_the_constraint_is(own_database):
    job, person = JobFactory(), StaffFactory()
    url = settings.DATABASE_OWNER_URL
    with psycopg.connect(url) as session:
        session.execute("CREATE TABLE bookings_without_constraint (LIKE jobs_booking)")

    task = look_then_book(url, "bookings_without_constraint", job, person)
    assert together(task, task) == [None, None]
    with psycopg.connect(url) as session:
        # The race is real: both looked, both found the hour free, both booked it.
        assert session.execute("SELECT count(*) FROM bookings_without_constraint").fetchone() == (2,)

    task = look_then_book(url, "jobs_booking", job, person)
    raised = together(task, task)
    # The loser is told so: either by the constraint, or because both waited for each other.
    [error] = [error for error in raised if error]
    assert isinstance(error, psycopg.errors.ExclusionViolation | psycopg.errors.DeadlockDetected)
    assert Booking.objects.count() == 1


def test_of_many_clerks_who_book_one_hour_at_once_one_does_and_the_others_hear_why(own_database):
    owner, person = StaffFactory(role="owner"), StaffFactory()
    jobs = [JobFactory() for _ in range(6)]

    def clerk(job):
        def task(barrier: threading.Barrier) -> None:
            barrier.wait()
            at(job, person, owner)

        return task

    raised = together(*[clerk(job) for job in jobs])
    assert sum(error is None for error in raised) == 1
    assert all(isinstance(error, DoubleBooked) for error in raised if error)
    assert Booking.objects.count() == 1


def test_one_form_sent_six_times_at_once_is_one_booking(own_database):
    owner, person, job = StaffFactory(role="owner"), StaffFactory(), JobFactory()

    def task(barrier: threading.Barrier) -> None:
        barrier.wait()
        at(job, person, owner)

    assert together(*[task] * 6) == [None] * 6
    assert Booking.objects.count() == 1


def test_taking_off_the_crew_and_booking_at_once_leaves_no_booking_without_a_seat(own_database):
    """Whichever comes first, a person with a booking ahead ends up on the crew."""
    from jobs.actions import put_on_crew, take_off_crew
    from jobs.models import CrewMember

    owner, person = StaffFactory(role="owner"), StaffFactory()
    for _ in range(5):
        job = JobFactory()
        put_on_crew(job=job, person=person, by=owner)
        # `now` moves, the calendar of the test doesn't: a time that is surely ahead and free.
        starts = datetime.now(UTC) + timedelta(days=400 + job.number)

        def off(barrier: threading.Barrier, job=job) -> None:
            barrier.wait()
            take_off_crew(job=job, person=person, by=owner)

        def on(barrier: threading.Barrier, job=job, starts=starts) -> None:
            barrier.wait()
            at(job, person, owner, starts, starts + timedelta(hours=1))

        together(off, on)
        assert Booking.objects.filter(job=job).exists()
        assert CrewMember.objects.filter(job=job, person=person, left_at=None).exists()
