"""Two workers that hear of one document at the same moment: one makes it."""

import threading
from contextlib import contextmanager, suppress
from uuid import UUID

import pytest
from django.db import connection

from documents import locks, rendering
from documents.actions import make_document, request_document
from documents.models import Document, State


@pytest.fixture
def rendered(monkeypatch) -> list[str]:
    """Who rendered. Each waits long enough for the other to begin, if it is let."""
    names: list[str] = []
    together = threading.Barrier(2)

    def render(**kwargs) -> bytes:
        names.append(threading.current_thread().name)
        with suppress(threading.BrokenBarrierError):
            together.wait(timeout=1.5)
        return b"%PDF- of a test"

    monkeypatch.setattr(rendering, "render_pdf", render)
    return names


def make_in_two_threads(document_id: UUID) -> None:
    failures: list[BaseException] = []

    def work() -> None:
        try:
            make_document(document_id=document_id)
        except BaseException as error:
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not failures


def test_two_workers_make_it_once(own_database, rendered):
    document = request_document(kind="sample", title="Sample", input={}, by=None)
    make_in_two_threads(document.pk)

    made = Document.objects.get(pk=document.pk)
    assert len(rendered) == 1
    assert (made.state, made.attempts) == (State.READY, 1)


def test_without_the_lock_both_would_make_it(own_database, rendered, monkeypatch):
    @contextmanager
    def no_lock(document_id: UUID):
        yield True

    monkeypatch.setattr(locks, "alone_with", no_lock)
    document = request_document(kind="sample", title="Sample", input={}, by=None)
    make_in_two_threads(document.pk)

    assert len(rendered) == 2
    # Even then only the later claim may finish.
    assert Document.objects.get(pk=document.pk).state == State.READY


def test_the_lock_goes_with_the_connection(own_database):
    document = request_document(kind="sample", title="Sample", input={}, by=None)
    taken, let_go = threading.Event(), threading.Event()

    def hold_and_die() -> None:
        with locks.alone_with(document.pk) as mine:
            assert mine
            taken.set()
            let_go.wait(5)
            # As a killed process leaves it: the socket closes, nobody unlocks.
            connection.connection.close()
        connection.close()

    thread = threading.Thread(target=hold_and_die)
    thread.start()
    taken.wait(5)
    with locks.alone_with(document.pk) as mine:
        assert not mine
    let_go.set()
    thread.join()
    for _ in range(50):
        with locks.alone_with(document.pk) as mine:
            if mine:
                break
        threading.Event().wait(0.02)
    assert mine


def test_locks_of_two_documents_are_two(own_database):
    first, second = (request_document(kind="sample", title="Sample", input={}, by=None) for _ in range(2))
    assert locks.lock_number(first.pk) != locks.lock_number(second.pk)
    assert -(2**63) <= locks.lock_number(first.pk) < 2**63
