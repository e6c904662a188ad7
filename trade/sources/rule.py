"""A rule of the trade: what it says, where it stands, and how sure we are of it."""

from dataclasses import dataclass
from typing import Literal

from trade.words import gettext_noop

Confidence = Literal["seen", "memory", "computed", "common practice"]

NO_SOURCE = gettext_noop("common practice, no source")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """`text` is English for translation; `source` names standard and page, `edition` the text that was quoted there.

    `confidence`: the figure was `seen` in the source, is from `memory`, is `computed` from what the text states, or is
    `common practice` without a source.
    """

    id: str
    text: str
    source: str
    edition: str = ""
    confidence: Confidence

    @property
    def cited(self) -> str:
        """The source with its edition, where that is known."""
        return ", ".join(part for part in (self.source, self.edition) if part)


def practice(rule_id: str, text: str) -> Rule:
    """Return a rule that everybody follows and nobody publishes."""
    return Rule(id=rule_id, text=text, source=NO_SOURCE, confidence="common practice")
