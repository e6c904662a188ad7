"""The price of what may be found carries the overhead of the hours in it, as every line does."""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import add_contingency, change_estimate, make_proposal
from estimating.models import Contingency

pytestmark = pytest.mark.django_db


def found(job, owner):
    prices = make_proposal(job=job, by=owner).content["unit_prices"]
    return [each["amount"] for each in prices if "If found" in each["text"]]


def test_overhead_by_the_hour_is_in_it(estimate, laid_out, owner):
    """Worked by hand: $93 with 1.5 h of labor at $20 of overhead an hour is $123, half of that on it $184.50; without
    hours $93 and half of it, $139.50."""
    terms = {"markup_percent": Decimal(50), "tax_percent": Decimal(0), "overhead_by": "hour", "overhead": Decimal(20)}
    change_estimate(job=laid_out, **terms, by=owner)
    for hours in (Decimal("1.5"), Decimal(0)):
        add_contingency(job=laid_out, text="Stud", unit="stud", unit_cost=Decimal(93), hours=hours, by=owner)
    assert sorted(found(laid_out, owner)) == ["139.50", "184.50"]


def test_the_page_takes_the_hours_and_says_them(as_owner, estimate, laid_out):
    url = reverse("estimating:contingency_new", args=[laid_out.pk])
    sent = {"text": "Stud", "unit": "stud", "unit_cost": "93"}
    assert "hours" in as_owner.post(url, {**sent, "hours": "-1"}).context["form"].errors
    as_owner.post(url, {**sent, "hours": "1.5"})
    as_owner.post(url, {**sent, "hours": ""})
    assert sorted(Contingency.objects.values_list("hours", flat=True)) == [0, Decimal("1.50")]
    assert as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).text.count("h of labor in it") == 1
