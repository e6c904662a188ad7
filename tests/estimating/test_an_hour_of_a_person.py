"""What an hour of a person costs: the arithmetic, the rows and what the database refuses."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from estimating.actions import BadHour, set_hourly_cost
from estimating.models import HourlyCost
from estimating.pricing import burdened, mean_hour

MONEY = st.decimals(min_value=0, max_value=10_000, places=2)


def D(text: str) -> Decimal:
    return Decimal(text)


# ---------------------------------------------------------------- the arithmetic


def test_a_burdened_hour_by_a_percent_of_the_wage():
    # $35.00 at 40 percent: beta.arizval.app/civil/engineering-cost-estimates/05-direct-costs/example, example 1.
    assert burdened(wage=D("35.00"), burden_percent=D("40")) == D("49.00")


def test_a_year_of_payroll_is_a_percent_of_the_wage():
    # Estimating in Building Construction, p. 59, example 7-5: a mason at $29.00, the amounts of a year as printed, and
    # retirement by its rule, 4.5 percent of the wages; the stored page ends before the result, so the sum is ours.
    year = [D(each) for each in ("70720", "4385", "1025", "56", "810", "5127", "530", "3600", "3182.40")]
    billable = 50 * 20 + 40 * 29
    hour = sum(year) / billable
    percent = round((hour / 29 - 1) * 100, 2)
    assert percent == D("42.78")
    assert burdened(wage=D("29.00"), burden_percent=percent) == round(hour, 2) == D("41.41")


def test_the_mean_of_a_crew_is_rounded_half_up_to_the_cent():
    # A foreman at $45.00 and three at $35.00, 45 percent burden: example 4 of the page above; 217.50 by four is ours.
    crew = [burdened(wage=D(wage), burden_percent=D("45")) for wage in ("45", "35", "35", "35")]
    assert sum(crew) == D("217.50")
    assert mean_hour(crew) == D("54.38"), "54.375"


@given(st.lists(MONEY, min_size=1, max_size=12))
def test_a_mean_lies_between_the_least_and_the_most_in_any_order(costs):
    mean = mean_hour(costs)
    assert min(costs) <= mean <= max(costs)
    assert mean == mean_hour(costs[::-1])
    assert abs(mean * len(costs) - sum(costs)) <= D("0.005") * len(costs)


def test_nobody_has_no_mean():
    with pytest.raises(ValueError, match="somebody"):
        mean_hour([])


# ---------------------------------------------------------------- the rows


def hour_of(person, owner, wage="50", percent="40"):
    return set_hourly_cost(person=person, wage=D(wage), burden_percent=D(percent), by=owner)


@pytest.mark.django_db
def test_new_figures_end_those_before(installer, owner):
    old, new = hour_of(installer, owner), hour_of(installer, owner, wage="52")
    old.refresh_from_db()
    assert (old.cost, new.cost) == (D("70.00"), D("72.80"))
    assert old.valid_to == new.valid_from == timezone.localdate()
    assert new.valid_to is None


@pytest.mark.django_db
def test_the_same_figures_again_say_that_they_hold(installer, owner):
    old = HourlyCost.objects.create(person=installer, wage=50, burden_percent=40, valid_from=date(2026, 1, 5))
    assert hour_of(installer, owner, wage="50.00", percent="40.00") == old
    kept = HourlyCost.objects.get()
    assert (kept.valid_from, kept.as_of, kept.valid_to) == (date(2026, 1, 5), timezone.localdate(), None)


@pytest.mark.django_db
@pytest.mark.parametrize("figures", [("0", "40"), ("-1", "40"), ("50", "-1")])
def test_figures_that_nobody_has_are_refused(installer, owner, figures):
    with pytest.raises(BadHour):
        hour_of(installer, owner, *figures)
    assert not HourlyCost.objects.exists()


@pytest.mark.django_db
def test_nobody_but_an_owner_sets_a_wage(installer, office, other_installer):
    for by in (office, installer, other_installer):
        with pytest.raises(PermissionDenied):
            hour_of(installer, by)
    assert not HourlyCost.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("figures", "constraint"),
    [
        ({}, "estimating_hourly_cost_one_in_force"),
        ({"wage": 0}, "estimating_hourly_cost_wage_positive"),
        ({"burden_percent": -1}, "estimating_hourly_cost_burden_not_negative"),
        ({"valid_to": date(2020, 1, 1)}, "estimating_hourly_cost_dates_in_order"),
    ],
)
def test_the_database_refuses_what_can_t_be(installer, owner, figures, constraint):
    hour_of(installer, owner)
    row = {"wage": 50, "burden_percent": 40, "valid_from": date(2026, 1, 5)}
    if figures and "valid_to" not in figures:
        row["valid_to"] = date(2026, 1, 6)
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        HourlyCost.objects.create(person=installer, **row | figures)


@pytest.mark.django_db
@pytest.mark.parametrize("changed", [{"wage": 1}, {"burden_percent": 1}, {"valid_from": date(2020, 1, 1)}])
def test_what_a_row_says_stays(installer, owner, changed):
    row = hour_of(installer, owner)
    with pytest.raises(DatabaseError, match="Cannot update"), transaction.atomic():
        HourlyCost.objects.filter(pk=row.pk).update(**changed)


@pytest.mark.django_db
def test_who_set_it_is_in_the_history_and_what_somebody_earns_isn_t(installer, owner):
    event = hour_of(installer, owner, wage="51.37").events.get()
    assert event.pgh_context.metadata["user"] == str(owner.pk)
    with connection.cursor() as cursor:
        cursor.execute("SELECT event::text FROM estimating_hourlycostevent AS event")
        assert "51.37" not in str(cursor.fetchall())
    assert {"wage", "burden_percent"}.isdisjoint(field.name for field in type(event)._meta.get_fields())
