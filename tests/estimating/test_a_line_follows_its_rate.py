"""A line of one's own that a rate prices: on an estimate and on a change order."""

import copy
from decimal import Decimal

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from estimating.actions import (
    CannotChange,
    CannotChangeOrder,
    add_change_line,
    add_rate_line,
    change_line,
    change_own_rate,
    fill_estimate,
    make_own_rate,
    preview_fill,
    put_away_own_rate,
    remove_line,
    restore_line,
    set_rate,
    take_up_own_rate,
)
from estimating.change_queries import rates_for_changes
from estimating.content import content_hash
from estimating.models import EstimateLine, Rate
from estimating.queries import estimate_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def fleece(owner):
    """Floor protection at $68.00 for a roll of 200 sq ft."""
    figures = {"unit": "ft2", "cost": Decimal(68), "package": Decimal(200), "product": "Fleece", "supplier": "Yard"}
    return make_own_rate(name="Floor protection", kind="material", by=owner, **figures)


@pytest.fixture
def line(estimate, laid_out, fleece, owner):
    return add_rate_line(job=laid_out, rate=in_force(fleece), quantity=Decimal(260), by=owner)


def in_force(own):
    return Rate.objects.get(own=own, valid_to=None)


def dearer(own, owner, cost=90):
    change_own_rate(
        own=own, name=own.name, unit="ft2", cost=Decimal(cost), package=Decimal(200), product="Fleece", by=owner
    )


def test_the_rate_prices_it_in_whole_packages(line, fleece, as_owner, laid_out):
    assert (line.kind, line.text, line.unit) == ("material", "Floor protection", "ft2")
    assert (line.quantity, line.packages, line.unit_cost, line.cost) == (260, 2, 68, 136)
    page = as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).content.decode()
    assert "2 × 200 sq ft" in page
    assert "Fleece · Yard" in page


def test_another_quantity_is_priced_by_it_again(line, owner):
    changed = change_line(line=line, quantity=Decimal(410), by=owner)
    assert (changed.packages, changed.cost, changed.override_reason) == (3, 204, "")


def test_labor_by_a_rate_has_its_hours_and_their_range(estimate, laid_out, owner):
    figures = {"hours": Decimal("0.1"), "hours_low": Decimal("0.05"), "hours_high": Decimal("0.3"), "crew": 2}
    own = make_own_rate(name="Mask", kind="labor", unit="ft2", cost=Decimal(60), setup_hours=1, by=owner, **figures)
    line = add_rate_line(job=laid_out, rate=in_force(own), quantity=Decimal(20), text="Mask the tub", by=owner)
    line.refresh_from_db()
    assert (line.text, line.hours, line.low_hours, line.high_hours, line.cost) == ("Mask the tub", 3, 2, 7, 180)
    assert line.persons == 2


def test_a_newer_price_is_told_shown_by_the_preview_and_taken_by_the_fill(line, fleece, laid_out, owner):
    assert estimate_page(laid_out).outdated == []
    dearer(fleece, owner)
    assert estimate_page(laid_out).outdated == ["Floor protection"]
    (changed,) = preview_fill(job=laid_out, by=owner).changed
    assert (changed.line.text, changed.difference) == ("Floor protection", 44)
    line.refresh_from_db()
    assert line.cost == 136
    filled = fill_estimate(job=laid_out, by=owner)
    assert filled.changes == ["Floor protection: another price."]
    line.refresh_from_db()
    assert (line.rate, line.quantity, line.packages, line.cost) == (in_force(fleece), 260, 2, 180)
    assert estimate_page(laid_out).outdated == []
    assert fill_estimate(job=laid_out, by=owner).changes == []


def test_a_price_in_another_unit_turns_the_quantity(line, fleece, laid_out, owner):
    """260 sq ft are 24.155 m² (1 ft = 0.3048 m)."""
    change_own_rate(own=fleece, name="Floor protection", unit="m2", cost=Decimal(10), by=owner)
    fill_estimate(job=laid_out, by=owner)
    line.refresh_from_db()
    assert (line.quantity, line.unit, line.packages, line.cost) == (Decimal("24.155"), "m2", None, Decimal("241.55"))


def test_a_cost_by_hand_takes_a_reason_and_stays_until_it_is_restored(line, fleece, laid_out, owner):
    with pytest.raises(CannotChange, match="Say why"):
        change_line(line=line, quantity=Decimal(260), cost=Decimal(50), by=owner)
    change_line(line=line, quantity=Decimal(260), cost=Decimal(50), reason="left over", by=owner)
    dearer(fleece, owner)
    assert estimate_page(laid_out).outdated == []
    assert fill_estimate(job=laid_out, by=owner).changes == []
    line.refresh_from_db()
    assert line.cost == 50
    restored = restore_line(line=line, by=owner)
    assert (restored.cost, restored.override_reason, restored.computed_quantity) == (180, "", None)
    remove_line(line=line, by=owner)
    assert not EstimateLine.objects.filter(pk=line.pk).exists()


def test_put_away_the_line_stays_and_says_so_and_no_new_one_takes_it(line, fleece, laid_out, owner, as_owner):
    rate = in_force(fleece)
    put_away_own_rate(own=fleece, by=owner)
    assert estimate_page(laid_out).outdated == []
    assert fill_estimate(job=laid_out, by=owner).changes == []
    line.refresh_from_db()
    assert line.cost == 136
    assert b"rate put away" in as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).content
    with pytest.raises(CannotChange, match="was put away"):
        add_rate_line(job=laid_out, rate=rate, quantity=Decimal(1), by=owner)
    assert "Floor protection" not in as_owner.get(reverse("estimating:line_new", args=[laid_out.pk])).content.decode()
    take_up_own_rate(own=fleece, name="Floor protection", unit="ft2", cost=Decimal(1), by=owner)
    assert fill_estimate(job=laid_out, by=owner).changes == ["Floor protection: another price."]
    line.refresh_from_db()
    assert line.cost == 260


def test_a_rate_of_the_catalogue_prices_one_as_well_but_the_minimum_trip_doesn_t(estimate, laid_out, owner, as_owner):
    mortar = Rate.objects.get(key="mortar", valid_to=None)
    line = add_rate_line(job=laid_out, rate=mortar, quantity=Decimal(60), text="Mortar to spare", by=owner)
    assert (line.key, line.packages) == ("", 2)
    set_rate(key="mortar", unit="lb", cost=Decimal(30), package=Decimal(50), by=owner)
    assert "Mortar to spare: another price." in fill_estimate(job=laid_out, by=owner).changes
    line.refresh_from_db()
    assert line.cost == 60
    trip = Rate.objects.get(key="labor_minimum_trip", valid_to=None)
    assert str(trip.pk) not in as_owner.get(reverse("estimating:line_new", args=[laid_out.pk])).content.decode()
    with pytest.raises(CannotChange):
        add_rate_line(job=laid_out, rate=trip, quantity=Decimal(1), by=owner)


def test_the_owner_adds_changes_and_restores_one_by_the_page(as_owner, estimate, laid_out, room, fleece):
    new = reverse("estimating:line_new", args=[laid_out.pk])
    page = as_owner.get(new).content.decode()
    assert '<optgroup label="Your own rates">' in page
    assert "Floor protection: $68.00 for 200 sq ft" in page
    asked = {"by_rate": "", "rate": str(in_force(fleece).pk), "quantity": "260", "room": "", "text": ""}
    refused = as_owner.post(new, {**asked, "quantity": "much"})
    assert refused.context["by_rate"].errors["quantity"]
    assert refused.context["by_rate"]["rate"].value() == asked["rate"]
    answer = as_owner.post(new, {**asked, "room": str(room.pk), "text": "Floor of the hall"})
    assert answer.url == reverse("estimating:estimate", args=[laid_out.pk])
    line = EstimateLine.objects.get(text="Floor of the hall")
    assert (line.room, line.cost) == (room, 136)
    here = reverse("estimating:line", args=[line.pk])
    assert "Say why it isn’t as the rate has it." in str(
        as_owner.post(here, {"save": "", "quantity": "260", "cost": "50", "reason": ""}).context["form"].errors
    )
    as_owner.post(here, {"save": "", "quantity": "410", "cost": "", "reason": ""})
    line.refresh_from_db()
    assert line.cost == 204
    as_owner.post(here, {"save": "", "quantity": "410", "cost": "50", "reason": "left over"})
    assert b'name="restore"' in as_owner.get(here).content
    as_owner.post(here, {"restore": ""})
    line.refresh_from_db()
    assert line.cost == 204


def test_queries_of_a_fill_don_t_grow_with_such_lines(estimate, laid_out, fleece, owner, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def queries(lines, cost):
        for _number in range(lines):
            add_rate_line(job=laid_out, rate=in_force(fleece), quantity=Decimal(260), by=owner)
        dearer(fleece, owner, cost)
        with CaptureQueriesContext(connection) as found:
            fill_estimate(job=laid_out, by=owner)
        return len(found)

    assert queries(1, 80) == queries(12, 90)


# ---------------------------------------------------------------- a price that was offered


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cost=st.decimals(min_value=0, max_value=9999, places=2), away=st.booleans(), refill=st.booleans())
def test_what_was_offered_never_changes_whatever_becomes_of_the_rate(
    line, fleece, laid_out, owner, propose, cost, away, refill
):
    from django.db import transaction

    with transaction.atomic():
        proposal = propose()
        before = copy.deepcopy(proposal.content)
        dearer(fleece, owner, cost)
        if away:
            put_away_own_rate(own=fleece, by=owner)
        if refill:
            fill_estimate(job=laid_out, by=owner)
        proposal.refresh_from_db()
        assert proposal.content == before
        assert content_hash(proposal.content) == proposal.content_sha256
        amounts = sum(Decimal(each["amount"]) for each in before["lines"])
        tax = Decimal(before["tax"]["amount"]) if before["tax"] else Decimal(0)
        assert amounts + tax == proposal.total
        transaction.set_rollback(True)


# ---------------------------------------------------------------- change orders


def test_a_change_order_is_priced_by_it(change, fleece, owner, as_owner):
    page = as_owner.get(reverse("estimating:change", args=[change.pk])).content.decode()
    assert '<optgroup label="Your own rates">' in page
    (rate,) = [rate for rate in rates_for_changes(change.job) if rate.own_id]
    line = add_change_line(change=change, rate=rate, quantity=Decimal(260), by=owner)
    assert (line.text, line.packages, line.cost) == ("Floor protection", 2, 136)
    put_away_own_rate(own=fleece, by=owner)
    line.refresh_from_db()
    assert line.cost == 136
    assert not [rate for rate in rates_for_changes(change.job) if rate.own_id]
    with pytest.raises(CannotChangeOrder, match="put away"):
        add_change_line(change=change, rate=rate, quantity=Decimal(1), by=owner)


def test_one_that_was_put_away_isn_t_offered_though_the_accepted_estimate_has_it(change, fleece, owner):
    estimate = change.job.estimate
    EstimateLine.objects.create(
        estimate=estimate,
        kind="material",
        text="Floor protection",
        quantity=1,
        unit="ft2",
        rate=in_force(fleece),
        unit_cost=68,
        cost=68,
    )
    accepted = in_force(fleece)
    dearer(fleece, owner)
    assert accepted in rates_for_changes(change.job)
    put_away_own_rate(own=fleece, by=owner)
    assert accepted not in rates_for_changes(change.job)
