"""A PDF that couldn't be made: the client reads whom to call, the office finds it on the Week."""

import pytest
from django.urls import reverse

from documents.models import Document, State
from estimating.actions import make_change_link, make_link, offer_change
from tests.estimating.changes import labor
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db


def fail(document):
    Document.objects.filter(pk=document.pk).update(state=State.FAILED, error="no font")


def test_of_a_proposal(propose, client, as_office, owner):
    proposal = propose(ready=False)
    token = make_link(proposal=proposal, by=owner)
    waits = text_of(client.get(reverse("estimating:client_proposal", args=[token])))
    assert waits.count("load this page again in a minute") == 2
    fail(proposal.document)
    page = text_of(client.get(reverse("estimating:client_proposal", args=[token])))
    assert "in a minute" not in page
    assert page.count("The PDF could not be made.") == 2
    assert "no font" not in page
    assert "its PDF could not be made" in text_of(as_office.get(reverse("home:week")))


def test_the_client_reads_the_shop_s_phone(propose, client, owner):
    from shop.actions import change_settings

    change_settings(by=owner, phone="555-0110")
    proposal = propose(ready=False)
    fail(proposal.document)
    page = client.get(reverse("estimating:client_proposal", args=[make_link(proposal=proposal, by=owner)]))
    assert "Call us on 555-0110: we send it to you another way." in text_of(page)


def test_of_a_change_order(change, client, as_office, owner):
    labor(change, owner, 100)
    offer = offer_change(change=change, by=owner)
    fail(offer.document)
    page = text_of(client.get(reverse("estimating:client_change", args=[make_change_link(change=change, by=owner)])))
    assert "in a minute" not in page
    assert page.count("The PDF could not be made.") == 2
    assert "its PDF could not be made" in text_of(as_office.get(reverse("home:week")))
