"""Markup and margin, deposits and cooling-off against published figures. Local law applies; these are examples."""

from datetime import date
from decimal import Decimal

import pytest

from trade.contract import (
    DEPOSITS,
    hours_per_unit,
    last_day_to_cancel,
    margin_of,
    markup_of,
    may_cancel,
    most_deposit,
    price_for,
)

RULES = {rule.place: rule for rule in DEPOSITS}


@pytest.mark.parametrize(
    ("markup", "margin"),
    # Identity m / (1 + m), worked out to two places.
    [(10, "9.09"), (20, "16.67"), (25, "20"), (30, "23.08"), (40, "28.57"), (50, "33.33"), (100, "50")],
)
def test_margin_follows_from_markup(markup: int, margin: str) -> None:
    assert round(margin_of(Decimal(markup)), 2) == Decimal(margin)


@pytest.mark.parametrize(
    ("margin", "markup"),
    # Identity g / (1 - g), worked out to two places.
    [(10, "11.11"), (20, "25"), (25, "33.33"), (30, "42.86"), (35, "53.85"), (40, "66.67"), (50, "100")],
)
def test_markup_follows_from_margin(margin: int, markup: str) -> None:
    assert round(markup_of(Decimal(margin)), 2) == Decimal(markup)


def test_a_price_leaves_its_margin() -> None:
    price = price_for(cost=Decimal(750), margin_percent=Decimal(25))
    assert price == 1000
    with pytest.raises(ValueError, match="under 100"):
        price_for(cost=Decimal(1), margin_percent=Decimal(100))


@pytest.mark.parametrize(("price", "deposit"), [(8000, "800"), (10000, "1000"), (25000, "1000")])
def test_californias_deposit(price: int, deposit: str) -> None:
    """B&P 7159.5(a)(3): the lesser of $1,000 or 10 percent."""
    assert most_deposit(RULES["California"], price=Decimal(price)) == Decimal(deposit)


@pytest.mark.parametrize("place", ["Maryland", "Massachusetts", "Pennsylvania", "Maine"])
def test_a_third_is_never_rounded_up(place: str) -> None:
    """Md. Bus. Reg. 8-617; legalclarity.org for the others: a third. Of $1,000 that is $333.33 and not a cent more."""
    assert most_deposit(RULES[place], price=Decimal(1000)) == Decimal("333.33")


@pytest.mark.parametrize(
    ("place", "most"), [("Massachusetts", "533.33"), ("Pennsylvania", "533.33"), ("Maine", "333.33")]
)
def test_material_on_special_order_comes_on_top_where_a_place_counts_it(place: str, most: str) -> None:
    """legalclarity.org/contractor-down-payment-laws-by-state: in Massachusetts and Pennsylvania. $200 of $1,000."""
    assert most_deposit(RULES[place], price=Decimal(1000), special_order=Decimal(200)) == Decimal(most)


@pytest.mark.parametrize(
    ("signed", "holidays", "last"),
    [
        # 16 CFR 429: Saturdays count, Sundays and federal holidays don't. Signed Thursday: Monday; Friday: Tuesday.
        (date(2026, 6, 11), (), date(2026, 6, 15)),
        (date(2026, 6, 12), (), date(2026, 6, 16)),
        # Thanksgiving 2026 is the 26th: signed the Wednesday before, Friday, Saturday, Monday.
        (date(2026, 11, 25), (date(2026, 11, 26),), date(2026, 11, 30)),
    ],
)
def test_the_last_day_to_cancel(signed: date, holidays: tuple[date, ...], last: date) -> None:
    assert last_day_to_cancel(signed, holidays=holidays) == last


@pytest.mark.parametrize(
    ("price", "at_home", "covered"),
    [("24.99", True, False), ("25", True, True), ("129", False, False), ("130", False, True)],
)
def test_what_the_cooling_off_rule_covers(price: str, at_home: bool, covered: bool) -> None:
    assert may_cancel(price=Decimal(price), at_home=at_home) is covered


@pytest.mark.parametrize(
    ("people", "hours", "units", "rate"),
    # jlconline.com, determining labor productivity rates: 8 man-hours for 9 doors; two people, 6 h, 240 feet.
    [(1, 8, 9, "0.89"), (2, 6, 240, "0.05")],
)
def test_rates_come_from_time_cards(people: int, hours: int, units: int, rate: str) -> None:
    found = hours_per_unit(people=people, hours=Decimal(hours), units=Decimal(units))
    assert round(found, 2) == Decimal(rate)
