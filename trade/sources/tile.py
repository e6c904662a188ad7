"""The tile itself, as its standard has it: bow, size, wedging, strength."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

WARP_RECTIFIED = Rule(
    id="tile.warp-rectified",
    text=gettext_noop(
        "Rectified pressed tile bows by at most 0.40 percent of an edge or 0.05 in, of a diagonal 0.40 percent or "
        "1.8 mm, whichever is less."
    ),
    source="ANSI A137.1, as reported in tcnatile.com/164/; diagonal: stoneforensics.com, warpage standards",
    confidence="seen",
)
WARP_CALIBRATED = Rule(
    id="tile.warp-not-rectified",
    text=gettext_noop(
        "Porcelain that isn't rectified bows by at most 0.50 percent of an edge or 2.0 mm, of a diagonal 0.50 percent "
        "or 2.3 mm, whichever is less; another source caps the edge at 1.3 mm."
    ),
    source="ANSI A137.1, as reported in stoneforensics.com, warpage standards",
    confidence="seen",
)
CALIBER = Rule(
    id="tile.caliber",
    text=gettext_noop(
        "Each side of rectified pressed floor tile is within 0.25 percent of the average or 0.03 in, whichever is less."
    ),
    source="ANSI A137.1, as reported by the tile council, tcna.thenextwave.biz/2012/08/07/what-is-caliber-range/",
    confidence="seen",
)
STRENGTH_FLOOR = Rule(
    id="tile.strength-floor",
    text=gettext_noop("Floor tile breaks at 250 lbf or more on average by ASTM C648."),
    source="ASTM C648; the figure stands on general how-to pages, from memory which",
    confidence="memory",
)
STRENGTH_WALL = Rule(
    id="tile.strength-wall",
    text=gettext_noop(
        "Glazed wall tile breaks at 125 lbf or more on average and each at 100 lbf or more by ASTM C648."
    ),
    source="ANSI A137.1-2008, as reported by ctasc.com, does the ASTM C648 take thickness into consideration",
    confidence="seen",
)
STRENGTH_ISO = Rule(
    id="tile.strength-iso",
    text=gettext_noop(
        "By group, tile 7.5 mm thick or more carries 1300 N (BIa), 1100 N (BIb), 1000 N (BIIa), 800 N (BIIb), "
        "600 N (BIII on floors)."
    ),
    source="NBR 13818 and CCB 1998, in an annex of teses.usp.br",
    confidence="seen",
)
