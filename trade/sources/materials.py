"""Mortar, trowel and grout by their classes, never by a brand."""

from trade.sources.rule import Rule, practice
from trade.words import gettext_noop

TROWEL = Rule(
    id="mortar.trowel",
    text=gettext_noop(
        "The notch grows with the tile; the right one is whichever gives the coverage, so the first tiles are lifted."
    ),
    source="engineerfix.com, trowel for wall tile; 98905.com; coverage decides: floorelf.com/using-the-proper-trowel",
    confidence="seen",
)
BACK_BUTTER = Rule(
    id="mortar.back-butter",
    text=gettext_noop(
        "Where 95 percent coverage is asked for, or an edge is 15 in or more, each tile is back-buttered, or a trowel "
        "is chosen that is seen to reach it."
    ),
    source="piprolink.com, back-buttering; 1/2 in notch and back-buttering from 15 in: 98905.com",
    confidence="seen",
)
MORTAR_LARGE = Rule(
    id="mortar.large-tile",
    text=gettext_noop(
        "Tile with an edge of 15 in or more, or heavier than 5 lb, is set in mortar for large and heavy tile (suffix "
        "H); no mortar flattens a substrate."
    ),
    source="tile-magazine.com/articles/87875; 5 lb by a maker's page that quotes the 2015 Handbook",
    edition="Handbook 2015",
    confidence="seen",
)
MORTAR_MODIFIED = practice(
    "mortar.modified",
    gettext_noop(
        "Tile that takes up hardly any water, glass, heated and outdoor work are set in modified mortar, the harder "
        "cases in improved modified mortar; plain dry-set mortar needs a tile that drinks."
    ),
)
MORTAR_PLYWOOD = practice("mortar.plywood", gettext_noop("Plywood outdoors and in takes mortar made for it, A118.11."))
MORTAR_WALL = practice(
    "mortar.walls", gettext_noop("On walls and ceilings the mortar holds the tile up: class T, reduced slip.")
)
MORTAR_GIVES = practice(
    "mortar.gives",
    gettext_noop("Heat and sun move the tile: on heated floors and outdoors the mortar gives, class S1."),
)
MORTAR_MEMBRANE = practice(
    "mortar.membrane",
    gettext_noop("Over a membrane the membrane's maker says which mortar; impervious tile on it dries for days."),
)
MORTAR_ON_LIQUID = practice(
    "mortar.on-liquid-membrane",
    gettext_noop("A liquid membrane doesn't drink: the mortar on it is modified, whatever the tile takes up."),
)
MORTAR_WHITE = practice(
    "mortar.white", gettext_noop("Glass and light stone let the mortar show: it is white, and its ridges are gone.")
)
MORTAR_STEAM = practice(
    "mortar.steam",
    gettext_noop("In steam everything moves and stays wet: improved modified mortar, and a grout that drinks little."),
)
UNDER_WATER = practice(
    "mortar.under-water",
    gettext_noop(
        "Under lasting water only mortar, membrane, grout and sealant are used whose makers write that they may stay "
        "under it; how long they cure before it is filled is theirs to say as well."
    ),
)
GYPSUM_DRY = Rule(
    id="substrate.gypsum",
    text=gettext_noop(
        "Gypsum board or plaster doesn't go behind tile where it is wet, not even water-resistant board: a listed "
        "cement, fiber-cement or glass-mat board does. Your local code decides."
    ),
    source="IRC R702.4.2, from memory",
    confidence="memory",
)
MORTAR_REACTIVE = practice(
    "mortar.reactive",
    gettext_noop("Stone that water warps or stains, and resin-backed tile, are set in reactive mortar."),
)
GROUT_SAND = Rule(
    id="grout.sand",
    text=gettext_noop(
        "Joints under 1/8 in take grout without sand, from 1/8 in with sand, over 3/8 in a coarser mix; faces that "
        "scratch take none with sand."
    ),
    source="tcnatile.com/resource-center/faq/grout/; faces that scratch: common practice",
    confidence="seen",
)
GROUT_WET = practice(
    "grout.wet",
    gettext_noop("Showers and wet floors take high-performance cement grout or epoxy: little water goes in."),
)
GROUT_STAIN = practice(
    "grout.stain",
    gettext_noop("Where food, dye or oil reaches it, epoxy grout is chosen: it takes up hardly anything."),
)
GROUT_EVEN = practice(
    "grout.even-color",
    gettext_noop(
        "Cement grout dries in shades. Where one even color matters most, epoxy grout is chosen; either way a sample "
        "panel is signed."
    ),
)
