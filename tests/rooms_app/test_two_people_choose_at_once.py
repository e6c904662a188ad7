"""Two people press the button at the same moment: one layout. First shown with the lock off, where it goes wrong."""

import threading

import pytest
from django.db import connection

from rooms import actions
from rooms.models import Layout
from rooms.queries import room_with_parts


def choose_twice_at_once(room, owner):
    """Both have passed the engine before either goes on."""
    start, errors = threading.Barrier(2, timeout=30), []
    frozen = actions.fingerprint

    def choose():
        try:
            actions.choose_layout(room=room, option=1, why="", by=owner)
        except Exception as error:
            errors.append(error)
        finally:
            connection.close()

    def together(data):
        start.wait()
        return frozen(data)

    actions.fingerprint = together
    try:
        threads = [threading.Thread(target=choose) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(60)
    finally:
        actions.fingerprint = frozen
    assert errors == []


@pytest.fixture
def without_locks(monkeypatch):
    """Neither job nor room is locked, and both look for an earlier layout before either has kept one."""
    looked = threading.Barrier(2, timeout=30)
    newest = actions.current_layout

    def look(room):
        found = newest(room)
        looked.wait()
        return found

    monkeypatch.setattr(actions, "_open_job", lambda job, as_built: job)
    monkeypatch.setattr(actions, "_lock", room_with_parts)
    monkeypatch.setattr(actions, "_move_on", lambda job, by: None)
    monkeypatch.setattr(actions, "current_layout", look)


def test_without_the_lock_there_are_two(own_database, room, owner, without_locks):
    choose_twice_at_once(room, owner)
    assert Layout.objects.count() == 2


def test_with_the_lock_there_is_one(own_database, room, owner, job):
    choose_twice_at_once(room, owner)
    assert Layout.objects.count() == 1
    job.refresh_from_db()
    assert job.stage == "pricing"
