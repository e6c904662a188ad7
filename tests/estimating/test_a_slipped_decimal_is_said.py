"""Figures that no row can hold come back as they were typed, with what is wrong beside their field; never a 500."""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import CannotChange, add_line, change_estimate, fill_estimate, set_rate
from estimating.models import ChangeLine, EstimateLine, Rate

pytestmark = pytest.mark.django_db

MUCH = "999999999"


@pytest.fixture
def by_the_hundredth(estimate, laid_out, owner):
    """Labor at 0.12 h a unit, bought goods in packages of 0.3 lb at a cent."""
    set_rate(key="labor_niche", unit="each", cost=Decimal(62), hours=Decimal("0.12"), by=owner)
    set_rate(key="mortar", unit="lb", cost=Decimal("0.01"), package=Decimal("0.3"), by=owner)
    fill_estimate(job=laid_out, by=owner)
    return estimate


@pytest.mark.parametrize("key", ["labor_niche", "mortar"])
def test_in_a_line_of_an_estimate(as_owner, by_the_hundredth, key):
    line = EstimateLine.objects.get(estimate=by_the_hundredth, key=key)
    answer = as_owner.post(
        reverse("estimating:line", args=[line.pk]), {"save": "", "quantity": MUCH, "cost": "", "reason": "x"}
    )
    form = answer.context["form"]
    assert "absurd amount" in str(form.errors["quantity"])
    assert form["quantity"].value() == MUCH


@pytest.mark.parametrize("key", ["labor_niche", "mortar"])
def test_in_a_new_line_at_a_rate(as_owner, by_the_hundredth, laid_out, key):
    sent = {"by_rate": "", "rate": str(Rate.objects.in_force().get(key=key).pk), "quantity": MUCH}
    form = as_owner.post(reverse("estimating:line_new", args=[laid_out.pk]), sent).context["by_rate"]
    assert "absurd amount" in str(form.errors["quantity"])


def test_in_hours_of_one_s_own(as_owner, estimate, laid_out):
    sent = {"own": "", "text": "Haul", "kind": "labor", "quantity": MUCH, "unit": "", "unit_cost": "1"}
    form = as_owner.post(reverse("estimating:line_new", args=[laid_out.pk]), sent).context["form"]
    assert "absurd amount" in str(form.errors["quantity"])


def test_in_the_worst_that_hours_may_come_to(as_owner, estimate, laid_out, owner):
    figures = {"hours": Decimal("0.05"), "hours_low": Decimal("0.01"), "hours_high": Decimal(9)}
    rate = set_rate(key="labor_niche", unit="each", cost=Decimal("0.01"), **figures, by=owner)
    sent = {"by_rate": "", "rate": str(rate.pk), "quantity": MUCH}
    form = as_owner.post(reverse("estimating:line_new", args=[laid_out.pk]), sent).context["by_rate"]
    assert "absurd amount" in str(form.errors["quantity"])


@pytest.mark.parametrize("button", ["own", "rate_line"])
def test_in_a_change_order(as_office, change, owner, button):
    rate = set_rate(key="labor_niche", unit="each", cost=Decimal(62), hours=Decimal("0.12"), by=owner)
    own = {"text": "Haul", "kind": "labor", "quantity": MUCH, "unit": "", "unit_cost": "1"}
    fields = own if button == "own" else {"rate": str(rate.pk), "quantity": MUCH}
    answer = as_office.post(reverse("estimating:change", args=[change.pk]), {button: "", **fields})
    form = answer.context["forms"]["own" if button == "own" else "rate"]
    assert "absurd amount" in str(form.errors["quantity"])
    assert not ChangeLine.objects.exists()


def test_lines_that_each_fit_and_together_don_t(estimate, laid_out, owner):
    figures = {"kind": "other", "text": "Slab", "quantity": Decimal(99), "unit": "each", "unit_cost": Decimal(99999999)}
    with pytest.raises(CannotChange, match="The estimate comes to an absurd amount"):
        add_line(job=laid_out, by=owner, **figures)
    figures["unit_cost"] = Decimal(9999999)
    add_line(job=laid_out, by=owner, **figures)
    with pytest.raises(CannotChange, match="The estimate comes to an absurd amount"):
        change_estimate(job=laid_out, markup_percent=Decimal(1000), tax_percent=Decimal(0), by=owner)
