"""The office's pages about clients and their sites."""

import re
import uuid

import pytest
from django.urls import reverse

from clients.models import Client, Site
from tests.factories import ClientFactory, JobFactory, SiteFactory

pytestmark = pytest.mark.django_db


def typed(**changes: str) -> dict[str, str]:
    return {
        "key": str(uuid.uuid4()),
        "kind": "business",
        "name": "Halvorsen Builders",
        "contact": "Ida",
        "phone": "555-0133",
        "email": "ida@example.com",
        "note": "",
        "site-street": "9 Kiln Street",
        "site-city": "Millbrook",
        "site-region": "",
        "site-postal_code": "",
        "site-year_built": "1962",
        "site-access_note": "Key in the box, 4711",
    } | changes


def test_a_client_and_the_first_site_are_made_together(as_office):
    answer = as_office.post(reverse("clients:new"), typed())
    client = Client.objects.get()
    assert answer.url == reverse("clients:detail", args=[client.pk])
    assert (client.name, client.kind, client.contact) == ("Halvorsen Builders", "business", "Ida")
    site = client.sites.get()
    assert (site.street, site.year_built, site.access_note) == ("9 Kiln Street", 1962, "Key in the box, 4711")


def test_sent_twice_it_is_one_client(as_office):
    twice = typed()
    first = as_office.post(reverse("clients:new"), twice)
    assert as_office.post(reverse("clients:new"), twice).url == first.url
    assert (Client.objects.count(), Site.objects.count()) == (1, 1)


def test_then_comes_the_job_where_that_was_the_way(as_office):
    answer = as_office.post(reverse("clients:new") + "?then=job", typed())
    assert answer.url == f"{reverse('jobs:new')}?client={Client.objects.get().pk}"


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("name", "   "),
        ("name", "x" * 161),
        ("name", "nul\x00byte"),
        ("email", "not an address"),
        ("kind", "committee"),
        ("key", "17"),
        ("site-street", ""),
        ("site-year_built", "1599"),
        ("site-year_built", "about 1960"),
        ("site-year_built", "99999999999"),
    ],
)
def test_nothing_is_made_while_anything_is_wrong_and_all_stays_typed(as_office, field, value):
    answer = as_office.post(reverse("clients:new"), typed(**{field: value}))
    assert answer.status_code == 200
    assert not Client.objects.exists()
    form = answer.context["site_form" if field.startswith("site-") else "form"]
    assert form.errors[field.removeprefix("site-")]
    assert "Key in the box, 4711" in answer.text


def test_a_client_is_changed(as_office, client_person):
    as_office.post(reverse("clients:edit", args=[client_person.pk]), typed(name="Odalys Brandt-Ruiz"))
    client_person.refresh_from_db()
    assert client_person.name == "Odalys Brandt-Ruiz"


def test_a_site_is_added_once_and_changed(as_office, client_person):
    site = {"key": str(uuid.uuid4()), "street": "3 Mill Row", "city": "", "year_built": ""}
    for _ in range(2):
        as_office.post(reverse("clients:site_new", args=[client_person.pk]), site)
    kept = client_person.sites.get()
    assert kept.year_built is None
    as_office.post(reverse("clients:site_edit", args=[kept.pk]), site | {"year_built": "1931"})
    kept.refresh_from_db()
    assert kept.year_built == 1931


def test_a_wrong_edit_shows_the_name_that_is_kept_in_the_head(as_office, client_person):
    answer = as_office.post(reverse("clients:edit", args=[client_person.pk]), typed(name=""))
    assert re.search(r"<h1>\s*Odalys Brandt\s*</h1>", answer.text)


def test_the_page_shows_sites_and_jobs_and_takes_the_same_queries_for_many(
    as_office, client_person, django_assert_num_queries
):
    page = reverse("clients:detail", args=[client_person.pk])
    JobFactory(site=SiteFactory(client=client_person, street="14 Quarry Lane"), title="Upstairs bath")
    text = as_office.get(page).text
    assert "14 Quarry Lane" in text
    assert "Upstairs bath" in text
    with django_assert_num_queries(7):  # session, user, settings, client, sites, jobs counted, jobs
        as_office.get(page)
    for _ in range(12):
        JobFactory(site=SiteFactory(client=client_person))
    with django_assert_num_queries(7):
        as_office.get(page)


def test_markup_in_a_name_is_shown_as_text(as_office):
    client = ClientFactory(name="<script>alert(1)</script>", note="<b>x</b>")
    SiteFactory(client=client, street="<i>1</i> Quarry Lane")
    for page in (reverse("clients:list"), reverse("clients:detail", args=[client.pk])):
        text = as_office.get(page).text
        assert "<script>alert(1)" not in text
        assert "<i>1</i>" not in text


def test_installers_see_no_client_page_not_even_of_their_own_job(as_installer, as_other_installer, job):
    pages = [
        reverse("clients:list"),
        reverse("clients:new"),
        reverse("clients:detail", args=[job.client_id]),
        reverse("clients:edit", args=[job.client_id]),
        reverse("clients:site_new", args=[job.client_id]),
        reverse("clients:site_edit", args=[job.site_id]),
    ]
    for browser in (as_installer, as_other_installer):
        for page in pages:
            assert browser.get(page).status_code == 403
            assert browser.post(page, typed()).status_code == 403
    assert Client.objects.count() == 1


def test_a_client_that_is_not_there_is_not_found(as_office):
    for page in ("clients:detail", "clients:edit", "clients:site_new", "clients:site_edit"):
        assert as_office.get(reverse(page, args=[uuid.uuid4()])).status_code == 404
