"""How the shop makes a price of a cost. Estimates that have begun keep what they began with."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.local_limits import local_limits, names_of, same_place
from estimating.models import PriceRules, TaxRule
from shop.audit import change
from shop.models import Staff

_MOST_TAXES = 300


class BadTax(Refused):
    """A tax that can't be kept as it is. The message says why."""


def set_price_rules(*, by: Staff, **figures: Any) -> PriceRules:
    """The shop's rules with these fields of `PriceRules`."""
    with change(by):
        rules, _made = PriceRules.objects.update_or_create(pk=1, defaults=figures)
    return rules


def add_tax_rule(*, region: str, kind: str, on: str, percent: Decimal, by: Staff) -> TaxRule:
    """The tax of a kind of line in a region; of one that is there already, by whatever name, the new figures. Raises
    BadTax."""
    region = " ".join(region.split())
    with change(by):
        names = names_of(local_limits().values())
        of_the_kind = TaxRule.objects.filter(kind=kind)
        there = next((rule for rule in of_the_kind if same_place(rule.region, region, names)), None)
        if there is None and TaxRule.objects.count() >= _MOST_TAXES:
            raise BadTax(_("The table holds %(most)s taxes.") % {"most": _MOST_TAXES})
        rule = there or TaxRule(region=region, kind=kind)
        rule.on, rule.percent = on, percent
        rule.save()
    return rule


def remove_tax_rule(*, rule: TaxRule, by: Staff) -> None:
    """Removes it; removing it twice changes nothing."""
    with change(by):
        TaxRule.objects.filter(pk=rule.pk).delete()
