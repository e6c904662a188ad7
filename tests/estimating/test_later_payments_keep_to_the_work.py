"""Where a place says so, nobody is asked for more than what is done by then: California, B&P 7159.5 as in TRADE.md 13
("later payments not beyond value of work done/material delivered"). The figures are worked by hand."""

from decimal import Decimal

import pytest
from django.urls import reverse

from estimating.actions import CannotPropose, make_proposal, set_local_limit, set_payment_plan
from estimating.catalogue import RATES
from estimating.local_limits import limit_of
from estimating.models import EstimateLine
from estimating.payments import SIGNING, WALK_THROUGH, BadPlan, Step, pay
from estimating.queries import obstacles_of
from estimating.worth import DONE_WITH, check_later, worth_at
from trade.contract import DEPOSITS

D = Decimal


def lines(**costs: str) -> list[EstimateLine]:
    return [EstimateLine(key=key, cost=D(cost)) for key, cost in costs.items()]


# Board 1,000, tile and setting 5,000, grout 1,000, an own line 1,000: of 8,000 in all 1/8, then 6/8, then 7/8 is done;
# the own line counts with the whole. Of a price of $10,000 these are $1,250, $7,500 and $8,750.
ROOM = {"board": "1000", "tile": "2000", "labor_set_wall": "3000", "grout": "1000", "": "1000"}
WORTH = {"substrate": D(1250), "waterproofing": D(1250), "setting": D(7500), "grout": D(8750), WALK_THROUGH: D(10000)}


def test_what_is_done_is_told_by_the_cost_of_its_lines():
    found = worth_at(lines(**ROOM), D(10000))
    assert {due: found[due] for due in WORTH} == WORTH
    assert found[SIGNING] == found["demolition"] == 0


@pytest.mark.django_db
@pytest.mark.parametrize(("second", "refused"), [("6500", False), ("6500.01", True)])
def test_a_payment_may_be_as_high_as_the_work_and_no_cent_more(second, refused):
    steps = [Step(due=SIGNING, amount=D(1000)), Step(due="setting", amount=D(second)), Step(due=WALK_THROUGH)]
    payments = pay(total=D(10000), steps=steps)
    if refused:
        with pytest.raises(BadPlan, match=r"\$7,500\.01 would be paid, and what is done is \$7,500\.00"):
            check_later(payments, place="California", worth=WORTH)
    else:
        check_later(payments, place="California", worth=WORTH)


def test_every_rate_is_done_with_a_phase_or_with_the_whole():
    whole = {"labor_seal", "sealer", "labor_clean", "labor_return_visit", "labor_minimum_trip"}
    whole |= {"travel_trip", "travel_distance"}
    assert {rate.key for rate in RATES if not rate.class_of} - DONE_WITH.keys() == whole
    assert DONE_WITH.keys() - {rate.key for rate in RATES} == {"tile"}


def test_of_the_examples_california_alone_says_so():
    assert [rule.code for rule in DEPOSITS if rule.by_value] == ["CA"]


@pytest.fixture
def paid_early(estimate, laid_out, owner):
    """A job in California that asks for the whole rest as soon as the substrate is signed off."""
    laid_out.site.region = "CA"
    laid_out.site.save()
    steps = [Step(due=SIGNING, amount=D(100)), Step(due="substrate", percent=D(80)), Step(due=WALK_THROUGH)]
    set_payment_plan(job=laid_out, steps=steps, seen=0, by=owner)
    return laid_out


@pytest.mark.django_db
def test_what_is_too_much_stands_in_the_way_and_beside_the_steps(paid_early, as_owner, owner):
    (obstacle,) = obstacles_of(paid_early)
    assert "California allows no more than that" in obstacle.text
    page = as_owner.get(reverse("estimating:job_payments", args=[paid_early.pk])).content.decode()
    assert "California allows no more than that" in page
    with pytest.raises(CannotPropose, match="California allows no more"):
        make_proposal(job=paid_early, by=owner)


@pytest.mark.django_db
def test_a_shop_that_knows_otherwise_takes_the_limit_out(paid_early, as_owner, owner):
    local = limit_of("CA")
    assert local.by_value
    values = {"place": local.place, "code": local.code, "share": local.share, "most": local.most}
    set_local_limit(key=local.key, **values, cancel_days=3, note="looked at today", by_value=False, seen=0, by=owner)
    assert obstacles_of(paid_early) == []
    assert make_proposal(job=paid_early, by=owner).version == 1
