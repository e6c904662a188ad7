"""An installer stays logged in as long as the phone is used; others log in every 30 days."""

import time

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse

from shop.actions import set_password
from shop.sessions import RENEWED
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db

DAY = 24 * 3600


def logged_in(username: str) -> tuple[Client, int]:
    """A browser after its log-in, and the age of the cookie that it got, in seconds."""
    browser = Client()
    answer = browser.post(reverse("shop:login"), {"username": username, "password": PASSWORD})
    return browser, answer.cookies["sessionid"]["max-age"]


def days_later(browser: Client, days: int):
    """The next page that is opened, as if the log-in had been renewed `days` ago."""
    session = browser.session
    session[RENEWED] = int(time.time()) - days * DAY
    session.save()
    return browser.get(reverse("home:pin"))


def test_an_installers_log_in_lasts_90_days_from_the_last_day_of_use(installer):
    browser, age = logged_in("rui")
    assert age == 90 * DAY
    answer = days_later(browser, 80)
    assert answer.cookies["sessionid"]["max-age"] == 90 * DAY
    until = Session.objects.get(session_key=browser.session.session_key).expire_date.timestamp()
    assert until == pytest.approx(time.time() + 90 * DAY, abs=60)


def test_it_is_renewed_once_a_day_and_not_at_every_page(installer, django_assert_num_queries):
    browser, _age = logged_in("rui")
    with django_assert_num_queries(4):  # session, person, settings, whom to call
        assert "sessionid" not in browser.get(reverse("home:pin")).cookies
    assert "sessionid" in days_later(browser, 1).cookies


@pytest.mark.parametrize("who", ["owner", "office"])
def test_in_the_office_it_ends_after_30_days(request, who):
    person = request.getfixturevalue(who)
    browser, age = logged_in(person.username)
    assert age == 30 * DAY
    assert "sessionid" not in browser.get(reverse("home:pin")).cookies


def test_a_new_password_ends_it_on_every_phone(installer, owner):
    browser, _age = logged_in("rui")
    set_password(staff=installer, password="plumb-bob-and-line-3", by=owner)
    assert browser.get(reverse("home:pin")).status_code == 302


def test_a_page_says_when_the_password_was_given_so_that_the_phone_asks_for_no_pin(installer):
    before = time.time_ns() // 10**6
    browser, _age = logged_in("rui")
    found = int(browser.get(reverse("home:pin")).text.split('data-logged-in="')[1].split('"')[0])
    assert before <= found <= time.time_ns() // 10**6
    assert 'data-logged-in=""' in Client().get(reverse("shop:login")).text
