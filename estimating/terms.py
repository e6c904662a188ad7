"""From rows to `pricing.Terms`: the shop's rules, the taxes of a place, and what an estimate has of both."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from base.figures import digits
from estimating.local_limits import bare_name, local_limits, names_of, same_place
from estimating.models import Estimate, EstimateLine, PriceRules, TaxRule
from estimating.pricing import Tax, Terms, Totals, add_up

ZERO = Decimal(0)


def price_rules() -> PriceRules:
    """The shop's rules; those of a shop that never said, unsaved. One query."""
    return PriceRules.objects.filter(pk=1).first() or PriceRules()


TaxRow = dict[str, str]
"""A tax as an estimate keeps it."""


def taxes_in(region: str) -> list[TaxRow]:
    """The taxes of a region as an estimate keeps them; those for everywhere else where it has none. 2 queries."""
    return tax_rows(TaxRule.objects.all(), region, names_of(local_limits().values()))[0]


def tax_rows(rules: Iterable[TaxRule], region: str, names: Mapping[str, str]) -> tuple[list[TaxRow], bool]:
    """The same, of these rules; and whether they are the region's own. `names`: of places, as `names_of` has them."""
    rules, here = list(rules), bare_name(region)
    as_typed = [rule for rule in rules if rule.region and bare_name(rule.region) == here]
    of_the_place = [rule for rule in rules if rule.region and same_place(rule.region, region, names)]
    # Of a place that the table has by several of its names, those of one of them.
    own = as_typed or [rule for rule in of_the_place if rule.region == of_the_place[0].region]
    rows = [
        {"kind": rule.kind, "on": rule.on, "percent": digits(rule.percent)}
        for rule in own or [rule for rule in rules if not rule.region]
    ]
    return rows, bool(own)


def terms_of(estimate: Estimate) -> Terms:
    """What stands between cost and total of an estimate."""
    return Terms(
        overhead_by=estimate.overhead_by,  # type: ignore[arg-type]
        overhead=estimate.overhead,
        minimum=estimate.minimum,
        discount_percent=estimate.discount_percent,
        discount_amount=estimate.discount_amount,
        round_to=estimate.round_to,
        taxes=tuple(Tax(kind=tax["kind"], on=tax["on"], percent=Decimal(tax["percent"])) for tax in estimate.taxes),
    )


def terms_of_a_change(estimate: Estimate) -> Terms:
    """Those that hold for work on top of what was accepted: overhead and taxes as in the estimate. Its least price,
    discount and rounding were the proposal's."""
    return replace(terms_of(estimate), minimum=ZERO, discount_percent=ZERO, discount_amount=ZERO, round_to=0)


def totals_of(estimate: Estimate, lines: Sequence[EstimateLine]) -> Totals:
    """The totals of an estimate with these lines."""
    return add_up(
        lines=[(line.kind, line.cost, line.hours) for line in lines],  # type: ignore[misc]
        markup_percent=estimate.markup_percent,
        tax_percent=estimate.tax_percent,
        terms=terms_of(estimate),
    )


def too_thin(estimate: Estimate, totals: Totals, rules: PriceRules) -> bool:
    """Whether the margin is below the shop's least, and nobody gave a reason for one as low as this."""
    margin = totals.margin_percent
    agreed = estimate.thin_margin if estimate.thin_reason else None
    return margin < rules.minimum_margin and bool(totals.cost) and (agreed is None or margin < agreed)
