"""Allowances: in the price at an amount that the client reads, and settled by a change order at what it cost."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import ProgrammingError
from django.urls import reverse

from callbacks.queries import unfinished
from estimating.actions import (
    CannotChange,
    CannotChangeOrder,
    add_line,
    change_estimate,
    change_line,
    fill_estimate,
    make_proposal,
    set_allowance,
    settle_allowance,
    withdraw_change,
)
from estimating.change_queries import allowances_of, changes_of_job
from estimating.comparing import differences
from estimating.models import ChangeOrder, EstimateLine
from inspections.actions import accept_and_open

pytestmark = pytest.mark.django_db

D = Decimal


def line_of(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key)


@pytest.fixture
def allowed_tile(estimate, laid_out, owner):
    """The shower's tile isn't chosen yet; markup 25 percent, 8 percent tax on what materials cost."""
    change_estimate(job=laid_out, markup_percent=D(25), tax_percent=D(8), by=owner)
    set_allowance(line=line_of(estimate, "tile"), allowance=True, by=owner)
    return line_of(estimate, "tile")


@pytest.fixture
def job_with_an_allowance(allowed_tile, propose, owner):
    accept_and_open(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    allowed_tile.refresh_from_db()
    return allowed_tile.estimate.job


def test_the_letter_names_the_line_and_what_is_allowed_for_it(allowed_tile, laid_out, owner):
    content = make_proposal(job=laid_out, by=owner).content
    # 48.00 a box; worked by hand: cost x 1.25, and 8 percent of the cost.
    each = content["sections"][0]["amounts"]
    assert [(one["text"], D(one["amount"])) for one in each] == [
        (f"Shower, {allowed_tile.text}", allowed_tile.cost * D("1.25") + round(allowed_tile.cost * D("0.08"), 2))
    ]
    assert f"Allowance: {allowed_tile.text}" in [line["text"] for line in content["lines"]]
    lines = sum(D(line["amount"]) for line in content["lines"])
    assert lines + D(content["tax"]["amount"]) == D(content["total"]["amount"])


def test_the_client_reads_it_and_another_amount_is_a_difference(allowed_tile, laid_out, propose, owner):
    before = propose()
    change_line(line=allowed_tile, quantity=allowed_tile.quantity * 2, reason="a second bath", by=owner)
    after = propose()
    told = [each for _heading, found in differences(before.content, after.content) for each in found]
    amounts = tuple(each.content["sections"][0]["amounts"][0]["shown"] for each in (before, after))
    assert [(each.before, each.now) for each in told if each.what.startswith("Allowance: Shower")] == [amounts]


def test_without_one_the_letter_says_nothing_of_allowed_amounts(estimate, laid_out, owner):
    content = make_proposal(job=laid_out, by=owner).content
    assert not any(section["amounts"] for section in content["sections"])
    assert not [line for line in content["lines"] if line["text"].startswith("Allowance")]


def test_a_fill_leaves_it_and_labor_is_none(allowed_tile, estimate, laid_out, owner):
    fill_estimate(job=laid_out, by=owner)
    assert line_of(estimate, "tile").allowance
    with pytest.raises(CannotChange, match="priced by its hours"):
        set_allowance(line=line_of(estimate, "labor_grout"), allowance=True, by=owner)
    with pytest.raises(IntegrityError, match="estimating_line_labor_is_no_allowance"), transaction.atomic():
        EstimateLine.objects.filter(key="labor_grout").update(allowance=True)


@pytest.mark.parametrize(("share", "sign"), [("1.2", 1), ("0.8", -1), ("1", 0)])
def test_what_it_cost_takes_its_place_with_the_same_markup_and_tax(
    job_with_an_allowance, allowed_tile, owner, share, sign
):
    cost = round(allowed_tile.cost * D(share), 2)
    change = settle_allowance(line=allowed_tile, cost=cost, by=owner)
    view = next(view for view in changes_of_job(job_with_an_allowance) if view.change == change)
    # The difference by hand: 1.25 and 0.08 of what it cost more or less, each side to the cent.
    more = (cost - allowed_tile.cost) * D("1.33")
    assert abs(view.totals.amount - more) <= D("0.02")
    assert (view.totals.amount > 0) - (view.totals.amount < 0) == sign
    assert [line.credit for line in change.lines.all()] == [True, False]


def test_it_is_settled_once_and_again_only_after_that_came_to_nothing(job_with_an_allowance, allowed_tile, owner):
    first = settle_allowance(line=allowed_tile, cost=D(900), by=owner)
    with pytest.raises(CannotChangeOrder, match=f"Change order {first.number} settles"):
        settle_allowance(line=allowed_tile, cost=D(901), by=owner)
    withdraw_change(change=first, reason="typed wrong", by=owner)
    second = settle_allowance(line=allowed_tile, cost=D(910), by=owner)
    assert [each.change.change for each in allowances_of(job_with_an_allowance)] == [second]


def test_only_an_allowance_of_accepted_work_is_settled(allowed_tile, owner):
    with pytest.raises(CannotChangeOrder):
        settle_allowance(line=allowed_tile, cost=D(900), by=owner)


def test_which_allowance_it_settles_stays(job_with_an_allowance, allowed_tile, owner):
    change = settle_allowance(line=allowed_tile, cost=D(900), by=owner)
    with pytest.raises(ProgrammingError, match="Cannot update"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_changeorder SET settles_id = NULL WHERE id = %s", [change.pk])


def test_the_office_settles_it_on_the_page_of_change_orders(job_with_an_allowance, allowed_tile, as_office):
    url = reverse("estimating:changes", args=[job_with_an_allowance.pk])
    assert "Settle it by a change order" in as_office.get(url).content.decode()
    wrong = as_office.post(url, {"settle": str(allowed_tile.pk), "cost": "a lot"})
    assert wrong.status_code == 422
    assert "Enter a number." in wrong.content.decode()
    assert 'value="a lot"' in wrong.content.decode()
    done = as_office.post(url, {"settle": str(allowed_tile.pk), "cost": "900"})
    change = ChangeOrder.objects.get()
    assert done.url == reverse("estimating:change", args=[change.pk])
    page = as_office.get(url).content.decode()
    assert "Settled by change order 1" in page
    assert "Settle it by a change order" not in page


def test_the_owner_makes_a_line_an_allowance_and_takes_it_back(estimate, laid_out, as_owner):
    tile = line_of(estimate, "tile")
    url = reverse("estimating:line", args=[tile.pk])
    as_owner.post(url, {"allowance": "yes"})
    assert line_of(estimate, "tile").allowance
    assert "allowance" in as_owner.get(reverse("estimating:estimate", args=[laid_out.pk])).content.decode()
    as_owner.post(url, {"allowance": "no"})
    assert not line_of(estimate, "tile").allowance


def test_a_line_of_ones_own_may_be_one(estimate, laid_out, as_owner, owner):
    url = reverse("estimating:line_new", args=[laid_out.pk])
    typed = {"text": "Shower door", "kind": "other", "quantity": "1", "unit": "each", "unit_cost": "900"}
    as_owner.post(url, {**typed, "allowance": "on"})
    assert EstimateLine.objects.get(text="Shower door").allowance
    labor = as_owner.post(url, {**typed, "kind": "labor", "allowance": "on"}).content.decode()
    assert "Labor is no allowance" in labor
    add_line(job=laid_out, kind="other", text="Lamp", quantity=D(1), unit="each", unit_cost=D(50), by=owner)
    assert not EstimateLine.objects.get(text="Lamp").allowance


def test_the_closeout_names_what_isnt_settled(job_with_an_allowance, allowed_tile, owner):
    assert [each.line for each in unfinished(job_with_an_allowance).allowances] == [allowed_tile]
    settle_allowance(line=allowed_tile, cost=D(900), by=owner)
    left = unfinished(job_with_an_allowance)
    assert left.allowances == []
    assert [view.change.settles for view in left.changes] == [allowed_tile], "its change order holds the closeout"
