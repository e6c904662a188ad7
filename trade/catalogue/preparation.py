"""Demolition, rough-in and substrate: what the tile will stand on."""

from trade import sources
from trade.checks import CheckKind, PhaseKind
from trade.limits import Limit
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR, flatness_keys
from trade.shop_limits import ShopLimits
from trade.sources import Rule
from trade.specification import WET_PLACES, Condition, Specification
from trade.waits import Product, least_wait
from trade.words import gettext_noop


def _long_gap(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    key, _ = flatness_keys(tile_longest_edge_mm=spec.tile_longest_edge_mm)
    return Limit(compare="at most", high=limits.value(key)), limits.rule(key)


def _short_gap(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    _, key = flatness_keys(tile_longest_edge_mm=spec.tile_longest_edge_mm)
    return Limit(compare="at most", high=limits.value(key)), limits.rule(key)


def _lumber(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at most", high=limits.framing_moisture_percent), limits.rule("framing_moisture_percent")


def _leveler_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    product: Product = "rapid" if spec.rapid_leveler else "standard"
    return least_wait("leveler to tile", product=product, temperature_f=spec.coldest_f, limits=limits)


DEMOLITION = PhaseKind(
    key="demolition",
    name=gettext_noop("Demolition"),
    applies=Condition(demolition=True),
    checks=(
        CheckKind(
            key="demolition.power",
            kind="tick",
            text=gettext_noop("Circuits and water to the room are off, and proved so"),
            help=gettext_noop(
                "Stop. A licensed electrician or plumber makes it dead and caps it before a wall is opened."
            ),
            rule=sources.WIRING,
        ),
        CheckKind(
            key="demolition.asbestos",
            kind="tick",
            text=gettext_noop("Old floor tile, sheet backing, black adhesive and plaster are tested or ruled out"),
            help=gettext_noop(
                "Leave it whole and keep people out. A licensed inspector samples it; a licensed firm removes it if "
                "it is asbestos."
            ),
            rule=sources.ASBESTOS,
            applies=Condition(built_before=ASBESTOS_YEAR),
        ),
        CheckKind(
            key="demolition.lead",
            kind="tick",
            text=gettext_noop("Paint and glaze from before 1978 are handled by the lead-safe rule"),
            help=gettext_noop(
                "Stop. A certified renovator tests or presumes lead, gives the owner the pamphlet, contains the work."
            ),
            rule=sources.LEAD,
            applies=Condition(built_before=LEAD_YEAR),
        ),
        CheckKind(
            key="demolition.dust",
            kind="tick",
            text=gettext_noop("Dust is held: room closed off, water or vacuum on the tool, masks by the silica plan"),
            help=gettext_noop(
                "Stop the tool until water or vacuum runs and everyone in the room wears the mask it asks."
            ),
            rule=sources.SILICA,
        ),
        CheckKind(
            key="demolition.structure",
            kind="tick",
            text=gettext_noop("No joist, stud or header is cut, rotten or sagging"),
            help=gettext_noop(
                "Stop and prop nothing on your own judgment: a licensed design professional decides, with its permit."
            ),
            rule=sources.STRUCTURE,
        ),
        CheckKind(
            key="demolition.found",
            kind="photo",
            text=gettext_noop("What the demolition uncovered: framing, subfloor, pipes, old damage"),
            help=gettext_noop(
                "Photograph it before anything covers it. What nobody priced becomes a change order first."
            ),
            rule=sources.DEMOLITION_RECORD,
        ),
    ),
)

ROUGH_IN = PhaseKind(
    key="rough_in",
    # The items of the rough-in sheet, all of them in one where there is no room for more.
    beside=1,
    name=gettext_noop("Rough-in and blocking"),
    applies=Condition(places=(*WET_PLACES, "dry_wall")),
    checks=(
        CheckKind(
            key="rough_in.valve",
            kind="tick",
            text=gettext_noop(
                "Valve and spout stand where the rough-in sheet has them, at the depth of the finished face"
            ),
            help=gettext_noop("A licensed plumber moves it now. After the board goes up, it costs a wall."),
            rule=sources.ROUGH_IN_FACE,
            applies=Condition(places=("shower", "tub_surround"), surface="walls"),
        ),
        CheckKind(
            key="rough_in.drain",
            kind="tick",
            text=gettext_noop("Drain stands where the layout has it, at the height of the finished floor"),
            help=gettext_noop("A licensed plumber moves it, or the layout is solved again around it."),
            rule=sources.ROUGH_IN_FACE,
            applies=Condition(places=("shower", "wet_floor"), surface="floor"),
        ),
        CheckKind(
            key="rough_in.flange",
            kind="tick",
            text=gettext_noop("Toilet flange, door and thresholds suit the height of the finished floor"),
            help=gettext_noop(
                "Agree on the change with the owner now: flange raised, door trimmed, or a thinner build-up."
            ),
            rule=sources.HEIGHTS,
            applies=Condition(places=("wet_floor",)),
        ),
        CheckKind(
            key="rough_in.boxes",
            kind="tick",
            text=gettext_noop("Electrical boxes will end at the finished face"),
            help=gettext_noop("A licensed electrician resets or extends them. Don't move a box yourself."),
            rule=sources.ROUGH_IN_FACE,
            applies=Condition(surface="walls"),
        ),
        CheckKind(
            key="rough_in.openings",
            kind="tick",
            text=gettext_noop("Niche, bench and curb framing match the rough-in sheet"),
            help=gettext_noop("Reframe to the sheet, or measure what stands and lay out again before board."),
            rule=sources.ROUGH_IN_FACE,
            applies=Condition(places=("shower", "tub_surround")),
        ),
        CheckKind(
            key="rough_in.plates",
            kind="tick",
            text=gettext_noop("Steel plates guard pipes and cables wherever a fastener could reach them"),
            help=gettext_noop("Put plates on before board. A pipe that is already hit is a licensed plumber's."),
            rule=sources.PLUMBING,
            applies=Condition(surface="walls"),
        ),
        CheckKind(
            key="rough_in.blocking",
            kind="photo",
            text=gettext_noop("Each open wall before board, blocking for glass, bars and seat in view with a tape"),
            help=gettext_noop("Add the blocking that is missing, then photograph again."),
            rule=sources.BLOCKING,
            applies=Condition(surface="walls"),
            apart="wall",
        ),
        CheckKind(
            key="rough_in.floor",
            kind="photo",
            text=gettext_noop("Floor before it is covered: drain, pipes and framing in view with a tape"),
            help=gettext_noop("Photograph before mud or board covers it."),
            rule=sources.ROUGH_IN_FACE,
            applies=Condition(places=("shower", "wet_floor"), surface="floor"),
        ),
        CheckKind(
            key="rough_in.inspection",
            kind="inspection",
            text=gettext_noop("Inspector has passed framing, pipes and wiring before they are covered"),
            help=gettext_noop("Cover nothing. Correct what the inspector wrote, and call for the next visit."),
            rule=sources.INSPECTION,
            applies=Condition(permit=True),
        ),
    ),
)

SUBSTRATE = PhaseKind(
    key="substrate",
    name=gettext_noop("Substrate"),
    applies=Condition(),
    checks=(
        CheckKind(
            key="substrate.plane",
            kind="reading",
            unit="mm",
            text=gettext_noop("Widest gap under a 10 ft straightedge, measured from the high points"),
            help=gettext_noop("Plane, shim, patch, grind or pour before setting. Mortar is not for flattening."),
            measure=_long_gap,
            # A straightedge lies on one face at a time, and each is mended for itself.
            apart="face",
        ),
        CheckKind(
            key="substrate.short_plane",
            kind="reading",
            unit="mm",
            text=gettext_noop("Widest gap under a 2 ft straightedge"),
            help=gettext_noop("Grind the hump or patch the dip. This is what makes one edge stand proud."),
            measure=_short_gap,
            applies=Condition(large_tile=True),
            apart="face",
        ),
        CheckKind(
            key="substrate.short_plane_small_tile",
            kind="reading",
            unit="mm",
            text=gettext_noop("Widest gap under a 1 ft straightedge"),
            help=gettext_noop("Grind the hump or patch the dip. This is what makes one edge stand proud."),
            measure=_short_gap,
            applies=Condition(large_tile=False),
            apart="face",
        ),
        CheckKind(
            key="substrate.plumb",
            kind="reading",
            unit="mm",
            text=gettext_noop("Farthest out of plumb on any wall, over 10 ft or its height"),
            help=gettext_noop(
                "Shim or plane the studs. The required plane is a plumb one unless the layout says otherwise."
            ),
            measure=_long_gap,
            applies=Condition(surface="walls"),
            apart="wall",
        ),
        CheckKind(
            key="substrate.lumber",
            kind="reading",
            unit="share",
            text=gettext_noop("Moisture of the framing lumber, the wettest reading of the meter"),
            help=gettext_noop("Let it dry before the board goes on: it shrinks and bows behind the tile."),
            measure=_lumber,
            required=False,
            applies=Condition(surface="walls"),
        ),
        CheckKind(
            key="substrate.board",
            kind="photo",
            text=gettext_noop("Board: fasteners at 8 in, joints taped and filled, corners left open"),
            help=gettext_noop("Add fasteners and tape. On a ceiling they stand at 6 in."),
            rule=sources.BOARD_FASTENERS,
            applies=Condition(surface="walls"),
            # Board goes up wall by wall, and tape or membrane hides the fasteners of one before the next is up.
            apart="wall",
        ),
        CheckKind(
            key="substrate.ceiling",
            kind="photo",
            text=gettext_noop("Ceiling board: fasteners at 6 in into framing that carries it"),
            help=gettext_noop("Add fasteners at 6 in. Framing that sags is for a licensed design professional."),
            rule=sources.BOARD_FASTENERS,
            applies=Condition(surface="ceiling"),
        ),
        CheckKind(
            key="substrate.stiff",
            kind="tick",
            text=gettext_noop("Floor doesn't give between joists; stone has two layers of subfloor"),
            help=gettext_noop(
                "Screw down, add a layer. Joists that bend too far are for a licensed design professional."
            ),
            rule=sources.DEFLECTION,
            applies=Condition(surface="floor"),
        ),
        CheckKind(
            key="substrate.drop",
            kind="tick",
            text=gettext_noop("Slab or screed: a drop of water soaks in; sealer, paint and old adhesive are off"),
            help=gettext_noop(
                "Grind with vacuum and mask. Black adhesive first goes to a licensed asbestos inspector."
            ),
            rule=sources.SLAB_OPEN,
            required=False,
            applies=Condition(surface="floor"),
        ),
        CheckKind(
            key="substrate.cracks",
            kind="photo",
            text=gettext_noop("Slab or screed: cracks and joints, mapped with a tape in view"),
            help=gettext_noop(
                "Isolate what moves; carry structural joints through the tile. A step in height: stop and ask."
            ),
            rule=sources.CRACK_MAP,
            required=False,
            applies=Condition(surface="floor"),
        ),
        CheckKind(
            key="substrate.leveler",
            kind="wait",
            unit="hours",
            text=gettext_noop("Leveling compound has cured before it is covered"),
            help=gettext_noop("Wait, longer where it is thick or cold. The bag's figure governs."),
            measure=_leveler_wait,
            required=False,
            applies=Condition(surface="floor"),
        ),
        CheckKind(
            key="substrate.heights",
            kind="tick",
            text=gettext_noop("Doors, toilet flange and appliances clear the finished floor"),
            help=gettext_noop("Agree on the change with the owner before the first tile."),
            rule=sources.HEIGHTS,
            applies=Condition(places=("dry_floor",)),
        ),
        CheckKind(
            key="substrate.exterior",
            kind="tick",
            text=gettext_noop("No living space lies below, or a roof membrane and drained bed are in"),
            help=gettext_noop(
                "Stop. The roof under the tile is designed and built by licensed firms, not by this check."
            ),
            rule=sources.EXTERIOR_BED,
            applies=Condition(places=("exterior",), surface="floor"),
        ),
    ),
)
