"""The tile itself: how much water it takes up, and how slippery it is underfoot."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

ABSORPTION_ANSI = Rule(
    id="tile.absorption-ansi",
    text=gettext_noop(
        "Tile is impervious up to 0.5 percent of water taken up, vitreous up to 3, semi-vitreous up to 7, non-vitreous "
        "above."
    ),
    source="ANSI A137.1 by ASTM C373, as reported in aonavtile.com/exterior-wall-tile-manufacture and spec sheets",
    confidence="seen",
)
ABSORPTION_ISO = Rule(
    id="tile.absorption-iso",
    text=gettext_noop(
        "By water taken up tile is of group Ia up to 0.5 percent, Ib up to 3, IIa up to 6, IIb up to 10, III above."
    ),
    source="ISO 13006, as reported in epoxytileflooring.com, classification of ceramic tiles",
    confidence="seen",
)
SLIP_WET = Rule(
    id="slip.interior-wet",
    text=gettext_noop(
        "A level indoor floor that is walked on wet has a wet dynamic coefficient of friction of at least 0.42. That "
        "says nothing about slopes, ramps and outdoors, and soap or oil lowers it."
    ),
    source="ANSI A137.1 9.6 by A326.3, as stated in tcnatile.com/industry-issues/dcof-acutest.html",
    confidence="seen",
)
SLIP_DECLARED = Rule(
    id="slip.declared-use",
    text=gettext_noop(
        "For floors that stay wet, outdoors, and under oil or grease the tile's maker declares the use it is fit for; "
        "where there is no declaration 0.50, 0.55 and 0.55 wet are asked for."
    ),
    source="ANSI A326.3, as reported in discus.4specs.com/discus/messages/23/8467.html",
    edition="2021",
    confidence="seen",
)
