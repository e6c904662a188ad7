"""What a building's age says before anybody disturbs it. State and local rules govern; licensed firms do the work."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from trade.rules import ASBESTOS_YEAR, LEAD_YEAR
from trade.sources import ASBESTOS, LEAD, Rule


@dataclass(frozen=True)
class Caution:
    heading: str
    rule: Rule

    @property
    def text(self) -> str:
        return _(self.rule.text)


def cautions_for(year_built: int | None) -> list[Caution]:
    """The cautions for a building of this year; of an unknown year, all of them. Years and sources: trade."""
    found = []
    if year_built is None or year_built < LEAD_YEAR:
        heading = _("Built before %(year)s: lead") % {"year": LEAD_YEAR} if year_built else _("Lead")
        found.append(Caution(heading, LEAD))
    if year_built is None or year_built < ASBESTOS_YEAR:
        heading = _("Built before %(year)s: asbestos") % {"year": ASBESTOS_YEAR} if year_built else _("Asbestos")
        found.append(Caution(heading, ASBESTOS))
    return found
