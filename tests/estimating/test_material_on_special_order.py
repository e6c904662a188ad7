"""A deposit where a place lets it have material on special order on top.

TRADE.md 13: Massachusetts and Pennsylvania, a third of the price and the material on special order; Maine a third.
"""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from estimating.actions import CannotPropose, make_proposal, set_local_limit, set_payment_plan
from estimating.local_limits import limit_of
from estimating.models import PaymentPlan
from estimating.payments import SIGNING, WALK_THROUGH, BadPlan, Due, Step, check_deposit
from estimating.plans import plan_of
from estimating.queries import estimate_page
from tests.estimating.test_the_client_s_link import text_of

pytestmark = pytest.mark.django_db

D = Decimal


def deposit(amount):
    return [Due(Step(due=SIGNING, amount=D(amount)), D(amount)), Due(Step(due=WALK_THROUGH), D("9000") - D(amount))]


@pytest.mark.parametrize(
    ("place", "ordered", "most"),
    [
        ("MA", None, "3000.00"),
        ("MA", "2000.00", "5000.00"),
        ("PA", "2000.00", "5000.00"),
        ("ME", "2000.00", "3000.00"),
        ("CA", "2000.00", "900.00"),
    ],
)
def test_of_9000_dollars(place, ordered, most):
    rule, special_order = limit_of(place).deposit, ordered and D(ordered)
    check_deposit(deposit(most), rule=rule, total=D("9000.00"), special_order=special_order)
    more = D(most) + D("0.01")
    with pytest.raises(BadPlan, match="at most"):
        check_deposit(deposit(more), rule=rule, total=D("9000.00"), special_order=special_order)


@pytest.fixture
def in_massachusetts(laid_out, estimate):
    type(laid_out.site).objects.filter(pk=laid_out.site.pk).update(region="MA")
    laid_out.refresh_from_db()
    return laid_out


def test_it_is_entered_with_its_words_and_the_client_reads_both(in_massachusetts, as_owner, owner):
    url = reverse("estimating:job_payments", args=[in_massachusetts.pk])
    total = estimate_page(in_massachusetts).totals.total
    asked = (total / 3).quantize(D("1")) + 500
    typed = {"seen": 0, "save": "", "signed_at": "home", "due_0": SIGNING, "amount_0": str(asked)}
    typed |= {"due_1": WALK_THROUGH}
    refused = as_owner.post(url, typed)
    assert refused.status_code == 422
    assert "more than Massachusetts allows" in text_of(refused)
    assert "say so with the payment steps" in text_of(refused)
    half = as_owner.post(url, typed | {"special_order": "600"})
    assert half.status_code == 422
    assert "Say which material is on special order" in text_of(half)
    assert as_owner.post(url, typed | {"special_order": "600", "special_order_words": "Slabs"}).status_code == 302
    assert "may come on top" in text_of(as_owner.get(url))
    payments = make_proposal(job=in_massachusetts, by=owner).content["payments"]
    assert payments["special_order"] == {"text": "Slabs", "amount": "600.00", "shown": "$600.00"}


def test_lowered_it_keeps_what_is_on_special_order(in_massachusetts, as_owner, owner):
    steps = [Step(due=SIGNING, percent=D(90)), Step(due=WALK_THROUGH)]
    ordered = {"special_order": D("600.00"), "special_order_words": "Slabs"}
    set_payment_plan(job=in_massachusetts, steps=steps, seen=0, by=owner, **ordered)
    with pytest.raises(CannotPropose, match="Massachusetts"):
        make_proposal(job=in_massachusetts, by=owner)
    as_owner.post(reverse("estimating:job_payments", args=[in_massachusetts.pk]), {"lower": ""})
    plan = plan_of(in_massachusetts)
    assert plan.special_order == D("600.00")
    content = make_proposal(job=in_massachusetts, by=owner).content
    third = D(int(D(content["total"]["amount"]) * 100 / 3)) / 100
    assert D(content["payments"]["steps"][0]["amount"]) == third + 600


def test_where_a_place_doesn_t_count_it_the_client_reads_nothing_of_it(laid_out, estimate, as_owner, owner):
    type(laid_out.site).objects.filter(pk=laid_out.site.pk).update(region="CA")
    laid_out.refresh_from_db()
    steps = [Step(due=SIGNING, percent=D(5)), Step(due=WALK_THROUGH)]
    ordered = {"special_order": D(600), "special_order_words": "Slabs"}
    set_payment_plan(job=laid_out, steps=steps, seen=0, by=owner, **ordered)
    assert make_proposal(job=laid_out, by=owner).content["payments"]["special_order"] is None
    page = text_of(as_owner.get(reverse("estimating:job_payments", args=[laid_out.pk])))
    assert "doesn’t count there" in page


def test_a_place_of_the_shop_s_own_may_count_it(owner, as_owner):
    place = {"place": "Ohio", "code": "OH", "share": "1/3", "most": None, "cancel_days": 3, "note": "invented"}
    set_local_limit(**place, special_order=True, seen=0, by=owner)
    assert limit_of("OH").deposit.special_order
    assert not replace(limit_of("OH"), special_order=False).deposit.special_order
    assert "special order costs on top" in text_of(as_owner.get(reverse("estimating:local_limits")))


def test_the_database_takes_no_figure_without_its_words(laid_out, owner):
    for half in ({"special_order": D(5)}, {"special_order_words": "Slabs"}, {"signed_at": "nowhere"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PaymentPlan.objects.create(job=laid_out, number=1, by=owner, **half)
    with pytest.raises(BadPlan, match="one without the other"):
        set_payment_plan(job=laid_out, steps=[Step(due=WALK_THROUGH)], special_order=D(5), seen=0, by=owner)
