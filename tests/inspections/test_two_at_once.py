"""Two people at one phase, or at one job's end, at the same moment.

Threads on a database of their own. Where a lock of a trigger decides, the race is shown first with that lock taken out
of the trigger, in this database only: then both get through, and what must never stand side by side does.
"""

import re
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillWaiting
from contextlib import contextmanager

import psycopg
import pytest
from django.conf import settings
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import (
    NotProved,
    add_punch_item,
    close_out,
    record_entry,
    sign_phase,
    waive_check,
)
from inspections.models import Closeout, Entry, PunchItem, SignOff, Waiver
from inspections.queries import phase_view, phases_of_job
from tests.inspections.proofs import prove

SECONDS = 20
A_MOMENT = 0.6
"""Long enough for a statement that nothing holds up to be through (it takes some ms), and short enough to wait for."""
PATIENCE = SECONDS / 2
"""How long one that nothing holds up is given on a machine that is busy otherwise."""


@pytest.fixture
def side_by_side() -> Iterator[Callable[..., Future]]:
    """`side_by_side(task)` runs it in a thread with a connection of its own."""

    def run(task):
        try:
            return task()
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        yield lambda task: pool.submit(run, task)


@contextmanager
def kept_open(side_by_side, change: Callable[[], object]) -> Iterator[Future]:
    """`change` has been made by another person and waits for its commit, until this block ends."""
    made, go_on = threading.Event(), threading.Event()

    def task():
        with transaction.atomic():
            result = change()
            made.set()
            assert go_on.wait(SECONDS)
        return result

    future = side_by_side(task)
    try:
        assert made.wait(SECONDS), future.exception(0)
        yield future
    finally:
        go_on.set()
    future.result(SECONDS)


def through_already(future: Future, *, within: float = A_MOMENT) -> bool:
    """Whether it came to an end within a moment, while the other transaction was still open."""
    try:
        future.exception(within)
    except StillWaiting:
        return False
    return True


def take_locks_out_of(*tables: str) -> None:
    """Makes the triggers of these tables decide without locking anything first."""
    with psycopg.connect(settings.DATABASE_OWNER_URL) as session:
        for table in tables:
            functions = session.execute(
                "SELECT pg_get_functiondef(tgfoid) FROM pg_trigger WHERE tgrelid = %s::regclass AND NOT tgisinternal",
                [table],
            ).fetchall()
            unlocked = [re.sub(r"FOR (UPDATE|SHARE)( OF p)?;", ";", text) for (text,) in functions if " FOR " in text]
            assert unlocked
            for text in unlocked:
                session.execute(text)


def fail(check, by):
    return lambda: record_entry(check=check, by=by, happened_at=timezone.now(), ticked=False)


def sign(phase, by):
    return lambda: sign_phase(phase=phase, by=by, happened_at=timezone.now())


@pytest.fixture
def proved(own_database, floor_phases, installer):
    """A phase that is proved and not yet signed, and one of its ticks."""
    phase = floor_phases[0]
    prove(phase, by=installer)
    return phase, phase.checks.filter(kind="tick").first()


def test_without_the_lock_a_failing_entry_and_the_sign_off_pass_each_other(proved, side_by_side, installer, owner):
    phase, check = proved
    take_locks_out_of("inspections_entry", "inspections_signoff")
    with kept_open(side_by_side, fail(check, installer)):
        signing = side_by_side(sign(phase, owner))
        assert through_already(signing, within=PATIENCE)
    # The damage: signed, though it had failed before that, and nothing says that the failure came late.
    assert signing.result() == SignOff.objects.get()
    assert [(entry.outcome, entry.late) for entry in check.entries.all()] == [("holds", False), ("fails", False)]


def test_a_failing_entry_is_waited_for_and_holds_the_sign_off(proved, side_by_side, installer, owner):
    phase, check = proved
    with kept_open(side_by_side, fail(check, installer)):
        signing = side_by_side(sign(phase, owner))
        assert not through_already(signing)
    with pytest.raises(NotProved, match="failed"):
        signing.result(SECONDS)
    assert not SignOff.objects.exists()


def test_an_entry_that_comes_while_somebody_signs_is_late_and_holds_what_follows(
    proved, side_by_side, installer, owner
):
    phase, check = proved
    with kept_open(side_by_side, sign(phase, owner)):
        entering = side_by_side(fail(check, installer))
        assert not through_already(entering)
    assert entering.result(SECONDS).late
    assert [view.state for view in phases_of_job(phase.room.job)[:2]] == ["held", "held"]


def test_a_late_failure_of_an_earlier_phase_holds_the_next_one_s_sign_off(
    proved, side_by_side, installer, owner, floor_phases
):
    phase, check = proved
    sign(phase, installer)()
    prove(floor_phases[1], by=installer)
    with kept_open(side_by_side, fail(check, installer)):
        signing = side_by_side(sign(floor_phases[1], owner))
        assert not through_already(signing)
    with pytest.raises(NotProved, match="after its sign-off"):
        signing.result(SECONDS)


def test_two_who_sign_at_once_get_one_sign_off(proved, side_by_side, installer, owner):
    phase, _check = proved
    barrier = threading.Barrier(6)

    def task(by):
        def go():
            barrier.wait(SECONDS)
            return sign(phase, by)()

        return go

    signed = [side_by_side(task(by)) for by in (installer, owner) * 3]
    assert {future.result(SECONDS).pk for future in signed} == {SignOff.objects.get().pk}


def test_who_reads_the_phase_just_after_another_signed_it_gets_that_sign_off(
    proved, side_by_side, installer, owner, monkeypatch
):
    phase, _check = proved
    first = []

    def a_moment_too_late(phase):
        if not first:
            first.append(None)  # The other one reads the phase as well, and is through at once.
            first[:] = [side_by_side(sign(phase, owner)).result(SECONDS)]
        return phase_view(phase)

    monkeypatch.setattr("inspections.actions.proving.phase_view", a_moment_too_late)
    assert [sign(phase, installer)()] == first == [SignOff.objects.get()]


def test_a_sign_off_is_waited_for_by_a_second_one(proved, side_by_side, installer, owner):
    """The second one has read that nothing was signed; the row of the first is what it gets."""
    phase, _check = proved
    with kept_open(side_by_side, sign(phase, installer)) as first:
        second = side_by_side(sign(phase, owner))
        assert not through_already(second)
    assert second.result(SECONDS) == first.result()
    assert SignOff.objects.get().by == installer


def test_one_entry_sent_by_a_phone_several_times_at_once_counts_once(proved, side_by_side, installer):
    _phase, check = proved
    key, barrier = uuid7(), threading.Barrier(6)

    def send():
        barrier.wait(SECONDS)
        return record_entry(check=check, by=installer, happened_at=timezone.now(), key=key, ticked=False, note="Hollow")

    sent = [side_by_side(send) for _ in range(6)]
    assert {future.result(SECONDS).pk for future in sent} == {key}
    assert Entry.objects.filter(check_done=check, note="Hollow").count() == 1


def test_of_two_phones_with_one_key_at_once_one_is_kept_and_the_other_hears_of_it(
    proved, side_by_side, installer, owner
):
    _phase, check = proved
    key = uuid7()

    def enter(by, ticked):
        return lambda: record_entry(check=check, by=by, happened_at=timezone.now(), key=key, ticked=ticked)

    with kept_open(side_by_side, enter(installer, False)):
        other = side_by_side(enter(owner, True))
        assert not through_already(other)
    with pytest.raises(KeyTaken):
        other.result(SECONDS)
    entry = Entry.objects.get(pk=key)
    assert (entry.by, entry.outcome) == (installer, "fails")


def test_a_waiver_is_waited_for_by_a_second_one(proved, side_by_side, installer, owner):
    _phase, check = proved
    fail(check, installer)()

    def waive(reason):
        return lambda: waive_check(check=check, reason=reason, by=owner)

    with kept_open(side_by_side, waive("Seen by the owner")) as first:
        second = side_by_side(waive("Another reason"))
        assert not through_already(second)
    assert second.result(SECONDS) == first.result()
    assert Waiver.objects.get().reason == "Seen by the owner"


# ---------------------------------------------------------------- the end of the job


@pytest.fixture
def at_its_end(own_database, punch_listed):
    return punch_listed


def closing(job, by):
    """Past the action, which locks the job itself: only the triggers decide."""
    return lambda: Closeout.objects.create(job=job, walked_with="Odalys Brandt", by=by)


def noting(job, by):
    return lambda: PunchItem.objects.create(job=job, text="Haze", opened_by=by)


def test_without_the_lock_a_new_item_and_the_closeout_pass_each_other(at_its_end, side_by_side, installer, office):
    take_locks_out_of("inspections_punchitem", "inspections_closeout")
    with kept_open(side_by_side, noting(at_its_end, installer)):
        ending = side_by_side(closing(at_its_end, office))
        assert through_already(ending, within=PATIENCE)
    assert ending.result() == Closeout.objects.get()
    assert PunchItem.objects.get().done_at is None


def test_a_new_item_is_waited_for_and_holds_the_closeout(at_its_end, side_by_side, installer, office):
    with kept_open(side_by_side, noting(at_its_end, installer)):
        ending = side_by_side(closing(at_its_end, office))
        assert not through_already(ending)
    with pytest.raises(IntegrityError, match="a punch item is open"):
        ending.result(SECONDS)


def test_an_item_that_comes_while_somebody_closes_out_is_refused(at_its_end, side_by_side, installer, office):
    with kept_open(side_by_side, closing(at_its_end, office)):
        adding = side_by_side(noting(at_its_end, installer))
        assert not through_already(adding)
    with pytest.raises(IntegrityError, match="what comes now is a callback"):
        adding.result(SECONDS)
    assert not PunchItem.objects.exists()


@pytest.mark.parametrize("first", ["item", "closeout"])
def test_the_actions_say_it_in_words(at_its_end, side_by_side, installer, office, first):
    def add():
        return add_punch_item(job=at_its_end, text="Haze", by=installer)

    def end():
        return close_out(job=at_its_end, walked_with="Odalys Brandt", by=office)

    one, other = (add, end) if first == "item" else (end, add)
    with kept_open(side_by_side, one):
        second = side_by_side(other)
        assert not through_already(second)
    with pytest.raises(Refused, match="Haze" if first == "item" else "a callback"):
        second.result(SECONDS)
    assert (PunchItem.objects.count(), Closeout.objects.count()) == ((1, 0) if first == "item" else (0, 1))


def test_a_failure_found_at_the_last_moment_holds_the_closeout(at_its_end, side_by_side, installer, office):
    check = at_its_end.rooms.get().phases.last().checks.filter(kind="tick").first()
    with kept_open(side_by_side, fail(check, installer)):
        ending = side_by_side(lambda: close_out(job=at_its_end, walked_with="Odalys Brandt", by=office))
        assert not through_already(ending)
    with pytest.raises(Refused):
        ending.result(SECONDS)
    at_its_end.refresh_from_db()
    assert (at_its_end.stage, Closeout.objects.exists()) == ("punch_list", False)


def test_two_who_close_out_at_once_close_it_once(at_its_end, side_by_side, office, owner):
    def end(by):
        return lambda: close_out(job=at_its_end, walked_with="Odalys Brandt", by=by)

    with kept_open(side_by_side, end(office)) as first:
        second = side_by_side(end(owner))
        assert not through_already(second)
    assert second.result(SECONDS) == first.result()
