"""From a site's state to what its proposal asks before the work, and until when the client may cancel."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from estimating.actions import CannotPropose, make_proposal, set_local_limit, set_payment_plan
from estimating.local_limits import cancel_until, limit_of
from estimating.models import LocalLimit, PaymentPlan
from estimating.payments import SIGNING, WALK_THROUGH, Step
from estimating.plans import plan_of

pytestmark = pytest.mark.django_db

HALF = [Step(due=SIGNING, percent=Decimal(50)), Step(due=WALK_THROUGH)]


@pytest.fixture
def in_california(laid_out):
    type(laid_out.site).objects.filter(pk=laid_out.site.pk).update(region="CA")
    laid_out.refresh_from_db()
    return laid_out


def test_the_letter_asks_in_steps_that_are_the_total(propose):
    content = propose().content
    steps = content["payments"]["steps"]
    assert [step["due"] for step in steps] == [
        "when you sign",
        "once this is signed off: Setting",
        "at the walk-through",
    ]
    assert sum(Decimal(step["amount"]) for step in steps) == Decimal(content["total"]["amount"])
    assert "Local law applies" in content["payments"]["law"]


def test_a_deposit_above_the_limit_is_no_proposal(in_california, estimate, owner, as_owner):
    set_payment_plan(job=in_california, steps=HALF, seen=0, by=owner)
    with pytest.raises(CannotPropose, match="more than California allows"):
        make_proposal(job=in_california, by=owner)
    page = as_owner.get(f"/jobs/{in_california.pk}/estimate/").content.decode()
    assert "more than California allows" in page
    assert f"/jobs/{in_california.pk}/payment-steps/" in page
    # One press lowers it to what is allowed, and the rest follows.
    as_owner.post(f"/jobs/{in_california.pk}/payment-steps/", {"lower": ""})
    content = make_proposal(job=in_california, by=owner).content
    deposit, rest = (Decimal(step["amount"]) for step in content["payments"]["steps"])
    total = Decimal(content["total"]["amount"])
    # B&P 7159.5(a)(3): the lesser of $1,000 or 10 percent.
    assert deposit <= min(total / 10, Decimal(1000)) < deposit + Decimal("0.01")
    assert deposit + rest == total


def _typed(*rows, seen=0):
    data = {"seen": seen, "save": "", "signed_at": "home"}
    for at, (due, percent, amount) in enumerate(rows):
        data |= {f"due_{at}": due, f"percent_{at}": percent, f"amount_{at}": amount}
    return data


def test_the_page_refuses_it_with_the_figure_and_keeps_what_was_typed(in_california, estimate, as_owner):
    response = as_owner.post(
        f"/jobs/{in_california.pk}/payment-steps/", _typed((SIGNING, "50", ""), (WALK_THROUGH, "", ""))
    )
    page = response.content.decode()
    assert response.status_code == 422
    assert "more than California allows" in page
    assert 'name="percent_0" value="50"' in page
    assert not PaymentPlan.objects.exists()


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ((SIGNING, "50", "10"), "leave the other empty"),
        (("", "50", ""), "Say when this is due"),
        ((SIGNING, "101", ""), "less than or equal to 100"),
    ],
)
def test_a_row_that_cant_be_is_told_in_its_place(row, said, as_owner):
    response = as_owner.post("/payment-steps/", _typed(row, (WALK_THROUGH, "", "")))
    assert response.status_code == 422
    assert said in response.content.decode()


def test_a_job_has_its_own_steps_or_the_usual_ones(laid_out, owner, as_owner):
    as_owner.post("/payment-steps/", _typed((WALK_THROUGH, "", "")))
    assert plan_of(laid_out).steps == (Step(due=WALK_THROUGH),)
    as_owner.post(f"/jobs/{laid_out.pk}/payment-steps/", _typed((SIGNING, "5", ""), (WALK_THROUGH, "", "")))
    assert plan_of(laid_out).own
    assert plan_of(laid_out).steps[0] == Step(due=SIGNING, percent=Decimal(5))
    as_owner.post(f"/jobs/{laid_out.pk}/payment-steps/", {"usual": ""})
    assert not plan_of(laid_out).own
    assert plan_of(laid_out).steps == (Step(due=WALK_THROUGH),)
    # Nothing was written over.
    assert PaymentPlan.objects.count() == 3


def test_steps_that_somebody_kept_in_the_meantime_are_not_written_over(laid_out, owner, as_owner):
    set_payment_plan(steps=HALF, seen=0, by=owner)
    response = as_owner.post("/payment-steps/", _typed((WALK_THROUGH, "", "")))
    assert response.status_code == 422
    assert "in the meantime" in response.content.decode()
    assert plan_of(None).steps == tuple(HALF)


def test_the_database_keeps_one_version_of_a_number(owner):
    set_payment_plan(steps=HALF, seen=0, by=owner)
    with pytest.raises(IntegrityError, match="numbered_once"), transaction.atomic():
        PaymentPlan.objects.create(job=None, number=1, steps=None, by=owner)


def test_the_shop_enters_its_own_law(as_owner, owner, laid_out):
    own = {"place": "Ohio", "code": "OH", "share": "1/3", "most": "", "cancel_days": "5", "note": "invented"}
    assert as_owner.post("/local-limits/new/", own | {"seen": 0}).status_code == 302
    local = limit_of("oh")
    assert (local.place, local.cancel_days, local.deposit.share.denominator) == ("Ohio", 5, 3)
    # A place stands once, by name and by short form.
    again = as_owner.post("/local-limits/new/", own | {"place": "Another", "seen": 0})
    assert again.status_code == 422
    assert "there already" in again.content.decode()
    # What was an example becomes the shop's own.
    ours = {"place": "California", "code": "CA", "share": "", "most": "", "cancel_days": "3", "note": "asked, invented"}
    assert as_owner.post("/local-limits/california/", ours | {"seen": 0}).status_code == 302
    assert limit_of("CA").deposit is None
    assert LocalLimit.objects.count() == 2
    bad = as_owner.post("/local-limits/california/", ours | {"share": "a lot", "seen": 1})
    assert bad.status_code == 422
    assert "no share of the price" in bad.content.decode()


# TRADE.md 13, "check": Thursday ends at Monday's midnight, Friday at Tuesday's; Thanksgiving by the calendar.
@pytest.mark.parametrize(
    ("signed", "last"),
    [
        (date(2026, 6, 4), date(2026, 6, 8)),
        (date(2026, 6, 5), date(2026, 6, 9)),
        (date(2026, 11, 25), date(2026, 11, 30)),
    ],
)
def test_the_last_day_to_cancel_knows_the_holidays(signed, last):
    assert cancel_until(signed, days=3) == last
    assert cancel_until(signed, days=0) is None


def test_the_letter_says_the_last_day_if_signed_today(propose, monkeypatch):
    from estimating.actions import proposals

    monkeypatch.setattr(proposals.timezone, "localdate", lambda *given: date(2026, 11, 25))
    said = propose().content["cooling_off"]
    assert "If you sign on Nov. 25, 2026" in said or "If you sign on November 25, 2026" in said
    assert "30, 2026" in said
    assert "Local law applies" in said


def test_where_no_days_are_entered_nothing_is_said_of_them(propose, owner):
    set_local_limit(
        key="elsewhere",
        place="Everywhere else",
        code="",
        share="",
        most=None,
        cancel_days=0,
        note="invented",
        seen=0,
        by=owner,
    )
    assert propose().content["cooling_off"] == ""
