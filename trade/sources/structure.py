"""Structure: what a floor may bend under tile, and how dry its lumber is."""

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
DEFLECTION_I_JOIST = Rule(
    id="structure.i-joist-deflection",
    text=gettext_noop(
        "Under live load a floor on I-joists bends at most 1/480 of its span beneath ceramic tile and 1/720 beneath "
        "stone. A licensed design professional decides; the local code governs."
    ),
    source="NTCA Reference Manual, user-69113096.cld.bz/2024-25-NTCA-Reference-Manual-dig-dwnld/55",
    edition="2024-25",
    confidence="seen",
)
FRAMING_MOISTURE = Rule(
    id="structure.framing-moisture",
    text=gettext_noop(
        "Framing lumber holds at most 19 percent of moisture before a tile backer goes on it. Your local code may ask "
        "less."
    ),
    source="ANSI A108.11 4.1, as reported in tileletter.com/category/tile-business-articles/ask-the-experts/",
    confidence="seen",
)
