"""On the page of a line: a cost by hand stays until it is cleared, and what no rate prices needs one."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import CannotChange, change_line, fill_estimate, restore_line, set_rate
from estimating.models import EstimateLine, Rate
from estimating.queries import obstacles_of

pytestmark = pytest.mark.django_db


def of_key(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key)


def address(line):
    return reverse("estimating:line", args=[line.pk])


def typed(client, line, **changes):
    """What the form has when it is opened, with these changes."""
    form = client.get(address(line)).context["form"]
    stands = {name: form[name].value() for name in form.fields}
    return {"save": "", **{name: "" if value is None else str(value) for name, value in stands.items()}, **changes}


@pytest.fixture
def without_a_rate(laid_out, rates, owner):
    """The tile of a shop that has no price for it."""
    Rate.objects.filter(key="tile").delete()
    return of_key(fill_estimate(job=laid_out, by=owner).estimate, "tile")


def test_a_line_without_a_rate_needs_a_cost(as_owner, without_a_rate, laid_out):
    answer = as_owner.post(address(without_a_rate), typed(as_owner, without_a_rate, reason="A price from the yard"))
    assert "No rate prices this line" in str(answer.context["form"].errors["cost"])
    assert answer.context["form"]["reason"].value() == "A price from the yard", "nothing typed is lost"
    without_a_rate.refresh_from_db()
    assert without_a_rate.lacks_rate
    assert any("no rate" in obstacle.text for obstacle in obstacles_of(laid_out))


@pytest.mark.parametrize("cost", ["0", "412.50"])
def test_a_cost_typed_for_it_prices_it_and_nothing_may_be_said_so(as_owner, without_a_rate, laid_out, cost):
    as_owner.post(address(without_a_rate), typed(as_owner, without_a_rate, cost=cost, reason="The client's own tile"))
    without_a_rate.refresh_from_db()
    assert without_a_rate.cost == Decimal(cost)
    assert not any("no rate" in obstacle.text for obstacle in obstacles_of(laid_out))
    assert as_owner.get(address(without_a_rate)).context["form"]["cost"].value() is not None


def test_the_action_refuses_it_as_well_and_the_figure_that_was_computed_has_no_rate_again(without_a_rate, owner):
    with pytest.raises(CannotChange, match="No rate prices"):
        change_line(line=without_a_rate, quantity=Decimal(5), reason="Five", by=owner)
    change_line(line=without_a_rate, quantity=Decimal(5), cost=Decimal(90), reason="Five", by=owner)
    assert restore_line(line=without_a_rate, by=owner).lacks_rate


@pytest.mark.parametrize("key", ["labor_niche", "labor_cut", "mortar"])
def test_a_cost_by_hand_stays_with_another_quantity_and_other_hours(as_owner, estimate, key):
    line = EstimateLine.objects.filter(estimate=estimate, key=key).first() or of_key(estimate, "labor_niche")
    as_owner.post(address(line), typed(as_owner, line, cost="900", reason="Agreed with the helper"))
    ranged = {"low_hours": "0", "high_hours": "99"} if line.hours is not None else {}
    as_owner.post(address(line), typed(as_owner, line, **ranged))
    as_owner.post(address(line), typed(as_owner, line, quantity="7"))
    line.refresh_from_db()
    assert (line.cost, line.quantity) == (900, 7)
    as_owner.post(address(line), typed(as_owner, line, cost=""))
    line.refresh_from_db()
    assert line.cost not in (0, 900), "cleared, it is the quantity at the rate"


def test_a_line_at_its_rate_shows_no_cost_to_stay(as_owner, estimate):
    for line in EstimateLine.objects.filter(estimate=estimate, rate__isnull=False):
        assert not as_owner.get(address(line)).context["form"]["cost"].value(), line.text


def test_a_rate_that_is_set_later_leaves_the_cost_by_hand(as_owner, without_a_rate, laid_out, room, owner):
    as_owner.post(address(without_a_rate), typed(as_owner, without_a_rate, cost="900", reason="From the yard"))
    set_rate(key="tile", tile=room.tile, unit="piece", cost=Decimal(6), by=owner)
    fill_estimate(job=laid_out, by=owner)
    as_owner.post(address(without_a_rate), typed(as_owner, without_a_rate, reason="From the yard, in May"))
    without_a_rate.refresh_from_db()
    assert without_a_rate.cost == 900


def test_somebody_in_the_office_can_t_change_it(as_office, estimate):
    line = of_key(estimate, "labor_niche")
    assert as_office.post(address(line), {"save": "", "quantity": "2", "reason": "x"}).status_code == 403
    assert not re.search("by hand", of_key(estimate, "labor_niche").override_reason)
