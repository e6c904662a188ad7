"""The office books people on a job."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format

from jobs.actions import EndsBeforeStart, NotWorkingHere, WrongStage, book, move_job
from jobs.models import Booking, BookingKind, Stage
from shop.actions import change_settings, deactivate_staff
from tests.factories import JobFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(job) -> str:
    return reverse("jobs:bookings", args=[job.pk])


def typed(person_booked, **changes) -> dict[str, str]:
    day = timezone.localdate() + timedelta(days=7)
    plain = {
        "person": person_booked.pk,
        "what": "Grout",
        "kind": "phase",
        "day": day.isoformat(),
        "starts": "07:30",
        "ends": "16:00",
    }
    return plain | changes


def test_a_booking_is_in_the_shops_time_zone(as_office, page, installer, owner):
    change_settings(by=owner, time_zone="America/New_York")
    day = date(timezone.localdate().year + 1, 1, 15)  # winter: five hours behind UTC
    as_office.post(page, typed(installer, day=day.isoformat()))
    during = Booking.objects.get().during
    assert during.lower == datetime(day.year, 1, 15, 12, 30, tzinfo=UTC)
    assert during.upper == datetime(day.year, 1, 15, 21, 0, tzinfo=UTC)
    assert f"Jan 15, {day.year}, 7:30 a.m." in as_office.get(page).text


def test_sent_twice_it_is_one_booking_without_complaint(as_office, page, installer):
    for _ in range(2):
        assert as_office.post(page, typed(installer)).url == page
    assert Booking.objects.count() == 1


def test_a_clash_is_named_and_what_was_typed_stays(as_office, page, installer):
    as_office.post(reverse("jobs:bookings", args=[JobFactory().pk]), typed(installer, what="Waterproofing"))
    answer = as_office.post(page, typed(installer, what="Grout and caulk"))
    [error] = answer.context["form"].non_field_errors()
    assert "Rui Tavares" in error
    assert "Waterproofing" in error
    assert 'value="Grout and caulk"' in answer.text
    assert Booking.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("person", ""),
        ("person", "x"),
        ("what", ""),
        ("what", "x" * 121),
        ("kind", "holiday"),
        ("day", "soon"),
        ("day", "2026-02-30"),
        ("day", "0001-01-01"),
        ("day", "9999-12-31"),
        ("starts", "25:00"),
        ("ends", "07:30"),
        ("ends", "03:00"),
        ("overnight", "on"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(as_office, page, installer, field, value):
    answer = as_office.post(page, typed(installer, **{field: value}))
    assert answer.status_code == 200
    assert answer.context["form"].errors[field]
    assert not Booking.objects.exists()


def test_the_skipped_hour_is_refused_on_the_page(as_office, page, installer, owner):
    change_settings(by=owner, time_zone="America/New_York")
    march = date(timezone.localdate().year + 1, 3, 1)
    second_sunday = march + timedelta(days=(6 - march.weekday()) % 7 + 7)  # 15 USC 260a(a)
    answer = as_office.post(page, typed(installer, day=second_sunday.isoformat(), starts="02:30", ends="05:00"))
    assert "clocks go forward" in str(answer.context["form"].errors["starts"])


def test_over_midnight_is_shown_with_both_days(as_office, page, installer):
    day = timezone.localdate() + timedelta(days=7)
    as_office.post(page, typed(installer, day=day.isoformat(), starts="22:00", ends="04:00", overnight="on"))
    text = as_office.get(page).text
    assert f"{date_format(day, 'D, M j, Y')}, 10 p.m." in text
    assert f"{date_format(day + timedelta(days=1), 'D, M j')}, 4 a.m." in text


def test_the_form_begins_with_the_shops_hours(as_office, page, owner):
    change_settings(by=owner, work_starts="06:45", work_ends="14:15")
    text = as_office.get(page).text
    assert 'value="06:45"' in text
    assert 'value="14:15"' in text


def test_the_action_refuses_an_end_before_the_start_in_true_time(job, installer, owner):
    """1:45 before the clocks go back and 1:15 after it are half an hour apart, whatever the wall clocks say."""
    from zoneinfo import ZoneInfo

    zone = ZoneInfo("America/New_York")
    early = datetime(2027, 11, 7, 1, 45, fold=0, tzinfo=zone)
    late = datetime(2027, 11, 7, 1, 15, fold=1, tzinfo=zone)
    fields = {"job": job, "person": installer, "kind": BookingKind.PHASE, "what": "Grout", "by": owner}
    with pytest.raises(EndsBeforeStart):
        book(**fields, starts=late, ends=early)
    with pytest.raises(EndsBeforeStart):
        book(**fields, starts=early, ends=early)
    during = book(**fields, starts=early, ends=late).during
    assert during.upper - during.lower == timedelta(minutes=30)


def test_who_cannot_log_in_is_not_booked(as_office, page, job, installer, owner):
    deactivate_staff(staff=installer, by=owner)
    assert as_office.post(page, typed(installer)).context["form"].errors["person"]
    soon = timezone.now() + timedelta(days=1)
    with pytest.raises(NotWorkingHere):
        book(
            job=job, person=installer, kind=BookingKind.PHASE, what="x", starts=soon, ends=soon + timedelta(1), by=owner
        )


def test_a_job_that_was_not_taken_loses_its_bookings_and_takes_no_more(as_office, page, job, installer, owner):
    past = timezone.now() - timedelta(days=3)
    done = book(
        job=job,
        person=installer,
        kind=BookingKind.VISIT,
        what="Measure",
        starts=past,
        ends=past + timedelta(hours=1),
        by=owner,
    )
    as_office.post(page, typed(installer))
    answer = as_office.post(reverse("jobs:move", args=[job.pk]), {"lost": ""})
    assert Booking.objects.filter(canceled_at=None).get() == done
    assert answer.status_code == 302
    assert as_office.post(page, typed(installer)).context["form"].non_field_errors()
    job.refresh_from_db()
    assert job.stage == Stage.LOST
    soon = timezone.now() + timedelta(days=1)
    with pytest.raises(WrongStage):
        book(
            job=job, person=installer, kind=BookingKind.PHASE, what="x", starts=soon, ends=soon + timedelta(1), by=owner
        )
    move_job(job=job, to=Stage.MEASURING, by=owner)
    assert as_office.post(page, typed(installer)).status_code == 302


def test_the_office_cancels_by_a_button_and_not_by_a_link(as_office, page, installer):
    as_office.post(page, typed(installer))
    booking = Booking.objects.get()
    cancel = reverse("jobs:booking_cancel", args=[booking.pk])
    assert as_office.get(cancel).status_code == 405
    for _ in range(2):
        assert as_office.post(cancel).url == page
    booking.refresh_from_db()
    assert booking.canceled_at is not None
    assert "canceled" in as_office.get(page).text


def test_the_page_takes_the_same_queries_for_many(
    as_office, page, job, installer, owner, django_assert_max_num_queries
):
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as captured:
            as_office.get(page)
        return len(captured)

    def some(count: int, first: int) -> None:
        for n in range(first, first + count):
            starts = timezone.now() + timedelta(days=n)
            book(
                job=job,
                person=installer,
                kind="phase",
                what="x",
                starts=starts,
                ends=starts + timedelta(hours=1),
                by=owner,
            )

    some(1, 1)
    some(1, -5)
    few = queries()
    some(10, 10)
    some(10, -30)
    assert queries() == few


def test_installers_book_and_cancel_nothing(as_office, as_installer, as_other_installer, page, installer):
    as_office.post(page, typed(installer))
    booking = Booking.objects.get()
    for browser in (as_installer, as_other_installer):
        assert browser.get(page).status_code == 403
        assert browser.post(page, typed(installer, starts="17:00", ends="18:00")).status_code == 403
        assert browser.post(reverse("jobs:booking_cancel", args=[booking.pk])).status_code == 403
    booking.refresh_from_db()
    assert booking.canceled_at is None
    assert Booking.objects.count() == 1
