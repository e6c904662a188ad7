"""Threads on a database of their own. The race is shown with the lock off first, then with it."""

import threading
from contextlib import suppress
from datetime import UTC
from decimal import Decimal

import pytest
from django.utils import timezone

from estimating.actions import hourly, set_hourly_cost
from estimating.models import HourlyCost
from tests.estimating.test_two_answers_at_once import at_once
from tests.factories import StaffFactory


@pytest.fixture(autouse=True)
def _in_the_zone_of_threads():
    with timezone.override(UTC):
        yield


@pytest.fixture
def both_looked(monkeypatch):
    """Each of two owners waits for the other between looking and writing, `seconds` at most."""
    barrier, look, patience = threading.Barrier(2), hourly._in_force, {"seconds": 10}

    def stopped(person):
        found = look(person)
        # With the lock the other never comes: that is what is being shown.
        with suppress(threading.BrokenBarrierError):
            barrier.wait(patience["seconds"])
        return found

    monkeypatch.setattr(hourly, "_in_force", stopped)
    return patience


def _set(person, wage, by):
    return lambda: set_hourly_cost(person=person, wage=Decimal(wage), burden_percent=Decimal(40), by=by)


def test_without_the_lock_only_the_constraint_keeps_two_hours_apart(
    own_database, both_looked, monkeypatch, installer, owner
):
    monkeypatch.setattr(hourly, "_lock_person", lambda person: None)
    said = at_once(_set(installer, 50, owner), _set(installer, 52, StaffFactory(role="owner")))
    assert sorted(type(each).__name__ for each in said) == ["HourlyCost", "IntegrityError"]


def test_with_the_lock_the_second_ends_the_first(own_database, both_looked, installer, owner):
    both_looked["seconds"] = 1
    said = at_once(_set(installer, 50, owner), _set(installer, 52, StaffFactory(role="owner")))
    assert [type(each).__name__ for each in said] == ["HourlyCost", "HourlyCost"]
    in_force = HourlyCost.objects.get(valid_to=None)
    ended = HourlyCost.objects.exclude(valid_to=None).get()
    assert {in_force.wage, ended.wage} == {50, 52}
