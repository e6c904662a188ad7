"""Common practice of careful setters, without a published source."""

from trade.sources.rule import practice
from trade.words import gettext_noop

ROUGH_IN_FACE = practice(
    "rough-in.finished-face",
    gettext_noop("Valve, drain, flange and boxes are set for the finished face of the tile, not for the framing."),
)
BLOCKING = practice(
    "rough-in.blocking",
    gettext_noop("Blocking for glass, bars and seat is in and photographed before the board goes up."),
)
HEIGHTS = practice(
    "floor.heights",
    gettext_noop("Doors, toilet flange and appliances are checked against the finished floor's height."),
)
SLAB_OPEN = practice(
    "slab.open", gettext_noop("A drop of water soaks into a slab that mortar can bond to: no sealer, no old adhesive.")
)
CRACK_MAP = practice("slab.cracks", gettext_noop("Cracks are mapped before they are covered; what moves is isolated."))
EXTERIOR_BED = practice(
    "exterior.drained",
    gettext_noop(
        "Over living space, tile lies on a drained bed above a roof membrane that a licensed firm answers for."
    ),
)
EXTERIOR_CURE = practice(
    "exterior.cure", gettext_noop("Outdoors fresh work is covered from rain, sun and frost until it has cured.")
)
INSPECTION = practice(
    "inspection.before-cover",
    gettext_noop(
        "Where a permit covers the work, the building inspector sees it before it is covered; the local code says what "
        "and when."
    ),
)
PAN_BUILD = practice(
    "pan.build",
    gettext_noop("A pan has a slope under its liner, open weep holes, an even rim and no fastener in its tub."),
)
WET_ROOM = practice(
    "waterproofing.wet-room",
    gettext_noop("The membrane of a wet floor turns up at every wall and is dammed or sloped off at the doorway."),
)
SPRAY = practice(
    "water-test.spray", gettext_noop("A flood test never reaches niche, bench and valve: they are sprayed 10 minutes.")
)
LINES = practice(
    "layout.lines", gettext_noop("Setting starts from a level line and a plumb line that were checked a second time.")
)
LOTS = practice(
    "tile.lots", gettext_noop("One plane, one lot; at least three boxes are blended; setting accepts the tile.")
)
APPROVAL = practice(
    "layout.approval", gettext_noop("The owner has approved layout, grout color, joint and trim before the first tile.")
)
STONE = practice(
    "stone.dry-lay",
    gettext_noop(
        "Stone is dry-laid and signed for; moisture-sensitive or resin-backed stone takes reactive mortar, light stone "
        "white mortar, none of it acid."
    ),
)
GROUT_WORK = practice(
    "grout.work",
    gettext_noop("Joints are clean to two thirds of their depth, mix water is measured, one batch number per plane."),
)
RECORDS = practice(
    "records.batches", gettext_noop("Batch numbers of mortar, membrane, grout and sealant are kept with the job.")
)
TUB_FULL = practice("soft-joints.tub", gettext_noop("The tub is full of water while its joint is sealed and cures."))
DEMOLITION_RECORD = practice(
    "demolition.record",
    gettext_noop("What demolition uncovers is photographed, and priced before it is covered again."),
)
PLUMB = practice(
    "plumb.required-plane",
    gettext_noop(
        "The required plane of a wall is a plumb one unless the layout says otherwise: over 10 ft, or the wall's "
        "height, a stud or wall leans no more than the gap allowed under the long straightedge."
    ),
)
PLANING = practice(
    "studs.planing",
    gettext_noop(
        "Wood planed off a stud is strength taken from it: sister or replace what needs more than a little. In a "
        "bearing wall a licensed design professional decides, and the local code asks for its permit."
    ),
)
