"""Two people open one client, or one site: the second is told what stands now, and keeps what was typed."""

import pytest
from django.urls import reverse

from tests.factories import ClientFactory, SiteFactory

pytestmark = pytest.mark.django_db


def typed(form, **changes):
    stands = {name: form[name].value() for name in form.fields}
    return {**{name: "" if value is None else str(value) for name, value in stands.items()}, **changes}


def test_a_client(as_office, as_owner):
    person = ClientFactory(name="Odalys Brandt", phone="555-0101", email="", note="")
    url = reverse("clients:edit", args=[person.pk])
    mine, theirs = (typed(who.get(url).context["form"]) for who in (as_office, as_owner))
    as_owner.post(url, {**theirs, "phone": "555-0199", "note": "Call after five"})
    answer = as_office.post(url, {**mine, "email": "odalys@example.com"})
    form = answer.context["form"]
    assert "in the meantime" in str(form.non_field_errors())
    assert "Now it is “555-0199”" in str(form.errors["phone"])
    assert "Now it is “Call after five”" in str(form.errors["note"])
    assert (form["email"].value(), form["phone"].value()) == ("odalys@example.com", "555-0101")
    person.refresh_from_db()
    assert (person.phone, person.email) == ("555-0199", "")
    kept = {**mine, "email": "odalys@example.com", "phone": "555-0199", "seen": form["seen"].value()}
    as_office.post(url, kept)
    person.refresh_from_db()
    assert (person.phone, person.email, person.note) == ("555-0199", "odalys@example.com", "")


def test_a_site(as_office, as_owner):
    site = SiteFactory(street="14 Quarry Lane", region="OH", access_note="")
    url = reverse("clients:site_edit", args=[site.pk])
    mine, theirs = (typed(who.get(url).context["form"]) for who in (as_office, as_owner))
    as_owner.post(url, {**theirs, "region": "CA", "distance": "12.5"})
    form = as_office.post(url, {**mine, "access_note": "Key at No. 16"}).context["form"]
    assert "Now it is “CA”" in str(form.errors["region"])
    assert "Now it is “12.5”" in str(form.errors["distance"])
    site.refresh_from_db()
    assert (site.region, site.access_note) == ("CA", "")
    as_office.post(url, {**mine, "access_note": "Key at No. 16", "region": "CA", "seen": form["seen"].value()})
    site.refresh_from_db()
    assert (site.region, site.access_note) == ("CA", "Key at No. 16")


def test_whoever_presses_twice_has_saved_it(as_office):
    person = ClientFactory(name="Odalys Brandt", phone="555-0101")
    url = reverse("clients:edit", args=[person.pk])
    sent = typed(as_office.get(url).context["form"], phone="555-0199")
    for _ in range(2):
        assert as_office.post(url, sent).status_code == 302
    person.refresh_from_db()
    assert person.phone == "555-0199"


def test_an_installer_opens_neither(as_installer):
    site = SiteFactory()
    assert as_installer.get(reverse("clients:edit", args=[site.client_id])).status_code == 403
