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
