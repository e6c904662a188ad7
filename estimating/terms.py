"""From rows to `pricing.Terms`: the shop's rules, the taxes of a place, and what an estimate has of both."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from base.figures import digits
from estimating.models import Estimate, EstimateLine, PriceRules, TaxRule
from estimating.pricing import Tax, Terms, Totals, add_up

ZERO = Decimal(0)


def price_rules() -> PriceRules:
    """The shop's rules; those of a shop that never said, unsaved. One query."""
    return PriceRules.objects.filter(pk=1).first() or PriceRules()


def taxes_in(region: str) -> list[dict[str, str]]:
    """The taxes of a region as an estimate keeps them; those for everywhere else where it has none. One query."""
    rules = list(TaxRule.objects.all())
    here = region.strip().casefold()
    found = [rule for rule in rules if rule.region and rule.region.strip().casefold() == here]
    return [
        {"kind": rule.kind, "on": rule.on, "percent": digits(rule.percent)}
        for rule in found or [rule for rule in rules if not rule.region]
    ]


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
