"""What two phones entered without knowing of each other is kept twice, and shown until somebody settles it.

The rule is our own: what a card showed is all that had arrived when it was made, and whoever enters anew over what they
had before them, or made themselves, has settled that.
"""

from datetime import timedelta
from itertools import permutations

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.actions import record_entry, sign_phase, waive_check
from inspections.models import Entry
from inspections.queries import phase_view
from tests.inspections.proofs import key_on, prove

pytestmark = pytest.mark.django_db


@pytest.fixture
def check(open_phases):
    return open_phases[0].checks.filter(kind="tick").first()


@pytest.fixture
def enter(check):
    """Enters a tick `minutes` after the morning began, on a card on which `seen` (an entry) had arrived last."""
    morning = timezone.now() - timedelta(hours=3)

    def entered(by, minutes, *, holds, seen=None) -> Entry:
        return record_entry(
            check=check,
            by=by,
            happened_at=morning + timedelta(minutes=minutes),
            ticked=holds,
            seen=str(seen.pk) if seen else "none",
        )

    return entered


def unseen(check) -> list[Entry]:
    [view] = [view for view in phase_view(check.phase).checks if view.check == check]
    return list(view.unseen)


def test_the_second_did_not_know_of_the_first(check, enter, installer, owner):
    first = enter(installer, 0, holds=True)
    assert unseen(check) == []
    enter(owner, 5, holds=False)
    assert unseen(check) == [first]


def test_in_whichever_order_they_arrive(check, enter, installer, owner):
    enter(owner, 5, holds=False)
    late = enter(installer, 0, holds=True)
    assert unseen(check) == [late]


def test_no_conflict_where_the_second_saw_the_first_or_says_the_same_or_is_by_the_same(check, enter, installer, owner):
    first = enter(installer, 0, holds=True)
    second = enter(installer, 1, holds=False)
    assert unseen(check) == []
    third = enter(owner, 2, holds=True, seen=second)
    assert unseen(check) == []
    enter(installer, 3, holds=True, seen=first)
    assert unseen(check) == []
    assert third.outcome == "holds"


@pytest.mark.parametrize("late", ["older", "newer"])
def test_entered_again_with_both_on_the_card_it_is_settled(check, enter, installer, other_installer, owner, late):
    """By a third, who had both before them: what arrived last is what the card was made with, the other stood there."""
    both = [lambda: enter(owner, 5, holds=False), lambda: enter(installer, 0, holds=True)]
    *_first, last = [arrives() for arrives in (both if late == "older" else reversed(both))]
    assert len(unseen(check)) == 1
    enter(other_installer, 60, holds=False, seen=last)
    assert unseen(check) == []


def test_entered_again_on_a_card_without_the_late_one_it_is_not(check, enter, installer, owner):
    """The newest knows the one before it, and still nobody who entered later knew of the late one."""
    on_time = enter(owner, 5, holds=False)
    enter(owner, 10, holds=False, seen=on_time)
    late = enter(installer, 0, holds=True)
    assert unseen(check) == [late]


def test_what_its_own_maker_entered_over_is_no_conflict(check, enter, installer, owner):
    enter(installer, 0, holds=False)
    enter(installer, 20, holds=True)
    enter(owner, 30, holds=True)
    assert unseen(check) == []


def test_three_phones_are_all_shown(check, enter, installer, other_installer, owner):
    first, second = enter(installer, 0, holds=True), enter(other_installer, 1, holds=True)
    enter(owner, 2, holds=False)
    assert unseen(check) == [first, second]


@pytest.mark.parametrize("order", list(permutations((0, 1, 2))))
def test_the_order_of_arrival_changes_nothing_while_nobody_saw_anything(
    check, enter, installer, other_installer, owner, order
):
    made = [(installer, 0, True), (other_installer, 1, False), (owner, 2, True)]
    for place in order:
        by, minutes, holds = made[place]
        enter(by, minutes, holds=holds)
    assert [entry.by for entry in unseen(check)] == [other_installer]


def test_a_waiver_ends_it_and_a_sign_off_does_not(check, enter, installer, owner):
    prove(check.phase, by=installer, but=check)
    first = enter(installer, 0, holds=False)
    enter(owner, 5, holds=True)
    sign_phase(phase=check.phase, by=owner, happened_at=timezone.now())
    assert unseen(check) == [first]
    enter(installer, 60, holds=False, seen=first)
    assert len(unseen(check)) == 1
    waive_check(check=check, reason="Looked at together", by=owner)
    assert unseen(check) == []


def test_the_card_of_the_page_settles_it(check, enter, installer, owner, as_owner):
    """By the form as the page makes it: what was shown is what it says was seen."""
    enter(owner, 5, holds=False)
    late = enter(installer, 0, holds=True)
    url = reverse("inspections:phase", args=[check.phase_id])
    page = as_owner.get(url)
    assert "Two people entered this without knowing of each other." in page.content.decode()
    assert f'name="seen" value="{late.pk}"' in page.content.decode()
    key = key_on(page, f"id_{check.pk}_key")
    as_owner.post(reverse("inspections:entry", args=[check.pk]), {"key": key, "seen": str(late.pk), "right": "1"})
    assert unseen(check) == []
    assert "without knowing of each other" not in as_owner.get(url).content.decode()
    assert check.entries.count() == 3
