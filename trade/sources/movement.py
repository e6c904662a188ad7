"""Soft joints: where, how wide, and with what."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

MOVEMENT_PERIMETER = Rule(
    id="movement.perimeter",
    text=gettext_noop(
        "Tile ends with a soft joint wherever it meets what doesn't move with it: walls, columns, curbs, pipes; not at "
        "a drain's strainer."
    ),
    source="TCNA EJ171-09, as read in scribd.com/document/517234345",
    edition="2009",
    confidence="seen",
)
MOVEMENT_PLANES = Rule(
    id="movement.change-of-plane",
    text=gettext_noop("Every inside corner takes a soft joint instead of grout; outdoors every outside corner too."),
    source="TCNA EJ171, as quoted in tileletter.com, August 2018",
    edition="2018",
    confidence="seen",
)
MOVEMENT_WIDTH_FLOOR = Rule(
    id="movement.width-floor",
    text=gettext_noop("Indoors a floor's soft joint is as wide as its grout joints, and 1/4 in at least."),
    source="TCNA EJ171-09, as read in scribd.com/document/517234345",
    edition="2009",
    confidence="seen",
)
MOVEMENT_WIDTH_WALL = Rule(
    id="movement.width-wall",
    text=gettext_noop("On walls and in mosaics a soft joint is 1/4 in where it can be, and never under 1/8 in."),
    source="TCNA EJ171-09, as read in scribd.com/document/517234345",
    edition="2009",
    confidence="seen",
)
SEALANT_DEPTH = Rule(
    id="movement.sealant-depth",
    text=gettext_noop("Sealant stands 1/8 in deep at least and half the joint's width at most, over a round backer."),
    source="civilengineeringx.com, tile installation methods",
    confidence="seen",
)
SEALANT_CLASS = Rule(
    id="movement.sealant-class",
    text=gettext_noop(
        "Ask for sealant by ASTM C920: type S or M, grade NS (P on level floors), a class whose percent covers what "
        "the joint moves, use T where feet or wheels go, else NT, I where it stays under water. Floors take Shore A "
        "35 or more (from memory)."
    ),
    source="ASTM C920, as listed in ufgscriteriadocreport.tpub.com/07920; uses I, M, G, A, O and Shore A from memory",
    confidence="seen",
)
