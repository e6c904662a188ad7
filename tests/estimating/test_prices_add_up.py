"""The arithmetic of a price, without a database."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.pricing import (
    KINDS,
    MOST,
    Price,
    Tax,
    Terms,
    TooMuch,
    add_up,
    cents,
    converted,
    crew_days,
    margin_of,
    markup_of,
    price_line,
    share_out,
)

MONEY = st.decimals(min_value=0, max_value=1_000_000, places=2)
PERCENT = st.decimals(min_value=0, max_value=300, places=2)
LINES = st.lists(st.tuples(st.sampled_from(KINDS), MONEY, st.none()), max_size=30)


def D(text: str) -> Decimal:
    return Decimal(text)


# ---------------------------------------------------------------- markup and margin

# TRADE.md 13, "check": the identities margin = m / (1 + m) and markup = g / (1 - g), computed there.
MARKUP_TO_MARGIN = {10: "9.09", 20: "16.67", 25: "20", 30: "23.08", 40: "28.57", 50: "33.33", 100: "50"}
MARGIN_TO_MARKUP = {
    10: "11.11",
    20: "25",
    25: "33.33",
    30: "42.86",
    35: "53.85",
    40: "66.67",
    50: "100",
}


@pytest.mark.parametrize(("markup", "margin"), MARKUP_TO_MARGIN.items())
def test_margin_of_a_markup_is_the_printed_one(markup, margin):
    assert margin_of(Decimal(markup)) == Decimal(margin)


@pytest.mark.parametrize(("margin", "markup"), MARGIN_TO_MARKUP.items())
def test_markup_of_a_margin_is_the_printed_one(margin, markup):
    assert markup_of(Decimal(margin)) == Decimal(markup)


def test_no_markup_gives_a_margin_of_everything():
    with pytest.raises(ValueError, match="less than 100"):
        markup_of(Decimal(100))


@pytest.mark.parametrize(("markup", "margin"), MARKUP_TO_MARGIN.items())
def test_the_totals_show_markup_and_margin_apart(markup, margin):
    totals = add_up(lines=[("labor", D("1000.00"), None)], markup_percent=Decimal(markup), tax_percent=Decimal(0))
    assert totals.markup == Decimal(markup) * 10
    assert totals.price == 1000 + totals.markup
    assert totals.margin_percent == Decimal(margin)


# ---------------------------------------------------------------- rounding


@pytest.mark.parametrize(
    ("exact", "rounded"), [("0.005", "0.01"), ("0.0049999", "0.00"), ("2.675", "2.68"), ("-0.005", "-0.01")]
)
def test_cents_are_rounded_half_up(exact, rounded):
    assert cents(Decimal(exact)) == Decimal(rounded)


@given(st.decimals(min_value=-(10**6), max_value=10**6, places=6))
def test_cents_agree_with_the_decimal_module(amount):
    assert cents(amount) == amount.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def test_an_amount_that_no_row_can_hold_is_refused():
    assert cents(MOST) == MOST
    with pytest.raises(TooMuch):
        cents(MOST + Decimal("0.01"))


# ---------------------------------------------------------------- one line


def test_packages_are_bought_whole():
    # TRADE.md 8, "Worked": 200 sq ft at 65 sq ft a bag = 3.07, so 4 bags (engineerfix.com).
    priced = price_line(quantity=Decimal(200), price=Price(cost=D("26.00"), package=Decimal(65)))
    assert (priced.packages, priced.cost) == (4, D("104.00"))


def test_a_full_package_is_not_one_more():
    priced = price_line(quantity=D("50.000"), price=Price(cost=D("26.00"), package=Decimal(50)))
    assert (priced.packages, priced.cost) == (1, D("26.00"))


def test_labor_is_hours_times_the_cost_of_an_hour():
    # 2 people x 6 h / 240 lf = 0.05 man-h/lf: TRADE.md 13, by jlconline.com's method, computed.
    priced = price_line(quantity=Decimal(240), price=Price(cost=D("62.00"), hours=D("0.05")))
    assert (priced.hours, priced.cost) == (D("12.00"), D("744.00"))


@given(
    st.decimals(min_value=0, max_value=10**5, places=3),
    st.decimals(min_value=0, max_value=1000, places=4),
    st.one_of(st.none(), st.decimals(min_value=D("0.001"), max_value=1000, places=3)),
    st.one_of(st.none(), st.decimals(min_value=D("0.0001"), max_value=10, places=4)),
)
def test_a_line_can_be_recomputed_from_what_it_shows(quantity, cost, package, hours):
    priced = price_line(quantity=quantity, price=Price(cost=cost, package=package, hours=hours))
    times = priced.hours if hours is not None else priced.packages if package is not None else priced.quantity
    assert priced.cost == (times * priced.unit_cost).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
    if priced.packages is not None:
        assert priced.packages * package >= quantity > (priced.packages - 1) * package or quantity == 0


@pytest.mark.parametrize("quantity", ["-0.001", "NaN", "Infinity"])
def test_a_quantity_that_is_none_is_refused(quantity):
    with pytest.raises(ValueError, match="0 or more"):
        price_line(quantity=Decimal(quantity), price=Price(cost=Decimal(1)))


# ---------------------------------------------------------------- units

# International yard and pound agreement of 1959 (0.9144 m, 0.45359237 kg): 1 sq ft = 0.09290304 m² exactly.
# NIST Handbook 44, appendix C, from memory: 1 US gallon = 3.785411784 L.
UNITS = [
    ("0.09290304", "m2", "ft2", "1.000"),
    ("45.359237", "kg", "lb", "100.000"),
    ("3.048", "m", "ft", "10.000"),
    ("3.785411784", "l", "gal", "1.000"),
    ("10", "m2", "ft2", "107.639"),
    ("28.316846592", "l", "ft3", "1.000"),
]


@pytest.mark.parametrize(("quantity", "unit", "to", "result"), UNITS)
def test_units_are_converted_by_their_definitions(quantity, unit, to, result):
    assert converted(Decimal(quantity), unit=unit, to=to) == Decimal(result)


@pytest.mark.parametrize(("unit", "to"), [("kg", "m2"), ("piece", "each"), ("kg", "furlong")])
def test_what_measures_something_else_is_not_converted(unit, to):
    with pytest.raises(ValueError, match=r"can't be turned|no unit"):
        converted(Decimal(1), unit=unit, to=to)


# ---------------------------------------------------------------- totals


@given(LINES, PERCENT, PERCENT)
def test_lines_add_up_to_the_total(lines, markup, tax):
    totals = add_up(lines=lines, markup_percent=markup, tax_percent=tax)
    assert sum(totals.by_kind.values()) == totals.cost == sum(cost for _, cost, _ in lines)
    assert totals.cost + totals.markup == totals.price
    assert totals.price + totals.tax == totals.total
    exact = Fraction(totals.cost) * Fraction(markup) / 100
    assert abs(Fraction(totals.markup) - exact) <= Fraction(1, 200)
    assert 0 <= totals.margin_percent < 100


def test_tax_is_on_materials_alone():
    lines = [("material", D("200.00"), None), ("labor", D("500.00"), D("8")), ("other", D("50.00"), None)]
    totals = add_up(lines=lines, markup_percent=Decimal(50), tax_percent=D("6.25"))
    assert (totals.tax, totals.total, totals.person_days) == (D("12.50"), D("1137.50"), 1)


@given(MONEY, st.lists(MONEY, min_size=1, max_size=20))
def test_shares_add_up_to_the_amount_to_the_cent(amount, weights):
    shares = share_out(amount=amount, weights=weights)
    assert sum(shares) == amount
    assert all(share >= 0 for share in shares)
    if total := sum(weights):
        for share, weight in zip(shares, weights, strict=True):
            assert abs(Fraction(share) - Fraction(amount) * Fraction(weight) / Fraction(total)) < Fraction(1, 100)


def test_the_cent_that_is_left_goes_to_one_of_three():
    assert share_out(amount=D("100.00"), weights=[Decimal(1)] * 3) == [D("33.34"), D("33.33"), D("33.33")]


# ---------------------------------------------------------------- overhead, minimum, discount, tax table, rounding

TAX = st.builds(
    Tax, kind=st.sampled_from(KINDS), on=st.sampled_from(["cost", "price"]), percent=st.decimals(0, 30, places=3)
)
TERMS = st.builds(
    Terms,
    overhead_by=st.sampled_from(["", "hour", "percent"]),
    overhead=st.decimals(0, 100, places=2),
    minimum=st.sampled_from([Decimal(0), Decimal(450), Decimal("999.99")]),
    discount_percent=st.decimals(0, 100, places=2),
    discount_amount=st.decimals(0, 5000, places=2),
    round_to=st.sampled_from([0, 1, 5, 10, 25, 50, 100]),
    taxes=st.lists(TAX, max_size=4).map(tuple),
)
WORKED = st.lists(st.tuples(st.sampled_from(KINDS), MONEY, st.decimals(0, 500, places=2)), max_size=20)


@given(WORKED, PERCENT, st.decimals(0, 30, places=3), TERMS)
def test_every_step_adds_up_under_every_rounding(lines, markup, tax, terms):
    totals = add_up(lines=lines, markup_percent=markup, tax_percent=tax, terms=terms)
    assert sum(totals.by_kind.values()) == totals.cost == sum(cost for _, cost, _ in lines)
    steps = totals.cost + totals.overhead + totals.markup + totals.to_minimum - totals.discount
    assert steps == totals.price >= 0
    assert sum(each.amount for each in totals.taxes) == totals.tax
    assert totals.price + totals.tax + totals.rounding == totals.total
    if terms.round_to and totals.price + totals.tax:
        assert totals.total % terms.round_to == 0
        assert totals.total > 0
        least = min(totals.price, terms.minimum)
        if terms.minimum and totals.rounding != 0:
            assert totals.kept >= least, "rounding doesn't go below the least price"
        nearest = abs(totals.rounding) <= Fraction(terms.round_to, 2) or totals.total == terms.round_to
        held = terms.minimum and 0 < totals.rounding < terms.round_to and totals.kept - terms.round_to < least
        assert nearest or held
    else:
        assert totals.rounding == 0


@given(WORKED, PERCENT, TERMS, st.randoms(use_true_random=False))
def test_the_order_of_lines_never_matters(lines, markup, terms, random):
    shuffled = random.sample(lines, len(lines))
    assert add_up(lines=lines, markup_percent=markup, tax_percent=Decimal(7), terms=terms) == add_up(
        lines=shuffled, markup_percent=markup, tax_percent=Decimal(7), terms=terms
    )


@given(st.integers(0, 90_00).map(lambda hundredths: Decimal(hundredths) / 100))
def test_a_margin_typed_in_is_the_margin_that_comes_back(margin):
    assert margin_of(markup_of(margin)) == margin


def job(**terms):
    """$1,000 of materials and $2,000 of labor in 40 hours, marked up by a quarter, without tax."""
    lines = [("material", D("1000.00"), None), ("labor", D("2000.00"), D("40"))]
    return add_up(lines=lines, markup_percent=Decimal(25), tax_percent=Decimal(0), terms=Terms(**terms))


def test_overhead_comes_by_the_hour_or_by_the_percent_and_is_cost():
    """Worked by hand: 40 h at $12.50 = $500, as 10 percent of 3,000 is $300. Markup is on cost with overhead, and 25
    percent markup is 20 percent margin (TRADE.md 13)."""
    by_hour = job(overhead_by="hour", overhead=D("12.50"))
    assert (by_hour.overhead, by_hour.full_cost, by_hour.price) == (500, 3500, 4375)
    by_percent = job(overhead_by="percent", overhead=Decimal(10))
    assert (by_percent.overhead, by_percent.full_cost, by_percent.price) == (300, 3300, 4125)
    assert by_hour.margin_percent == by_percent.margin_percent == 20


def test_a_small_job_is_brought_up_to_the_minimum_and_an_empty_one_is_not():
    assert (job(minimum=Decimal(5000)).to_minimum, job(minimum=Decimal(5000)).price) == (1250, 5000)
    assert job(minimum=Decimal(3000)).to_minimum == 0
    nothing = add_up(lines=[], markup_percent=D("25"), tax_percent=D("0"), terms=Terms(minimum=Decimal(500)))
    assert nothing.total == 0


def test_a_discount_eats_the_margin_and_never_more_than_the_price():
    # 3,750 less 10 percent is 3,375; 375 of 3,375 is 11.11 percent.
    lowered = job(discount_percent=Decimal(10))
    assert (lowered.discount, lowered.price, lowered.margin_percent) == (375, 3375, D("11.11"))
    below_cost = job(discount_amount=Decimal(1000))
    assert below_cost.profit == -250
    assert below_cost.margin_percent < 0
    assert job(discount_amount=Decimal(100000)).price == 0


def test_tax_is_by_kind_on_cost_or_on_price():
    """A third of the price is materials': $1,250 of $3,750; 8 percent of it is $100, 8 percent of their cost $80."""
    on_price = job(taxes=(Tax(kind="material", on="price", percent=Decimal(8)),))
    on_cost = job(taxes=(Tax(kind="material", on="cost", percent=Decimal(8)),))
    assert (on_price.taxes[0].base, on_price.tax, on_cost.tax) == (1250, 100, 80)
    both = job(
        taxes=(
            Tax(kind="material", on="price", percent=Decimal(8)),
            Tax(kind="labor", on="price", percent=Decimal(4)),
        )
    )
    assert both.tax == 200


@pytest.mark.parametrize(("step", "total"), [(0, "3750"), (100, "3800"), (50, "3750"), (1000, "4000")])
def test_the_total_is_rounded_half_up_on_a_line_of_its_own(step, total):
    rounded = job(round_to=step)
    assert rounded.total == Decimal(total)
    assert rounded.rounding == Decimal(total) - 3750


def test_rounding_holds_the_least_price_of_a_job():
    """The least is $524: to the nearest 50 that would be $500."""
    lines = [("labor", D("100.00"), None)]
    rounded = add_up(
        lines=lines,
        markup_percent=Decimal(25),
        tax_percent=Decimal(0),
        terms=Terms(minimum=Decimal(524), round_to=50),
    )
    assert (rounded.price, rounded.rounding, rounded.total) == (524, 26, 550)
    above = job(minimum=Decimal(3740), round_to=100, discount_amount=Decimal(2))
    assert (above.price, above.total) == (3748, 3800), "down to 3,700 would be below it"
    free = job(minimum=Decimal(3690), round_to=100, discount_amount=Decimal(2))
    assert free.total == 3700, "there it may"


@pytest.mark.parametrize(
    "price",
    [
        Price(cost=D("62"), hours=D("0.12")),
        Price(cost=D("0.01"), package=D("0.3")),
    ],
)
def test_hours_and_packages_that_no_row_can_hold_are_refused(price):
    with pytest.raises(TooMuch):
        price_line(quantity=D("999999999"), price=price)
    with pytest.raises(TooMuch):
        price_line(quantity=D("1000000000"), price=Price(cost=D("0.01")))


def test_set_up_hours_come_once_and_only_where_there_is_work():
    price = Price(cost=D("60"), hours=D("0.1"), setup=D("0.75"))
    assert price_line(quantity=Decimal(40), price=price).hours == D("4.75")
    assert price_line(quantity=Decimal(0), price=price).hours == 0


def test_crew_days_count_the_persons_at_it():
    # NAVFAC P-405 as quoted in TRADE.md 13: a man-day is one person for 8 hours. Here 16 h of two, and 4 h of one.
    assert crew_days([(D("16"), 2), (D("4"), 1), (None, 1)]) == D("1.5")
