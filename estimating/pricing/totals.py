"""From the cost of lines to what the client pays, a step at a time.

    lines -> overhead -> markup -> minimum for a job -> discount -> tax -> rounding

Each step is in whole cents, so that the steps add up to the total.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil
from typing import Literal

from estimating.pricing.money import cents, rounded, share_out

Kind = Literal["material", "labor", "equipment", "disposal", "travel", "other"]
KINDS: tuple[Kind, ...] = ("material", "labor", "equipment", "disposal", "travel", "other")

MAN_DAY_HOURS = 8
"""One person, one 8-hour day: NAVFAC P-405, as quoted in constructionmanuals.tpub.com/14045."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tax:
    """What is charged on one kind of line: on its cost to the shop, or on its part of the price before tax."""

    kind: Kind
    on: Literal["cost", "price"]
    percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Charged:
    """A tax as it came out: `amount` is `tax.percent` of `base`."""

    tax: Tax
    base: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What comes between cost and total beside the markup; by default nothing does.

    `overhead` is money for each hour of labor, or a percent of the lines' cost, as `overhead_by` says. `minimum` is the
    least price before tax. `discount_percent` and `discount_amount` take off what stands then, and never more than
    that. `round_to`: the total is a multiple of it, 0 leaves the cents; it takes nothing off the least price, nor off
    what a discount left below it.
    """

    overhead_by: Literal["", "hour", "percent"] = ""
    overhead: Decimal = Decimal(0)
    minimum: Decimal = Decimal(0)
    discount_percent: Decimal = Decimal(0)
    discount_amount: Decimal = Decimal(0)
    round_to: int = 0
    taxes: tuple[Tax, ...] = ()


PLAIN = Terms()


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """`cost` is that of the lines, of which `by_kind` has the sum of each kind, `full_cost` with overhead; `price` is
    what the client pays before tax and rounding, `total` what the client pays."""

    by_kind: Mapping[Kind, Decimal]
    cost: Decimal
    hours: Decimal
    overhead: Decimal
    markup_percent: Decimal
    markup: Decimal
    to_minimum: Decimal
    discount: Decimal
    price: Decimal
    tax_percent: Decimal
    taxes: tuple[Charged, ...]
    tax: Decimal
    rounding: Decimal
    total: Decimal

    @property
    def full_cost(self) -> Decimal:
        return self.cost + self.overhead

    @property
    def kept(self) -> Decimal:
        """The price before tax, with what rounding adds or takes."""
        return self.price + self.rounding

    @property
    def profit(self) -> Decimal:
        """What stays of the price when lines and overhead are paid; less than nothing is a loss."""
        return self.kept - self.full_cost

    @property
    def margin_percent(self) -> Decimal:
        """The part of the price that isn't cost, percent to two places: not the markup, which is a part of the cost."""
        return rounded(Fraction(self.profit) / Fraction(self.kept) * 100, 2) if self.kept > 0 else Decimal(0)

    @property
    def person_days(self) -> int:
        """Days of one person, begun ones counted."""
        return ceil(self.hours / MAN_DAY_HOURS)


def add_up(
    *,
    lines: Iterable[tuple[Kind, Decimal, Decimal | None]],
    markup_percent: Decimal,
    tax_percent: Decimal,
    terms: Terms = PLAIN,
) -> Totals:
    """The totals of lines given as (kind, cost, hours). Raises TooMuch.

    Without `terms.taxes`, tax is `tax_percent` of the cost of materials, and carries no markup: the shop pays it when
    it buys. Common practice in many places, no source; what is taxed where, the local law and an accountant decide.
    """
    sums: dict[Kind, Decimal] = dict.fromkeys(KINDS, Decimal(0))
    hours = Decimal(0)
    for kind, cost, worked in lines:
        sums[kind] += cost
        hours += worked or 0
    cost = sum(sums.values(), Decimal(0))
    overhead = cents(overhead_on(terms, cost=cost, hours=hours))
    markup = cents(Fraction(cost + overhead) * Fraction(markup_percent) / 100)
    marked = cents(cost + overhead + markup)
    to_minimum = max(Decimal(0), cents(terms.minimum) - marked) if marked else Decimal(0)
    discount = _discount(terms, marked + to_minimum)
    price = cents(marked + to_minimum - discount)
    taxes = _taxes(terms.taxes or _on_materials(tax_percent), sums=sums, price=price)
    tax = sum((each.amount for each in taxes), Decimal(0))
    above_least = price - min(price, cents(terms.minimum)) if terms.minimum else price + tax
    rounding = _rounding(price + tax, terms.round_to, most_off=above_least)
    return Totals(
        by_kind=sums,
        cost=cost,
        hours=hours,
        overhead=overhead,
        markup_percent=markup_percent,
        markup=markup,
        to_minimum=to_minimum,
        discount=discount,
        price=price,
        tax_percent=tax_percent,
        taxes=taxes,
        tax=tax,
        rounding=rounding,
        total=cents(price + tax + rounding),
    )


def marked_up(*, cost: Decimal, hours: Decimal, markup_percent: Decimal, terms: Terms = PLAIN) -> Decimal:
    """The price of a unit that costs the shop `cost`, `hours` of labor in it: with overhead and markup, no discount."""
    full = cost + cents(overhead_on(terms, cost=cost, hours=hours))
    return cents(Fraction(full) * (1 + Fraction(markup_percent) / 100))


def overhead_on(terms: Terms, *, cost: Decimal, hours: Decimal) -> Fraction:
    """The overhead that `cost`, with `hours` of labor in it, has to carry; not rounded."""
    if terms.overhead_by == "hour":
        return Fraction(hours) * Fraction(terms.overhead)
    if terms.overhead_by == "percent":
        return Fraction(cost) * Fraction(terms.overhead) / 100
    return Fraction(0)


def _discount(terms: Terms, price: Decimal) -> Decimal:
    by_percent = cents(Fraction(price) * Fraction(terms.discount_percent) / 100)
    return min(price, by_percent + cents(terms.discount_amount))


def _on_materials(percent: Decimal) -> tuple[Tax, ...]:
    return (Tax(kind="material", on="cost", percent=percent),) if percent else ()


def _taxes(taxes: Iterable[Tax], *, sums: dict[Kind, Decimal], price: Decimal) -> tuple[Charged, ...]:
    """Each tax on its base; of the price, a kind has the part that it has of the cost."""
    parts = dict(zip(KINDS, share_out(amount=price, weights=[sums[kind] for kind in KINDS]), strict=True))
    charged = []
    for tax in taxes:
        base = sums[tax.kind] if tax.on == "cost" else parts[tax.kind]
        charged.append(Charged(tax=tax, base=base, amount=cents(Fraction(base) * Fraction(tax.percent) / 100)))
    return tuple(charged)


def _rounding(amount: Decimal, step: int, *, most_off: Decimal) -> Decimal:
    """What brings `amount` to the nearest multiple of `step`, half up, and never to nothing; to the next one above it
    where that would take off more than `most_off`."""
    if not step or not amount:
        return Decimal(0)
    steps = max(Decimal(1), (amount / step).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    if amount - steps * step > most_off:
        steps += 1
    return cents(steps * step - amount)


def margin_of(markup_percent: Decimal) -> Decimal:
    """The margin that a markup gives, percent to two places: m / (1 + m)."""
    markup = Fraction(markup_percent) / 100
    return rounded(markup / (1 + markup) * 100, 2)


def markup_of(margin_percent: Decimal) -> Decimal:
    """The markup that a margin takes, percent to two places: g / (1 - g). Raises ValueError from 100 percent on."""
    margin = Fraction(margin_percent) / 100
    if margin >= 1:
        raise ValueError("a margin is less than 100 percent")
    return rounded(margin / (1 - margin) * 100, 2)
