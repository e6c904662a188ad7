"""A document is a row first; workers hear of it once the row is there for good."""

import time

import pytest
from django.db import DatabaseError, transaction
from django.template import TemplateDoesNotExist

from config.celery import app
from documents import actions
from documents.actions import request_document
from documents.models import Document, State

pytestmark = pytest.mark.django_db


@pytest.fixture
def messages(monkeypatch):
    """Counts, and takes away, the messages that were sent since it was last asked."""

    def count() -> int:
        with app.connection_for_read() as connection:
            return connection.default_channel.queue_purge("celery")

    with app.connection_for_write() as connection:
        connection.default_channel.queue_declare("celery")
    count()
    return count


def request_sample(**changes) -> Document:
    return request_document(**{"kind": "sample", "title": "Sample", "input": {"heading": "One"}, "by": None} | changes)


def test_a_requested_document_waits_and_is_due_at_once(owner):
    document = request_sample(by=owner, language="es")

    stored = Document.objects.get(pk=document.pk)
    assert (stored.state, stored.attempts, stored.language) == (State.WAITING, 0, "es")
    assert stored.input == {"heading": "One"}
    assert stored.requested_by == owner
    assert list(actions.queries.unfinished_and_due()) == [document.pk]


def test_workers_hear_of_it_on_commit_and_not_before(messages, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        request_sample()
        assert messages() == 0
    assert messages() == 1


def test_a_request_that_is_rolled_back_leaves_neither_row_nor_message(messages, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        request_sample()
        transaction.set_rollback(True)
    assert messages() == 0
    assert not Document.objects.exists()


@pytest.mark.parametrize("dead", ["redis://127.0.0.1:1/0", "redis+socket:///nowhere/valkey.sock", ""])
def test_a_dead_broker_doesnt_hold_up_the_request(dead, monkeypatch, django_capture_on_commit_callbacks):
    for name in ("broker_url", "broker_read_url", "broker_write_url"):
        monkeypatch.setitem(app.conf, name, dead or None)

    begins = time.monotonic()
    with django_capture_on_commit_callbacks(execute=True):
        document = request_sample()

    assert time.monotonic() - begins < 3
    assert list(actions.queries.unfinished_and_due()) == [document.pk]


def test_a_kind_without_a_template_is_refused_before_a_row_is_made():
    with pytest.raises(TemplateDoesNotExist):
        request_sample(kind="never-written")
    assert not Document.objects.exists()


def test_an_input_that_isnt_json_is_refused():
    with pytest.raises(TypeError):
        request_sample(input={"heading": object()})


@pytest.mark.parametrize("column", ["input", "kind", "language"])
def test_what_it_is_made_from_never_changes(column):
    document = request_sample()
    with pytest.raises(DatabaseError, match="Cannot update"), transaction.atomic():
        Document.objects.filter(pk=document.pk).update(**{column: "x"})


def test_a_sweep_tells_the_workers_of_what_is_due_and_of_nothing_else(messages):
    due, later, done = request_sample(), request_sample(), request_sample()
    Document.objects.filter(pk=later.pk).update(next_try_at="2999-01-01T00:00Z")
    actions.make_document(document_id=done.pk)

    assert actions.sweep_documents() == 1
    assert messages() == 1
    assert list(actions.queries.unfinished_and_due()) == [due.pk]


def test_a_sweep_costs_one_query_however_much_waits(django_assert_num_queries):
    for _ in range(12):
        request_sample()
    with django_assert_num_queries(1):
        assert actions.sweep_documents() == 12
