"""A change order by mail, as a proposal goes: with its link and its PDF, each once, and back again when it is approved.

That a mail with a file is multipart/mixed with the file as an attachment is RFC 2046, 5.1.3, and RFC 2183, 2.2; it is
read by Python's own parser.
"""

import hashlib
import re
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    CannotApprove,
    CannotSend,
    approve_change,
    decline_change,
    offer_change,
    queue_sendings,
    raise_change,
    remind_client,
    remind_due,
    revoke_change_link,
    send_change,
    sending,
    withdraw_change,
)
from estimating.models import ChangeOffer, ChangeSent
from shop.actions import change_settings
from shop.mail import send_mails
from shop.models import Mail
from shop.queries import shop_settings
from tests.estimating.changes import labor, made
from tests.estimating.test_a_proposal_goes_by_mail import make_due
from tests.estimating.test_the_client_s_link import tables_with, text_of

pytestmark = pytest.mark.django_db
TO = "other@example.com"


@pytest.fixture(autouse=True)
def no_mail_before(accepted):
    """The mail of the accepted proposal is another test's."""
    Mail.objects.update(sent_at=timezone.now())


def token_in(message):
    (token,) = re.findall(r"/p/([\w-]{22})/change/", message.get_body().get_content())
    return token


def pdf_of(message):
    [pdf] = message.iter_attachments()
    assert (pdf.get_content_type(), pdf.get_content_disposition()) == ("application/pdf", "attachment")
    return hashlib.sha256(pdf.get_content()).hexdigest()


def test_it_goes_with_its_link_and_pdf_and_comes_back_approved(offered, owner, client, postbox):
    first = send_change(offer=offered, to=TO, words="Call me any evening.", by=owner)
    assert send_change(offer=offered, to=TO, by=owner, key=first.pk) == first
    assert [send_mails(), send_mails()] == [1, 0]
    [message] = postbox.messages
    text = message.get_body().get_content()
    assert message["To"] == TO
    assert "Change order 1: A second niche" in message["Subject"]
    assert text.index("Call me any evening.") < text.index("New total $4,135.00") < text.index("/p/")
    assert pdf_of(message) == offered.document.sha256
    token = token_in(message)
    assert client.get(f"/p/{token}/change/").status_code == 200
    assert tables_with(token) == []

    client.post(f"/p/{token}/change/approve/", {"version": "1", "typed_name": "Odalys Brandt", "agree": "on"})
    with pytest.raises(CannotApprove, match="already"):
        approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)
    assert [send_mails(), send_mails()] == [1, 0]
    back = postbox.messages[1]
    assert (back["To"], pdf_of(back)) == (TO, offered.document.sha256)
    said = back.get_body().get_content()
    assert offered.document.sha256 in said
    assert "by your private link" in said


def test_a_killed_worker_and_a_dead_mail_server_lose_nothing_and_send_nothing_twice(
    change, owner, closed_postbox, monkeypatch
):
    labor(change, owner, 100)
    offer = offer_change(change=change, by=owner)
    sent = send_change(offer=offer, to=TO, by=owner)
    assert queue_sendings() == 0, "its PDF isn't made"
    made(offer)

    def killed(**kwargs):
        queue_mail(**kwargs)
        raise KeyboardInterrupt

    queue_mail = sending.queue_mail
    with monkeypatch.context() as context:
        context.setattr(sending, "queue_mail", killed)
        with pytest.raises(KeyboardInterrupt):
            queue_sendings()
    assert not Mail.objects.filter(sent_at=None).exists()
    assert [queue_sendings(), queue_sendings()] == [1, 0]
    assert send_mails() == 0  # the server is down
    assert Mail.objects.get(key=sent.mail_key).state == "failing"
    make_due()
    with closed_postbox.open():
        assert [send_mails(), queue_sendings(), send_mails()] == [1, 0, 0]
    assert [pdf_of(message) for message in closed_postbox.messages] == [offer.document.sha256]


def test_what_was_withdrawn_or_answered_or_whose_link_is_revoked_doesn_t_go(change, offered, offered_twice, owner):
    withdraw_change(change=change, reason="", by=owner)
    for act in (send_change, remind_client):
        what = {"offer": offered, "to": TO} if act is send_change else {"proposal": offered}
        with pytest.raises(CannotSend, match="withdrawn"):
            act(**what, by=owner)
    with pytest.raises(CannotSend, match="nothing to remind of"):
        remind_client(proposal=offered_twice, by=owner)
    late = offer_change(change=change, by=owner)
    sent = send_change(offer=late, to=TO, by=owner)
    revoke_change_link(link=sent.link, by=owner)
    made(late)
    assert queue_sendings() == 0
    approve_change(offer=late, typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(CannotSend, match="approved"):
        send_change(offer=late, to=TO, by=owner)


def test_one_that_is_offered_anew_with_the_new_total_goes_again_by_the_same_link(
    offered, offered_twice, owner, postbox
):
    send_change(offer=offered_twice, to=TO, by=owner)
    approve_change(offer=offered, typed_name="Odalys Brandt", witness=owner)
    anew = ChangeOffer.objects.get(change=offered_twice.change_id, version=2)
    made(anew)
    assert [queue_sendings(), queue_sendings()] == [1, 0]
    send_mails()
    mine = [message for message in postbox.messages if "Change order 2" in message["Subject"]]
    assert [pdf_of(message) for message in mine] == [offered_twice.document.sha256, anew.document.sha256]
    assert token_in(mine[0]) == token_in(mine[1])
    assert "version 2" in mine[1].get_body().get_content()


def test_after_the_shop_s_days_a_client_is_reminded_once(offered, offered_twice, owner, monkeypatch):
    change_settings(by=owner, remind_days=7)
    send_change(offer=offered, to=TO, by=owner)
    send_change(offer=offered_twice, to=TO, by=owner)
    decline_change(offer=offered_twice, reason="")
    here = timezone.localtime(timezone=ZoneInfo(shop_settings().time_zone)).replace(hour=10, minute=0)
    reminded = []
    for days in (6, 8, 8):
        with monkeypatch.context() as context:
            context.setattr(timezone, "now", lambda days=days: here + timedelta(days=days))
            reminded.append(remind_due())
    assert reminded == [0, 1, 0]
    assert ChangeSent.objects.get(by=None).offer == offered
    assert "haven’t answered" in Mail.objects.get(key=ChangeSent.objects.get(by=None).mail_key).text


def test_the_office_sends_and_reminds_from_the_page(
    as_office, as_installer, accepted, change, offered, owner, settings
):
    settings.EMAIL_HOST = "mail.example.com"
    page, url = (reverse(f"estimating:{name}", args=[change.pk]) for name in ("change", "change_send"))
    assert as_installer.post(url, {"send": "", "to": TO}).status_code == 403
    refused = as_office.post(url, {"send": "", "to": "odalys at home", "words": "Long typed words"})
    assert refused.status_code == 422
    assert "Long typed words" in refused.content.decode()
    assert "nothing to remind of" in text_of(as_office.post(url, {"remind": ""}, follow=True))
    assert as_office.post(url, {"send": "", "to": TO, "words": "Hello"}).url == page
    text = text_of(as_office.get(page))
    assert "The change order goes to other@example.com" in text
    assert "in the outbox" in text
    for _press in range(2):
        as_office.post(url, {"remind": "", "key": "01900000-0000-7000-8000-000000000001"})
    assert [each.to for each in ChangeSent.objects.filter(kind="reminder")] == [TO]
    draft = raise_change(job=accepted, what="Rot", directed_by="Odalys Brandt", by=owner)
    nothing = as_office.post(reverse("estimating:change_send", args=[draft.pk]), {"send": "", "to": TO, "words": "Hi"})
    assert nothing.status_code == 409
