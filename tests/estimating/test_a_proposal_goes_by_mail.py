"""The proposal to the client by mail, its reminder, its renewal: each once, whatever goes wrong on the way.

That a mail with a file is multipart/mixed with the file as an attachment is RFC 2046, 5.1.3, and RFC 2183, 2.2; it is
read by Python's own parser.
"""

import hashlib
import re
from datetime import timedelta
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from clients.actions import change_client
from documents.actions import make_document
from estimating.actions import (
    CannotPropose,
    CannotRenew,
    CannotSend,
    accept_proposal,
    change_estimate,
    decline_proposal,
    proposals,
    queue_sendings,
    remind_client,
    remind_due,
    renew_proposal,
    revoke_link,
    send_proposal,
    sending,
    withdraw_proposal,
)
from estimating.models import Proposal, ProposalSent
from jobs.actions import move_job
from jobs.models import Stage
from shop.actions import change_settings
from shop.mail import send_mails
from shop.models import Mail
from shop.queries import shop_settings
from tests.estimating.test_the_client_s_link import tables_with, text_of

pytestmark = pytest.mark.django_db
TO = "odalys@example.com"


def make_due():
    Mail.objects.filter(sent_at=None).update(next_try_at=timezone.now() - timedelta(seconds=1))


def token_in(message):
    (token,) = re.findall(r"/p/([\w-]{22})/", message.get_body().get_content())
    return token


# ---------------------------------------------------------------- sent


@pytest.fixture
def pdf_made(monkeypatch):
    """A worker makes the PDF of a proposal."""

    def made(proposal):
        monkeypatch.setattr("documents.rendering.render_pdf", lambda **kwargs: b"%PDF stand-in")
        make_document(document_id=proposal.document_id)

    return made


def test_it_goes_with_the_owner_s_words_its_link_and_the_very_pdf(proposal, owner, as_owner, client, postbox):
    first = send_proposal(proposal=proposal, to=TO, words="Call me any evening.", by=owner)
    assert send_proposal(proposal=proposal, to=TO, by=owner, key=first.pk) == first
    assert [send_mails(), send_mails()] == [1, 0]
    [message] = postbox.messages
    assert message["To"] == TO
    text = message.get_body().get_content()
    assert text.index("Call me any evening.") < text.index("/p/")
    assert proposal.content["valid_until"]["shown"] in text
    [pdf] = message.iter_attachments()
    assert (pdf.get_content_type(), pdf.get_content_disposition()) == ("application/pdf", "attachment")
    assert hashlib.sha256(pdf.get_content()).hexdigest() == proposal.document.sha256

    token = token_in(message)
    assert client.get(f"/p/{token}/").status_code == 200
    assert tables_with(token) == []
    for url in (reverse("shop:mail"), reverse("estimating:proposal", args=[proposal.pk])):
        assert token not in as_owner.get(url).content.decode()
    assert "/p/…/" in text_of(as_owner.get(reverse("shop:mail")))

    send_proposal(proposal=proposal, to="other@example.com", by=owner)
    revoke_link(link=first.link, by=owner)
    send_proposal(proposal=proposal, to=TO, by=owner)
    send_mails()
    tokens = [token_in(each) for each in postbox.messages]
    assert tokens[0] == tokens[1] != tokens[2]  # the same link while it works


def test_a_killed_worker_and_a_dead_mail_server_lose_nothing_and_send_nothing_twice(
    propose, owner, closed_postbox, monkeypatch, pdf_made
):
    proposal = propose(ready=False)
    sent = send_proposal(proposal=proposal, to=TO, by=owner)
    assert queue_sendings() == 0
    pdf_made(proposal)

    def killed(**kwargs):
        queue_mail(**kwargs)
        raise KeyboardInterrupt

    queue_mail = sending.queue_mail
    with monkeypatch.context() as context:
        context.setattr(sending, "queue_mail", killed)
        with pytest.raises(KeyboardInterrupt):
            queue_sendings()
    assert not Mail.objects.exists()
    assert [queue_sendings(), queue_sendings()] == [1, 0]
    assert send_mails() == 0  # the server is down
    mail = Mail.objects.get(key=sent.mail_key)
    assert (mail.state, mail.attempts) == ("failing", 1)
    make_due()
    with closed_postbox.open():
        assert [send_mails(), queue_sendings(), send_mails()] == [1, 0, 0]
    [message] = closed_postbox.messages
    [pdf] = message.iter_attachments()
    assert pdf.get_content() == b"%PDF stand-in"


def test_what_came_too_late_doesn_t_go(propose, owner, pdf_made):
    first = propose(ready=False)
    sent = send_proposal(proposal=first, to=TO, by=owner)
    revoke_link(link=sent.link, by=owner)
    pdf_made(first)
    assert queue_sendings() == 0
    second = propose(ready=False)
    send_proposal(proposal=second, to=TO, by=owner)
    withdraw_proposal(proposal=second, by=owner)
    pdf_made(second)
    assert queue_sendings() == 0
    assert not Mail.objects.exists()


def test_a_file_goes_as_the_same_bytes_at_each_try_or_not_at_all(proposal, owner, postbox, monkeypatch):
    send_proposal(proposal=proposal, to=TO, by=owner)

    def die(self, **kwargs):
        raise KeyboardInterrupt

    with monkeypatch.context() as context:
        context.setattr(Mail, "save", die)
        with pytest.raises(KeyboardInterrupt):
            send_mails()
    assert send_mails() == 1
    first, second = postbox.taken
    assert first == second

    remind_client(proposal=proposal, by=owner)
    default_storage.delete(proposal.document.file.name)
    default_storage.save(proposal.document.file.name, BytesIO(b"%PDF of somebody else"))
    assert send_mails() == 0
    assert "not the one" in Mail.objects.get(sent_at=None).error


def test_an_expired_a_replaced_and_an_accepted_one_isn_t_sent(propose, owner, expired, monkeypatch):
    with pytest.raises(CannotSend, match="expired"):
        send_proposal(proposal=expired, to=TO, by=owner)
    monkeypatch.setattr(proposals, "end_of", lambda day: timezone.now() + timedelta(days=30))
    second = propose()
    with pytest.raises(CannotSend, match="replaced"):
        send_proposal(proposal=expired, to=TO, by=owner)
    accept_proposal(proposal=second, typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(CannotSend, match="accepted"):
        send_proposal(proposal=second, to=TO, by=owner)
    assert not ProposalSent.objects.exists()


def test_the_owner_sends_and_reminds_from_the_page(as_owner, as_office, proposal, owner, settings):
    settings.EMAIL_HOST = "mail.example.com"
    page = reverse("estimating:proposal", args=[proposal.pk])
    url = reverse("estimating:send", args=[proposal.pk])
    for button in ("send", "remind", "renew"):
        assert as_office.post(url, {button: "", "to": TO}).status_code == 403
    assert f'value="{TO}"' in as_owner.get(page).content.decode()
    refused = as_owner.post(url, {"send": "", "to": "odalys at home", "words": "Long typed words"})
    assert refused.status_code == 422
    assert "Long typed words" in refused.content.decode()
    assert "nothing to remind of" in text_of(as_owner.post(url, {"remind": ""}, follow=True))
    assert not ProposalSent.objects.exists()

    assert as_owner.post(url, {"send": "", "to": "other@example.com", "words": "Hello"}).url == page
    assert ProposalSent.objects.get().words == "Hello"
    text = text_of(as_owner.get(page))
    assert "The proposal goes to other@example.com" in text
    assert "in the outbox" in text
    for _press in range(2):
        as_owner.post(url, {"remind": "", "key": "01900000-0000-7000-8000-000000000001"})
    assert [each.to for each in ProposalSent.objects.filter(kind="reminder")] == ["other@example.com"]


def test_without_a_mail_server_nobody_says_that_it_goes(as_owner, proposal):
    page, url = (reverse(f"estimating:{name}", args=[proposal.pk]) for name in ("proposal", "send"))
    as_owner.post(url, {"send": "", "to": TO, "words": ""})
    text = text_of(as_owner.get(page))
    assert f"no mail server is set. The mail to {TO} waits on the Mail page" in text
    assert "goes to" not in text


# ---------------------------------------------------------------- reminded


@pytest.fixture
def in_the_shop(owner):
    change_settings(by=owner, remind_days=7)
    with timezone.override(ZoneInfo(shop_settings().time_zone)):
        yield


@pytest.fixture
def reminded_in(monkeypatch, in_the_shop):
    """How many are reminded so many days from now, at that hour of the shop's day."""
    now = timezone.now

    def reminded(days, *, hour=10):
        with monkeypatch.context() as context:
            then = timezone.localtime(now() + timedelta(days=days)).replace(hour=hour, minute=0)
            context.setattr(timezone, "now", lambda: then)
            return remind_due()

    return reminded


def test_after_the_shop_s_days_a_client_is_reminded_once(proposal, owner, reminded_in, postbox):
    assert reminded_in(8) == 0  # it was never sent
    send_proposal(proposal=proposal, to=TO, by=owner)
    assert [reminded_in(6), reminded_in(8, hour=3), reminded_in(8, hour=22)] == [0, 0, 0]
    change_settings(by=owner, remind_days=0)
    assert reminded_in(8) == 0
    change_settings(by=owner, remind_days=7)
    assert [reminded_in(8), reminded_in(8), reminded_in(20)] == [1, 0, 0]
    assert ProposalSent.objects.get(by=None).to == TO
    assert send_mails() == 2
    assert token_in(postbox.messages[0]) == token_in(postbox.messages[1])
    assert "haven’t answered" in postbox.messages[1].get_body().get_content()


def test_after_an_answer_or_its_end_nobody_is_reminded(propose, owner, reminded_in):
    declined = propose()
    send_proposal(proposal=declined, to=TO, by=owner)
    decline_proposal(proposal=declined, reason="")
    assert reminded_in(8) == 0
    accepted = propose()
    send_proposal(proposal=accepted, to=TO, by=owner)
    assert reminded_in(40) == 0  # it has expired by then
    accept_proposal(proposal=accepted, typed_name="Odalys Brandt", witness=owner)
    assert reminded_in(8) == 0


def test_of_a_job_that_isn_t_taken_nobody_is_reminded(proposal, laid_out, owner, reminded_in, monkeypatch):
    send_proposal(proposal=proposal, to=TO, by=owner)
    move_job(job=laid_out, to=Stage.LOST, by=owner)
    assert reminded_in(8) == 0
    # Looked for while the job still waited.
    monkeypatch.setattr(sending, "_due", lambda model, *given: [proposal] if model is Proposal else [])
    assert reminded_in(8) == 0
    for act in (remind_client, send_proposal):
        with pytest.raises(CannotSend, match="waits for no answer"):
            act(proposal=proposal, by=owner, **({"to": TO} if act is send_proposal else {}))
    assert ProposalSent.objects.count() == 1


def test_what_waited_for_its_pdf_doesn_t_go_once_the_job_isn_t_taken(propose, laid_out, owner, pdf_made):
    waits = propose(ready=False)
    send_proposal(proposal=waits, to=TO, by=owner)
    move_job(job=laid_out, to=Stage.LOST, by=owner)
    pdf_made(waits)
    assert queue_sendings() == 0


# ---------------------------------------------------------------- renewed


def test_an_expired_one_is_renewed_in_one_press(as_owner, expired, laid_out, owner, monkeypatch):
    monkeypatch.setattr(proposals, "end_of", lambda day: timezone.now() + timedelta(days=30))
    url = reverse("estimating:send", args=[expired.pk])
    response = as_owner.post(url, {"renew": ""})
    new = laid_out.proposals.get(version=2)
    assert response.url == reverse("estimating:proposal", args=[new.pk])
    assert new.total == expired.total
    assert new.content["lines"] == expired.content["lines"]
    expired.refresh_from_db()
    assert expired.end.kind == "replaced"
    assert "replaced meanwhile" in text_of(as_owner.post(url, {"renew": ""}, follow=True))
    with pytest.raises(CannotRenew, match="still holds"):
        renew_proposal(proposal=new, by=owner)
    assert laid_out.proposals.count() == 2


def test_one_that_would_say_something_else_isn_t_renewed(expired, laid_out, estimate, room, owner):
    person = {"client": laid_out.client, "kind": "person", "email": TO, "by": owner}
    change_client(name="Odalys Brandt-Keller", **person)
    with pytest.raises(CannotRenew, match="have changed"):
        renew_proposal(proposal=expired, by=owner)
    change_client(name="Odalys Brandt", **person)
    change_estimate(job=laid_out, markup_percent=50, tax_percent=0, by=owner)
    with pytest.raises(CannotRenew, match="have changed"):
        renew_proposal(proposal=expired, by=owner)
    room.joint_high += 1
    room.save()
    with pytest.raises((CannotRenew, CannotPropose)):
        renew_proposal(proposal=expired, by=owner)
    assert laid_out.proposals.count() == 1
