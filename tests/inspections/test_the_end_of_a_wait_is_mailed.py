"""Who began a wait hears by mail when it is over: once, and not of one that no longer counts."""

import time
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from config.celery import app
from inspections.actions import record_entry, sign_phase, tell_waits_over, waive_check
from inspections.actions.waiting import _text
from inspections.models import Entry
from shop.actions import change_settings
from shop.mail import send_mails
from shop.models import Mail, Staff
from tests.inspections.proofs import come_to, good_values, some_photo

pytestmark = pytest.mark.django_db
DAY = timedelta(hours=24)


@pytest.fixture
def water_test(open_phases):
    return open_phases[4]


@pytest.fixture
def stood(water_test, installer):
    """Water stands for 24 hours: common practice of the trade, the rule's own label. It is its turn."""
    check = water_test.checks.get(key="water_test.hours")
    come_to(check, by=installer)
    return check


def begin(check, by, *, over_since: timedelta = timedelta(minutes=1)) -> Entry:
    return record_entry(check=check, by=by, happened_at=timezone.now() - DAY - over_since)


def test_a_wait_that_is_over_is_told_once_to_who_began_it(stood, installer, owner):
    entry = begin(stood, installer)
    assert [tell_waits_over(), tell_waits_over()] == [1, 0]
    mail = Mail.objects.get()
    room = stood.phase.room
    assert (mail.to, mail.key) == ("rui@example.com", f"wait-over:{entry.pk}")
    assert mail.subject == f"Water test at 14 Quarry Lane, {room.name}: the wait is over"
    assert settings.PUBLIC_URL + reverse("inspections:phase", args=[stood.phase_id]) in mail.text
    assert "Water has stood" in mail.text
    assert f"Job {room.job.number:04d}, Upstairs bath, 14 Quarry Lane" in mail.text
    assert "maker’s instructions or the local code" in mail.text
    assert "can’t be reached" not in mail.text


def test_times_are_the_shops(stood, installer, owner):
    change_settings(by=owner, time_zone="America/Vancouver")
    # 20:40 UTC is 12:40 pm in Vancouver's winter, where clocks are 8 hours behind UTC (the IANA time zone database).
    now = timezone.now()
    noon = datetime(now.year, 1, 5, 20, 40, tzinfo=UTC)
    entry = record_entry(check=stood, by=installer, happened_at=noon)
    with timezone.override("America/Vancouver"):
        assert "12:40 p.m." in _text(entry, installer)


def test_it_goes_out_by_mail(stood, installer, postbox):
    begin(stood, installer)
    tell_waits_over()
    assert send_mails() == 1
    assert postbox.messages[0]["Subject"].startswith("Water test at 14 Quarry Lane")


def test_one_that_runs_isnt_told(stood, installer):
    begin(stood, installer, over_since=-timedelta(minutes=1))
    assert tell_waits_over() == 0


def test_one_begun_anew_is_told_at_its_own_end_only(stood, installer, other_installer):
    begin(stood, installer)
    begin(stood, other_installer, over_since=-timedelta(hours=1))
    assert tell_waits_over() == 0
    begin(stood, other_installer, over_since=timedelta(seconds=1))  # older than the one that runs
    assert tell_waits_over() == 0


def test_of_two_that_are_over_the_newest_is_told(stood, installer, other_installer):
    begin(stood, installer, over_since=timedelta(hours=2))
    begin(stood, other_installer)
    assert tell_waits_over() == 1
    assert Mail.objects.get().to == "marek@example.com"


def test_a_check_that_cant_be_made_any_more_isnt_told(stood, installer):
    begin(stood, installer)
    record_entry(check=stood, by=installer, happened_at=timezone.now(), skipped=True, note="Drain is out")
    assert tell_waits_over() == 0


def test_a_waived_one_isnt_told(stood, installer, owner):
    """Only what holds can be waived: a wait that still runs."""
    entry = begin(stood, installer, over_since=-timedelta(seconds=1))
    waive_check(check=stood, reason="Tested by the plumber", by=owner)
    time.sleep(1)
    assert entry.due_at < timezone.now()
    assert tell_waits_over() == 0


def test_a_signed_phase_is_told_nothing(water_test, stood, installer):
    begin(stood, installer, over_since=timedelta(hours=1))
    assert tell_waits_over() == 1  # before it is signed
    begin(stood, installer)
    for check in water_test.checks.exclude(kind="wait"):
        photo = some_photo(water_test.room.job, installer) if check.kind == "photo" else None
        record_entry(
            check=check,
            by=installer,
            happened_at=timezone.now(),
            ticked=True,
            values=good_values(check),
            photo=photo,
        )
    sign_phase(phase=water_test, by=installer, happened_at=timezone.now())
    assert tell_waits_over() == 0


def test_one_of_long_ago_isnt_told_any_more(stood, installer):
    begin(stood, installer, over_since=timedelta(days=5, minutes=1))
    assert tell_waits_over() == 0


@pytest.mark.parametrize("change", [{"email": ""}, {"is_active": False}])
def test_the_owner_hears_of_it_where_the_starter_cant(stood, installer, owner, change):
    begin(stood, installer)
    Staff.objects.filter(pk=installer.pk).update(**change)
    assert tell_waits_over() == 1
    mail = Mail.objects.get()
    assert mail.to == "ines@example.com"
    assert "Rui Tavares can’t be reached by mail, so this comes to you." in mail.text


def test_where_nobody_has_an_address_it_waits_for_one(stood, installer, owner):
    begin(stood, installer)
    Staff.objects.update(email="")
    assert tell_waits_over() == 0
    Staff.objects.filter(pk=owner.pk).update(email="ines@example.com")
    assert tell_waits_over() == 1


def test_what_was_told_costs_no_queries_any_more(stood, installer, django_assert_num_queries):
    with django_assert_num_queries(2):  # settings, waits
        tell_waits_over()
    begin(stood, installer)
    assert tell_waits_over() == 1
    with django_assert_num_queries(2):
        assert tell_waits_over() == 0


def test_beat_sends_only_tasks_that_there_are():
    app.loader.import_default_modules()
    assert {entry["task"] for entry in app.conf.beat_schedule.values()} <= set(app.tasks)
