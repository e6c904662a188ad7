"""What frost, weather, stone, heat, large panels, mosaics and weight bring."""

from trade.sources.rule import Rule, practice
from trade.words import gettext_noop

FROST = Rule(
    id="frost.tile",
    text=gettext_noop(
        "Where it freezes, the tile's maker rates it for outdoors by the freeze and thaw test. Low water absorption is "
        "better but proves nothing, and no rated tile lasts where water stands on it."
    ),
    source="tcnatile.com/faqs/36-frost-resistance.html; absorption: tile-magazine.com/articles/83272",
    confidence="seen",
)
HEATED_JOINTS = Rule(
    id="heated.joints",
    text=gettext_noop(
        "A heated floor moves each time it warms: it needs soft joints around its whole perimeter above all."
    ),
    source="tile-magazine.com/articles/83240, tile over radiant heating, by Handbook methods of 2003",
    confidence="seen",
)
HEATED_READINGS = practice(
    "heated.readings",
    gettext_noop(
        "A heating cable's resistance and insulation are read four times: at the box, laid, embedded, grouted. It "
        "stays off until the longest written cure has passed, and a licensed electrician connects it."
    ),
)
CABLE_TAG = Rule(
    id="heated.tag",
    text=gettext_noop(
        "A heating cable's resistance stays within 10 percent of its tag, at the box, laid, embedded and grouted; a "
        "reading off it is a cut or a short. The cable's maker states the figure, and a licensed electrician connects "
        "it."
    ),
    source="from memory; the tag and the cable's instructions govern",
    confidence="memory",
)
STONE_CARE = practice(
    "stone.care",
    gettext_noop(
        "Stone gets two layers of subfloor, full mortar, white under light stone, reactive where water warps or stains "
        "it, and no acid."
    ),
)
PANELS = Rule(
    id="panels.gauged",
    text=gettext_noop(
        "A panel of 1 m² (11 sq ft) or more is set by its own standard: mortar troweled on its back as well, ridges "
        "collapsed, handled on a frame by a crew trained for it."
    ),
    source="ANSI A137.3, as reported in ceramictilefoundation.org/blog; back-troweling: piprolink.com",
    confidence="seen",
)
MOSAIC = practice(
    "mosaic.sheets",
    gettext_noop(
        "Mortar under mosaic is knocked flat, so that none shows through or fills the joints; sheet lines are looked "
        "at from 6 ft before it sets."
    ),
)
WALL_WEIGHT = Rule(
    id="weight.on-wall",
    text=gettext_noop(
        "With mortar and grout, tiling on gypsum plaster weighs at most 20 kg/m² (4.1 psf), on gypsum board 32 (6.6), "
        "on foam board 40 (8.2), on cement board 50 (10.2), unless the board's maker allows more. Beyond, a licensed "
        "design professional decides; the local code governs."
    ),
    source="BS 5385-1, as tabled by a seller's page; plaster and gypsum board also in tilersforums.co.uk",
    edition="2018; one table gives foam board 60; no North American table was found",
    confidence="seen",
)
CRITICAL_LIGHT = practice(
    "light.grazing",
    gettext_noop(
        "A light or window closer than 24 in to the wall grazes it and shows every edge: the permanent light is on "
        "while the tile is set."
    ),
)
