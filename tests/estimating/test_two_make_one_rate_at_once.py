"""Two owners make a rate of one name in the same moment: one makes it, the other is told."""

import threading
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection
from django.db.models import QuerySet

from estimating.actions import BadRate, make_own_rate
from estimating.models import OwnRate
from shop.models import ShopSettings
from tests.factories import StaffFactory


@pytest.fixture
def made_at_once(own_database, owner):
    ShopSettings.objects.get_or_create(pk=1)
    people = [owner, StaffFactory(role="owner")]

    def run():
        barrier, found = threading.Barrier(2), []

        def make(by, name):
            try:
                barrier.wait(timeout=10)
                found.append(make_own_rate(name=name, kind="disposal", unit="load", cost=Decimal(420), by=by))
            except (BadRate, IntegrityError) as refusal:
                found.append(refusal)
            finally:
                connection.close()

        named = zip(people, ("Container", "CONTAINER"), strict=True)
        threads = [threading.Thread(target=make, args=each) for each in named]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=30)
        return sorted(type(each).__name__ for each in found)

    return run


def test_one_makes_it_and_the_other_is_told(made_at_once):
    assert made_at_once() == ["BadRate", "OwnRate"]
    assert OwnRate.objects.count() == 1


def test_without_the_lock_the_database_alone_would_refuse(made_at_once, monkeypatch):
    """Both have looked before either writes: what the lock is for."""
    both_looked = threading.Barrier(2)

    def wait_and_create(manager, rates):
        if manager.model is OwnRate:
            both_looked.wait(timeout=10)
        return manager.get_queryset().bulk_create(rates)

    monkeypatch.setattr(QuerySet, "select_for_update", lambda self, **_how: self)
    monkeypatch.setattr(type(OwnRate.objects), "bulk_create", wait_and_create)
    assert made_at_once() == ["IntegrityError", "OwnRate"]
