"""Which place somebody means by the state or region of an address: one answer for taxes and for limits of payments."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from estimating.local_limits import Local, bare_name, limit_named, local_limits, names_of
from estimating.models import TaxRule
from estimating.terms import TaxRow, tax_rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What holds at a site. `name` is empty where what was `typed` is no place that is known; `own_taxes`: whether the
    table of taxes has the place, and not only everywhere else."""

    typed: str
    name: str
    local: Local
    taxes: list[TaxRow] = field(default_factory=list)
    own_taxes: bool = False
    table: bool = False
    """Whether the shop has a table of taxes at all."""


def place_of(region: str) -> Place:
    """2 queries."""
    limits, rules = local_limits(), list(TaxRule.objects.all())
    names = names_of(limits.values())
    taxes, own = tax_rows(rules, region, names)
    return Place(
        typed=region.strip(),
        name=names.get(bare_name(region)) or _in_the_table(region, rules),
        local=limit_named(region, limits),
        taxes=taxes,
        own_taxes=own,
        table=bool(rules),
    )


def _in_the_table(region: str, rules: Iterable[TaxRule]) -> str:
    """A place that only the table of taxes knows."""
    there = bare_name(region)
    return next((rule.region for rule in rules if there and bare_name(rule.region) == there), "")
