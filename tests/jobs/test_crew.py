"""Who is on a job, and so who sees it."""

from datetime import timedelta

import pytest
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from jobs.access import get_job, jobs_of
from jobs.actions import NotWorkingHere, StillBooked, book, cancel_booking, put_on_crew, take_off_crew
from jobs.models import BookingKind, CrewMember
from shop.actions import deactivate_staff

pytestmark = pytest.mark.django_db


def booked(job, person, by, *, days: int = 1):
    starts = timezone.now() + timedelta(days=days)
    ends = starts + timedelta(hours=3)
    return book(job=job, person=person, kind=BookingKind.PHASE, what="Grout", starts=starts, ends=ends, by=by)


def test_on_the_crew_the_job_is_seen_and_off_it_it_is_not(job, installer, other_installer, owner):
    assert get_job(installer, job.pk) == job
    with pytest.raises(Http404):
        get_job(other_installer, job.pk)
    put_on_crew(job=job, person=other_installer, by=owner)
    assert get_job(other_installer, job.pk) == job
    take_off_crew(job=job, person=other_installer, by=owner)
    with pytest.raises(Http404):
        get_job(other_installer, job.pk)


def test_owner_and_office_see_every_job(job, owner, office, other_installer):
    assert [list(jobs_of(person)) for person in (owner, office, other_installer)] == [[job], [job], []]


def test_put_on_twice_is_on_once(job, other_installer, owner):
    first = put_on_crew(job=job, person=other_installer, by=owner)
    assert put_on_crew(job=job, person=other_installer, by=owner) == first
    assert CrewMember.objects.filter(person=other_installer).count() == 1


def test_who_comes_back_is_on_anew_and_the_first_time_stays_on_record(job, installer, owner):
    take_off_crew(job=job, person=installer, by=owner)
    take_off_crew(job=job, person=installer, by=owner)
    put_on_crew(job=job, person=installer, by=owner)
    assert [member.left_at is None for member in CrewMember.objects.order_by("created_at", "id")] == [False, True]


def test_a_closed_log_in_is_put_on_no_crew(job, other_installer, owner):
    deactivate_staff(staff=other_installer, by=owner)
    with pytest.raises(NotWorkingHere):
        put_on_crew(job=job, person=other_installer, by=owner)


def test_who_is_booked_ahead_stays_on_until_the_booking_is_canceled(job, installer, owner):
    booking = booked(job, installer, owner)
    with pytest.raises(StillBooked, match="Rui Tavares"):
        take_off_crew(job=job, person=installer, by=owner)
    cancel_booking(booking=booking, by=owner)
    take_off_crew(job=job, person=installer, by=owner)
    assert not list(jobs_of(installer))


def test_a_booking_that_is_over_holds_nobody(job, installer, owner):
    booked(job, installer, owner, days=-2)
    take_off_crew(job=job, person=installer, by=owner)
    assert not list(jobs_of(installer))


def test_booking_somebody_lets_them_see_the_job(job, other_installer, owner):
    booked(job, other_installer, owner)
    assert get_job(other_installer, job.pk) == job


def test_the_office_puts_on_and_takes_off_on_the_page(as_office, job, other_installer):
    page = reverse("jobs:crew", args=[job.pk])
    as_office.post(page, {"put_on": "", "person": other_installer.pk})
    member = CrewMember.objects.get(person=other_installer, left_at=None)
    for _ in range(2):
        assert as_office.post(page, {"take_off": member.pk}).url == page
    member.refresh_from_db()
    assert member.left_at is not None


def test_the_page_offers_only_who_is_not_on_yet(as_office, job, installer, other_installer):
    form = as_office.get(reverse("jobs:crew", args=[job.pk])).context["form"]
    offered = set(form.fields["person"].queryset)
    assert other_installer in offered
    assert installer not in offered


def test_the_page_says_why_somebody_stays(as_office, job, installer, owner):
    booked(job, installer, owner)
    member = CrewMember.objects.get(person=installer)
    answer = as_office.post(reverse("jobs:crew", args=[job.pk]), {"take_off": member.pk}, follow=True)
    assert "is booked on this job" in answer.text


def test_a_member_of_another_jobs_crew_is_not_taken_off_here(as_office, job, installer):
    from tests.factories import CrewMemberFactory

    elsewhere = CrewMemberFactory(person=installer)
    as_office.post(reverse("jobs:crew", args=[job.pk]), {"take_off": elsewhere.pk})
    elsewhere.refresh_from_db()
    assert elsewhere.left_at is None
    assert as_office.post(reverse("jobs:crew", args=[job.pk]), {"take_off": "x"}).status_code == 404


def test_installers_cannot_put_themselves_on_a_job(as_installer, as_other_installer, job, other_installer):
    page = reverse("jobs:crew", args=[job.pk])
    for browser in (as_installer, as_other_installer):
        assert browser.get(page).status_code == 403
        assert browser.post(page, {"put_on": "", "person": other_installer.pk}).status_code == 403
    assert not CrewMember.objects.filter(person=other_installer).exists()
