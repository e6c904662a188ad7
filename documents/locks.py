"""One worker to a document: a lock that lives and dies with the worker's connection to the database."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from uuid import UUID

from django.db import DatabaseError, connection


def lock_number(document_id: UUID) -> int:
    """The number that PostgreSQL locks for this document: the random half of its key as a signed 64-bit integer."""
    return int.from_bytes(document_id.bytes[8:], signed=True)


@contextmanager
def alone_with(document_id: UUID) -> Iterator[bool]:
    """Whether this worker has the document for itself inside the block; it doesn't wait.

    The lock belongs to the connection, not to a transaction: PostgreSQL lets it go as soon as the worker's
    process is gone, however it went, and never while the worker is still busy, however long that takes.
    """
    number = lock_number(document_id)
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_try_advisory_lock(%s)", [number])
        (mine,) = cursor.fetchone()
    try:
        yield mine
    finally:
        if mine:
            # A broken connection has let go already.
            with suppress(DatabaseError), connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s)", [number])
