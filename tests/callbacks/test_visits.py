"""Visits are bookings: nobody is in two places at once."""

import threading
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse
from django.utils import timezone

from callbacks.actions import AlreadyClosed, book_visit, cancel_visit, close_callback
from callbacks.models import Visit
from jobs.actions import DoubleBooked, book, put_on_crew
from jobs.models import Booking, BookingKind, CrewMember
from tests.factories import JobFactory

HOUR = timedelta(hours=1)


@pytest.fixture
def visit(callback, installer, tomorrow, office):
    return book_visit(callback=callback, person=installer, starts=tomorrow, ends=tomorrow + HOUR, by=office)


def form(person, at, *, hours=1):
    return {
        "book_visit": "",
        "person": str(person.pk),
        "day": at.strftime("%Y-%m-%d"),
        "starts": at.strftime("%H:%M"),
        "ends": (at + hours * HOUR).strftime("%H:%M"),
    }


@pytest.mark.django_db
def test_a_visit_is_a_booking_on_the_job_and_puts_the_person_on_its_crew(callback, other_installer, tomorrow, office):
    visit = book_visit(callback=callback, person=other_installer, starts=tomorrow, ends=tomorrow + HOUR, by=office)
    assert visit.booking.job == callback.job
    assert visit.booking.kind == BookingKind.VISIT
    assert str(callback.number) in visit.booking.what
    assert CrewMember.objects.filter(job=callback.job, person=other_installer, left_at=None).exists()


@pytest.mark.django_db
def test_the_same_visit_booked_twice_is_one(visit, callback, installer, tomorrow, office):
    again = book_visit(callback=callback, person=installer, starts=tomorrow, ends=tomorrow + HOUR, by=office)
    assert again == visit
    assert Booking.objects.count() == 1


@pytest.mark.django_db
def test_a_second_visit_at_that_hour_names_the_person_and_keeps_what_was_typed(
    visit, log, installer, tomorrow, as_office
):
    other = log(symptom="ponding")
    url = reverse("callbacks:detail", args=[other.pk])
    page = as_office.post(url, form(installer, tomorrow + HOUR / 2))
    assert page.status_code == 200
    text = page.content.decode()
    assert "Rui Tavares is already booked then" in text
    assert visit.booking.what in page.context["visit_form"].non_field_errors()[0]
    assert f'value="{tomorrow:%Y-%m-%d}"' in text
    assert 'value="09:30"' in text
    assert not other.visits.exists()


@pytest.mark.django_db
def test_work_booked_elsewhere_clashes_too(callback, installer, tomorrow, office):
    elsewhere = JobFactory()
    until = tomorrow + 8 * HOUR
    book(job=elsewhere, person=installer, kind="phase", what="Grout", starts=tomorrow, ends=until, by=office)
    with pytest.raises(DoubleBooked, match=r"Rui Tavares.*Grout"):
        book_visit(callback=callback, person=installer, starts=tomorrow + HOUR, ends=tomorrow + 2 * HOUR, by=office)
    assert not Visit.objects.exists()


@pytest.mark.django_db
def test_a_visit_right_after_another_is_no_clash(visit, callback, installer, tomorrow, office):
    book_visit(callback=callback, person=installer, starts=tomorrow + HOUR, ends=tomorrow + 2 * HOUR, by=office)
    assert callback.visits.count() == 2


@pytest.mark.django_db
def test_a_canceled_visit_frees_the_hour_and_stays_on_record(visit, callback, log, installer, tomorrow, as_office):
    url = reverse("callbacks:detail", args=[callback.pk])
    for _ in range(2):
        assert as_office.post(url, {"cancel_visit": str(visit.pk)}).status_code == 302
    visit.booking.refresh_from_db()
    assert visit.booking.canceled_at
    assert "canceled" in as_office.get(url).content.decode()

    other = log(symptom="ponding")
    assert as_office.post(reverse("callbacks:detail", args=[other.pk]), form(installer, tomorrow)).status_code == 302
    assert other.visits.count() == 1


@pytest.mark.django_db
def test_another_callbacks_visit_cant_be_canceled_from_here(visit, log, as_office):
    other = log(symptom="ponding")
    url = reverse("callbacks:detail", args=[other.pk])
    assert as_office.post(url, {"cancel_visit": str(visit.pk)}).status_code == 404
    assert as_office.post(url, {"cancel_visit": "x"}).status_code == 404
    visit.booking.refresh_from_db()
    assert visit.booking.canceled_at is None


@pytest.mark.django_db
def test_an_end_before_the_start_is_said_beside_its_field(callback, installer, tomorrow, as_office):
    page = as_office.post(reverse("callbacks:detail", args=[callback.pk]), form(installer, tomorrow, hours=-1))
    assert page.status_code == 200
    assert page.context["visit_form"].errors["ends"]


@pytest.mark.django_db
def test_a_closed_callback_takes_no_visit(callback, installer, tomorrow, office):
    close_callback(callback=callback, cause="Drain", remedy="Sealed it", by=office)
    with pytest.raises(AlreadyClosed):
        book_visit(callback=callback, person=installer, starts=tomorrow, ends=tomorrow + HOUR, by=office)


@pytest.mark.django_db
def test_the_database_refuses_a_visit_to_another_job(callback, installer, tomorrow, office):
    elsewhere = book(
        job=JobFactory(), person=installer, kind="visit", what="x", starts=tomorrow, ends=tomorrow + HOUR, by=office
    )
    with pytest.raises(IntegrityError, match="no visit to the job"), transaction.atomic():
        Visit.objects.create(callback=callback, booking=elsewhere)


def test_of_two_visits_booked_at_the_same_moment_one_is_refused(
    own_database, callback, log, installer, tomorrow, office
):
    put_on_crew(job=callback.job, person=installer, by=office)
    callbacks = [callback, log(symptom="ponding")]
    ready, outcomes = threading.Barrier(2), []

    def try_to_book(one) -> None:
        try:
            ready.wait(5)
            book_visit(callback=one, person=installer, starts=tomorrow, ends=tomorrow + HOUR, by=office)
            outcomes.append("booked")
        except DoubleBooked:
            outcomes.append("refused")
        except Exception as error:
            outcomes.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=try_to_book, args=[one]) for one in callbacks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["booked", "refused"]
    assert Booking.objects.filter(person=installer, canceled_at=None).count() == 1


@pytest.mark.django_db
def test_a_visit_that_is_over_cant_be_told_from_none_by_its_hour(callback, installer, office, as_office):
    """It was booked after the fact: shown as over, and not to be canceled any more."""
    past = timezone.now() - timedelta(days=2)
    visit = book_visit(callback=callback, person=installer, starts=past, ends=past + HOUR, by=office)
    page = as_office.get(reverse("callbacks:detail", args=[callback.pk])).content.decode()
    assert f'value="{visit.pk}"' not in page
    assert cancel_visit(visit=visit, by=office).booking.canceled_at
