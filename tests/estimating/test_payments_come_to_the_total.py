"""Payment steps: arithmetic, and the limits that a place sets to the first."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.local_limits import Local, limit_of, local_limits, read_share
from estimating.payments import SIGNING, USUAL, WALK_THROUGH, BadPlan, Step, check_deposit, deposit_of, in_order, pay

MONEY = st.decimals(min_value=1, max_value=1_000_000, places=2)
PERCENTS = st.lists(st.decimals(min_value=0, max_value=25, places=2), min_size=1, max_size=4)


def D(text: str) -> Decimal:
    return Decimal(text)


@given(MONEY, PERCENTS)
def test_shares_and_the_rest_are_the_total_to_the_cent(total, percents):
    steps = [*(Step(due="setting", percent=percent) for percent in percents), Step(due=WALK_THROUGH)]
    payments = pay(total=total, steps=steps)
    assert sum(each.amount for each in payments) == total
    for each, percent in zip(payments, percents, strict=False):
        assert abs(each.amount - total * percent / 100) < D("0.01")


@given(MONEY)
def test_three_thirds_are_the_total(total):
    thirds = [Step(due=due, percent=D(part)) for due, part in ((SIGNING, "33.33"), ("setting", "33.33"))]
    payments = pay(total=total, steps=[*thirds, Step(due=WALK_THROUGH, percent=D("33.34"))])
    assert sum(each.amount for each in payments) == total


@given(MONEY, st.decimals(min_value=0, max_value=100, places=2), st.decimals(min_value=0, max_value=100, places=2))
def test_a_deposit_is_never_above_its_share_nor_a_cent_below(total, percent, later):
    steps = [Step(due=SIGNING, percent=percent), Step(due="setting", percent=min(later, 100 - percent))]
    payments = pay(total=total, steps=[*steps, Step(due=WALK_THROUGH)])
    assert 0 <= total * percent / 100 - deposit_of(payments) < D("0.01")
    assert sum(each.amount for each in payments) == total


def test_ten_percent_of_any_total_is_within_a_limit_of_ten_percent():
    """Rounded half up it would be 101.71, and a place that allows 10 percent of 1,017.08 allows no more than 101.70."""
    assert deposit_of(pay(total=D("1017.08"), steps=USUAL)) == D("101.70")


def test_amounts_and_shares_stand_side_by_side():
    steps = [Step(due=WALK_THROUGH), Step(due=SIGNING, amount=D("1000.00")), Step(due="grout", percent=D("40"))]
    assert [(each.step.due, each.amount) for each in pay(total=D("25000.00"), steps=steps)] == [
        (SIGNING, D("1000.00")),
        ("grout", D("10000.00")),
        (WALK_THROUGH, D("14000.00")),
    ]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ([], "no step"),
        ([Step(due=SIGNING), Step(due=WALK_THROUGH)], "Only one step can be the rest"),
        ([Step(due=SIGNING, percent=D("60")), Step(due=WALK_THROUGH, percent=D("41"))], "add up to 101"),
        ([Step(due=SIGNING, percent=D("60"))], r"\$400\.00 less than the total of \$1,000\.00"),
        ([Step(due=SIGNING, amount=D("1000.01")), Step(due=WALK_THROUGH)], r"\$0\.01 more than the total"),
        ([Step(due="slope", percent=D("10")), Step(due=WALK_THROUGH)], "no room in this price has"),
    ],
)
def test_what_doesnt_come_to_it_is_refused_with_what_to_do(steps, said):
    with pytest.raises(BadPlan, match=said):
        pay(total=D("1000.00"), steps=steps, phases={"setting", "grout"})


# TRADE.md 13, "check" of California, B&P 7159.5(a)(3): $8,000 -> $800; $10,000 -> $1,000; $25,000 -> $1,000.
@pytest.mark.django_db
@pytest.mark.parametrize(
    ("total", "most", "shown"),
    [("8000", "800", "$800.00"), ("10000", "1000", "$1,000.00"), ("25000", "1000", "$1,000.00")],
)
def test_a_deposit_above_californias_limit_is_refused_with_the_figure(total, most, shown):
    rule = limit_of("CA").deposit
    allowed = pay(total=D(total), steps=[Step(due=SIGNING, amount=D(most)), Step(due=WALK_THROUGH)])
    check_deposit(allowed, rule=rule, total=D(total))
    more = pay(total=D(total), steps=[Step(due=SIGNING, amount=D(most) + D("0.01")), Step(due=WALK_THROUGH)])
    with pytest.raises(BadPlan) as refused:
        check_deposit(more, rule=rule, total=D(total))
    assert f"California allows: {shown} of" in str(refused.value)


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["California", "california", " CA ", "ca"])
def test_a_place_is_known_by_name_and_short_form(typed):
    assert limit_of(typed).place == "California"


@pytest.mark.django_db
def test_elsewhere_no_limit_is_known():
    assert limit_of("").key == limit_of("Ohio").key == "elsewhere"
    assert limit_of("Ohio").deposit is None
    assert list(local_limits())[-1] == "elsewhere"


def test_a_third_is_a_third():
    # Md. Bus. Reg. 8-617, as in TRADE.md 13: a third. Of $9,000.00 it is $3,000.00.
    local = Local(key="x", place="X", code="", share="1/3", most=None, cancel_days=3, note="-")
    payments = pay(total=D("9000.00"), steps=[Step(due=SIGNING, amount=D("3000.00")), Step(due=WALK_THROUGH)])
    check_deposit(payments, rule=local.deposit, total=D("9000.00"))
    assert read_share("33 %") < read_share("1/3") < read_share("33.4")


@pytest.mark.parametrize("typed", ["much", "1/0", "101", "-1", "", "1e-99999999"])
def test_what_is_no_share_is_refused(typed):
    with pytest.raises(ValueError, match="no share"):
        read_share(typed)


def test_the_steps_to_begin_from_are_within_every_example_up_to_ten_thousand():
    payments = pay(total=D("10000.00"), steps=USUAL)
    assert deposit_of(payments) == D("1000.00")
    assert in_order(USUAL) == USUAL
