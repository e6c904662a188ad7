"""What is added by a rate takes its set-up with it, as in an estimate; a credit gives back the work alone."""

from decimal import Decimal

import pytest

from estimating.actions import add_change_line, set_rate
from estimating.models import Rate

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("credit", "hours"), [(False, "3.00"), (True, "2.00")])
def test_set_up_is_added_and_not_given_back(change, owner, credit, hours):
    """20 sq ft at 0.1 hours, that is 2 hours; 1 hour of set-up; $60.00 an hour."""
    figures = {"unit": "ft2", "cost": Decimal(60), "hours": Decimal("0.1"), "setup_hours": Decimal(1)}
    set_rate(key="labor_grout", by=owner, **figures)
    rate = Rate.objects.get(key="labor_grout", valid_to=None)
    line = add_change_line(change=change, rate=rate, quantity=Decimal(20), credit=credit, by=owner)
    assert line.hours == Decimal(hours)
    assert line.cost == Decimal(hours) * 60
