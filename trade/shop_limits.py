"""The limits that a shop may set: each with its default, the rule it comes from, and how far it may reasonably go.

Lengths are Decimal mm, slopes and shares percent, waits hours. A product's written instructions and the local code
outrank every one of them. What decides a class (a tile is large from 15 in) or a law (the years of lead and asbestos)
is no limit and stays.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal, InvalidOperation
from typing import cast

from trade.limit_figures import Figure
from trade.shop_figures import ShopFigures
from trade.sources import Rule
from trade.words import gettext_noop


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLimits(ShopFigures):
    """What a shop judges by. Raises ValueError, with the figure's key, for what is no number above nothing, and where a
    least is more than its most."""

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not (isinstance(value, Decimal) and value.is_finite() and value > 0):
                raise ValueError(f"{each.name}: must be more than 0, got {value!r}")
        for low, high in PAIRS:
            if getattr(self, low) > getattr(self, high):
                raise ValueError(f"{low}: more than {high}")

    @classmethod
    def of(cls, own: Mapping[str, Decimal]) -> "ShopLimits":
        """Return the limits with a shop's `own` figures in place of the defaults.  Raises ValueError for a key that
        isn't one, and what the class raises."""
        if unknown := set(own) - set(FIGURES):
            raise ValueError(f"no such limit: {', '.join(sorted(unknown))}")
        return cls(**own)

    def value(self, key: str) -> Decimal:
        """Return the figure of that key.  KeyError for one that isn't there."""
        value: Decimal = getattr(self, FIGURES[key].key)
        return value

    def own(self) -> dict[str, Decimal]:
        """Return the figures that differ from their source's."""
        return {key: self.value(key) for key, figure in FIGURES.items() if self.value(key) != figure.default}

    def rule(self, *keys: str, named: Rule | None = None) -> Rule:
        """Return the rule that a verdict names which was reached by these figures: `named`, or the figures' own.

        Where the shop has a figure of its own the rule's source says so, and that it is looser where one is.
        """
        rule = named or FIGURES[keys[0]].rule
        found = {FIGURES[key].beside(self.value(key)) for key in keys}
        if "looser" in found:
            return replace(rule, source=f"{LOOSER}: {rule.source}")
        if "stricter" in found:
            return replace(rule, source=f"{STRICTER}: {rule.source}")
        return rule

    def to_json(self) -> dict[str, str]:
        """Return the shop's own figures as JSON-ready data; none where it has none."""
        return {key: str(value) for key, value in self.own().items()}

    @classmethod
    def from_json(cls, data: Mapping[str, str]) -> "ShopLimits":
        """Return the limits that `to_json` wrote.  Raises ValueError for anything else."""
        try:
            return cls.of({key: Decimal(value) for key, value in data.items()})
        except InvalidOperation:
            raise ValueError(f"limits must be numbers in quotes, got {data!r}") from None


OWN = gettext_noop("the shop's own limit")
"""How the source of a verdict begins that was reached by a figure of the shop's own."""

LOOSER = gettext_noop("the shop's own limit, looser than its source")
"""The same where it lets more pass than the source."""

STRICTER = gettext_noop("the shop's own limit, stricter than its source")
"""The same where it lets less pass."""

PAIRS: tuple[tuple[str, str], ...] = (
    ("shower_slope_low_percent", "shower_slope_high_percent"),
    ("curb_low_mm", "curb_high_mm"),
    ("sill_low_percent", "sill_high_percent"),
    ("water_depth_low_mm", "water_depth_high_mm"),
    ("bed_low_mm", "bed_high_mm"),
    ("bed_low_mm", "bed_large_high_mm"),
    ("setting_low_f", "setting_high_f"),
)
"""A least and its most."""

FIGURES: Mapping[str, Figure] = {
    each.name: Figure(key=each.name, default=cast(Decimal, each.default), **each.metadata)
    for each in fields(ShopLimits)
}
"""Every limit by its key, in the order in which a person reads them."""

DEFAULTS = ShopLimits()
