"""What Celery runs: an id in, an action called."""

from typing import Any
from uuid import UUID

from celery import shared_task
from celery.signals import worker_ready

# `rendering` for its load: once, before the worker forks.
from documents import actions, rendering  # noqa: F401

# Longer than any document of a shop takes; a worker that hangs is killed, which counts as a failed try.
SECONDS = 120


@shared_task(name="documents.tasks.make_document", time_limit=SECONDS + 10, soft_time_limit=SECONDS)
def make_document(document_id: str) -> None:
    actions.make_document(document_id=UUID(document_id))


@shared_task(name="documents.tasks.sweep_documents", time_limit=60)
def sweep_documents() -> None:
    actions.sweep_documents()


@worker_ready.connect
def sweep_at_start(sender: Any, **kwargs: Any) -> None:
    """A worker that starts takes up at once what the one before it left."""
    sender.app.send_task("documents.tasks.sweep_documents", expires=60)
