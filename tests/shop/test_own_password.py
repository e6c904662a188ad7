"""Everybody sets a new password of their own, with the present one."""

import pytest
from django.contrib.auth import SESSION_KEY
from django.test import Client
from django.urls import reverse

from shop.models import Staff
from tests.factories import PASSWORD

pytestmark = pytest.mark.django_db

NEW = "plumb-bob-and-line-3"


@pytest.fixture
def browser(installer) -> Client:
    client = Client()
    client.post(reverse("shop:login"), {"username": "rui", "password": PASSWORD})
    return client


def change(client: Client, *, old: str = PASSWORD, new: str = NEW, again: str = NEW):
    return client.post(reverse("shop:password"), {"old_password": old, "new_password1": new, "new_password2": again})


def test_the_new_one_counts_from_then_on_and_this_browser_stays_logged_in(browser, installer):
    other = Client()
    other.post(reverse("shop:login"), {"username": "rui", "password": PASSWORD})
    assert change(browser).url == reverse("home:start")
    assert browser.get(reverse("shop:password")).status_code == 200
    assert other.get(reverse("shop:password")).url.startswith(reverse("shop:login"))
    fresh = Client()
    for password, enters in ((PASSWORD, False), (NEW, True)):
        fresh.post(reverse("shop:login"), {"username": "rui", "password": password})
        assert (SESSION_KEY in fresh.session) is enters


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"old": "not it"}, "old_password"),
        ({"again": "another"}, "new_password2"),
        ({"new": "rui", "again": "rui"}, "new_password2"),
        ({"new": "12345678", "again": "12345678"}, "new_password2"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_the_old_one_stays(browser, installer, typed, field):
    answer = change(browser, **typed)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert Staff.objects.get(username="rui").check_password(PASSWORD)
