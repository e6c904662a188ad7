"""What a proposal says that no shop may leave out: what to be careful about, and what goes before it.

Cautions are those of `trade`, with the sources that stand there.
"""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from trade import sources
from trade.phases import Specification
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR
from trade.specification import WET_PLACES


def cautions(specifications: Iterable[Specification]) -> list[dict[str, str]]:
    """What can hurt somebody in this work, as `text` and `source`, the strictest of all rooms."""
    specifications = list(specifications)
    # A year that nobody knows counts as old.
    built = min((specification.year_built or 0 for specification in specifications), default=0)
    rules = [sources.SILICA]
    if built < LEAD_YEAR:
        rules.append(sources.LEAD)
    if built < ASBESTOS_YEAR:
        rules.append(sources.ASBESTOS)
    if any(specification.place in WET_PLACES for specification in specifications):
        rules.append(sources.PLUMBING)
    rules += [sources.WIRING, sources.STRUCTURE]
    return [{"text": _(rule.text), "source": rule.source} for rule in rules]


def governs() -> str:
    return _(
        "Manufacturers' written instructions, the local code and its inspector, and licensed trades for plumbing, "
        "electrical work and structure go before anything said here."
    )
