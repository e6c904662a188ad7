"""Water: slopes, liners, wall heights, water tests."""

from trade.sources.rule import Rule, practice
from trade.words import gettext_noop

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
EXTERIOR_SLOPE = practice(
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
