"""A phase may be covered only when it has proved itself; the database says so, too."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from base.keys import uuid7
from inspections.actions import NotProved, record_entry, sign_phase, waive_check
from inspections.models import Check, Phase, SignOff
from inspections.queries import phase_view, phases_of_job
from tests.inspections.proofs import good_values, prove_and_sign, some_photo

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
    prove_and_sign_all_but(phase, check, installer)
    now = timezone.now()
    record_entry(check=check, by=installer, happened_at=now - timedelta(hours=2), ticked=False)
    with pytest.raises(NotProved):
        sign_phase(phase=phase, by=installer, happened_at=now)
    record_entry(check=check, by=installer, happened_at=now - timedelta(hours=1), ticked=True)
    sign_phase(phase=phase, by=installer, happened_at=now)
    assert [entry.outcome for entry in check.entries.order_by("happened_at")] == ["fails", "holds"]


def prove_and_sign_all_but(phase, check, by) -> None:
    for other in phase.checks.filter(required=True).exclude(pk=check.pk):
        photo = some_photo(phase.room.job, by) if other.kind == "photo" else None
        then = timezone.now() - timedelta(days=4)
        record_entry(check=other, by=by, happened_at=then, ticked=True, values=good_values(other), photo=photo)


def test_a_failed_check_that_was_not_asked_for_holds_all_the_same(open_phases, installer):
    substrate = open_phases[1]
    prove_and_sign(open_phases[0], by=installer)
    check = Check.objects.filter(phase=substrate, required=False).first()
    if check is None:
        pytest.skip("this room has no check that may be left open")
    prove_and_sign_all_but(substrate, check, installer)
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    with pytest.raises(NotProved):
        sign_phase(phase=substrate, by=installer, happened_at=timezone.now())
    with pytest.raises(IntegrityError):
        insert_sign_off(substrate, installer)


def test_a_wait_holds_until_it_is_over(open_phases, installer):
    for phase in open_phases[:4]:
        prove_and_sign(phase, by=installer)
    water_test = open_phases[4]
    wait = water_test.checks.filter(kind="wait").last()
    prove_and_sign_all_but(water_test, wait, installer)
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
    prove_and_sign_all_but(phase, check, installer)
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    waiver = waive_check(check=check, reason="The plumber moves it on Monday", by=owner)
    assert waive_check(check=check, reason="Another reason", by=owner) == waiver
    sign_phase(phase=phase, by=installer, happened_at=timezone.now())
    assert phase_view(phase).state == "signed"


def test_a_reading_that_fails_after_the_sign_off_holds_the_next_phase(open_phases, installer):
    first, second = open_phases[:2]
    prove_and_sign(first, by=installer)
    check = first.checks.filter(kind="tick").first()
    entry = record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    assert entry.late
    assert phases_of_job(first.room.job)[1].state == "held"
    with pytest.raises(NotProved):
        prove_and_sign(second, by=installer)
    with pytest.raises(IntegrityError):
        insert_sign_off(second, installer)


@pytest.mark.parametrize("table", ["entry", "signoff", "phase", "check"])
def test_what_was_recorded_is_neither_changed_nor_deleted(open_phases, installer, table):
    prove_and_sign(open_phases[0], by=installer)
    for statement in (f"UPDATE inspections_{table} SET id = id", f"DELETE FROM inspections_{table}"):
        with pytest.raises(Exception, match="permission denied|Cannot (update|delete)"), transaction.atomic():
            connection.cursor().execute(statement)


def test_queries_do_not_grow_with_phases_and_entries(open_phases, installer, django_assert_num_queries):
    prove_and_sign(open_phases[0], by=installer)
    job, phases = open_phases[0].room.job, Phase.objects.count()
    with django_assert_num_queries(3):
        assert len(phases_of_job(job)) == phases
