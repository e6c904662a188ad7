"""The owner's pages about the people of the shop."""

import pytest
from django.urls import reverse

from shop.models import Staff
from tests.factories import PASSWORD, StaffFactory

pytestmark = pytest.mark.django_db

NEW = {
    "name": "Ada Quist",
    "role": "installer",
    "username": "ada",
    "password": "long-straight-edge-9",
    "email": "ada.quist@example.com",
    "phone": "",
}


def test_the_owner_makes_a_log_in_that_works(as_owner, client):
    answer = as_owner.post(reverse("shop:staff_new"), NEW | {"username": "Ada"})
    assert answer.url == reverse("shop:staff")
    answer = client.post(reverse("shop:login"), {"username": "ada", "password": NEW["password"]})
    assert answer.status_code == 302


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("username", "RUI", "already"),
        ("username", "ada quist", "small letters"),
        ("username", "ада", "small letters"),
        ("username", "-ada", "small letters"),
        ("password", "short1!", "at least 8"),
        ("password", "password", "too common"),
        ("password", "ada.quist", "too similar"),
        ("name", "", "required"),
        ("role", "boss", "Select a valid choice"),
    ],
)
def test_what_is_wrong_stands_at_its_field_and_the_rest_stays_typed(as_owner, installer, field, value, says):
    answer = as_owner.post(reverse("shop:staff_new"), NEW | {"phone": "555-0107", field: value})
    assert answer.status_code == 200
    assert any(says in error for error in answer.context["form"].errors[field])
    assert "555-0107" in answer.text
    assert not Staff.objects.filter(name__startswith="Ada").exists()


def test_a_name_taken_between_check_and_save_is_an_error_of_the_form(as_owner, installer, monkeypatch):
    monkeypatch.setattr("shop.forms.NewStaffForm.clean_username", lambda form: form.cleaned_data["username"])
    answer = as_owner.post(reverse("shop:staff_new"), NEW | {"username": "rui"})
    assert answer.status_code == 200
    assert answer.context["form"].errors["username"]


def test_the_owner_changes_a_person(as_owner, installer):
    page = reverse("shop:staff_edit", args=[installer.pk])
    as_owner.post(page, {"save": "", "name": "Rui T.", "role": "office", "email": "", "phone": "555-0123"})
    installer.refresh_from_db()
    assert (installer.name, installer.role, installer.phone, installer.username) == (
        "Rui T.",
        "office",
        "555-0123",
        "rui",
    )


def test_the_owner_sets_a_password_and_stays_logged_in_after_setting_the_own_one(as_owner, owner, installer, client):
    for person in (installer, owner):
        page = reverse("shop:staff_edit", args=[person.pk])
        assert as_owner.post(page, {"set_password": "", "password": "long-straight-edge-9"}).status_code == 302
        person.refresh_from_db()
        assert person.check_password("long-straight-edge-9")
        assert not person.check_password(PASSWORD)
    assert as_owner.get(reverse("shop:staff")).status_code == 200


def test_closing_and_opening_a_log_in_twice_is_closing_and_opening_it(as_owner, installer):
    page = reverse("shop:staff_edit", args=[installer.pk])
    for button, active in (("deactivate", False), ("deactivate", False), ("activate", True), ("activate", True)):
        assert as_owner.post(page, {button: ""}).status_code == 302
        installer.refresh_from_db()
        assert installer.is_active is active


def test_the_list_takes_the_same_few_queries_for_many(as_owner, django_assert_num_queries):
    StaffFactory.create_batch(3)
    as_owner.get(reverse("shop:staff"))
    with django_assert_num_queries(4):  # session, user, settings, staff
        as_owner.get(reverse("shop:staff"))
    StaffFactory.create_batch(30)
    with django_assert_num_queries(4):
        as_owner.get(reverse("shop:staff"))


@pytest.mark.parametrize("page", ["shop:staff", "shop:staff_new", "shop:settings", "shop:staff_edit"])
def test_office_and_installers_do_not_get_in(as_office, as_installer, owner, page):
    url = reverse(page, args=[owner.pk] if page == "shop:staff_edit" else [])
    for browser in (as_office, as_installer):
        assert browser.get(url).status_code == 403
        assert browser.post(url, NEW | {"deactivate": "", "save": ""}).status_code == 403
    owner.refresh_from_db()
    assert owner.is_active
    assert not Staff.objects.filter(username="ada").exists()
