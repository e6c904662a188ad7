"""Threads on a database of their own. Each race is shown with the lock off first, then with it."""

import threading
from contextlib import suppress
from decimal import Decimal

import pytest
from django.db import IntegrityError

from estimating.actions import (
    CannotApprove,
    CannotChangeOrder,
    approve_change,
    change_answers,
    changes,
    withdraw_change,
)
from estimating.job_sum import job_sum
from estimating.models import ChangeApproval, ChangeEnd
from jobs.models import Job
from tests.estimating.test_two_answers_at_once import at_once

SECONDS = 20


@pytest.fixture
def lock_off(monkeypatch):
    """The actions read the job without locking it."""
    monkeypatch.setattr(changes, "lock_job", lambda pk: Job.objects.get(pk=pk))


@pytest.fixture
def both_checked(monkeypatch):
    """Each of two approvals waits for the other between its check and its row, `seconds` at most."""
    barrier, check, patience = threading.Barrier(2), change_answers._check, {"seconds": 10}

    def stopped(*args, **kwargs):
        found = check(*args, **kwargs)
        # With the lock the other never comes: that is what is being shown.
        with suppress(threading.BrokenBarrierError):
            barrier.wait(patience["seconds"])
        return found

    monkeypatch.setattr(change_answers, "_check", stopped)
    return patience


def approve(offer, owner):
    return lambda: approve_change(offer=offer, typed_name="Odalys Brandt", witness=owner)


def test_without_the_lock_only_the_trigger_keeps_two_changes_from_one_total(
    own_database, lock_off, both_checked, offered, offered_twice, owner
):
    said = at_once(approve(offered, owner), approve(offered_twice, owner))
    assert sorted(type(each).__name__ for each in said) == ["ChangeApproval", "IntegrityError"]


def test_with_the_lock_the_second_is_told_in_words(own_database, both_checked, offered, offered_twice, owner, accepted):
    both_checked["seconds"] = 1
    said = at_once(approve(offered, owner), approve(offered_twice, owner))
    assert sorted(type(each).__name__ for each in said) == ["CannotApprove", "ChangeApproval"]
    (refused,) = [each for each in said if isinstance(each, CannotApprove)]
    assert "newer version" in str(refused)
    (approval,) = [each for each in said if isinstance(each, ChangeApproval)]
    assert job_sum(accepted).total == Decimal("4000.00") + approval.offer.amount


def test_whoever_comes_first_it_has_one_answer(own_database, offered, owner, accepted):
    withdraw = lambda: withdraw_change(change=offered.change, reason="", by=owner)  # noqa: E731
    said = at_once(approve(offered, owner), withdraw, approve(offered, owner), withdraw)
    assert not [each for each in said if isinstance(each, IntegrityError)], said
    assert ChangeApproval.objects.count() + ChangeEnd.objects.count() == 1
    assert job_sum(accepted).count == ChangeApproval.objects.count()
    # Two who approve get the one approval, or are both refused.
    assert len({each.pk for each in said if isinstance(each, ChangeApproval)}) <= 1
    refused = [each for each in said if isinstance(each, Exception)]
    assert all(isinstance(each, CannotChangeOrder) for each in refused), refused
