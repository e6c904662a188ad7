"""Days that federal holidays are counted by, and the last day to cancel over them."""

from datetime import date
from decimal import Decimal

import pytest

from trade.contract import DEPOSITS, last_day_to_cancel, most_deposit
from trade.holidays import federal_holidays

# The days on which federal offices are closed, as the Office of Personnel Management lists them; from memory.
OBSERVED = {
    2026: "01-01 01-19 02-16 05-25 06-19 07-03 09-07 10-12 11-11 11-26 12-25",
    2027: "01-01 01-18 02-15 05-31 06-18 07-05 09-06 10-11 11-11 11-25 12-24 12-31",
}


@pytest.mark.parametrize("year", OBSERVED)
def test_they_are_those_of_the_official_list(year: int) -> None:
    listed = {date.fromisoformat(f"{year}-{day}") for day in OBSERVED[year].split()}
    ours = federal_holidays(year)
    assert listed <= ours
    # The rest are the days themselves, where they are observed on another.
    assert {day.weekday() for day in ours - listed} <= {5, 6}


# TRADE.md 13, "check": Thursday to Monday's midnight, Friday to Tuesday's; the others counted on the calendar by hand.
@pytest.mark.parametrize(
    ("signed", "last"),
    [
        (date(2026, 6, 4), date(2026, 6, 8)),
        (date(2026, 6, 5), date(2026, 6, 9)),
        # Over Thanksgiving, Thursday the 26th: Friday, Saturday, Monday.
        (date(2026, 11, 25), date(2026, 11, 30)),
        # Christmas is a Friday: Thursday, Saturday, Monday.
        (date(2026, 12, 23), date(2026, 12, 28)),
        # Friday the 1st of January 2027 falls out, in another year than the signing: Thursday, Saturday, Monday.
        (date(2026, 12, 30), date(2027, 1, 4)),
    ],
)
def test_the_last_day_to_cancel_steps_over_them(signed: date, last: date) -> None:
    holidays = federal_holidays(signed.year) | federal_holidays(signed.year + 1)
    assert last_day_to_cancel(signed, holidays=holidays) == last


def test_a_place_may_give_more_days() -> None:
    # Invented: five business days from Thursday are Friday, Saturday, Monday, Tuesday, Wednesday.
    assert last_day_to_cancel(date(2026, 6, 4), days=5) == date(2026, 6, 10)


@pytest.mark.parametrize("price", ["3", "30", "3000", "27000", "0.03"])
def test_a_third_is_no_cent_short(price: str) -> None:
    # One third (TRADE.md 13, Maryland) of what three goes into is that, exactly.
    (rule,) = (rule for rule in DEPOSITS if rule.place == "Maryland")
    assert most_deposit(rule, price=Decimal(price)) * 3 == Decimal(price)
