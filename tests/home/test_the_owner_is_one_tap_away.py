"""Every page in the field has a link that calls the owner, or the shop."""

import pytest
from django.urls import reverse

from shop.models import Role, ShopSettings, Staff
from shop.queries import whom_to_call
from tests.inspections.opening import open_phases_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(room) -> list[str]:
    """One of every kind of page that an installer opens."""
    phases = open_phases_of(room)
    return [
        reverse("home:today"),
        reverse("home:pin"),
        reverse("home:job", args=[room.job_id]),
        reverse("jobs:photo_new", args=[room.job_id]),
        reverse("rooms:detail", args=[room.pk]),
        reverse("rooms:surveys", args=[room.pk]),
        reverse("inspections:room", args=[room.pk]),
        reverse("inspections:phase", args=[phases[0].pk]),
        reverse("inspections:punch_list", args=[room.job_id]),
    ]


def test_each_field_page_calls_the_owner_by_first_name(pages, as_installer, owner):
    Staff.objects.filter(pk=owner.pk).update(phone="+1 (555) 555-0107")
    for page in pages:
        text = as_installer.get(page).text
        # RFC 3966, section 3: the number of a tel: link holds no spaces.
        assert 'href="tel:+1(555)555-0107"' in text, page
        assert "Call Ines" in text, page


def test_where_no_owner_has_a_number_it_calls_the_shop(as_installer, owner):
    Staff.objects.filter(role=Role.OWNER).update(phone="")
    ShopSettings.objects.update_or_create(pk=1, defaults={"phone": "555-0110"})
    text = as_installer.get(reverse("home:today")).text
    assert 'href="tel:555-0110"' in text
    assert "Call the shop" in text


@pytest.mark.parametrize("number", ["", "ask at the desk"])
def test_without_a_number_there_is_no_link(as_installer, owner, number):
    Staff.objects.filter(role=Role.OWNER).update(phone="")
    ShopSettings.objects.update_or_create(pk=1, defaults={"phone": number})
    assert "tel:" not in as_installer.get(reverse("home:today")).text


def test_an_owner_who_left_is_not_called(installer, owner):
    Staff.objects.filter(pk=owner.pk).update(is_active=False)
    assert whom_to_call(installer) is None


def test_the_owner_is_not_offered_a_call_to_himself(as_owner):
    assert "tel:" not in as_owner.get(reverse("home:today")).text


def test_an_owners_number_is_not_shown_to_who_is_not_logged_in(client, owner):
    assert owner.phone not in client.get(reverse("home:phone_waiting")).text
