"""Two people take one list of clients over in the same moment: one enters them, the other is told."""

import threading

import pytest
from django.db import connection
from django.db.models import QuerySet

from base.tables import read_table
from clients.actions import take_clients
from clients.client_list import COLUMNS, fates_of
from clients.models import Client
from shop.models import ShopSettings
from shop.table_files import ChangedSince, seen_of

ROWS = b"Name,Phone\nRufina Oyelaran,555-0144\nHalvorsen Builders,555-0133\n"


@pytest.fixture
def taken_at_once(own_database, owner, office):
    ShopSettings.objects.get_or_create(pk=1)
    table = read_table(name="clients.csv", content=ROWS, columns=COLUMNS)
    seen = seen_of(fates_of(table))

    def run():
        barrier, found = threading.Barrier(2), []

        def take(by):
            try:
                barrier.wait(timeout=10)
                found.append(take_clients(table=table, seen=seen, with_known="skip", by=by))
            except ChangedSince as refusal:
                found.append(refusal)
            finally:
                connection.close()

        threads = [threading.Thread(target=take, args=[by]) for by in (owner, office)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(timeout=30)
        return found

    return run


def test_each_client_is_entered_once(taken_at_once):
    found = taken_at_once()
    assert sorted(type(each).__name__ for each in found) == ["ChangedSince", "tuple"]
    assert Client.objects.count() == 2


def test_without_the_lock_they_would_be_entered_twice(taken_at_once, monkeypatch):
    """Both have looked before either writes: what the lock is for."""
    both_looked = threading.Barrier(2)
    true = Client.objects.bulk_create

    def wait_and_create(_manager, clients):
        both_looked.wait(timeout=10)
        return true(clients)

    monkeypatch.setattr(QuerySet, "select_for_update", lambda self, **_how: self)
    monkeypatch.setattr(type(Client.objects), "bulk_create", wait_and_create)
    taken_at_once()
    assert Client.objects.count() == 4
