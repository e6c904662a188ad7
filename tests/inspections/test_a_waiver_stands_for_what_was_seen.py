"""A waiver lets go what had arrived by then; a failure that comes later holds again, and may be waived anew."""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone

from inspections.actions import NotProved, record_entry, sign_phase, waive_check
from inspections.models import Waiver
from inspections.queries import phase_view
from tests.inspections.proofs import prove, prove_and_sign
from tests.inspections.test_signing import insert_sign_off
from trade.lengths import inches

pytestmark = pytest.mark.django_db


@pytest.fixture
def waived(open_phases, installer, owner):
    """A check that failed and was waived; the rest of its phase holds."""
    phase = open_phases[0]
    check = phase.checks.filter(kind="tick", required=True, surfaces=[]).first()
    prove(phase, by=installer, but=check)
    record_entry(check=check, by=installer, happened_at=timezone.now(), ticked=False)
    waive_check(check=check, reason="The plumber moves it on Monday", by=owner)
    return check


def state_of(check) -> str:
    return next(view.state for view in phase_view(check.phase).checks if view.check.pk == check.pk)


def test_a_failure_that_comes_later_holds_again(waived, installer):
    assert state_of(waived) == "waived"
    # Made before the waiver, without signal: nobody had seen it.
    record_entry(check=waived, by=installer, happened_at=timezone.now() - timedelta(hours=1), ticked=False)
    assert state_of(waived) == "fails"
    with pytest.raises(NotProved):
        sign_phase(phase=waived.phase, by=installer, happened_at=timezone.now())
    with pytest.raises(IntegrityError, match="held by"):
        insert_sign_off(waived.phase, installer)


def test_it_is_no_way_round_to_say_after_it_that_it_cannot_be_checked(waived, installer):
    record_entry(check=waived, by=installer, happened_at=timezone.now(), ticked=False)
    record_entry(check=waived, by=installer, happened_at=timezone.now(), skipped=True, note="Covered")
    assert state_of(waived) == "skipped"
    with pytest.raises(IntegrityError, match="held by"):
        insert_sign_off(waived.phase, installer)


def test_it_may_be_waived_anew_and_both_stay_on_the_card(waived, installer, owner, as_owner):
    record_entry(check=waived, by=installer, happened_at=timezone.now(), ticked=False)
    page = as_owner.get(reverse("inspections:phase", args=[waived.phase_id])).content.decode()
    assert "It failed after that: what was entered since counts." in page
    waive_check(check=waived, reason="Seen on Tuesday, it is fine", by=owner)
    assert state_of(waived) == "waived"
    page = as_owner.get(reverse("inspections:phase", args=[waived.phase_id])).content.decode()
    assert "It failed after that" not in page
    for reason in Waiver.objects.values_list("reason", flat=True):
        assert reason in page
    assert Waiver.objects.count() == 2
    sign_phase(phase=waived.phase, by=installer, happened_at=timezone.now())


def test_a_check_that_is_right_after_the_failure_holds_by_itself(waived, installer):
    for ticked in (False, True):
        record_entry(check=waived, by=installer, happened_at=timezone.now(), ticked=ticked)
    assert state_of(waived) == "holds"
    sign_phase(phase=waived.phase, by=installer, happened_at=timezone.now())


def test_what_passes_or_waits_after_it_leaves_the_waiver(waived, installer):
    record_entry(check=waived, by=installer, happened_at=timezone.now(), ticked=True)
    assert state_of(waived) == "waived"
    sign_phase(phase=waived.phase, by=installer, happened_at=timezone.now())


def test_a_late_failure_of_a_waived_check_holds_the_next_phase(waived, installer, open_phases):
    sign_phase(phase=waived.phase, by=installer, happened_at=timezone.now())
    record_entry(check=waived, by=installer, happened_at=timezone.now(), ticked=False)
    with pytest.raises(NotProved):
        prove_and_sign(open_phases[1], by=installer)


def test_on_walls_apart_the_waiver_ends_where_it_failed(open_phases, installer, owner):
    check = open_phases[1].checks.get(key="substrate.plumb")
    one, *others = (surface["key"] for surface in check.surfaces)
    waive_check(check=check, reason="Seen", by=owner)
    record_entry(check=check, by=installer, happened_at=timezone.now(), values=[inches(2)], surfaces=[one])
    [view] = [view for view in phase_view(check.phase).checks if view.check.pk == check.pk]
    assert {place.key: place.state for place in view.places} == {one: "fails", **dict.fromkeys(others, "waived")}
