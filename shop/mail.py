"""The outbox: a mail is a row first, written in the transaction of what it tells of, and sent by a worker later.

A mail server that is away loses nothing: the error stands on the row, and the tries go on with growing pauses for five
days. A mail is sent once, but for one gap that no sender can close: the server has said 250 and the worker dies before
its own commit. Then it goes again, byte for byte the same with the same Message-ID, by which the receiver can tell.
"""

import base64
import hashlib
import logging
import smtplib
import time
from contextlib import suppress
from dataclasses import dataclass
from datetime import timedelta
from email.utils import format_datetime, formataddr
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext as _

from base.errors import Refused
from shop.models import Mail, Staff
from shop.queries import shop_settings

log = logging.getLogger(__name__)

# RFC 5321, 4.5.4.1: "the give-up time generally needs to be at least 4-5 days".
KEEP_TRYING = timedelta(days=5)
# RFC 1123, 5.3.1.1 has two tries in the first hour, then one every two or three hours. The try after a minute is for a
# server that was just started again: common practice, no source.
PAUSES = tuple(timedelta(minutes=minutes) for minutes in (1, 10, 30, 120, 180))
# For how long somebody is told of a mail that was given up: our choice, no source. Its own page has it for good.
TOLD_FOR = timedelta(days=30)
# A round begins no other mail after that: the same worker makes documents.
ROUND_SECONDS = 10
SUBJECT_LENGTH = 300
# Where a private link's token stands in its address, as long as it isn't sent.
HIDDEN = "…"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A PDF of the storage: its name there, the name that it goes by, and the hash that it must have."""

    file: str
    name: str
    sha256: str


def mailed_token(link_key: UUID) -> str:
    """The token of a private link that goes out by mail: 128 bits by the installation's secret key, in base64url.

    It is the same at every try, and no table holds it.
    """
    digest = salted_hmac("shop.mail.token", str(link_key), algorithm="sha256").digest()
    return base64.urlsafe_b64encode(digest[:16]).rstrip(b"=").decode()


def queue_mail(
    *,
    key: str,
    to: str,
    subject: str,
    text: str,
    attachment: Attachment | None = None,
    link_key: UUID | None = None,
) -> Mail:
    """The mail, waiting for a worker; to be called inside the transaction of what it tells of.

    The same `key` again returns the first mail, unchanged. Where no mail server is set it waits on its page; one that
    comes to be set within five days sends it. With `link_key` the text has "/…/" where the link's token goes.
    """
    mail = Mail(
        key=key,
        to=to,
        # A line's end would begin another header.
        subject=" ".join(subject.split())[:SUBJECT_LENGTH],
        text=text,
        link_key=link_key,
        attachment=attachment.file if attachment else "",
        attachment_name=attachment.name if attachment else "",
        attachment_sha256=attachment.sha256 if attachment else "",
        give_up_at=timezone.now() + KEEP_TRYING,
    )
    Mail.objects.bulk_create([mail], ignore_conflicts=True)
    return Mail.objects.get(key=key)


def queue_test_mail(*, key: UUID, to: Staff) -> Mail:
    """A mail that says no more than that mail arrives. Raises Refused where the person has no address."""
    if not to.email:
        raise Refused(_("There is no e-mail address with your name. The owner adds it under Staff."))
    text = _("This is the test mail that %(name)s asked for. Mail from Gaugerod arrives here.") % {"name": to.name}
    return queue_mail(key=f"test:{key}", to=to.email, subject=_("Test mail from Gaugerod"), text=text)


def try_again(mail: Mail) -> Mail:
    """The mail, due now and for five more days. Raises Refused for one that is sent, or is being sent."""
    with transaction.atomic():
        row = Mail.objects.select_for_update(skip_locked=True).filter(pk=mail.pk).first()
        if row is None:
            raise Refused(_("This mail is being sent right now. Look again in a minute."))
        if row.sent_at:
            raise Refused(_("This mail was sent already."))
        row.attempts, row.next_try_at, row.give_up_at = 0, timezone.now(), timezone.now() + KEEP_TRYING
        row.save(update_fields=["attempts", "next_try_at", "give_up_at"])
    return row


def given_up() -> QuerySet[Mail]:
    """What was given up in the last month: refused for good, or tried in vain, or never tried for want of a server."""
    now = timezone.now()
    return Mail.objects.filter(sent_at=None, give_up_at__lte=now, give_up_at__gt=now - TOLD_FOR)


def send_mails() -> int:
    """Sends what is due, the oldest first; returns how many the server took. Two workers at once share the mails.

    Where the server can't be reached every due mail keeps the error and waits, and the round ends.
    """
    if not settings.EMAIL_HOST:
        return 0
    sent, until = 0, time.monotonic() + ROUND_SECONDS
    while time.monotonic() < until and (taken := _send_next()) is not None:
        sent += taken
    return sent


def _due() -> QuerySet[Mail]:
    now = timezone.now()
    mails = Mail.objects.select_for_update(skip_locked=True).filter(sent_at=None, next_try_at__lte=now)
    return mails.filter(give_up_at__gt=now).order_by("next_try_at", "id")


def _send_next() -> bool | None:
    """Sends one mail; whether the server took it. None where none is due, or the server can't be reached.

    The row is locked from before the sending until `sent_at` is committed: a worker that is killed lets it go unsent.
    """
    connection = get_connection()
    try:
        with transaction.atomic():
            mail = _due().first()
            if mail is None:
                return None
            try:
                connection.open()
            except (smtplib.SMTPException, OSError) as error:
                for each in _due():
                    _failed(each, error)
                return None
            try:
                connection.send_messages([_message(mail)])
            except Exception as error:
                # Whatever is wrong with this one belongs on its row, and the others go on.
                _failed(mail, error)
                return False
            mail.sent_at, mail.error = timezone.now(), ""
            mail.attempts += 1
            mail.save(update_fields=["sent_at", "error", "attempts"])
            return True
    finally:
        # Only after the commit: a goodbye that goes wrong takes nothing back.
        with suppress(smtplib.SMTPException, OSError):
            connection.close()


def _message(mail: Mail) -> EmailMessage:
    """The same bytes at each try. Auto-Submitted (RFC 3834, 5) keeps absence notes from answering."""
    shop, sender = shop_settings(), settings.DEFAULT_FROM_EMAIL
    headers = {
        "Message-ID": f"<{mail.pk}@{sender.rpartition('@')[2]}>",
        "Date": format_datetime(mail.created_at),
        "Auto-Submitted": "auto-generated",
    }
    text = mail.text
    if mail.link_key:
        text = text.replace(f"/{HIDDEN}/", f"/{mailed_token(mail.link_key)}/")
    message = _Steady(
        subject=mail.subject,
        body=text,
        from_email=formataddr((shop.name, sender)),
        to=[mail.to],
        reply_to=[shop.email] if shop.email else None,
        headers=headers,
    )
    if mail.attachment:
        message.boundary = f"={mail.pk.hex}="
        message.attach(mail.attachment_name, _attached(mail), "application/pdf")
    return message


class _Steady(EmailMessage):
    """A message whose parts are parted by `boundary`, where Python would take another at each try."""

    boundary = ""

    def message(self, **kwargs: Any) -> Any:
        made = super().message(**kwargs)
        if self.boundary:
            made.set_boundary(self.boundary)
        return made


def _attached(mail: Mail) -> bytes:
    """The very bytes that the mail was queued with. Raises Refused where the file has become another."""
    with default_storage.open(mail.attachment, "rb") as file:
        data: bytes = file.read()
    if hashlib.sha256(data).hexdigest() != mail.attachment_sha256:
        raise Refused(_("The file that goes with this mail is not the one that it was queued with."))
    return data


def _failed(mail: Mail, error: Exception) -> None:
    """Keeps the error and sets the next try; none where the server refused the address for good (RFC 5321, 4.2.1)."""
    now = timezone.now()
    log.warning("mail %s, try %s: %r", mail.pk, mail.attempts + 1, error)
    mail.error = in_words(error)[:2000]
    mail.next_try_at = now + PAUSES[min(mail.attempts, len(PAUSES) - 1)]
    mail.attempts += 1
    if refused_for_good(error):
        mail.give_up_at = now
    mail.save(update_fields=["error", "next_try_at", "attempts", "give_up_at"])


def refused_for_good(error: Exception) -> bool:
    """Whether every recipient was answered with 5xx, which asks not to send the same again."""
    if not isinstance(error, smtplib.SMTPRecipientsRefused):
        return False
    return all(code >= 500 for code, _text in error.recipients.values())


def in_words(error: Exception) -> str:
    """What the server said, or why it said nothing."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return "; ".join(f"{to}: {code} {_text(said)}" for to, (code, said) in error.recipients.items())
    if isinstance(error, smtplib.SMTPResponseException):
        return f"{error.smtp_code} {_text(error.smtp_error)}"
    return f"{type(error).__name__}: {error}"


def _text(said: bytes | str) -> str:
    return said.decode("utf-8", "replace") if isinstance(said, bytes) else said
