"""Dangers by task: what the silica table asks for, and what else can hurt."""

from trade.sources.rule import Rule, practice
from trade.words import gettext_noop

_TABLE = "29 CFR 1926.1153 Table 1, as printed in dir.ca.gov/title8/1532_3.html"

SILICA_WET_SAW = Rule(
    id="silica.stationary-saw",
    text=gettext_noop(
        "A stationary saw with water running onto the blade needs no respirator under OSHA's table. State rules may be "
        "stricter."
    ),
    source=_TABLE,
    confidence="seen",
)
SILICA_HAND_SAW = Rule(
    id="silica.handheld-saw",
    text=gettext_noop(
        "A handheld saw runs with water. Outdoors a respirator of APF 10 from 4 hours on, indoors always. State rules "
        "may be stricter."
    ),
    source=_TABLE,
    confidence="seen",
)
SILICA_BOARD = Rule(
    id="silica.fiber-cement",
    text=gettext_noop(
        "Fiber-cement board is cut outdoors, with a saw that collects its dust through a 99 percent filter; scored and "
        "snapped board makes far less. State rules may be stricter."
    ),
    source=_TABLE,
    confidence="seen",
)
SILICA_GRINDER = Rule(
    id="silica.grinder",
    text=gettext_noop(
        "A grinder has a shroud and a vacuum of 25 cfm for each inch of wheel with a 99 percent filter; indoors beyond "
        "4 hours a respirator of APF 10. State rules may be stricter."
    ),
    source="vacuum: specrents.com/blog/2017/9/18/grinders-and-osha-silica; respirator: Table 1 (xii), pdfkiwi.com copy",
    confidence="seen",
)
SILICA_DEMOLITION = Rule(
    id="silica.demolition",
    text=gettext_noop(
        "Chipping out tile and mortar takes water or a shrouded tool with a vacuum, and indoors a respirator of APF "
        "10. State rules may be stricter."
    ),
    source="29 CFR 1926.1153 Table 1 (x), from memory",
    confidence="memory",
)
CEMENT_SKIN = practice(
    "safety.cement-skin",
    gettext_noop("Wet mortar, grout and cleaners burn skin and eyes: gloves, glasses, and water close by."),
)
SHARP_EDGES = practice(
    "safety.edges", gettext_noop("Cut tile and broken tile cut like glass: gloves that resist cuts, and glasses.")
)
SOLVENTS = practice(
    "safety.solvents",
    gettext_noop(
        "Membranes, primers, epoxies and sealers may give off what harms or burns: read the safety data sheet, air the "
        "room, no flame."
    ),
)
