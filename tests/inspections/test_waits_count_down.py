"""A wait counts down on its card, with signal or without, and by its real end the page says so."""

import re
from datetime import datetime, timedelta

import pytest
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone

from inspections.actions import record_entry
from inspections.templatetags.checks import time_left
from tests.inspections.proofs import come_to

SECOND, MINUTE, HOUR = 1, 60, 3600
# Seconds left -> what the page says as it comes, and what the phone says: arithmetic alone, rounded up.
LEFT = [
    (72 * HOUR, "72 h 00 min left", "72 h 00 min left"),
    (12 * HOUR + 3 * MINUTE + SECOND, "12 h 04 min left", "12 h 04 min left"),
    (HOUR, "1 h 00 min left", "1 h 00 min left"),
    (HOUR - SECOND, "1 h 00 min left", "1 h 00 min left"),
    (59 * MINUTE, "59 min left", "59 min 00 s left"),
    (9 * MINUTE + 5 * SECOND, "10 min left", "9 min 05 s left"),
    (SECOND, "1 min left", "0 min 01 s left"),
]


@pytest.fixture
def stood(open_phases, installer):
    """The wait of the water test, 24 hours; it is its turn."""
    check = open_phases[4].checks.get(key="water_test.hours")
    come_to(check, by=installer)
    return check


def begin(check, by, *, left: timedelta):
    """A wait of 24 hours with so much left of it."""
    entry = record_entry(check=check, by=by, happened_at=timezone.now() - timedelta(hours=24) + left)
    assert entry.due_at - entry.happened_at == timedelta(hours=24)
    return entry


def card(page: str, check) -> str:
    return re.search(rf'<section class="check" id="check-{check.pk}".*?</section>', page, re.DOTALL)[0]


@pytest.mark.parametrize(("seconds", "said", "_phone"), LEFT)
def test_what_is_left_is_never_said_to_be_less(seconds, said, _phone):
    # Half a second more, which the test itself takes; it rounds up to the same.
    assert time_left(timezone.now() + timedelta(seconds=seconds)) == said


@pytest.mark.django_db
def test_the_page_says_what_is_left_without_any_script(stood, installer, as_installer):
    entry = begin(stood, installer, left=timedelta(hours=12, minutes=3, seconds=30))
    text = card(as_installer.get(reverse("inspections:phase", args=[stood.phase_id])).text, stood)
    assert "<b>12 h 04 min left</b>, until " in text
    assert datetime.fromisoformat(re.search(r'data-due="([^"]+)"', text)[1]) == entry.due_at


@pytest.mark.django_db
def test_a_wait_that_is_over_counts_no_more(stood, installer, as_installer):
    begin(stood, installer, left=-timedelta(seconds=1))
    text = card(as_installer.get(reverse("inspections:phase", args=[stood.phase_id])).text, stood)
    assert "data-due" not in text
    assert "over " in text


def test_the_phone_says_the_same(own_database, web_server, page):
    page.goto(f"{web_server}/login/")
    said = page.evaluate(
        "async ([address, all]) => { const { left } = await import(address); return all.map((s) => left(s * 1000)); }",
        [static("js/phone/countdown.js"), [seconds for seconds, _page, _phone in LEFT]],
    )
    assert said == [phone for _seconds, _page, phone in LEFT]


def test_it_ticks_on_the_phone_and_says_when_it_is_over(own_database, stood, installer, web_server, phone):
    begin(stood, installer, left=timedelta(hours=1, minutes=30))
    phone.clock.install()
    phone.goto(web_server + reverse("inspections:phase", args=[stood.phase_id]))
    wait = phone.locator(f"#check-{stood.pk} .countdown")
    # How long the page took to come is off it already.
    wait.get_by_text(re.compile("1 h (30|29) min left")).wait_for()
    phone.context.set_offline(True)
    phone.clock.fast_forward("30:00")
    wait.get_by_text(re.compile(r"1 h 00 min left|5[89] min \d\d s left|59 min left")).wait_for()
    phone.clock.fast_forward("50:00")
    wait.get_by_text(re.compile(r"[89] min \d\d s left")).wait_for()
    status = wait.get_by_role("status")
    assert status.inner_text() == ""
    assert not wait.get_by_role("link").is_visible()
    phone.clock.fast_forward("10:00")
    wait.get_by_text("By this phone’s clock the wait is over.").wait_for()
    assert "over" in status.inner_text()
    assert not wait.get_by_text("left").is_visible()
    assert wait.get_by_role("link", name="Load this page again").bounding_box()["height"] >= 48


def test_at_its_real_end_the_page_loaded_again_holds(own_database, stood, installer, web_server, phone):
    begin(stood, installer, left=timedelta(seconds=8))
    phone.goto(web_server + reverse("inspections:phase", args=[stood.phase_id]) + f"#check-{stood.pk}")
    on_card = phone.locator(f"#check-{stood.pk}")
    on_card.get_by_text(re.compile(r"0 min 0\d s left")).wait_for()
    on_card.get_by_role("link", name="Load this page again").click()
    on_card.get_by_text("over ").first.wait_for()
    assert on_card.locator(".countdown").count() == 0
    assert on_card.get_by_role("heading").get_by_text("Holds").count() == 1


def test_one_begun_without_signal_counts_down_as_well(own_database, stood, web_server, phone):
    phone.goto(web_server + reverse("inspections:phase", args=[stood.phase_id]))
    phone.clock.install()
    phone.context.set_offline(True)
    phone.reload()
    on_card = phone.locator(f"#check-{stood.pk}")
    on_card.get_by_role("button", name="Begin").click()
    phone.clock.fast_forward("00:02")
    on_card.locator(".on-phone").get_by_text("24 h 00 min left").wait_for()
    phone.clock.fast_forward("23:50:00")
    on_card.locator(".on-phone").get_by_text(re.compile(r"9 min 5\d s left")).wait_for()
    phone.clock.fast_forward("10:00")
    on_card.get_by_text("By this phone’s clock the wait is over.").wait_for()
    assert not stood.entries.exists()
