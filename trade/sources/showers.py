"""Curb, liner and sills of a shower, and the vapor behind its membrane."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

CURB_HEIGHT = Rule(
    id="shower.curb-height",
    text=gettext_noop(
        "The top of the finished curb stands 2 to 9 in above the top of the drain, and at least 1 in below the sides "
        "and back of the pan. Your local code decides."
    ),
    source="IRC P2709.1, as quoted in thebuildingcodeforum.com; UPC alike: terrylove.com, curb height question",
    edition="2009",
    confidence="seen",
)
CURB_ACCESSIBLE = Rule(
    id="shower.accessible-curb",
    text=gettext_noop(
        "The threshold of a shower that is to be accessible is at most 1/2 in high. Your local code and the law on "
        "accessibility decide."
    ),
    source="ADAAG 4.21.7, as explained in corada.com/documents/adaag-manual/4-21-7",
    confidence="seen",
)
LINER_SEAT = Rule(
    id="shower.liner-at-seat",
    text=gettext_noop(
        "At a built-in seat the liner runs at least 3 in above the seat's level top. Your local code decides."
    ),
    source="UPC 408.7, as printed in revisor.mn.gov/rules/4714.0408",
    confidence="seen",
)
SILL_SLOPE = Rule(
    id="shower.sill-slope",
    text=gettext_noop(
        "Niche sill, seat, shelf and curb top slope toward the drain, 1/4 to 1/2 in in 12 in by a trainer's figure."
    ),
    source="ANSI A108.01 3.6.4, as reported in fcimag.com/articles/93759; the figure: tileletter.com, ask the experts",
    edition="before the 2023 restructuring",
    confidence="seen",
)
DOUBLE_BARRIER = Rule(
    id="vapor.double-barrier",
    text=gettext_noop(
        "A waterproof membrane on the face of the board and a vapor retarder behind it trap what gets between them: "
        "one or the other."
    ),
    source="tiletip.com, water barrier: a general how-to page",
    confidence="seen",
)
STEAM_MEMBRANE = Rule(
    id="steam.membrane",
    text=gettext_noop(
        "A steam shower is lined whole, ceiling and seat too, with a membrane of at most 0.5 perm; one that lets more "
        "through and is in use all day needs a second vapor retarder, as the steam room's designer says."
    ),
    source="TCNA SR613, as detailed in imiweb.org; A118.10 suffix v: stoneworld.com/articles/93973",
    edition="SR613-24; A118.10 of 2024",
    confidence="seen",
)
STEAM_CEILING = Rule(
    id="steam.ceiling",
    text=gettext_noop("The ceiling of a steam shower slopes at least 2 in per ft, so that no hot drop falls."),
    source="TCNA SR613 and SR614, as quoted in tileletter.com/ceiling-slope-in-a-steam-shower/",
    edition="2024",
    confidence="seen",
)
