"""A verdict: one rule applied to one case, with the figures that decided it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from trade.lengths import MM_PER_INCH, SIXTY_FOURTH, THIRTY_SECOND, Unit, format_length, round_to_fraction
from trade.limits import Outcome
from trade.sources import Rule

_EXACT_MM = Fraction(1, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`figures` are Decimals whose names end in their unit (`_mm`, `_percent`, `_hours`) or are plain numbers.

    `template` is English for translation and uses the figures by name.
    """

    rule: Rule
    outcome: Outcome
    template: str
    figures: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The verdict in English, lengths in inches."""
        return self.say(unit="in")

    def say(self, *, unit: Unit, translate: Callable[[str], str] = str) -> str:
        """Return the verdict as a sentence in `unit`, its template passed through `translate` first."""
        return translate(self.template) % {name: _shown(name, value, unit) for name, value in self.figures.items()}


def _shown(name: str, value: Decimal, unit: Unit) -> str:
    if name.endswith("_mm"):
        return _length(value, unit)
    return in_hundredths(value)


def _length(mm: Decimal, unit: Unit) -> str:
    """Return a length near a limit: where the fraction is not the whole truth, millimeters stand beside it."""
    if unit == "mm":
        return f"{in_hundredths(mm)} mm"
    step = THIRTY_SECOND if abs(mm) >= 1 else SIXTY_FOURTH
    text = format_length(mm, unit="in", step=step)
    exact = abs(round_to_fraction(mm, step=step) * MM_PER_INCH - Fraction(mm)) < _EXACT_MM
    return text if exact else f"{text} ({in_hundredths(mm)} mm)"


def in_hundredths(value: Decimal) -> str:
    """Return a number as a person reads it: two decimals at most, no zeros that say nothing."""
    rounded = round(value, 2)
    return f"{rounded.normalize():f}" if rounded else "0"
