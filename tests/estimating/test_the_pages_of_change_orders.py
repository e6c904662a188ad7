"""Change orders by the pages: the office's, the installer's on the phone, the client's behind the link."""

import io
import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from base.keys import uuid7
from estimating.actions import (
    agree_field_limit,
    make_change_link,
    offer_change,
    raise_change,
    revoke_change_link,
    withdraw_change,
)
from estimating.change_queries import view_of
from estimating.job_sum import job_sum
from estimating.models import ChangeApproval, ChangeEnd, ChangeLink, ChangeOrder
from tests.estimating.changes import labor, made
from tests.estimating.test_the_client_s_link import tables_with, text_of

pytestmark = pytest.mark.django_db


def url(name, *args):
    return reverse(f"estimating:{name}", args=args)


def picture():
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(data, "PNG")
    data.name = "rot.png"
    data.seek(0)
    return data


# ---------------------------------------------------------------- the office


def test_the_office_writes_prices_offers_and_has_it_approved(as_office, accepted, photo):
    typed = {"new": "", "key": str(uuid7()), "what": "A second niche", "why": "", "directed_by": "Odalys Brandt"}
    first = as_office.post(url("changes", accepted.pk), typed)
    assert as_office.post(url("changes", accepted.pk), typed).url == first.url, "sent twice, it is one"
    change = ChangeOrder.objects.get()
    page = url("change", change.pk)
    assert "Before it can be offered" in text_of(as_office.get(page))
    grout = str(accepted.estimate.lines.get().rate_id)
    as_office.post(page, {"rate_line": "", "rate": grout, "quantity": "11", "text": "Grout for the niche"})
    own = {"text": "Niche", "kind": "labor", "quantity": "2", "unit": "", "unit_cost": "62"}
    as_office.post(page, {"own": "", **own})
    as_office.post(page, {"own": "", **own, "text": "Left out", "credit": "on"})
    kept = {"what": "A second niche", "why": "Asked for", "directed_by": "Odalys Brandt", "days": "1"}
    kept |= {"seen": view_of(change).said}
    as_office.post(page, {"save": "", **kept, "not_to_exceed": "", "photos": [str(photo.pk)]})
    as_office.post(page, {"remove": str(change.lines.get(text="Left out").pk)})
    assert as_office.post(page, {"offer": view_of(change).seen}).status_code == 302
    offer = made(change.offers.get())
    # Grout 2 x $20.00 and 2 h x $62.00, 35 percent on both, 8 percent of tax on the grout: 54.00 + 167.40 + 3.20.
    assert offer.amount == Decimal("224.60")
    assert [each["sha256"] for each in offer.content["photos"]] == [photo.sha256]
    assert "$4,224.60" in text_of(as_office.get(page))
    answer = {"approve": "", "version": "1", "typed_name": "Odalys Brandt", "agree": "on"}
    sign = url("change_sign", change.pk)
    assert as_office.post(sign, {**answer, "agree": ""}).status_code == 422
    assert as_office.post(sign, answer).url == sign
    assert ChangeApproval.objects.get().witness.username == "petra"
    for shown in (page, url("changes", accepted.pk), reverse("home:job", args=[accepted.pk])):
        assert "$4,224.60" in text_of(as_office.get(shown)), shown


NOT_TAKEN = [
    {"own": "", "text": "Niche", "kind": "labor", "quantity": "x", "unit": "", "unit_cost": "62"},
    {"own": "", "text": "Niche", "kind": "other", "quantity": "999999999", "unit": "", "unit_cost": "99999999"},
    {"rate_line": "", "rate": "nothing", "quantity": "2", "text": ""},
    {"save": "", "what": "", "why": "Because", "days": "one", "not_to_exceed": "0"},
    {"withdraw": "", "reason": ""},
]


def test_what_can_t_be_taken_comes_back_as_it_was_typed(as_office, change):
    for typed in NOT_TAKEN:
        response = as_office.post(url("change", change.pk), typed)
        assert response.status_code in (409, 422), typed
        body = response.content.decode()
        assert 'class="errors"' in body
        for value in typed.values():
            assert not value or value in body
    assert not change.lines.exists()


def test_it_is_declined_and_withdrawn_by_the_page(as_office, offered, offered_twice):
    page = url("change", offered.change_id)
    as_office.post(page, {"decline": "", "version": "1", "reason": "Too dear"})
    assert "Too dear" in text_of(as_office.get(page))
    as_office.post(url("change", offered_twice.change_id), {"withdraw": "", "reason": "Wrong tile"})
    assert [end.kind for end in ChangeEnd.objects.order_by("created_at")] == ["declined", "withdrawn"]
    assert "Offer it to the client" in text_of(as_office.get(page))


def test_a_field_limit_is_noted_with_whom_it_was_agreed(as_office, accepted):
    page = url("changes", accepted.pk)
    assert as_office.post(page, {"limit": "", "amount": "250", "agreed_with": ""}).status_code == 422
    as_office.post(page, {"limit": "", "amount": "250", "agreed_with": "Odalys Brandt"})
    assert "$250.00, agreed with Odalys Brandt" in text_of(as_office.get(page))
    as_office.post(page, {"limit": "", "amount": "0", "agreed_with": "Odalys Brandt"})
    assert "None is agreed" in text_of(as_office.get(page))


def test_the_week_shows_what_waits(as_office, accepted, offered, installer):
    raise_change(job=accepted, what="Rot under the tub", on_site=True, by=installer)
    text = text_of(as_office.get(reverse("home:week")))
    assert "A second niche, Odalys Brandt $135.00 · waits for the client" in text
    assert "Rot under the tub, 14 Quarry Lane to price" in text


def test_pages_take_as_many_queries_for_many_changes(as_office, as_installer, accepted, owner, offered, offered_twice):
    pages = [
        (as_office, url("changes", accepted.pk)),
        (as_installer, url("change_raise", accepted.pk)),
        (as_office, reverse("home:job", args=[accepted.pk])),
        (as_office, reverse("home:week")),
    ]

    def counted():
        counts = []
        for client, page in pages:
            with CaptureQueriesContext(connection) as seen:
                client.get(page)
            counts.append(len(seen))
        return counts

    few = counted()
    for number in range(3):
        change = raise_change(job=accepted, what=f"More {number}", directed_by="Odalys", on_site=True, by=owner)
        labor(change, owner, 5)
        offer_change(change=change, by=owner)
    assert counted() == few


def test_before_the_yes_and_after_the_closeout_nothing_is_taken(as_office, as_installer, job):
    for client, name in ((as_office, "changes"), (as_installer, "change_raise")):
        page = url(name, job.pk)
        assert "accepted" in text_of(client.get(page))
        typed = {"new": "", "key": str(uuid7()), "what": "Rot"}
        response = client.post(page, typed)
        assert response.status_code == 422
        assert b'value="Rot"' in response.content
    assert not ChangeOrder.objects.exists()


# ---------------------------------------------------------------- the phone


def test_an_installer_raises_one_with_a_photo_and_sees_no_price(as_installer, accepted, offered):
    page = url("change_raise", accepted.pk)
    typed = {"key": str(uuid7()), "what": "Rot under the tub", "why": "Soft to the joist", "photo": picture()}
    response = as_installer.post(page, typed)
    change = ChangeOrder.objects.get(what="Rot under the tub")
    assert response.url == f"{page}#change-{change.pk}"
    assert (change.on_site, change.raised_by.username, change.photos.count()) == (True, "rui", 1)
    for shown in (page, reverse("home:job", args=[accepted.pk])):
        assert b"$" not in as_installer.get(shown).content
    assert "Don’t start before the client approves." in text_of(as_installer.get(page))
    assert b"data-queue" in as_installer.get(page).content


def test_the_phone_s_queue_gets_a_receipt_and_raises_it_once(as_installer, accepted):
    key = str(uuid7())
    headers = {"Phone-Item": key, "Phone-Happened-At": "2026-11-24T09:12:00-05:00", "Phone-Version": "1"}
    for _time in range(2):
        typed = {"key": key, "what": "Rot", "photo": picture()}
        answer = as_installer.post(url("change_raise", accepted.pk), typed, headers=headers)
        assert (answer.status_code, answer.json()) == (200, {"kept": True, "id": key})
    assert ChangeOrder.objects.get().raised_at.isoformat() == "2026-11-24T14:12:00+00:00"
    refused = as_installer.post(url("change_raise", accepted.pk), {"key": str(uuid7()), "what": ""}, headers=headers)
    assert (refused.status_code, list(refused.json()["errors"])) == (422, ["what"])


def test_the_word_of_the_client_is_asked_for_where_a_limit_was_agreed(as_installer, accepted, owner):
    page = url("change_raise", accepted.pk)
    assert b"word_of" not in as_installer.get(page).content
    agree_field_limit(job=accepted, amount=Decimal(250), agreed_with="Odalys Brandt", by=owner)
    assert "Field limit $250.00, agreed with Odalys Brandt" in text_of(as_installer.get(page))
    as_installer.post(page, {"key": str(uuid7()), "what": "Rot", "word_of": "Odalys Brandt"})
    text = text_of(as_installer.get(page))
    assert "Don’t start yet: Odalys Brandt said yes, but the office has to price it first." in text
    labor(ChangeOrder.objects.get(), owner, 100)
    text = text_of(as_installer.get(page))
    assert "May start: Odalys Brandt said yes, within the field limit." in text


def test_an_installer_never_opens_the_office_s_pages_and_an_outsider_none(
    as_installer, as_other_installer, accepted, offered
):
    for client in (as_installer, as_other_installer):
        for page in (
            url("changes", accepted.pk),
            url("change", offered.change_id),
            url("change_file", offered.change_id),
        ):
            for response in (client.get(page), client.post(page, {"offer": "", "link": ""})):
                assert response.status_code in (403, 405), page
                assert b"$" not in response.content
    assert as_other_installer.get(url("change_raise", accepted.pk)).status_code == 404
    assert as_other_installer.post(url("change_raise", accepted.pk), {"what": "x"}).status_code == 404
    assert not ChangeLink.objects.exists()


# ---------------------------------------------------------------- the client


@pytest.fixture
def token(offered, owner):
    return make_change_link(change=offered.change, by=owner)


def test_the_client_reads_it_and_approves_by_the_page(client, token, offered, accepted):
    page = client.get(url("client_change", token))
    text = text_of(page)
    assert offered.content["sentence"] in text
    assert "New total $4,135.00" in text
    assert (page["Cache-Control"], page["Referrer-Policy"]) == ("private, no-store", "strict-origin")
    assert page["X-Robots-Tag"].startswith("noindex")
    approve = url("client_change_approve", token)
    typed = {"version": "1", "typed_name": "Odalys Brandt"}
    refused = client.post(approve, typed)
    assert refused.status_code == 422
    assert b'value="Odalys Brandt"' in refused.content
    client.post(approve, {**typed, "agree": "on"}, headers={"User-Agent": "Some browser"})
    approval = ChangeApproval.objects.get()
    assert (approval.typed_name, approval.browser, approval.address) == ("Odalys Brandt", "Some browser", "127.0.0.1")
    text = text_of(client.get(url("client_change", token)))
    assert "Approved by Odalys Brandt on" in text
    assert "Approve this change" not in text
    assert job_sum(accepted).total == Decimal("4135.00")
    assert b"%PDF" in b"".join(client.get(url("client_change_file", token)).streaming_content)


def test_a_version_that_was_replaced_meanwhile_is_not_approved_unread(client, token, offered, owner):
    withdraw_change(change=offered.change, reason="", by=owner)
    labor(offered.change, owner, 500)
    made(offer_change(change=offered.change, by=owner))
    typed = {"version": "1", "typed_name": "Odalys Brandt", "agree": "on"}
    response = client.post(url("client_change_approve", token), typed)
    assert response.status_code == 409
    assert "newer version" in text_of(response)
    assert 'name="version" value="2"' in response.content.decode()
    assert client.post(url("client_change_approve", token), {**typed, "version": "9"}).status_code == 422
    assert not ChangeApproval.objects.exists()
    client.post(url("client_change_decline", token), {"version": "2", "reason": "Too dear"})
    assert "You declined this change order." in text_of(client.get(url("client_change", token)))


def test_the_token_is_shown_once_and_stands_nowhere(as_office, client, offered):
    page = url("change", offered.change_id)
    made_page = as_office.post(page, {"link": ""})
    (token,) = re.findall(r"/p/([\w-]{22})/change/", made_page.content.decode())
    assert token not in as_office.get(page).content.decode()
    client.get(url("client_change", token))
    assert tables_with(token) == []
    link = ChangeLink.objects.get()
    as_office.post(page, {"revoke": str(link.pk)})
    assert client.get(url("client_change", token)).status_code == 404


def test_a_revoked_and_an_unknown_link_answer_alike_and_a_proposals_opens_no_change(client, token, offered, owner):
    from estimating.actions import make_link
    from estimating.models import Proposal

    other = make_link(proposal=Proposal.objects.get(), by=owner)
    revoke_change_link(link=ChangeLink.objects.get(), by=owner)
    bodies = set()
    for each in (token, other, "A" * 22):
        answer = client.get(url("client_change", each))
        assert answer.status_code == 404
        bodies.add(re.sub(rb'nonce="[^"]*"|"X-CSRFToken": "[^"]*"', b"", answer.content))
        for name in ("client_change_approve", "client_change_decline"):
            assert client.post(url(name, each), {"version": "1", "typed_name": "x", "agree": "on"}).status_code == 404
    assert len(bodies) == 1
    assert not ChangeApproval.objects.exists()
