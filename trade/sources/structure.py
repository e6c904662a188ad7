"""Structure: what a floor may bend under tile."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

DEFLECTION = Rule(
    id="structure.deflection",
    text=gettext_noop(
        "Floors under ceramic tile bend at most span/360 under total load, under natural stone span/720. "
        "Anything structural goes to a licensed design professional."
    ),
    source="ANSI A108.01 and stone institute, as quoted in tech note GE-6, deflection criteria for stone and tile",
    confidence="seen",
)
DEFLECTION_STONE = Rule(
    id="structure.stone-deflection",
    text=gettext_noop(
        "Under natural stone a floor bends at most 1/720 of its span up to 14 ft, and never more than 7/32 in. "
        "A licensed design professional decides; the local code governs."
    ),
    source="stone institute limit, as quoted in tech note GE-6 on deflection under stone and tile (fdocuments.us)",
    confidence="seen",
)
