"""Two owners set limits in the same moment: one after the other, and never a least above its most."""

import threading
from decimal import Decimal

import pytest
from django.db import connection

from base.errors import Refused
from shop.actions import set_limit
from shop.models import LimitChange
from shop.queries import shop_limits


def at_once(*calls):
    """Runs them in threads that start together; returns what each returned or raised Refused with."""
    barrier, found = threading.Barrier(len(calls)), {}

    def run(number, call):
        try:
            barrier.wait(timeout=10)
            found[number] = call()
        except Refused as refusal:
            found[number] = refusal
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    return [found[number] for number in range(len(calls))]


@pytest.fixture
def setter(own_database, owner):
    def set_it(key: str, value: str, seen: int = 0):
        return lambda: set_limit(key=key, value=Decimal(value), reason="Ours", seen=seen, by=owner)

    return set_it


def test_one_limit_set_twice_at_once_is_set_once_and_the_other_is_told(setter):
    for round_ in range(5):
        seen = LimitChange.objects.filter(key="mortar_hours").count()
        found = at_once(setter("mortar_hours", f"{30 + round_}", seen), setter("mortar_hours", f"{60 + round_}", seen))
        assert sorted(type(each).__name__ for each in found) == ["LimitChange", "LimitMoved"]
        assert LimitChange.objects.filter(key="mortar_hours").count() == seen + 1


def test_a_least_and_its_most_set_at_once_never_cross(setter):
    """Each by itself is right: at least 4 percent, and at most 3. Together they would leave no slope that holds."""
    for low, high in (("4", "3"), ("4.1", "2.5"), ("3.9", "3.5")):
        numbers = [
            LimitChange.objects.filter(key=key).count()
            for key in ("shower_slope_low_percent", "shower_slope_high_percent")
        ]
        at_once(
            setter("shower_slope_low_percent", low, numbers[0]), setter("shower_slope_high_percent", high, numbers[1])
        )
        limits = shop_limits()  # raises where they cross
        assert limits.shower_slope_low_percent <= limits.shower_slope_high_percent
    assert LimitChange.objects.exists()
