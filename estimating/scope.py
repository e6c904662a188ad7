"""The words of a proposal: what is done phase by phase, what the price rests on, and what to be careful about.

Sentences of scope and terms: common practice, no source (they are the shop's to edit in later versions). Cautions are
those of `trade`, with the sources that stand there.
"""

from collections.abc import Iterable

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from trade import sources
from trade.phases import Phase, Specification
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR
from trade.specification import WET_PLACES

# What each phase means to somebody who lives there.
SCOPE: dict[str, Promise] = {
    "demolition": gettext_lazy("Take out the old tile and board where the new work goes, and clear it from the room."),
    "rough_in": gettext_lazy(
        "Check that valve, drain, boxes and blocking suit the finished tile, and photograph them before they are "
        "covered."
    ),
    "substrate": gettext_lazy(
        "Bring walls and floor true within the tolerance for this tile, and fasten what carries it."
    ),
    "slope": gettext_lazy("Build the slope that carries water to the drain."),
    "waterproofing": gettext_lazy("Waterproof what gets wet, corners and laps reinforced."),
    "water_test": gettext_lazy("Prove it with standing water before any tile covers it."),
    "layout": gettext_lazy("Lay out from a level and a plumb line, as drawn here, and show you before setting."),
    "setting": gettext_lazy("Set the tile in mortar, with its coverage checked on lifted tiles."),
    "grout": gettext_lazy("Grout once the mortar has cured."),
    "soft_joints": gettext_lazy("Fill corners and edges with sealant, so that they can move, and seal what needs it."),
}


def scope_of(phases: Iterable[Phase]) -> list[dict[str, str]]:
    """Each phase as `name` and `text`; a phase without a sentence here goes by its name alone."""
    return [{"name": _(phase.name), "text": str(SCOPE.get(phase.key, ""))} for phase in phases]


def terms(*, supplied_by_owner: bool = False) -> list[str]:
    """What the price rests on: common practice, no source."""
    said = [
        _(
            "The price assumes framing and floors within the stated tolerance. Correction is billed at the unit prices "
            "below, after your approval."
        ),
        _("Another size, pattern or material of tile changes the labor, and is priced anew before it is done."),
        _(
            "Not included: plumbing, electrical work, structure, mold, lead and asbestos, glass, painting, trimming of "
            "doors, moving of fixtures, and permits unless they are listed."
        ),
        _(
            "The finished work is judged in normal light from standing height, not under light that grazes it. Shade "
            "and natural variation follow the sample that you sign."
        ),
        _(
            "You provide heat, water, power, parking and a toilet, and keep the room free of other trades and of "
            "traffic while mortar, membrane and grout cure."
        ),
        _("Concealed conditions stop the part of the work that they affect, until we have agreed on them in writing."),
        _("A change is agreed in writing, with its price and its days, before it is done."),
        _("The final payment is due at the walk-through, less the value of what is still on the punch list."),
    ]
    if supplied_by_owner:
        said.insert(
            2, _("Tile that you supply: we inspect and count it. Shortage, defects and lost days are yours to carry.")
        )
    return said


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


def cooling_off() -> str:
    """Local law applies: no day is computed here."""
    return _(
        "Local law applies. Where it gives you days to think it over after signing at home, you have them: under the "
        "federal rule in the United States (16 CFR 429) three business days, and your state may give more. Ask us for "
        "the notice that belongs to it."
    )


def warranty(months: int) -> str:
    return _("Our workmanship is warranted for %(months)s months from the closeout, in writing.") % {"months": months}


def governs() -> str:
    return _(
        "Manufacturers' written instructions, the local code and its inspector, and licensed trades for plumbing, "
        "electrical work and structure go before anything said here."
    )
