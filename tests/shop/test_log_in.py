"""Logging in and out, and the lock after wrong passwords."""

import pytest
from django.test import Client
from django.urls import reverse

from shop.actions import deactivate_staff, set_password
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db


def log_in(browser: Client, *, username: str, password: str = PASSWORD, **more: str):
    return browser.post(reverse("shop:login"), {"username": username, "password": password, **more})


def test_a_person_of_the_shop_logs_in_and_lands_at_the_start(installer):
    answer = log_in(Client(), username="rui")
    assert answer.status_code == 302
    assert answer.url == reverse("home:start")


def test_a_capital_that_the_phone_put_in_front_does_no_harm(installer):
    assert log_in(Client(), username=" Rui ").status_code == 302


def test_a_wrong_password_stays_at_the_form_and_keeps_the_name(installer):
    answer = log_in(Client(), username="rui", password="wrong")
    assert answer.status_code == 200
    assert answer.context["form"].errors
    assert 'value="rui"' in answer.text


def test_nobody_without_a_log_in_sees_a_page():
    answer = Client().get(reverse("shop:settings"))
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("shop:login"))


def test_the_log_in_does_not_lead_off_to_another_site(installer):
    answer = log_in(Client(), username="rui", next="https://elsewhere.example.com/")
    assert answer.url == reverse("home:start")


def test_five_wrong_passwords_close_the_log_in_even_for_the_right_one(installer, other_installer):
    browser = Client()
    for _ in range(5):
        answer = log_in(browser, username="rui", password="wrong")
    assert answer.status_code == 429
    assert log_in(browser, username="rui").status_code == 429
    # Somebody else on the same Wi-Fi isn't locked out.
    assert log_in(browser, username="marek").status_code == 302


def test_a_new_password_from_the_owner_lifts_the_lock(installer, owner):
    browser = Client()
    for _ in range(5):
        log_in(browser, username="rui", password="wrong")
    set_password(staff=installer, password="plumb-bob-and-line-3", by=owner)
    assert log_in(browser, username="rui", password="plumb-bob-and-line-3").status_code == 302


def test_closing_a_log_in_logs_the_person_out_at_once(installer, owner):
    browser = Client()
    log_in(browser, username="rui")
    assert browser.get(reverse("shop:settings")).status_code == 403
    deactivate_staff(staff=installer, by=owner)
    assert browser.get(reverse("shop:settings")).status_code == 302
    assert log_in(browser, username="rui").status_code == 200


def test_a_new_password_logs_out_everywhere(installer, owner):
    browser = Client()
    log_in(browser, username="rui")
    set_password(staff=installer, password="plumb-bob-and-line-3", by=owner)
    assert browser.get(reverse("shop:settings")).status_code == 302


def test_logging_out_takes_a_post(as_installer):
    assert as_installer.get(reverse("shop:logout")).status_code == 405
    assert as_installer.post(reverse("shop:logout")).status_code == 302
    assert as_installer.get(reverse("shop:settings")).url.startswith(reverse("shop:login"))
