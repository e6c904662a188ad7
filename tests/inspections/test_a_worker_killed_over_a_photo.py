"""`kill -9` of the worker while it makes a photo's small copy: the phone goes on, each entry arrives once, and the copy
comes when the next worker is up."""

import os
import signal
import time

import psycopg
from django.conf import settings

from inspections.models import Entry
from jobs.models import Photo
from tests.inspections.phones import enter, phase_url, wait_for_states

SECONDS = 60
MADE = "The small copy for the time without signal is being made."


def until(found, what: str) -> None:
    end = time.monotonic() + SECONDS
    while not found():
        assert time.monotonic() < end, f"{what} did not come"
        time.sleep(0.1)


def kill(worker) -> None:
    os.killpg(worker.pid, signal.SIGKILL)
    worker.kill()


def small_copies() -> list[bool]:
    return [name.endswith("-small.jpg") for name in Photo.objects.values_list("thumb", flat=True)]


def test_its_phone_goes_on_and_the_next_worker_makes_the_copy(
    worker, own_database, open_phases, web_server, phone, media
):
    phase = open_phases[0]
    tick = phase.checks.filter(kind="tick").first()
    first, second = phase.checks.filter(kind="photo")[:2]
    phone.goto(phase_url(web_server, phase))
    with psycopg.connect(settings.DATABASE_OWNER_URL) as holder:
        with worker.halted():
            enter(phone, first)
            wait_for_states(phone, "sent")
            # Lets the worker read the photo and make its copy, and not say so.
            holder.execute("LOCK TABLE jobs_photo IN SHARE MODE")
        asked = "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation = 'jobs_photo'::regclass"
        until(lambda: holder.execute(asked).fetchone()[0], "the worker")
        kill(worker)
        enter(phone, tick)
        wait_for_states(phone, "sent", "sent")
    enter(phone, second)
    wait_for_states(phone, "sent", "sent", "sent")
    assert small_copies() == [False, False]
    phone.locator(f"#check-{second.pk}").get_by_text(MADE).wait_for()
    worker.start()
    until(lambda: small_copies() == [True, True], "the small copies")
    phone.reload()
    phone.get_by_role("img", name="Photo:").first.wait_for()
    assert phone.get_by_text(MADE).count() == 0
    assert [check.entries.count() for check in (tick, first, second)] == [1, 1, 1]
    assert Entry.objects.count() == 3
    # Nothing is left over of what the dead one had begun.
    kept = {photo.file.path for photo in Photo.objects.all()} | {photo.thumb.path for photo in Photo.objects.all()}
    assert {str(path) for path in media.rglob("*") if path.is_file()} == kept
