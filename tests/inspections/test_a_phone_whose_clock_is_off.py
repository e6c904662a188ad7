"""A phone's clock that is off: what it sends is put right by as much as it is off when it sends."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from base.keys import uuid7
from inspections.models import Phase
from inspections.queries import phase_view
from shop.phone import CLOCK_TOLERANCE
from tests.inspections.proofs import prove

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


def send(client, check, *, pressed, sent=None, **data):
    """An entry out of a phone's queue: by its clock pressed and sent at."""
    key = str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": pressed.isoformat(), "Phone-Version": "1"}
    if sent:
        headers["Phone-Sent-At"] = sent.isoformat()
    answer = client.post(
        reverse("inspections:entry", args=[check.pk]), {"key": key, "seen": "none", **data}, headers=headers
    )
    assert answer.status_code == 200, answer.content
    return check.entries.get(pk=key)


@pytest.fixture
def opened_long_ago(open_phases, monkeypatch):
    """Phases that were opened three weeks ago, as far as the page knows."""
    then = timezone.now() - 21 * DAY
    monkeypatch.setattr(Phase, "created_at", property(lambda _phase: then, lambda _phase, _value: None))
    return open_phases


def near(moment, wanted) -> bool:
    return abs(moment - wanted) < timedelta(seconds=30)


def test_a_wait_begun_by_a_clock_that_is_behind_has_only_begun(opened_long_ago, as_installer):
    wait = opened_long_ago[4].checks.get(key="water_test.cured")
    slow = timezone.now() - 2 * DAY
    entry = send(as_installer, wait, pressed=slow, sent=slow, begin="1")
    assert near(entry.happened_at, timezone.now())
    assert entry.due_at > timezone.now() + 23 * HOUR


def test_a_failure_entered_by_a_clock_that_is_behind_is_the_newest(opened_long_ago, as_installer):
    check = opened_long_ago[0].checks.filter(kind="tick", surfaces=[]).first()
    now = timezone.now()
    send(as_installer, check, pressed=now - HOUR, sent=now, right="1")
    send(as_installer, check, pressed=now - 2 * DAY, sent=now - 2 * DAY, wrong="1")
    [view] = [view for view in phase_view(check.phase).checks if view.check.pk == check.pk]
    assert view.state == "fails"


def test_what_waited_on_a_clock_that_is_ahead_keeps_its_order(opened_long_ago, as_installer):
    check = opened_long_ago[0].checks.filter(kind="tick", surfaces=[]).first()
    now, fast = timezone.now(), timezone.now() + 3 * HOUR
    pass_, failure = (
        send(as_installer, check, pressed=fast - HOUR * ago, sent=fast, **{button: "1"})
        for ago, button in ((1, "right"), (2, "wrong"))
    )
    assert near(pass_.happened_at, now - HOUR)
    assert near(failure.happened_at, now - 2 * HOUR)


def test_what_waited_on_a_clock_that_is_right_keeps_its_time(opened_long_ago, as_installer):
    """A photo that is long on its way is no clock that is off."""
    check = opened_long_ago[0].checks.filter(kind="tick", surfaces=[]).first()
    now = timezone.now()
    entry = send(as_installer, check, pressed=now - 5 * HOUR, sent=now - CLOCK_TOLERANCE / 2, right="1")
    assert entry.happened_at == now - 5 * HOUR
    assert entry.came_later


def test_a_phone_of_before_says_nothing_of_its_clock(opened_long_ago, as_installer):
    check = opened_long_ago[0].checks.filter(kind="tick", surfaces=[]).first()
    pressed = timezone.now() - 5 * HOUR
    assert send(as_installer, check, pressed=pressed, right="1").happened_at == pressed


@pytest.mark.parametrize("sent", ["soon", "2026-11-25T10:00:00", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"])
def test_a_clock_that_says_nothing_sensible_takes_nothing_along(open_phases, as_installer, sent):
    check, key = open_phases[0].checks.filter(kind="tick", surfaces=[]).first(), str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": timezone.now().isoformat(), "Phone-Sent-At": sent}
    answer = as_installer.post(
        reverse("inspections:entry", args=[check.pk]), {"key": key, "seen": "none", "right": "1"}, headers=headers
    )
    assert answer.status_code == 200
    assert open_phases[0].created_at <= check.entries.get().happened_at <= timezone.now()


def test_nothing_was_done_before_its_phase_was_opened(open_phases, as_installer):
    """Its clock was set right between the press and the sending: nobody can tell by how much it was off."""
    wait = open_phases[4].checks.get(key="water_test.cured")
    now = timezone.now()
    entry = send(as_installer, wait, pressed=now - 2 * DAY, sent=now, begin="1")
    assert entry.happened_at == Phase.objects.get(pk=wait.phase_id).created_at


def test_a_sign_off_that_waited_shows_both_times(opened_long_ago, as_installer, as_owner, installer):
    phase, now = opened_long_ago[0], timezone.now()
    prove(phase, by=installer)
    key = str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": (now - 5 * HOUR).isoformat(), "Phone-Sent-At": now.isoformat()}
    assert (
        as_installer.post(reverse("inspections:sign", args=[phase.pk]), {"key": key}, headers=headers).status_code
        == 200
    )
    assert near(phase.sign_off.happened_at, now - 5 * HOUR)
    for client in (as_installer, as_owner):
        page = client.get(reverse("inspections:phase", args=[phase.pk])).content.decode()
        assert "(sent " in page.split('id="signed"')[1]
