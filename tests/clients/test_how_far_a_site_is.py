"""How far a site is from the shop, in the shop's own units. A mile is 1.609344 km."""

from decimal import Decimal

import pytest
from django.urls import reverse

from clients.distance import distance_text, from_km, to_km
from shop.models import ShopSettings
from tests.factories import SiteFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def site(client_person):
    return SiteFactory(client=client_person, street="14 Quarry Lane")


@pytest.fixture
def metric(db):
    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})


def save(client, site, distance):
    page = reverse("clients:site_edit", args=[site.pk])
    answer = client.post(page, {"street": site.street, "distance": distance})
    site.refresh_from_db()
    return answer


def test_it_is_typed_and_read_in_miles(as_office, site):
    save(as_office, site, "12.5")
    assert site.distance_km == Decimal("20.1168")
    form = as_office.get(reverse("clients:site_edit", args=[site.pk]))
    assert "Miles one way from the shop" in form.text
    assert form.context["form"]["distance"].value() == Decimal("12.5")
    assert "12.5 miles from the shop" in as_office.get(reverse("clients:detail", args=[site.client_id])).text


def test_a_metric_shop_types_and_reads_kilometers(as_office, site, metric):
    save(as_office, site, "20")
    assert site.distance_km == 20
    assert "Kilometers one way" in as_office.get(reverse("clients:site_edit", args=[site.pk])).text
    assert "20 km from the shop" in as_office.get(reverse("clients:detail", args=[site.client_id])).text


def test_left_empty_it_isn_t_known_and_the_client_s_page_is_silent(as_office, site):
    save(as_office, site, "7")
    save(as_office, site, "")
    assert site.distance_km is None
    assert "from the shop" not in as_office.get(reverse("clients:detail", args=[site.client_id])).text


@pytest.mark.parametrize("typed", ["-1", "far", "2001", "1.25", "NaN"])
def test_what_is_no_distance_is_said_and_stays_typed(as_office, site, typed):
    answer = save(as_office, site, typed)
    assert answer.context["form"].errors["distance"]
    assert answer.context["form"]["distance"].value() == typed
    assert site.distance_km is None


def test_a_tenth_of_a_mile_comes_back_as_it_was_typed():
    for tenths in range(0, 20_001, 7):
        assert from_km(to_km(Decimal(tenths) / 10)) == Decimal(tenths) / 10


def test_one_mile_is_no_plural():
    assert [distance_text(to_km(Decimal(each))) for each in ("1", "0.5", "3")] == ["1 mile", "0.5 miles", "3 miles"]


def test_a_new_client_s_first_site_has_it_too(as_office):
    from clients.models import Site

    typed = {"kind": "person", "name": "Ida Halvorsen", "site-street": "9 Kiln Street", "site-distance": "4"}
    as_office.post(reverse("clients:new"), typed | {"key": "01890000-0000-7000-8000-000000000001"})
    assert Site.objects.get().distance_km == to_km(Decimal(4))


def test_an_installer_doesn_t_set_it(as_installer, site):
    assert save(as_installer, site, "4").status_code in (403, 404)
    assert site.distance_km is None
