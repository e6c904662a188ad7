"""Price and contract in figures: markup and margin, deposits, the days in which a client may cancel.  Decimal, dates.

Local law applies, and none of this is legal advice: what a place allows is the shop's to enter.  The examples carry
their source.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from trade.figures import not_negative, positive
from trade.sources import Confidence


@dataclass(frozen=True, slots=True, kw_only=True)
class DepositRule:
    """What a place lets a shop ask before the work: a share of the price, and an amount where there is one."""

    place: str
    code: str
    share: Fraction
    most: Decimal | None
    source: str
    confidence: Confidence
    by_value: bool = False
    """Whether later payments may never come to more than the work that is done and the material that is delivered."""
    special_order: bool = False
    """Whether what material on special order costs may be asked for on top of the share."""


THIRD = Fraction(1, 3)
DEPOSITS = (
    DepositRule(
        place="California",
        code="CA",
        share=Fraction(1, 10),
        most=Decimal(1000),
        source="B&P 7159.5(a)(3), as quoted in ashleybaron.com/2021/deposits-on-home-improvement-contracts/",
        confidence="seen",
        by_value=True,
    ),
    DepositRule(
        place="Maryland",
        code="MD",
        share=THIRD,
        most=None,
        source="Bus. Reg. 8-617, law.justia.com/codes/maryland/2005/gbr/8-617.html; nothing before signing",
        confidence="seen",
    ),
    *(
        DepositRule(
            place=place,
            code=code,
            share=THIRD,
            most=None,
            source=f"legalclarity.org/contractor-down-payment-laws-by-state; {beside}",
            confidence="seen",
            special_order=special_order,
        )
        for place, code, special_order, beside in (
            ("Massachusetts", "MA", True, "material on special order comes to it"),
            ("Pennsylvania", "PA", True, "material on special order comes to it"),
            ("Maine", "ME", False, "may be waived in writing"),
        )
    ),
)
"""Examples to begin from, each to be checked against the law of today.  Codes are those that stand in addresses."""

COOLING_OFF_DAYS = 3
REFUND_DAYS = 10
COOLING_OFF_AT_HOME, COOLING_OFF_ELSEWHERE = Decimal(25), Decimal(130)
"""16 CFR 429, as told in consumer.ftc.gov/blog/door-door-sales-and-ftcs-cooling-rule."""


def margin_of(markup_percent: Decimal) -> Decimal:
    """Return the margin, percent of the price, that a markup on cost gives: m / (1 + m)."""
    not_negative(markup_percent=markup_percent)
    return markup_percent / (100 + markup_percent) * 100


def markup_of(margin_percent: Decimal) -> Decimal:
    """Return the markup on cost, percent, that gives a margin: g / (1 - g).  ValueError from 100 percent up."""
    return margin_percent / _left_for_cost(margin_percent) * 100


def price_for(*, cost: Decimal, margin_percent: Decimal) -> Decimal:
    """Return the price at which a cost leaves this margin: cost / (1 - g), not rounded."""
    not_negative(cost=cost)
    return cost * 100 / _left_for_cost(margin_percent)


def _left_for_cost(margin_percent: Decimal) -> Decimal:
    """Return the percent of the price that the cost may be."""
    not_negative(margin_percent=margin_percent)
    if margin_percent >= 100:
        raise ValueError(f"a margin is under 100 percent, got {margin_percent}")
    return 100 - margin_percent


def most_deposit(rule: DepositRule, *, price: Decimal, special_order: Decimal = Decimal(0)) -> Decimal:
    """Return the most that may be asked before the work, rounded down to the cent: of the price, and on top of that
    what material on special order costs, where the place counts it."""
    not_negative(price=price, special_order=special_order)
    # As a fraction: a third of 3,000 in decimals comes out a cent short.
    share = Decimal(int(Fraction(price) * rule.share * 100)).scaleb(-2)
    most = share if rule.most is None else min(share, rule.most)
    return most + special_order if rule.special_order else most


def may_cancel(*, price: Decimal, at_home: bool) -> bool:
    """Return whether the federal cooling-off rule covers a sale: at the client's home, or elsewhere but in the shop."""
    not_negative(price=price)
    return price >= (COOLING_OFF_AT_HOME if at_home else COOLING_OFF_ELSEWHERE)


def last_day_to_cancel(signed: date, *, days: int = COOLING_OFF_DAYS, holidays: Collection[date] = ()) -> date:
    """Return the day at whose midnight the right to cancel ends: so many business days after signing.

    Saturdays count, Sundays and federal holidays (`holidays`, as trade.holidays has them) don't.
    """
    day, left = signed, days
    while left:
        day += timedelta(days=1)
        if day.weekday() != 6 and day not in holidays:
            left -= 1
    return day


def hours_per_unit(*, people: int, hours: Decimal, units: Decimal) -> Decimal:
    """Return one person's hours for a unit of work, from a shop's own time cards."""
    positive(people=Decimal(people), hours=hours, units=units)
    return people * hours / units
