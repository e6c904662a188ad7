"""A phase may be covered only when it has proved itself; the database says so, too."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

import inspections.actions
from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import NotProved, record_entry, sign_phase, waive_check
from inspections.models import Check, Phase, SignOff
from inspections.queries import in_the_way_of_closeout, phase_view, phases_of_job, phases_under_way
from tests.factories import JobFactory, RoomFactory
from tests.inspections.proofs import prove, prove_and_sign, some_photo

pytestmark = pytest.mark.django_db


def insert_sign_off(phase, by) -> None:
    """Past the actions: straight into the table."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO inspections_signoff (id, phase_id, by_id, happened_at) VALUES (%s, %s, %s, now())",
            [uuid7(), phase.pk, by.pk],
        )


def test_a_shower_gets_the_phases_that_cover_one_another(open_phases):
    assert [phase.key for phase in open_phases] == [
        "rough_in",
        "substrate",
        "slope",
        "waterproofing",
        "water_test",
        "layout",
        "setting",
        "grout",
        "soft_joints",
    ]


def test_a_phase_with_nothing_entered_is_not_signed(open_phases, installer):
    with pytest.raises(NotProved) as refused:
        sign_phase(phase=open_phases[0], by=installer, happened_at=timezone.now())
    assert any("not checked yet" in hold for hold in refused.value.holds)
    with pytest.raises(IntegrityError, match="held by"):
        insert_sign_off(open_phases[0], installer)


def test_a_proved_phase_is_signed_once(open_phases, installer):
    phase = open_phases[0]
    prove_and_sign(phase, by=installer)
    first = SignOff.objects.get()
    assert sign_phase(phase=phase, by=installer, happened_at=timezone.now()) == first
    assert phase_view(phase).state == "signed"


def test_phases_are_signed_in_their_turn(open_phases, installer):
    second = open_phases[1]
    with pytest.raises(NotProved) as refused:
        prove_and_sign(second, by=installer)
    assert "isn't signed yet" in refused.value.holds[0]
    with pytest.raises(IntegrityError, match="the phase before it is not signed"):
        insert_sign_off(second, installer)


def test_the_newest_entry_counts_and_the_earlier_one_stays(open_phases, installer):
    phase = open_phases[0]
    check = phase.checks.filter(kind="tick").first()
    prove(phase, by=installer, but=check)
    now = timezone.now()
    record_entry(check=check, by=installer, happened_at=now - timedelta(hours=2), ticked=False)
    with pytest.raises(NotProved):
        sign_phase(phase=phase, by=installer, happened_at=now)
    record_entry(check=check, by=installer, happened_at=now - timedelta(hours=1), ticked=True)
    sign_phase(phase=phase, by=installer, happened_at=now)
    assert [entry.outcome for entry in check.entries.order_by("happened_at")] == ["fails", "holds"]


def test_a_failed_check_that_was_not_asked_for_holds_all_the_same(open_phases, installer):
    slope = open_phases[2]
    for phase in open_phases[:2]:
        prove_and_sign(phase, by=installer)
    prove(slope, by=installer)
    check = Check.objects.filter(phase=slope, required=False).first()
    assert phase_view(slope).may_be_signed
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    with pytest.raises(NotProved):
        sign_phase(phase=slope, by=installer, happened_at=timezone.now())
    with pytest.raises(IntegrityError):
        insert_sign_off(slope, installer)


def test_a_wait_holds_until_it_is_over(open_phases, installer):
    for phase in open_phases[:4]:
        prove_and_sign(phase, by=installer)
    water_test = open_phases[4]
    wait = water_test.checks.filter(kind="wait").last()
    prove(water_test, by=installer, but=wait)
    started = timezone.now() - timedelta(hours=23, minutes=59)
    entry = record_entry(check=wait, by=installer, happened_at=started)
    assert entry.due_at - entry.happened_at == timedelta(hours=24)
    with pytest.raises(NotProved) as refused:
        sign_phase(phase=water_test, by=installer, happened_at=timezone.now())
    assert "over on" in refused.value.holds[0]
    with pytest.raises(IntegrityError):
        insert_sign_off(water_test, installer)
    record_entry(check=wait, by=installer, happened_at=timezone.now() - timedelta(hours=24))
    # The newest start counts: water that was let out and filled again begins anew.
    with pytest.raises(NotProved):
        sign_phase(phase=water_test, by=installer, happened_at=timezone.now())


def test_a_waiver_lets_the_phase_go_and_stays(open_phases, installer, owner):
    phase = open_phases[0]
    check = phase.checks.filter(kind="tick").first()
    prove(phase, by=installer, but=check)
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    waiver = waive_check(check=check, reason="The plumber moves it on Monday", by=owner)
    assert waive_check(check=check, reason="Another reason", by=owner) == waiver
    sign_phase(phase=phase, by=installer, happened_at=timezone.now())
    assert phase_view(phase).state == "signed"


def test_what_holds_nothing_is_not_waived(open_phases, installer, owner):
    check = open_phases[0].checks.filter(kind="tick").first()
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=True)
    with pytest.raises(Refused, match="nothing to waive"):
        waive_check(check=check, reason="In advance", by=owner)
    optional = Check.objects.filter(phase__in=open_phases, required=False).first()
    with pytest.raises(Refused, match="nothing to waive"):
        waive_check(check=optional, reason="In advance", by=owner)


def test_only_the_owner_waives_also_past_the_page(open_phases, installer, office):
    check = open_phases[0].checks.filter(kind="tick").first()
    for person in (installer, office):
        with pytest.raises(PermissionDenied):
            waive_check(check=check, reason="It is fine", by=person)


def test_a_reading_that_fails_after_the_sign_off_holds_the_next_phase(open_phases, installer):
    first, second = open_phases[:2]
    prove_and_sign(first, by=installer)
    check = first.checks.filter(kind="tick").first()
    entry = record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    assert entry.late
    views = phases_of_job(first.room.job)
    assert [view.state for view in views[:3]] == ["held", "held", "ahead"]
    assert "Rough-in and blocking, after its sign-off" in views[1].holds[0]
    assert views[1].next_step == check.help
    held = [view.phase.pk for view in phases_under_way() if view.state == "held"]
    assert held == [first.pk, second.pk]
    with pytest.raises(NotProved):
        prove_and_sign(second, by=installer)
    with pytest.raises(IntegrityError):
        insert_sign_off(second, installer)


def test_a_late_failure_is_mended_by_another_entry_or_waived(open_phases, installer, owner):
    first, second = open_phases[:2]
    prove_and_sign(first, by=installer)
    mended, waived = first.checks.filter(kind="tick")[:2]
    for check in (mended, waived):
        record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    record_entry(check=mended, by=installer, happened_at=timezone.now(), ticked=True)
    waive_check(check=waived, reason="The electrician signs for it", by=owner)
    prove_and_sign(second, by=installer)
    assert [view.state for view in phases_of_job(first.room.job)[:2]] == ["signed", "signed"]


def test_what_was_never_asked_for_does_not_count(open_phases, installer):
    slope = open_phases[2]
    for phase in open_phases[:2]:
        prove_and_sign(phase, by=installer)
    prove(slope, by=installer)
    view = phase_view(slope)
    assert slope.checks.filter(required=False).exists()
    assert view.done == view.total == slope.checks.filter(required=True).count()


def test_a_phone_whose_clock_is_ahead_neither_reads_nor_signs_in_the_future(open_phases, installer):
    """Else its entry would stay the newest, whatever is entered after it, until that hour has come."""
    phase = open_phases[0]
    check = phase.checks.filter(kind="tick").first()
    tomorrow = timezone.now() + timedelta(days=1)
    ahead = record_entry(check=check, by=installer, happened_at=tomorrow, ticked=False)
    assert ahead.happened_at <= timezone.now()
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=True)
    prove(phase, by=installer, but=check)
    assert sign_phase(phase=phase, by=installer, happened_at=tomorrow).happened_at <= timezone.now()


def test_a_photo_of_another_job_proves_nothing(open_phases, installer):
    check = Check.objects.filter(phase__in=open_phases, kind="photo").first()
    strange = some_photo(JobFactory(), installer)
    with pytest.raises(Refused, match="another job"):
        record_entry(check=check, by=installer, happened_at=timezone.now(), photo=strange)
    assert not check.entries.exists()


def test_a_key_of_somebody_else_is_refused_and_the_first_entry_stays(open_phases, installer, owner):
    check, key = open_phases[0].checks.filter(kind="tick").first(), uuid7()
    first = record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=True, key=key)
    again = record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=True, key=key)
    assert again == first
    with pytest.raises(KeyTaken):
        record_entry(check=check, by=owner, happened_at=timezone.now(), ticked=True, key=key)
    assert check.entries.get().by == installer


@pytest.mark.parametrize("table", ["entry", "signoff", "phase", "check", "waiver"])
def test_what_was_recorded_is_neither_changed_nor_deleted(open_phases, installer, owner, table):
    waive_check(check=open_phases[1].checks.first(), reason="Measured by the builder", by=owner)
    prove_and_sign(open_phases[0], by=installer)
    for statement in (f"UPDATE inspections_{table} SET id = id", f"DELETE FROM inspections_{table}"):
        with pytest.raises(Exception, match=r"permission denied|Cannot (update|delete)"), transaction.atomic():
            connection.cursor().execute(statement)


def test_queries_do_not_grow_with_rooms_phases_and_entries(
    open_phases, installer, owner, office, django_assert_num_queries
):
    job = open_phases[0].room.job
    for phase in open_phases[:2]:
        prove_and_sign(phase, by=installer)
    another = RoomFactory(job=job, name="Second shower")
    inspections.actions.open_phases(job)
    failed = another.phases.first().checks.filter(kind="tick").first()
    for by in (installer, owner, office):
        record_entry(check=failed, by=by, happened_at=timezone.now(), ticked=False)
    waive_check(check=open_phases[2].checks.first(), reason="Seen by the owner", by=owner)

    with django_assert_num_queries(5):
        views = phases_of_job(job)
        assert next(len(view.holds) for view in views if view.phase.room == another) == 1
        assert {view.signed_by.name for view in views if view.signed_at} == {installer.name}
    with django_assert_num_queries(5):
        assert [view.phase.room for view in phases_under_way() if view.state == "held"] == [another]
    with django_assert_num_queries(5):
        assert phase_view(open_phases[2]).unproved
    unsigned = Phase.objects.filter(sign_off=None).count()
    # One more for the change orders that wait.
    with django_assert_num_queries(7):
        assert len(in_the_way_of_closeout(job)) == unsigned
