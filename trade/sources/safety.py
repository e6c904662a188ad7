"""What can hurt, and whose licensed work it is."""

from trade.sources.rule import Rule, practice
from trade.words import gettext_noop

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
PLUMBING = practice(
    "safety.plumbing",
    gettext_noop("Valves, drains and vents are a licensed plumber's work under the local code, and inspected by it."),
)
STRUCTURE = practice(
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
