"""Size, curb, liner, flange and sills of a shower, and the vapor behind its membrane."""

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
    source="TCNA Handbook B415, as explained in fcimag.com/articles/95232; tiletip.com, water barrier, alike",
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
STALL_SIZE = Rule(
    id="shower.stall-size",
    text=gettext_noop(
        "The finished inside of a shower is at least 1024 sq in and has room for a circle of 30 in, measured at the "
        "threshold's top and center line and kept clear to 70 in above the drain. A receptor of 30 by 60 in overall "
        "is excepted. Codes differ: your local code decides."
    ),
    source="UPC 408.7, as printed in eofficial.org/uniform-codes-spotlight-mar-13-2025",
    edition="2024",
    confidence="seen",
)
FLANGE_HEIGHT = Rule(
    id="shower.flange-height",
    text=gettext_noop(
        "The flange of a tub or receptor stands up at least 1 in, and the wall's water barrier laps over it."
    ),
    source="constructionspecifier.com, specifying tile for exterior and interior wet areas, page 3",
    confidence="seen",
)
RETARDER_CLASSES = Rule(
    id="vapor.classes",
    text=gettext_noop(
        "Vapor retarders are of class I up to 0.1 perm, class II up to 1.0 and class III up to 10. Your local code "
        "decides."
    ),
    source="IRC R702.7, as explained in legalclarity.org/is-a-vapor-barrier-required-by-code-what-the-irc-says",
    confidence="seen",
)
RETARDER_ZONES = Rule(
    id="vapor.zones",
    text=gettext_noop(
        "On the room's side of an outside wall a vapor retarder of class I or II is forbidden in climate zones 1 and "
        "2, and called for in zones 5 to 8 and marine 4. Your local code decides."
    ),
    source="IRC R702.7, as explained in legalclarity.org/is-a-vapor-barrier-required-by-code-what-the-irc-says",
    confidence="seen",
)
