"""How an estimate's total comes about, step by step, in words: what the owner reads to check it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from base.figures import digits
from estimating.models import Estimate, EstimateLine, RateKind, TaxOn
from estimating.pricing import Charged, Totals, margin_of
from shop.templatetags.look import money


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A figure, how it was got, and the lines that are in it. `sum` marks what the steps before it come to."""

    name: str
    amount: Decimal
    how: str = ""
    sum: bool = False
    lines: list[tuple[str, Decimal]] = field(default_factory=list)


def explained(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals) -> list[Step]:
    """From the lines to the total; each sum is the steps since the one before, added to it."""
    return [*_costs(estimate, lines, totals), *_price(estimate, totals), *_total(estimate, totals)]


def _costs(estimate: Estimate, lines: Sequence[EstimateLine], totals: Totals) -> Iterator[Step]:
    named = {RateKind.MATERIAL: _("Materials")}
    for kind, amount in totals.by_kind.items():
        of_kind = [(line.full_text, line.cost) for line in lines if line.kind == kind and line.cost]
        how = ngettext("%(count)s line", "%(count)s lines", len(of_kind)) % {"count": len(of_kind)}
        if kind == RateKind.LABOR and totals.hours:
            how = _("%(lines)s, %(hours)s hours") % {"lines": how, "hours": digits(totals.hours)}
        if of_kind:
            yield Step(name=str(named.get(RateKind(kind), RateKind(kind).label)), amount=amount, how=how, lines=of_kind)
    if estimate.overhead_by == "hour":
        how = _("%(hours)s hours at %(rate)s") % {"hours": digits(totals.hours), "rate": money(estimate.overhead)}
        yield Step(name=_("Overhead"), amount=totals.overhead, how=how)
    elif estimate.overhead_by:
        how = _("%(percent)s%% of %(cost)s") % {"percent": digits(estimate.overhead), "cost": money(totals.cost)}
        yield Step(name=_("Overhead"), amount=totals.overhead, how=how)
    yield Step(name=_("Cost to the shop"), amount=totals.full_cost, sum=True)


def _price(estimate: Estimate, totals: Totals) -> Iterator[Step]:
    how = _("%(markup)s%% of the cost, which is a margin of %(margin)s%% of cost and markup") % {
        "markup": digits(totals.markup_percent),
        "margin": digits(margin_of(totals.markup_percent)),
    }
    yield Step(name=_("Markup"), amount=totals.markup, how=how)
    if totals.to_minimum:
        how = _("up to %(minimum)s, the least for a job") % {"minimum": money(estimate.minimum)}
        yield Step(name=_("Minimum"), amount=totals.to_minimum, how=how)
    if totals.discount:
        how = estimate.discount_reason
        if estimate.discount_percent:
            figures = {
                "percent": digits(estimate.discount_percent),
                "price": money(totals.price + totals.discount),
                "why": estimate.discount_reason,
            }
            how = _("%(percent)s%% of %(price)s: %(why)s") % figures
        yield Step(name=_("Discount"), amount=-totals.discount, how=how)
    how = _("margin: %(margin)s%% of it") % {"margin": digits(totals.margin_percent)}
    yield Step(name=_("Price before tax"), amount=totals.price, how=how, sum=True)


def _total(estimate: Estimate, totals: Totals) -> Iterator[Step]:
    for charged in totals.taxes:
        yield Step(name=_tax_name(charged), amount=charged.amount, how=_tax_base(charged))
    if not totals.taxes:
        yield Step(name=_("Tax"), amount=Decimal(0), how=_("none is charged"))
    if estimate.round_to and totals.rounding:
        how = _("to a multiple of %(step)s") % {"step": estimate.round_to}
        yield Step(name=_("Rounding"), amount=totals.rounding, how=how)
    yield Step(name=_("The client pays"), amount=totals.total, sum=True)


def _tax_name(charged: Charged) -> str:
    return {
        RateKind.MATERIAL: _("Tax on materials"),
        RateKind.LABOR: _("Tax on labor"),
        RateKind.EQUIPMENT: _("Tax on equipment"),
        RateKind.DISPOSAL: _("Tax on disposal"),
        RateKind.TRAVEL: _("Tax on travel"),
        RateKind.OTHER: _("Tax on other lines"),
    }[RateKind(charged.tax.kind)]


def _tax_base(charged: Charged) -> str:
    figures = {"percent": digits(charged.tax.percent), "base": money(charged.base)}
    if charged.tax.on == TaxOn.COST:
        return _("%(percent)s%% of %(base)s, their cost without markup") % figures
    return _("%(percent)s%% of %(base)s, their part of the price") % figures
