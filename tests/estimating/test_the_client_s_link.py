import logging
import re

import pytest
from django.db import connection
from django.urls import reverse

from estimating.actions import (
    accept_proposal,
    decline_proposal,
    make_link,
    make_proposal,
    revoke_link,
    withdraw_proposal,
)
from estimating.logs import WithoutTokens
from estimating.models import Acceptance, ProposalEnd, ProposalLink

pytestmark = pytest.mark.django_db


def page(client, token, name="client_proposal"):
    return client.get(reverse(f"estimating:{name}", args=[token]))


def text_of(response):
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


def test_the_client_reads_the_letter_without_a_log_in(client, link, proposal):
    response = page(client, link[0])
    assert response.status_code == 200
    text = text_of(response)
    assert proposal.content["total"]["shown"] in text
    assert "Plumbing, electrical work and structure." in text
    assert response.content.count(b"<svg") >= 3


def test_it_is_in_no_cache_in_no_index_and_passed_on_to_nobody(client, link):
    for name in ("client_proposal", "client_file"):
        response = page(client, link[0], name)
        assert response["Cache-Control"] == "private, no-store"
        assert response["X-Robots-Tag"].startswith("noindex")
        # strict-origin: an address is never sent as a referrer; no-referrer would make the POST's Origin null.
        assert response["Referrer-Policy"] == "strict-origin"
    assert b'name="referrer"' not in page(client, link[0]).content


def test_the_client_accepts_by_the_page(client, link, proposal):
    url = reverse("inspections:client_accept", args=[link[0]])
    response = client.post(url, {"typed_name": "Odalys Brandt", "agree": "on"}, headers={"User-Agent": "Some browser"})
    assert response.url == reverse("estimating:client_proposal", args=[link[0]])
    acceptance = Acceptance.objects.get()
    assert (acceptance.typed_name, acceptance.browser) == ("Odalys Brandt", "Some browser")
    text = text_of(page(client, link[0]))
    assert "Accepted by Odalys Brandt on" in text
    assert "Accept this proposal" not in text


def test_a_form_half_filled_keeps_what_was_typed(client, link):
    url = reverse("inspections:client_accept", args=[link[0]])
    response = client.post(url, {"typed_name": "Odalys Brandt"})
    assert response.status_code == 422
    assert b'value="Odalys Brandt"' in response.content
    assert not Acceptance.objects.exists()


def test_an_expired_one_says_so_and_can_t_be_accepted(client, expired, owner):
    token = make_link(proposal=expired, by=owner)
    text = text_of(page(client, token))
    assert "This proposal has expired." in text
    assert "Accept this proposal" not in text
    response = client.post(
        reverse("inspections:client_accept", args=[token]), {"typed_name": "Odalys Brandt", "agree": "on"}
    )
    assert response.status_code == 409
    assert not Acceptance.objects.exists()


def test_a_replaced_a_withdrawn_and_a_declined_one_say_so(client, link, proposal, propose, owner, laid_out):
    second = propose()
    assert "A newer proposal has taken the place of this one." in text_of(page(client, link[0]))
    token = make_link(proposal=second, by=owner)
    withdraw_proposal(proposal=second, by=owner, reason="secret reason of the shop")
    text = text_of(page(client, token))
    assert "This proposal was withdrawn." in text
    assert "secret reason" not in text
    third = propose()
    token = make_link(proposal=third, by=owner)
    decline_proposal(proposal=third, reason="")
    assert "You declined this proposal." in text_of(page(client, token))


def test_before_the_pdf_is_there_nothing_can_be_accepted(client, propose, owner):
    token = make_link(proposal=propose(ready=False), by=owner)
    text = text_of(page(client, token))
    assert "still being made" in text
    assert "Type" not in text
    assert page(client, token, "client_file").status_code == 404


def test_a_revoked_an_expired_and_an_unknown_link_answer_alike(client, link, proposal, owner, monkeypatch):
    from datetime import timedelta

    from estimating.actions import proposals

    monkeypatch.setattr(proposals, "LINK_OUTLIVES", -timedelta(days=90))
    old = make_link(proposal=proposal, by=owner)
    revoke_link(link=link[1], by=owner)
    answers = [page(client, token) for token in (link[0], old, "A" * 22, "x", link[0].swapcase())]
    assert {answer.status_code for answer in answers} == {404}
    bodies = {re.sub(rb'nonce="[^"]*"|"X-CSRFToken": "[^"]*"', b"", answer.content) for answer in answers}
    assert len(bodies) == 1
    assert b"Odalys" not in bodies.pop()
    for name in ("client_file", "client_proposal"):
        assert page(client, link[0], name).status_code == 404
    for url in (reverse("estimating:client_decline", args=[link[0]]), reverse("inspections:client_accept", args=[old])):
        assert client.post(url, {"typed_name": "x", "agree": "on"}).status_code == 404
    assert not Acceptance.objects.exists()
    assert not ProposalEnd.objects.exists()


def test_the_client_declines_with_a_reason(client, link, laid_out):
    url = reverse("estimating:client_decline", args=[link[0]])
    long = "Too dear. " * 40
    refused = client.post(url, {"reason": long})
    assert refused.status_code == 422
    assert long.strip() in refused.content.decode()
    assert not ProposalEnd.objects.exists()
    client.post(url, {"reason": "Too dear"})
    assert ProposalEnd.objects.get().reason == "Too dear"
    laid_out.refresh_from_db()
    assert laid_out.stage == "pricing"


def test_an_accepted_one_is_not_declined_by_an_old_tab(client, link, proposal):
    accept_proposal(proposal=proposal, typed_name="Odalys Brandt", link=link[1])
    response = client.post(reverse("estimating:client_decline", args=[link[0]]), {"reason": "Too dear"})
    assert response.status_code == 409
    assert "was accepted" in text_of(response)
    assert not ProposalEnd.objects.exists()


def test_a_link_opens_its_own_proposal_only(client, link, proposal, as_owner):
    """The outsider: behind a link there is no way to the office."""
    for url in (
        reverse("estimating:proposal", args=[proposal.pk]),
        reverse("estimating:proposal_file", args=[proposal.pk]),
        reverse("estimating:estimate", args=[proposal.job_id]),
    ):
        assert client.get(url).status_code == 302


# ---------------------------------------------------------------- the token is nowhere


def test_it_is_shown_once(as_office, proposal):
    url = reverse("estimating:proposal", args=[proposal.pk])
    made = as_office.post(url, {"link": ""})
    (token,) = re.findall(r"/p/([\w-]{22})/", made.content.decode())
    assert made["Cache-Control"].startswith("max-age=0, no-cache, no-store")
    assert token not in as_office.get(url).content.decode()
    assert ProposalLink.live(token).proposal == proposal


def test_it_has_128_random_bits(proposal, owner):
    """RFC 4648, base64url without padding: 22 characters carry 16 bytes."""
    tokens = {make_link(proposal=proposal, by=owner) for _ in range(20)}
    assert len(tokens) == 20
    assert {len(token) for token in tokens} == {22}


def test_it_stands_in_no_column_of_any_table(client, as_office, proposal):
    url = reverse("estimating:proposal", args=[proposal.pk])
    (token,) = re.findall(r"/p/([\w-]{22})/", as_office.post(url, {"link": ""}).content.decode())
    page(client, token)
    client.post(reverse("inspections:client_accept", args=[token]), {"typed_name": "Odalys Brandt", "agree": "on"})
    assert Acceptance.objects.exists()
    assert tables_with(token) == []
    assert "estimating_acceptance" in tables_with("Odalys Brandt"), "the search itself must be able to find"


def tables_with(text):
    found = []
    for table in connection.introspection.table_names():
        with connection.cursor() as cursor:
            cursor.execute(f'SELECT count(*) FROM "{table}" t WHERE strpos(t::text, %s) > 0', [text])
            if cursor.fetchone()[0]:
                found.append(table)
    return found


def test_it_is_not_in_the_log(client, link, caplog, settings):
    handler = settings.LOGGING["handlers"]["stderr"]
    assert handler["filters"] == ["without_tokens"]
    revoked = "dead-token-of-22-chars"
    with caplog.at_level(logging.DEBUG):
        page(client, revoked)
        client.get(f"/p/{revoked}/nothing-here/")
    said = [record.getMessage() for record in caplog.records]
    assert [text for text in said if "/p/…/" in text]
    assert not [text for text in said if revoked in text]


@pytest.mark.parametrize(
    ("message", "args", "kept"),
    [
        ("Not Found: %s", ("/p/secret/",), "Not Found: /p/…/"),
        ("Forbidden (%s): %s", ("Origin", "/p/secret/accept/"), "Forbidden (Origin): /p/…/accept/"),
        ('"GET /p/secret?x=1 HTTP/1.1" 200', (), '"GET /p/…?x=1 HTTP/1.1" 200'),
        ("Not Found: /jobs/1/", (), "Not Found: /jobs/1/"),
    ],
)
def test_a_line_of_the_log_keeps_everything_but_the_token(message, args, kept):
    record = logging.LogRecord("django.request", logging.WARNING, "", 0, message, args, None)
    assert WithoutTokens().filter(record)
    assert record.getMessage() == kept


def test_a_revoked_link_is_revoked_by_the_page_and_another_proposal_s_isn_t(as_office, link, proposal, propose, owner):
    second = propose()
    url = reverse("estimating:proposal", args=[second.pk])
    as_office.post(url, {"revoke": str(link[1].pk)})
    link[1].refresh_from_db()
    assert link[1].revoked_at is None
    as_office.post(url, {"revoke": "rubbish"})
    as_office.post(reverse("estimating:proposal", args=[proposal.pk]), {"revoke": str(link[1].pk)})
    link[1].refresh_from_db()
    assert link[1].revoked_at is not None


def test_a_job_without_a_number_of_its_own_can_t_be_guessed(client, laid_out, owner, rates):
    """The address holds nothing but the token: neither the job's number nor a key."""
    from estimating.actions import fill_estimate

    fill_estimate(job=laid_out, by=owner)
    token = make_link(proposal=make_proposal(job=laid_out, by=owner), by=owner)
    assert reverse("estimating:client_proposal", args=[token]) == f"/p/{token}/"
    assert page(client, str(laid_out.pk)).status_code == 404
