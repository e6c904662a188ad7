"""Every rule of the trade that Gaugerod applies: what it says, where it stands, and how sure we are of it.

The ANSI and ASTM standards and the model codes are paid documents: we know them through the trade press and public
quotations, named in `source`.  The maker's written instructions and the local code govern over every figure here.
"""

from dataclasses import dataclass
from typing import Literal

from trade.words import gettext_noop

Confidence = Literal["seen", "memory", "common practice"]

NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """`text` is English for translation; `source` names standard and page, `edition` the text that was quoted there.

    `confidence`: the figure was `seen` in the source, is from `memory`, or is `common practice` without a source.
    """

    id: str
    text: str
    source: str
    edition: str = ""
    confidence: Confidence


def _practice(rule_id: str, text: str) -> Rule:
    return Rule(id=rule_id, text=text, source=NO_SOURCE, confidence="common practice")


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
SHOWER_SLOPE = Rule(
    id="slope.shower-floor",
    text=gettext_noop(
        "A shower floor falls to the drain by 1/4 in to 1/2 in per ft (2 to 4 percent as the code prints it). "
        "Your local code decides."
    ),
    source="IRC P2709.1, as quoted in thebuildingcodeforum.com",
    edition="2009",
    confidence="seen",
)
FLATS_SLOPE = Rule(
    id="slope.seat-niche-curb",
    text=gettext_noop("Every level-looking surface in a shower falls to the drain: seat, niche, sill, curb, shelf."),
    source="ANSI A108.01 3.6.4, as reported in fcimag.com/articles/93759",
    edition="before the 2023 restructuring",
    confidence="seen",
)
EXTERIOR_SLOPE = _practice(
    "slope.exterior", gettext_noop("Tile outdoors falls away from the building by 1/4 in per ft or more.")
)
LINER_HEIGHT = Rule(
    id="waterproofing.liner-height",
    text=gettext_noop(
        "The pan's liner or membrane runs up the walls to at least 3 in above the top of the finished curb. "
        "Some codes ask 2 in; your local code decides."
    ),
    source="UPC 408.7, as printed in revisor.mn.gov/rules/4714.0408",
    edition="IPC and later IRC texts: 2 in",
    confidence="seen",
)
MEMBRANE_LAPS = Rule(
    id="waterproofing.laps",
    text=gettext_noop(
        "Membrane laps are 2 in or what the maker states, corners reinforced, liquid membranes in two coats to the "
        "stated film."
    ),
    source="from memory; waterproofing that is bonded conforms to ANSI A118.10",
    confidence="memory",
)
TUB_FLANGE = Rule(
    id="waterproofing.flange",
    text=gettext_noop("The wall's water barrier laps over the flange of tub or receptor."),
    source="constructionspecifier.com, specifying tile for exterior and interior wet areas, page 3",
    confidence="seen",
)
WALL_HEIGHT = Rule(
    id="wet-walls.height",
    text=gettext_noop(
        "The water-resistant wall finish of a shower or tub-shower reaches 6 ft above the room's floor and 70 in above "
        "the drain. Codes differ: the local one decides."
    ),
    source="IPC 417.4.1, as quoted in thebuildingcodeforum.com; IRC R307.2 asks 6 ft, IBC 1210.3 70 in",
    edition="as quoted; the stricter pair is used",
    confidence="seen",
)
WATER_TEST_CODE = Rule(
    id="water-test.code-minimum",
    text=gettext_noop(
        "The code's minimum: drain plugged, water at least 2 in deep at the threshold, 15 minutes, no leak. "
        "Your local code and inspector decide."
    ),
    source="IPC 312.9, as quoted in plumbingzone.com; IRC P2503.6 alike",
    edition="2014 state text",
    confidence="seen",
)
WATER_TEST_PRACTICE = Rule(
    id="water-test.practice",
    text=gettext_noop("The trade's practice, stricter than the code: water stands for 24 hours and its level holds."),
    source="24 h as in ASTM D5957, from memory; buildingleakdetection.com reports 24 to 72 h",
    confidence="memory",
)
WATER_TEST_START = Rule(
    id="water-test.start",
    text=gettext_noop(
        "A membrane cures 24 hours before a flood test, 48 hours below 50 °F, or longer if its maker says."
    ),
    source="ASTM D5957, as summarized in standards.iteh.ai",
    edition="1998 (2021)",
    confidence="seen",
)
WATER_TEST_DEPTH = Rule(
    id="water-test.depth",
    text=gettext_noop(
        "Water stands at least 2 in deep at the threshold and at most 4 in anywhere unless an engineer agrees: "
        "each inch weighs 5.2 lb per sq ft. Your local code decides the depth."
    ),
    source="IPC 312.9, as quoted in plumbingzone.com; ASTM D5957, as summarized in astm.org/d5957-98r21.html",
    edition="2014 state text; 1998 (2021)",
    confidence="seen",
)
WAIT_GROUT = Rule(
    id="wait.mortar-to-grout",
    text=gettext_noop(
        "Cement mortar sets at least 24 hours at about 70 °F before grout, up to 72 for large tile and stone; dense "
        "tile on a membrane waits for the mortar's own cure time (common practice). The bag's figure governs."
    ),
    source="general how-to page, no standard: engineerfix.com/how-long-do-i-have-to-wait-to-grout-tile/",
    confidence="seen",
)
WAIT_USE = Rule(
    id="wait.grout-to-water",
    text=gettext_noop("Cement grout cures at least 72 hours before a shower is used. The bag's figure governs."),
    source="general how-to pages, 48 to 72 h at least, 3 to 7 days commonly: engineerfix.com, grout before showering",
    confidence="seen",
)
WAIT_SEALER = Rule(
    id="wait.grout-to-sealer",
    text=gettext_noop("Cement grout cures at least 48 to 72 hours before sealer, some up to 28 days: read its maker."),
    source="general how-to pages: engineerfix.com/how-long-after-grouting-can-you-seal",
    confidence="seen",
)
COLD_CURE = Rule(
    id="wait.cold",
    text=gettext_noop("Below 70 °F the cure takes twice as long for each 18 °F. Below 50 °F don't set tile."),
    source="doubling from memory (another rule says 8 °C); 50 °F in a tileletter column of 2017",
    confidence="memory",
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
DEFLECTION = Rule(
    id="structure.deflection",
    text=gettext_noop(
        "Floors under ceramic tile bend at most span/360 under total load, under natural stone span/720. "
        "Anything structural goes to a licensed design professional."
    ),
    source="ANSI A108.01 and stone institute, as quoted in tech note GE-6, deflection criteria for stone and tile",
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
SILICA = Rule(
    id="safety.silica",
    text=gettext_noop(
        "Cutting, grinding and mixing make silica dust that ruins lungs. Cut wet or with vacuum, outdoors where you "
        "can, with the respirator that your written plan and OSHA's Table 1 ask for. State rules may be stricter."
    ),
    source="29 CFR 1926.1153 with Table 1, as printed in dir.ca.gov/title8/1532_3.html",
    confidence="seen",
)
LEAD = Rule(
    id="safety.lead",
    text=gettext_noop(
        "In housing built before 1978, paint may hold lead, and glazed tile too (from memory). Disturbing paint beyond "
        "a minor repair takes a certified firm and renovator, and the pamphlet for the owner. State rules may be "
        "stricter."
    ),
    source="40 CFR 745 subpart E, as summarized in nepis.epa.gov P1004H4G; demolition is never minor: from memory",
    confidence="seen",
)
ASBESTOS = Rule(
    id="safety.asbestos",
    text=gettext_noop(
        "Old resilient tile, sheet backing, black adhesive and plaster may hold asbestos. Don't sand, grind or "
        "break it: a licensed inspector samples, a licensed firm removes. State and local rules govern."
    ),
    source="inspectapedia.com/hazmat/Floor_Tile_Mastic_Asbestos.php: presumed 1920-1980, adhesive sold to 1997",
    confidence="seen",
)
WIRING = Rule(
    id="safety.wiring",
    text=gettext_noop(
        "Circuits are off, locked and proved dead before a wall is opened; tools run on a GFCI outlet. Wiring, "
        "heating cables and boxes are a licensed electrician's work under the local code."
    ),
    source="29 CFR 1926.404(b)(1) for GFCI, osha.gov interpretation of 2005-02-07; the rest is common practice",
    confidence="seen",
)
PLUMBING = _practice(
    "safety.plumbing",
    gettext_noop("Valves, drains and vents are a licensed plumber's work under the local code, and inspected by it."),
)
STRUCTURE = _practice(
    "safety.structure",
    gettext_noop(
        "A cut, rotten or sagging joist, stud or header stops the work: a licensed design professional decides, and "
        "the local code asks for its permit."
    ),
)
LIFTING = Rule(
    id="safety.lifting",
    text=gettext_noop(
        "A 50 lb bag held away from the body is about twice what one back should lift: two people or a cart."
    ),
    source="revised NIOSH lifting equation, ccohs.ca: H 15, V 10, D 30 in give 25.4 lb",
    confidence="seen",
)

ROUGH_IN_FACE = _practice(
    "rough-in.finished-face",
    gettext_noop("Valve, drain, flange and boxes are set for the finished face of the tile, not for the framing."),
)
BLOCKING = _practice(
    "rough-in.blocking",
    gettext_noop("Blocking for glass, bars and seat is in and photographed before the board goes up."),
)
HEIGHTS = _practice(
    "floor.heights",
    gettext_noop("Doors, toilet flange and appliances are checked against the finished floor's height."),
)
SLAB_OPEN = _practice(
    "slab.open", gettext_noop("A drop of water soaks into a slab that mortar can bond to: no sealer, no old adhesive.")
)
CRACK_MAP = _practice("slab.cracks", gettext_noop("Cracks are mapped before they are covered; what moves is isolated."))
EXTERIOR_BED = _practice(
    "exterior.drained",
    gettext_noop(
        "Over living space, tile lies on a drained bed above a roof membrane that a licensed firm answers for."
    ),
)
PAN_BUILD = _practice(
    "pan.build",
    gettext_noop("A pan has a slope under its liner, open weep holes, an even rim and no fastener in its tub."),
)
WET_ROOM = _practice(
    "waterproofing.wet-room",
    gettext_noop("The membrane of a wet floor turns up at every wall and is dammed or sloped off at the doorway."),
)
SPRAY = _practice(
    "water-test.spray", gettext_noop("A flood test never reaches niche, bench and valve: they are sprayed 10 minutes.")
)
LINES = _practice(
    "layout.lines", gettext_noop("Setting starts from a level line and a plumb line that were checked a second time.")
)
LOTS = _practice(
    "tile.lots", gettext_noop("One plane, one lot; at least three boxes are blended; setting accepts the tile.")
)
APPROVAL = _practice(
    "layout.approval", gettext_noop("The owner has approved layout, grout color, joint and trim before the first tile.")
)
STONE = _practice(
    "stone.dry-lay",
    gettext_noop(
        "Stone is dry-laid and signed for; moisture-sensitive or resin-backed stone takes reactive mortar, light stone "
        "white mortar, none of it acid."
    ),
)
GROUT_WORK = _practice(
    "grout.work",
    gettext_noop("Joints are clean to two thirds of their depth, mix water is measured, one batch number per plane."),
)
RECORDS = _practice(
    "records.batches", gettext_noop("Batch numbers of mortar, membrane, grout and sealant are kept with the job.")
)
TUB_FULL = _practice("soft-joints.tub", gettext_noop("The tub is full of water while its joint is sealed and cures."))
DEMOLITION_RECORD = _practice(
    "demolition.record",
    gettext_noop("What demolition uncovers is photographed, and priced before it is covered again."),
)


def all_rules() -> tuple[Rule, ...]:
    """Return every rule of this file in the order it stands in."""
    return tuple(value for value in globals().values() if isinstance(value, Rule))
