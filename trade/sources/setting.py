"""Setting: flatness, joints, offset, lippage, coverage, layout, boards, movement joints."""

from trade.sources.rule import Rule
from trade.words import gettext_noop

FLATNESS_SMALL = Rule(
    id="flatness.edges-under-15-in",
    text=gettext_noop(
        "Where every edge of the tile is under 15 in, the substrate is within 1/4 in in 10 ft and 1/16 in in 12 in "
        "of the required plane."
    ),
    source="ANSI A108.02, as reported in tilelettercanada.com, tile business articles",
    edition="as quoted; the clause moved between editions",
    confidence="seen",
)
FLATNESS_LARGE = Rule(
    id="flatness.edge-15-in-or-more",
    text=gettext_noop(
        "Where any edge of the tile is 15 in or more, the substrate is within 1/8 in in 10 ft and 1/16 in in 24 in of "
        "the required plane."
    ),
    source="ANSI A108.02 4.2.2, as quoted in floortrendsmag.com/articles/112509 and fcimag.com/articles/91628",
    edition="as quoted; the clause moved between editions",
    confidence="seen",
)
JOINT_SPREAD = Rule(
    id="joint.three-times-size-spread",
    text=gettext_noop(
        "The joint is at least three times the measured variation in the tile's facing size, and never under 1/16 in."
    ),
    source="ANSI A108.02 4.3.8, as quoted in tileletter.com/what-is-minimum-grout-joint/",
    edition="2017",
    confidence="seen",
)
JOINT_OFFSET_RECTIFIED = Rule(
    id="joint.offset-rectified",
    text=gettext_noop(
        "In an offset pattern with any side over 15 in, rectified tile gets a joint of at least 1/8 in plus the bow of "
        "its longest edge."
    ),
    source="ANSI A108.02 4.3.8.1, as quoted in fcimag.com/articles/96103 and by ctasc.com, grout joint widths",
    edition="as quoted",
    confidence="seen",
)
JOINT_OFFSET_CALIBRATED = Rule(
    id="joint.offset-not-rectified",
    text=gettext_noop(
        "In an offset pattern with any side over 15 in, tile that isn't rectified gets a joint of at least 3/16 in "
        "plus the bow of its longest edge."
    ),
    source="ANSI A108.02 4.3.8.1, as quoted in fcimag.com/articles/96103",
    edition="as quoted",
    confidence="seen",
)
OFFSET_LIMIT = Rule(
    id="pattern.offset-at-most-a-third",
    text=gettext_noop(
        "Where the side along the course is over 15 in, neighboring courses are offset by at most a third of it, "
        "unless the tile's maker allows more and a mock-up is approved in writing."
    ),
    source="ANSI A108.02 4.3.8.2, as quoted in tileletter.com/offset-patterns-dos-and-donts/",
    edition="current text: over 15 in; 2011-12 text: over 18 in",
    confidence="seen",
)
LIPPAGE = Rule(
    id="lippage.tile",
    text=gettext_noop(
        "Lippage is at most 1/32 in where the joint is under 1/4 in, 1/16 in where it is wider than that or "
        "equal, plus the tile's own measured warp."
    ),
    source="ANSI A108.02 4.3.7, as quoted in tileletter.com/2016/02/7950/",
    edition="2013",
    confidence="seen",
)
LIPPAGE_STONE = Rule(
    id="lippage.stone",
    text=gettext_noop("Lippage of natural stone is at most 1/32 in; nothing is added for warp."),
    source="stone institute limit, as reported in tileletter.com/2016/02/7950/",
    confidence="seen",
)
COVERAGE_DRY = Rule(
    id="coverage.dry",
    text=gettext_noop(
        "Indoors and dry, mortar bonds at least 80 percent of the tile on average over three lifted tiles or more, "
        "with support at all corners and edges."
    ),
    source="ANSI A108.5 3.3.2, as quoted in ceramictilefoundation.org/blog/insufficient-mortar",
    edition="2017; 2.2.3 in a later text",
    confidence="seen",
)
COVERAGE_WET = Rule(
    id="coverage.wet",
    text=gettext_noop(
        "In showers, wet areas and outdoors, mortar bonds at least 95 percent of the tile on average over three lifted "
        "tiles or more, with support at all corners and edges."
    ),
    source="ANSI A108.5 3.3.2, as quoted in ceramictilefoundation.org/blog/insufficient-mortar",
    edition="2017; 2.2.3 in a later text",
    confidence="seen",
)
COVERAGE_STONE = Rule(
    id="coverage.stone",
    text=gettext_noop("Under natural stone, mortar bonds at least 95 percent of the piece, dry or wet."),
    source="TCNA Handbook, as reported in ceramictilefoundation.org/blog/insufficient-mortar",
    edition="one sponsored column asks 100 percent",
    confidence="seen",
)

COVERAGE_VOIDS = Rule(
    id="coverage.voids",
    text=gettext_noop("No void on a lifted tile's back is larger than 2 sq in, and none lies within 2 in of an edge."),
    source="digitaledition.tile-magazine.com, April and May 2021, mortar coverage: shown there, not in the standard",
    confidence="seen",
)

BOARD_FASTENERS = Rule(
    id="board.fasteners",
    text=gettext_noop(
        "Backer board is fastened at 8 in, 6 in on ceilings, 3/8 to 5/8 in from the edges; joints are taped in "
        "alkali-resistant mesh; corners stay open for movement."
    ),
    source="ANSI A108.11, as reported in fcimag.com/articles/95542; wconline.com/articles/84477",
    confidence="seen",
)

MOVEMENT_JOINTS = Rule(
    id="movement.joints",
    text=gettext_noop(
        "Soft joints stand at perimeters, at changes of plane, over every structural joint, and indoors every 20 to "
        "25 ft each way; every 8 to 12 ft in sun, in moisture and outdoors."
    ),
    source="TCNA EJ171, as quoted in the NTCA Reference Manual 2024-25 p. 21 and tileletter.com, August 2018",
    edition="2018 and later",
    confidence="seen",
)
SEALANT_SHAPE = Rule(
    id="movement.sealant-shape",
    text=gettext_noop(
        "Sealant is at least 1/8 in and at most half the joint's width deep, over a backer it can't bond to."
    ),
    source="civilengineeringx.com, tile installation methods",
    confidence="seen",
)
LAYOUT_CUTS = Rule(
    id="layout.cuts",
    text=gettext_noop(
        "Areas are centered and balanced; cuts lie at the outer edges and are usually no smaller than half a tile."
    ),
    source="ANSI A108.02 4.3.1 and 4.3.2, as quoted in fcimag.com/articles/95138",
    edition="as quoted",
    confidence="seen",
)
MOVEMENT_WIDTH_EXTERIOR = Rule(
    id="movement.exterior-width",
    text=gettext_noop(
        "Outdoors a movement joint is at least 3/8 in wide at 8 ft spacing and 1/2 in at 12 ft, and 1/16 in wider for "
        "each 15 °F of the tile's yearly range beyond 100 °F."
    ),
    source="TCNA EJ171, as quoted in johnbridge.com/vbulletin/showpost.php?p=27985",
    edition="2009; a text before 2005 asked less",
    confidence="seen",
)
LIPPAGE_FORECAST = Rule(
    id="lippage.forecast",
    text=gettext_noop(
        "Two bowed tiles side by side, one shifted by a share s of the side, differ by up to 4 s (1 - s) times the "
        "bow, however well they are set."
    ),
    source="geometry, the bow taken as a parabola between the tile's ends",
    confidence="computed",
)
BED_THICKNESS = Rule(
    id="mortar.bed-thickness",
    text=gettext_noop(
        "Pressed down, mortar is at least 3/32 in thick under every tile, and at most 1/4 in; mortar for large and "
        "heavy tile at most 1/2 in. What needs more is flattened first."
    ),
    source="ANSI A108.5 2.2.2, as quoted in tile-magazine.com/articles/91948; at most: mmsausa.com/bulletin/18",
    edition="before 2015 mortar for large tile went to 3/4 in",
    confidence="seen",
)
