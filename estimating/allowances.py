"""Allowances: lines whose thing isn't chosen yet, at an amount that the client agrees to and that is settled once its
cost is known."""

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

from estimating.models import Estimate, EstimateLine
from estimating.pricing import Totals, cents, marked_up
from estimating.terms import terms_of


def allowances_in(lines: Iterable[EstimateLine]) -> list[EstimateLine]:
    return [line for line in lines if line.allowance and line.cost]


def allowed(line: EstimateLine, *, estimate: Estimate, totals: Totals) -> Decimal:
    """What a line may cost the client: with overhead, markup and the taxes that `totals` charge on its kind; before any
    discount, least price or rounding of the whole."""
    price = marked_up(
        cost=line.cost, hours=Decimal(0), markup_percent=estimate.markup_percent, terms=terms_of(estimate)
    )
    taxes = (each.tax for each in totals.taxes if each.tax.kind == line.kind)
    taxed = (Fraction(line.cost if tax.on == "cost" else price) * Fraction(tax.percent) / 100 for tax in taxes)
    return price + sum((cents(each) for each in taxed), Decimal(0))
