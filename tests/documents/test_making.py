"""From waiting to ready, or to failed with a word of what was wrong."""

import hashlib
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage
from django.db import DatabaseError, transaction
from django.utils import timezone

from documents import actions, rendering
from documents.actions import make_document, request_document, try_again
from documents.models import Document, State

pytestmark = pytest.mark.django_db


@pytest.fixture
def sample():
    return request_document(kind="sample", title="Sample", input={"heading": "One"}, by=None)


@pytest.fixture
def poison():
    return request_document(kind="poison", title="Poison", input={}, by=None)


def make(document: Document) -> Document:
    make_document(document_id=document.pk)
    return Document.objects.get(pk=document.pk)


def make_due(document: Document) -> None:
    Document.objects.filter(pk=document.pk).update(next_try_at=timezone.now() - timedelta(seconds=1))


def test_a_made_document_has_a_file_with_its_hash_under_its_own_key(sample):
    made = make(sample)

    assert (made.state, made.attempts, made.error) == (State.READY, 1, "")
    assert made.file.name == f"documents/{sample.created_at:%Y/%m}/{sample.pk}.pdf"
    data = made.file.open().read()
    assert data.startswith(b"%PDF-")
    assert made.sha256 == hashlib.sha256(data).hexdigest()
    assert made.bytes == len(data)
    assert made.ready_at


def test_nothing_half_written_stays_beside_the_file(sample):
    made = make(sample)
    _folders, names = default_storage.listdir(made.file.name.rpartition("/")[0])
    assert names == [f"{sample.pk}.pdf"]


def test_making_it_a_second_time_does_nothing(sample):
    first = make(sample)
    second = make(sample)
    assert (second.attempts, second.ready_at) == (1, first.ready_at)


def test_a_ready_document_never_changes_and_is_never_deleted(sample):
    make(sample)
    for change in (
        lambda: Document.objects.filter(pk=sample.pk).update(sha256="0" * 64),
        lambda: Document.objects.filter(pk=sample.pk).update(state="waiting"),
        lambda: Document.objects.filter(pk=sample.pk).delete(),
    ):
        with pytest.raises(DatabaseError, match="Cannot"), transaction.atomic():
            change()


def test_a_document_that_isnt_due_is_left_alone(sample):
    Document.objects.filter(pk=sample.pk).update(next_try_at=timezone.now() + timedelta(hours=1))
    assert make(sample).state == State.WAITING


def test_an_unknown_document_is_no_error():
    make_document(document_id=uuid4())


def test_what_goes_wrong_is_kept_on_the_row_and_tried_again_later(poison):
    tried = make(poison)
    assert (tried.state, tried.attempts) == (State.WAITING, 1)
    assert "missing_part" in tried.error or "Template" in tried.error
    assert tried.next_try_at > timezone.now()


def test_pauses_grow_from_try_to_try(poison):
    pauses = []
    for _ in range(actions.TRIES - 1):
        make_due(poison)
        pauses.append(make(poison).next_try_at - timezone.now())
    assert pauses == sorted(pauses)
    assert pauses[-1] > timedelta(minutes=1)


def test_after_the_last_try_it_has_failed_and_stays_so(poison):
    for _ in range(actions.TRIES + 2):
        make_due(poison)
        tried = make(poison)
    assert (tried.state, tried.attempts) == (State.FAILED, actions.TRIES)
    assert tried.error
    assert not tried.file


def test_one_that_stops_its_worker_every_time_fails_in_the_end(sample):
    Document.objects.filter(pk=sample.pk).update(
        state="working", claim=uuid4(), claimed_at=timezone.now(), attempts=actions.TRIES
    )
    failed = make(sample)
    assert failed.state == State.FAILED
    assert "stopped each time" in failed.error


def test_a_failed_document_can_be_tried_again_with_all_its_tries(poison, owner):
    for _ in range(actions.TRIES):
        make_due(poison)
        make(poison)
    again = try_again(document=poison, by=owner)
    assert (again.state, again.attempts, again.error) == (State.WAITING, 0, "")
    assert make(poison).attempts == 1


def test_only_a_failed_document_can_be_tried_again(sample, owner):
    with pytest.raises(actions.NotFailed):
        try_again(document=sample, by=owner)


def test_a_worker_whose_claim_was_taken_over_throws_its_work_away(sample, monkeypatch):
    other = uuid4()

    def slow(**kwargs) -> bytes:
        Document.objects.filter(pk=sample.pk).update(claim=other)
        return b"%PDF- too late"

    monkeypatch.setattr(rendering, "render_pdf", slow)
    late = make(sample)
    assert (late.state, late.claim) == (State.WORKING, other)
    assert not late.file


def test_a_full_disk_is_a_failed_try_and_leaves_no_ready_row(sample, monkeypatch):
    def full(name: str, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(actions.files, "keep", full)
    tried = make(sample)
    assert tried.state == State.WAITING
    assert "No space left" in tried.error
