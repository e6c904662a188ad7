"""The Week: who is where on each day, and what waits for somebody."""

from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from callbacks.actions import close_out_job
from inspections.actions import amend, record_entry, start_punch_list
from inspections.models import Check
from jobs.actions import book, cancel_booking
from shop.mail import queue_mail
from shop.models import Mail
from shop.templatetags.look import length
from tests.factories import JobFactory, RoomFactory
from tests.inspections.opening import open_phases_of
from tests.inspections.proofs import prove_and_sign
from trade.lengths import inches

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


@pytest.fixture
def disagreement(room, installer, owner):
    """A reading that two people entered without knowing of each other: the newer one holds."""
    check = next(
        check for phase in open_phases_of(room) for check in phase.checks.all() if check.key == "substrate.plane"
    )
    now = timezone.now()
    for by, minutes, inch in ((installer, 20, "1/2"), (owner, 10, "1/16")):
        record_entry(
            check=check, by=by, happened_at=now - timedelta(minutes=minutes), values=[inches(inch)], seen="none"
        )
    return check


def test_two_phones_that_disagree_are_listed_until_somebody_settles_it(as_office, disagreement, room, installer, owner):
    page = week(as_office)
    listed = page.split("Two phones disagree")[1].split("</section>")[0]
    figures = [length(inches(text), "1/64") for text in ("1/2", "1/16")]
    said = (disagreement.text, room.name, "14 Quarry Lane", installer.name, owner.name, "fails", "holds")
    for text in (*said, *figures):
        assert text in listed
    for entry in disagreement.entries.all():
        assert timezone.localtime(entry.happened_at).strftime("%M") in listed
    assert f"{reverse('inspections:phase', args=[disagreement.phase_id])}#check-{disagreement.pk}" in listed
    last = disagreement.entries.order_by("created_at").last()
    record_entry(check=disagreement, by=owner, happened_at=timezone.now(), values=[inches("1/16")], seen=str(last.pk))
    assert "Two phones disagree" not in week(as_office)


def test_a_failure_that_comes_after_the_closeout_is_listed_with_the_way_to_a_callback(
    as_office, room, installer, owner, django_assert_max_num_queries
):
    for phase in (phases := open_phases_of(room)):
        prove_and_sign(phase, by=installer)
    job = room.job
    start_punch_list(job=job, by=owner)
    close_out_job(job=job, walked_with="Odalys Brandt", by=owner)
    assert "Came after the closeout" not in week(as_office)
    check = phases[0].checks.filter(kind="tick", surfaces=[]).first()
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=True)
    assert "Came after the closeout" not in week(as_office)
    # Made before, arrived after.
    past = timezone.now() - timedelta(hours=5)
    record_entry(check=check, by=installer, happened_at=past, ticked=False, note="Blocking is missing")
    with django_assert_max_num_queries(18):
        page = week(as_office)
    listed = page.split("Came after the closeout")[1].split("</section>")[0]
    links = (reverse("callbacks:new", args=[job.pk]), reverse("home:job", args=[job.pk]), f"#check-{check.pk}")
    for text in (check.text, room.name, "14 Quarry Lane", installer.name, "Blocking is missing", *links):
        assert text in listed


def test_a_week_without_them_has_neither_list(as_office, room):
    open_phases_of(room)
    page = week(as_office)
    assert "Two phones disagree" not in page
    assert "Amended" not in page


def test_amendments_are_listed_newest_first(as_office, room, installer, owner):
    phase = open_phases_of(room)[0]
    prove_and_sign(phase, by=installer)
    entry = phase.checks.filter(required=True).first().entries.get()
    now = timezone.now()
    amend(row=phase.sign_off, text="Signed for Marek", by=owner, happened_at=now)
    # Made before, arrived after.
    amend(row=entry, text="Read off the wrong stud", by=installer, happened_at=now - timedelta(hours=2))
    page = week(as_office)
    listed = page.split("Amended in the last two weeks")[1].split("</section>")[0]
    assert listed.index("Read off the wrong stud") < listed.index("Signed for Marek")
    for text in (installer.name, owner.name, room.name, "14 Quarry Lane", f"#check-{entry.check_done_id}", "#signed"):
        assert text in listed


def test_an_empty_week_says_what_to_do_next(as_office):
    page = week(as_office)
    assert "Nobody is booked." in page
    assert reverse("jobs:new") in page


def signed_amended_and_disagreeing(room, installer, owner) -> None:
    """The room's first phase signed, its sign-off and an entry amended, and something in the others to settle."""
    first, *others = open_phases_of(room)
    prove_and_sign(first, by=installer)
    entry = first.checks.filter(required=True).first().entries.get()
    for row in (first.sign_off, entry):
        amend(row=row, text="Signed for Marek", by=owner, happened_at=timezone.now())
    for by, ticked in ((installer, True), (owner, False)):
        check = Check.objects.filter(phase__in=others, kind="tick").first()
        record_entry(check=check, by=by, happened_at=timezone.now(), ticked=ticked, seen="none")


def test_the_week_costs_the_same_with_ten_jobs(as_office, job, room, installer, office, owner):
    signed_amended_and_disagreeing(room, installer, owner)
    book_on(job, installer, office)
    with CaptureQueriesContext(connection) as few:
        week(as_office)
    for number in range(9):
        other = JobFactory(title=f"Bath {number}")
        book_on(other, installer, office, first=12 + number, last=13 + number)
        signed_amended_and_disagreeing(RoomFactory(job=other), installer, owner)
    with CaptureQueriesContext(connection) as many:
        page = week(as_office)
    assert page.count("Signed for Marek") == 20
    assert len(many) == len(few) <= 18


def test_mail_that_was_given_up_is_counted_for_a_month(as_office):
    assert "didn’t go" not in week(as_office)
    now = timezone.now()
    for name, days in (("new", 1), ("old", 40)):
        mail = queue_mail(key=name, to="odalys@example.com", subject="Proposal", text="Hello")
        Mail.objects.filter(pk=mail.pk).update(give_up_at=now - timedelta(days=days), attempts=5, error="550 no")
    sent = queue_mail(key="sent", to="odalys@example.com", subject="Proposal", text="Hello")
    Mail.objects.filter(pk=sent.pk).update(give_up_at=now - timedelta(days=1), sent_at=now)
    assert "1 mail didn’t go, and isn’t tried any more." in week(as_office)
