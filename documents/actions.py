"""Everything that changes a document: asked for, claimed, made or failed, tried again.

waiting -> working -> ready, or back to waiting with the error noted, or failed after `TRIES`.
"""

import hashlib
import logging
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from celery import current_app
from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.db.models.functions import Now
from django.template.loader import get_template
from django.utils.text import Truncator
from django.utils.translation import gettext as _
from kombu.exceptions import OperationalError

from documents import files, locks, queries
from documents.models import LONGEST_TITLE, Document, State, template_of
from documents.timing import SWEEP_SECONDS

log = logging.getLogger(__name__)

TRIES = 5
# After the first, second … failed try. What went wrong on its own is mostly gone by then.
PAUSES = tuple(timedelta(seconds=seconds) for seconds in (2, 10, 30, 120))

# For the broker's connection: a request doesn't wait for a broker that is away.
ONE_TRY = {
    "max_retries": 1,
    "interval_start": 0.1,
    "connect_retries_timeout": 1,
    "socket_connect_timeout": 1,
    "socket_timeout": 2,
}


class NotFailed(Exception):
    """Only a failed document can be tried again."""


def request_document(
    *,
    kind: str,
    title: str,
    input: dict[str, Any],
    by: AbstractBaseUser | None,
    language: str = "en-us",
) -> Document:
    """The new document, waiting for a worker, who hears of it once the caller's transaction is committed.

    `input` is all that the template `documents/<kind>.html` will see: text, numbers, lists and dicts as JSON has
    them (money, lengths and dates as the text to print). It never changes again. Raises TemplateDoesNotExist for
    a kind without template, TypeError for an input that isn't JSON.
    """
    get_template(template_of(kind))
    document = Document(kind=kind, title=Truncator(title).chars(LONGEST_TITLE), input=input, language=language)
    document.requested_by_id = by.pk if by else None
    with transaction.atomic():
        document.save(force_insert=True)
        transaction.on_commit(lambda: _tell_workers(document.pk))
    return document


def make_document(*, document_id: UUID) -> None:
    """Makes the document if it is due and nobody else is at it; otherwise does nothing, so it may be called twice."""
    with locks.alone_with(document_id) as mine:
        document = _claim(document_id) if mine else None
        if document is None:
            return
        try:
            # Only workers need it: it takes 0.4 s and 22 MB to load.
            from documents.rendering import render_pdf

            data = render_pdf(
                kind=document.kind, title=document.title, language=document.language, context=document.input
            )
            _finish(document, data)
        except Exception as error:
            # Whatever a template or its input brings up belongs on the row, where a person sees it.
            log.warning("document %s (%s), try %s: %r", document.pk, document.kind, document.attempts, error)
            _give_back(document, f"{type(error).__name__}: {error}")


def sweep_documents() -> int:
    """Tells the workers of every document that is due, or whose worker may be gone; returns how many.

    Messages expire by the next sweep, so a long queue isn't filled with copies; a document that is really
    being made is left alone by its lock.
    """
    due = list(queries.unfinished_and_due())
    if due:
        _tell_workers(*due)
    return len(due)


def try_again(*, document: Document, by: AbstractBaseUser) -> Document:
    """The failed document, waiting again with all its tries. Raises NotFailed for any other."""
    with transaction.atomic():
        document = Document.objects.select_for_update().get(pk=document.pk)
        if document.state != State.FAILED:
            raise NotFailed(_("Only a document that failed can be tried again."))
        document.state = State.WAITING
        document.attempts = 0
        document.next_try_at = Now()
        document.error = ""
        document.save(update_fields=["state", "attempts", "next_try_at", "error"])
        log.info("document %s: tried again for %s", document.pk, by.pk)
        transaction.on_commit(lambda: _tell_workers(document.pk))
    return document


def _tell_workers(*document_ids: UUID) -> None:
    """Sends one message a document. Where the broker is dead the rows wait for the sweep, and the page goes on.

    On a connection of its own: the pooled one would hold the page for seconds while it hopes.
    """
    try:
        with current_app.connection_for_write(connect_timeout=1, transport_options=ONE_TRY) as connection:
            for pk in document_ids:
                current_app.send_task(
                    "documents.tasks.make_document",
                    (str(pk),),
                    connection=connection,
                    expires=SWEEP_SECONDS,
                    retry=False,
                )
    except (OperationalError, OSError) as error:
        log.warning("%s document(s) wait for the sweep, the broker doesn't answer: %r", len(document_ids), error)


def _claim(document_id: UUID) -> Document | None:
    """The document with a new claim of ours, or None where there is nothing to do.

    Called under its lock: a row still in `working` was left there by a worker that is gone.
    """
    with transaction.atomic():
        document = queries.to_be_made().select_for_update().filter(pk=document_id).first()
        if document is None:
            return None
        if document.attempts >= TRIES:
            document.state = State.FAILED
            document.error = document.error or _("The worker was stopped each time while it made this document.")
            document.save(update_fields=["state", "error"])
            return None
        document.state = State.WORKING
        document.claim = uuid4()
        document.claimed_at = Now()
        document.attempts += 1
        document.save(update_fields=["state", "claim", "claimed_at", "attempts"])
    return document


def _standing(document: Document) -> Document | None:
    """The row, locked, if the claim that `document` was made under still stands."""
    return Document.objects.select_for_update().filter(pk=document.pk, claim=document.claim, state="working").first()


def _finish(document: Document, data: bytes) -> None:
    with transaction.atomic():
        row = _standing(document)
        if row is None:
            return
        name = files.file_name(row)
        files.keep(name, data)
        row.file.name = name
        row.state = State.READY
        row.sha256 = hashlib.sha256(data).hexdigest()
        row.bytes = len(data)
        row.ready_at = Now()
        row.error = ""
        row.save(update_fields=["file", "state", "sha256", "bytes", "ready_at", "error"])


def _give_back(document: Document, error: str) -> None:
    with transaction.atomic():
        row = _standing(document)
        if row is None:
            return
        failed = row.attempts >= TRIES
        row.state = State.FAILED if failed else State.WAITING
        row.error = error[:2000]
        if not failed:
            row.next_try_at = Now() + PAUSES[row.attempts - 1]
        row.save(update_fields=["state", "error", "next_try_at"])
