"""`kill -9` in the middle of a PDF: the document is ready after all, once, and while a person still waits."""

import os
import signal
import time
from pathlib import Path

import pytest

from config.celery import app
from documents.actions import request_document
from documents.models import Document, State

# A table long enough that there is a middle to kill in: some seconds on two cores.
LONG = {"heading": "Long", "rows": [[n, n * n] for n in range(500)]}
# After the next worker is up, until it has taken over what the dead one left. The docs promise 12 s, of a machine that
# has nothing else to do; one that runs tests has.
TAKEN_OVER_WITHIN = 20


def request(**changes) -> Document:
    return request_document(**{"kind": "sample", "title": "Long", "input": LONG, "by": None} | changes)


def wait_for(document: Document, *, seconds: float, attempts: int = 0, **wanted) -> Document:
    """The row once it is as wanted, and was tried that often at least."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        row = Document.objects.get(pk=document.pk)
        if row.attempts >= attempts and all(getattr(row, name) == value for name, value in wanted.items()):
            return row
        time.sleep(0.05)
    pytest.fail(f"not {wanted}, try {attempts}, after {seconds} s: {row.state}, attempt {row.attempts}, {row.error!r}")


def files(media: Path) -> list[str]:
    return [path.name for path in media.rglob("*") if path.is_file()]


def busiest_child_of(pid: int) -> int:
    """The one that renders: beat is a child as well, and does next to nothing."""
    time.sleep(0.5)

    def work_of(child: str) -> int:
        fields = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()
        return int(fields[11]) + int(fields[12])  # utime and stime: proc(5)

    return int(max(Path(f"/proc/{pid}/task/{pid}/children").read_text().split(), key=work_of))


def test_the_whole_worker_killed_the_next_one_makes_it(worker, media):
    document = request()
    wait_for(document, seconds=30, state=State.WORKING, attempts=1)

    os.killpg(worker.pid, signal.SIGKILL)
    worker.kill()
    assert Document.objects.get(pk=document.pk).state == State.WORKING
    worker.start()
    wait_for(document, seconds=TAKEN_OVER_WITHIN, attempts=2)

    made = wait_for(document, seconds=60, state=State.READY)
    assert made.attempts == 2
    assert files(media) == [f"{document.pk}.pdf"]
    assert made.file.size == made.bytes


def test_only_the_rendering_child_killed_the_worker_goes_on(worker, media):
    document = request()
    wait_for(document, seconds=30, state=State.WORKING, attempts=1)

    os.kill(busiest_child_of(worker.pid), signal.SIGKILL)
    wait_for(document, seconds=TAKEN_OVER_WITHIN, attempts=2)

    made = wait_for(document, seconds=60, state=State.READY)
    assert made.attempts == 2
    assert files(media) == [f"{document.pk}.pdf"]


def test_a_document_asked_for_while_the_broker_was_dead_is_made(worker, broker, monkeypatch):
    with monkeypatch.context() as context:
        for name in ("broker_url", "broker_read_url", "broker_write_url"):
            context.setitem(app.conf, name, "redis://127.0.0.1:1/0")
        document = request(input={"heading": "Short"})

    made = wait_for(document, seconds=TAKEN_OVER_WITHIN, state=State.READY)
    assert made.attempts == 1


def test_a_template_at_fault_is_tried_again_and_the_worker_lives_on(worker):
    poison = request(kind="poison", input={})
    wait_for(poison, seconds=30, state=State.WAITING, attempts=1)
    wait_for(request(input={"heading": "Short"}), seconds=30, state=State.READY)
    tried = wait_for(poison, seconds=2 + TAKEN_OVER_WITHIN, state=State.WAITING, attempts=2)
    assert tried.error
