"""The client's yes, by the link or in person, opens the phases of every room; it does so once."""

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.actions import CannotAccept, revoke_link, withdraw_proposal
from estimating.models import Acceptance
from inspections.actions import accept_and_open, open_phases
from inspections.models import Check, Phase
from jobs.models import Stage
from rooms.models import Room
from rooms.rough_in_checks import ITEM_KEY
from rooms.specification import specification_of
from tests.factories import RoomFactory
from trade.phases import phases_for

pytestmark = pytest.mark.django_db

FORM = {"typed_name": "Odalys Brandt", "agree": "on"}


def by_link(token: str) -> str:
    return reverse("inspections:client_accept", args=[token])


def in_person(proposal) -> str:
    return reverse("inspections:accept_in_person", args=[proposal.pk])


def test_by_the_link_the_phases_open_as_the_specification_asks(client, link, laid_out, room):
    assert client.post(by_link(link[0]), FORM)["Location"] == reverse("estimating:client_proposal", args=[link[0]])
    laid_out.refresh_from_db()
    assert laid_out.stage == Stage.WORKING
    wanted = phases_for(specification_of(Room.objects.get(pk=room.pk)))
    assert [(phase.key, phase.name) for phase in room.phases.order_by("position")] == [
        (kind.key, kind.name) for kind in wanted
    ]
    for phase, kind in zip(room.phases.order_by("position"), wanted, strict=True):
        # The rough-in sheet's items come on top (test_the_rough_in_sheet_is_checked.py).
        checks = [check for check in phase.checks.all() if not check.key.startswith(ITEM_KEY)]
        assert [(check.key, check.text, check.required) for check in checks] == [
            (check.key, check.text, check.required) for check in kind.checks
        ]
        assert all(check.source for check in checks)
        assert [check.limit for check in checks] == [
            check.limit.to_json() if check.limit else None for check in kind.checks
        ]


def test_in_person_the_same_opens_before_a_witness(as_office, office, proposal, room):
    response = as_office.post(in_person(proposal), FORM, headers={"User-Agent": "Shop tablet"}, follow=True)
    assert response.redirect_chain == [(reverse("estimating:proposal", args=[proposal.pk]), 302)]
    assert "The phases of every room are open." in response.content.decode()
    acceptance = Acceptance.objects.get()
    assert (acceptance.witness, acceptance.link, acceptance.browser) == (office, None, "Shop tablet")
    assert acceptance.address == "127.0.0.1"
    assert room.phases.exists()


def test_accepting_twice_changes_nothing(client, as_owner, link, proposal, owner):
    client.post(by_link(link[0]), FORM)
    first, phases, checks = Acceptance.objects.get(), Phase.objects.count(), Check.objects.count()
    assert client.post(by_link(link[0]), FORM).status_code == 302
    assert client.post(by_link(link[0]), {**FORM, "typed_name": "Somebody else"}).status_code == 409
    assert as_owner.post(in_person(proposal), {**FORM, "typed_name": "Somebody else"}).status_code == 409
    assert accept_and_open(proposal=proposal, typed_name="Odalys Brandt", link=link[1]) == first
    assert Acceptance.objects.get().typed_name == "Odalys Brandt"
    assert (Phase.objects.count(), Check.objects.count()) == (phases, checks)


def test_where_the_phases_cannot_open_nothing_was_accepted(proposal, laid_out, owner, monkeypatch):
    """One transaction: a client who said yes has a job whose work is open, or has to say it again."""

    def broken(job):
        raise RuntimeError("the catalogue is broken")

    monkeypatch.setattr("inspections.actions.starting.open_phases", broken)
    with pytest.raises(RuntimeError):
        accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    laid_out.refresh_from_db()
    assert (Acceptance.objects.exists(), laid_out.stage) == (False, Stage.PROPOSED)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({"typed_name": "Odalys Brandt"}, r'<input[^>]*name="typed_name" value="Odalys Brandt"'),
        ({"typed_name": " ", "agree": "on"}, r'<input[^>]*name="agree"[^>]* checked'),
    ],
    ids=["not ticked", "no name"],
)
def test_an_incomplete_form_keeps_what_was_typed_and_accepts_nothing(client, as_office, link, proposal, typed, kept):
    for sender, url in ((client, by_link(link[0])), (as_office, in_person(proposal))):
        response = sender.post(url, typed)
        assert response.status_code == 422
        assert re.search(kept, response.content.decode())
    assert not Acceptance.objects.exists()
    assert not Phase.objects.exists()


def test_a_dead_link_says_so_and_accepts_nothing(client, link, owner):
    revoke_link(link=link[1], by=owner)
    for token in (link[0], "no-such-token"):
        response = client.post(by_link(token), FORM)
        assert response.status_code == 404
        assert "estimating/client/gone.html" in [template.name for template in response.templates]
    assert not Acceptance.objects.exists()


def test_a_withdrawn_proposal_opens_nothing(client, as_office, link, proposal, owner):
    withdraw_proposal(proposal=proposal, reason="Tile is discontinued", by=owner)
    for sender, url in ((client, by_link(link[0])), (as_office, in_person(proposal))):
        response = sender.post(url, FORM)
        assert response.status_code == 409
        assert "withdrawn" in response.content.decode()
    with pytest.raises(CannotAccept):
        accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner)
    assert not Phase.objects.exists()


def test_another_site_cannot_accept_for_the_client(link, proposal, owner):
    """A page elsewhere can send the form with the client's cookies, but knows no CSRF token of ours."""
    strict = Client(enforce_csrf_checks=True)
    assert strict.post(by_link(link[0]), FORM).status_code == 403
    strict.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    assert strict.post(in_person(proposal), FORM).status_code == 403
    assert not Acceptance.objects.exists()
    page = strict.get(reverse("estimating:client_proposal", args=[link[0]])).content.decode()
    token = page.split('name="csrfmiddlewaretoken" value="')[1].split('"')[0]
    assert strict.post(by_link(link[0]), {**FORM, "csrfmiddlewaretoken": token}).status_code == 302


@pytest.mark.parametrize(
    ("behind_proxy", "forwarded", "kept"),
    [
        # The client may write the header itself: only what our own proxy added last counts, and only behind one.
        (False, "203.0.113.9", "127.0.0.1"),
        (True, "198.51.100.7, 203.0.113.9", "203.0.113.9"),
        (True, "2001:db8::17", "2001:db8::17"),
        (True, "somewhere", None),
    ],
)
def test_the_address_is_the_clients_own(client, link, settings, behind_proxy, forwarded, kept):
    """Addresses of the documentation ranges (RFC 5737, RFC 3849)."""
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if behind_proxy else None
    assert client.post(by_link(link[0]), FORM, headers={"X-Forwarded-For": forwarded}).status_code == 302
    assert Acceptance.objects.get().address == kept


def test_only_owner_and_office_take_a_yes_in_person(client, as_installer, proposal):
    assert as_installer.post(in_person(proposal), FORM).status_code == 403
    assert client.post(in_person(proposal), FORM)["Location"].startswith(reverse("shop:login"))
    assert not Acceptance.objects.exists()


def test_a_get_accepts_nothing(client, as_owner, link, proposal):
    """A mail program that opens links to look at them must not say yes."""
    for sender, url in ((client, by_link(link[0])), (as_owner, in_person(proposal))):
        assert sender.get(url).status_code == 302
    assert not Acceptance.objects.exists()


def test_opening_costs_the_same_however_many_rooms(job):
    def opened(count: int) -> int:
        for _ in range(count):
            RoomFactory(job=job)
        with CaptureQueriesContext(connection) as queries:
            open_phases(job)
        return len(queries)

    before = opened(1)
    assert Phase.objects.count() > 0
    assert opened(3) == before
    assert Phase.objects.values("room").distinct().count() == 4
