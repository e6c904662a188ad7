"""From the outbox through a real SMTP server: once, with what a mail needs, and lost by nothing that goes wrong.

What a mail must have is RFC 5322, 3.6 (Date and From once each, Message-ID); how long is tried RFC 5321, 4.5.4.1 (at
least 4 to 5 days); what 4xx and 5xx mean RFC 5321, 4.2.1. The mails are read by Python's own parser.
"""

import ssl
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.db import DatabaseError, transaction
from django.utils import timezone

from base.errors import Refused
from shop.actions import change_settings
from shop.mail import PAUSES, queue_mail, send_mails, try_again
from shop.models import Mail

pytestmark = pytest.mark.django_db


def queue(key: str = "wait-over:1", to: str = "rui@example.com", **changes) -> Mail:
    fields = {"subject": "Water test at 14 Quarry Lane: the wait is over", "text": "Look at the mark.\n"}
    return queue_mail(key=key, to=to, **fields | changes)


def make_due(**which) -> None:
    Mail.objects.filter(sent_at=None, **which).update(next_try_at=timezone.now() - timedelta(seconds=1))


def test_a_queued_mail_arrives_with_what_a_mail_needs(postbox, owner):
    change_settings(by=owner, name="Müller & Söhne, Tile", email="shop@example.com")
    mail = queue(subject="Prüfung at 14 Quarry Lane", text="Größe: 3/16″\n.\nend\n")
    assert send_mails() == 1

    [message] = postbox.messages
    assert message["From"] == '"Müller & Söhne, Tile" <office@example.com>'
    assert (message["To"], message["Reply-To"]) == ("rui@example.com", "shop@example.com")
    assert message["Subject"] == "Prüfung at 14 Quarry Lane"
    assert message["Message-ID"] == f"<{mail.pk}@example.com>"
    assert message["Auto-Submitted"] == "auto-generated"
    assert abs(message["Date"].datetime - mail.created_at) < timedelta(seconds=1)
    assert [len(message.get_all(name)) for name in ("Date", "From", "Message-ID")] == [1, 1, 1]
    # A line of one dot ends the data in SMTP (RFC 5321, 4.5.2): it has to come through as it was.
    assert message.get_content().replace("\r\n", "\n") == "Größe: 3/16″\n.\nend\n"
    mail.refresh_from_db()
    assert (mail.state, mail.attempts, mail.error) == ("sent", 1, "")


def test_it_is_sent_once_however_often_it_is_asked(postbox):
    queue()
    assert [send_mails(), send_mails()] == [1, 0]
    assert len(postbox.taken) == 1


def test_the_same_key_is_one_mail(postbox):
    first = queue()
    assert queue(text="Other words.\n") == first
    send_mails()
    assert queue().state == "sent"
    send_mails()
    assert [message.get_content().strip() for message in postbox.messages] == ["Look at the mark."]


def test_a_mail_whose_change_is_rolled_back_never_was(postbox):
    with transaction.atomic():
        queue()
        transaction.set_rollback(True)
    assert send_mails() == 0
    assert not Mail.objects.exists()


def test_a_subject_cant_bring_a_header_of_its_own(postbox):
    queue(subject="Water test\r\nBcc: everybody@example.com")
    assert send_mails() == 1
    assert postbox.messages[0]["Bcc"] is None
    assert postbox.messages[0]["Subject"] == "Water test Bcc: everybody@example.com"


def test_a_server_that_is_down_costs_nothing_but_time(closed_postbox):
    one, other = queue("a"), queue("b")
    assert send_mails() == 0
    for mail in (one, other):
        mail.refresh_from_db()
        assert (mail.state, mail.attempts) == ("failing", 1)
        assert "refused" in mail.error
        assert timezone.now() < mail.next_try_at < timezone.now() + PAUSES[0]
    with closed_postbox.open():
        assert send_mails() == 0  # not due yet
        make_due()
        assert send_mails() == 2
    assert len(closed_postbox.taken) == 2
    one.refresh_from_db()
    assert (one.state, one.attempts, one.error) == ("sent", 2, "")


def test_pauses_grow_until_nobody_waits_for_it_any_more(closed_postbox):
    mail, pauses = queue(), []
    for _ in range(len(PAUSES) + 1):
        make_due()
        send_mails()
        mail.refresh_from_db()
        pauses.append(mail.next_try_at - timezone.now())
    assert all(earlier < later + timedelta(seconds=5) for earlier, later in pairwise(pauses))
    assert timedelta(hours=2) < pauses[-1] < timedelta(hours=3)
    assert timedelta(days=4) < mail.give_up_at - mail.created_at
    Mail.objects.update(give_up_at=timezone.now())
    make_due()
    with closed_postbox.open():
        assert send_mails() == 0
    mail.refresh_from_db()
    assert (mail.state, mail.attempts) == ("given up", len(PAUSES) + 1)
    assert mail.error


@pytest.mark.parametrize(
    ("answer", "state"), [("550 5.1.1 no such mailbox", "given up"), ("450 4.2.1 busy", "failing")]
)
def test_an_address_that_is_refused_stops_no_other_mail(postbox, answer, state):
    postbox.refuses["gone@example.com"] = answer
    refused, fine = queue("a", "gone@example.com"), queue("b")
    assert send_mails() == 1
    refused.refresh_from_db()
    fine.refresh_from_db()
    assert (refused.state, fine.state) == (state, "sent")
    assert refused.error == f"gone@example.com: {answer}"


def test_a_mail_that_failed_can_be_tried_again_at_once(postbox):
    postbox.refuses["rui@example.com"] = "550 5.1.1 no such mailbox"
    mail = queue()
    send_mails()
    postbox.refuses.clear()
    assert send_mails() == 0
    again = try_again(mail)
    assert again.give_up_at > timezone.now() + timedelta(days=4)
    assert send_mails() == 1
    with pytest.raises(Refused, match="sent already"):
        try_again(mail)


def test_without_a_mail_server_mails_wait_and_old_ones_arent_sent_later(closed_postbox, settings):
    settings.EMAIL_HOST = ""
    old, new = queue("old"), queue("new")
    assert send_mails() == 0
    new.refresh_from_db()
    assert (new.state, new.attempts) == ("waiting", 0)
    Mail.objects.filter(pk=old.pk).update(give_up_at=timezone.now())
    settings.EMAIL_HOST = "127.0.0.1"
    with closed_postbox.open():
        assert send_mails() == 1
    old.refresh_from_db()
    assert old.state == "given up"


def test_what_was_sent_stays_as_it_was(postbox):
    mail = queue()
    for change in (
        lambda: Mail.objects.update(text="Other words"),
        lambda: Mail.objects.update(to="else@example.com"),
        lambda: mail.delete(),
    ):
        with pytest.raises(DatabaseError, match="Cannot"), transaction.atomic():
            change()
    send_mails()
    with pytest.raises(DatabaseError, match="Cannot"), transaction.atomic():
        Mail.objects.update(sent_at=None)


def test_a_server_that_hangs_up_after_it_took_the_mail_has_taken_it(postbox):
    postbox.hangs_up = True
    queue()
    assert [send_mails(), send_mails()] == [1, 0]


def test_a_commit_that_fails_after_the_250_sends_the_same_bytes_again(postbox, monkeypatch):
    """The gap that can't be closed: the receiver can tell by the Message-ID."""
    mail = queue()

    def die(self, **kwargs):
        raise KeyboardInterrupt

    with monkeypatch.context() as context:
        context.setattr(Mail, "save", die)
        with pytest.raises(KeyboardInterrupt):
            send_mails()
    mail.refresh_from_db()
    assert mail.state == "waiting"
    assert send_mails() == 1
    first, second = postbox.taken
    assert first == second
    assert f"Message-ID: <{mail.pk}@example.com>".encode() in first


def certificate(folder) -> ssl.SSLContext:
    """A server's context with a certificate that nobody vouches for."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "127.0.0.1")])
    now = datetime.now(UTC)
    builder = x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
    builder = builder.serial_number(1).not_valid_before(now).not_valid_after(now + timedelta(days=1))
    pem = folder / "server.pem"
    pem.write_bytes(
        builder.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM)
        + key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(pem)
    return context


def test_a_server_that_cant_prove_who_it_is_gets_neither_password_nor_mail(closed_postbox, settings, tmp_path):
    settings.EMAIL_USE_TLS, settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = True, "shop", "secret"
    mail = queue()
    with closed_postbox.open(tls_context=certificate(tmp_path)):
        assert send_mails() == 0
    mail.refresh_from_db()
    assert "certificate verify failed" in mail.error
    assert closed_postbox.taken == []


def test_a_server_without_tls_gets_nothing_where_tls_was_asked_for(postbox, settings):
    settings.EMAIL_USE_TLS = True
    mail = queue()
    assert send_mails() == 0
    mail.refresh_from_db()
    assert "STARTTLS" in mail.error
    assert postbox.taken == []
