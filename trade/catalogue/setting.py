"""Layout, setting, grout and soft joints: what everybody sees."""

from decimal import Decimal

from trade import sources
from trade.checks import CheckKind, PhaseKind
from trade.limits import Limit
from trade.rules import coverage_limit, lippage_limit, offset_joint_base
from trade.shop_limits import ShopLimits
from trade.sources import Rule
from trade.specification import Condition, Specification
from trade.tile_limits import most_warp_mm
from trade.waits import Product, least_wait
from trade.words import gettext_noop


def _spread(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    most = round(spec.joint_mm / limits.joint_to_spread, 3)
    return Limit(compare="at most", high=most), limits.rule("joint_to_spread")


def _bow(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    flat, rule = offset_joint_base(rectified=spec.rectified, limits=limits)
    return Limit(compare="at most", high=max(spec.joint_mm - flat, Decimal(0))), rule


def _bow_by_standard(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    most, rule = most_warp_mm(length_mm=spec.tile_longest_edge_mm, rectified=spec.rectified, limits=limits)
    return Limit(compare="at most", high=round(most, 3)), rule


def _bed(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    low, high = "bed_low_mm", "bed_large_high_mm" if spec.large_tile else "bed_high_mm"
    return Limit(compare="between", low=limits.value(low), high=limits.value(high)), limits.rule(low, high)


def _cable(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at most", high=limits.cable_percent), limits.rule("cable_percent")


def _first_course(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at most", high=limits.first_course_mm), limits.rule("first_course_mm")


def _coverage(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return coverage_limit(place=spec.place, stone=spec.stone, limits=limits)


def _lippage(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return lippage_limit(joint_mm=spec.joint_mm, warp_mm=spec.warp_mm, stone=spec.stone, limits=limits)


def _mortar_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    slow: Product = "large tile or stone" if spec.large_tile or spec.stone else "standard"
    product: Product = "rapid" if spec.rapid_mortar else slow
    return least_wait("mortar to grout", product=product, temperature_f=spec.coldest_f, limits=limits)


def _water_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("grout to water", product=_grout(spec), temperature_f=spec.coldest_f, limits=limits)


def _sealer_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("grout to sealer", temperature_f=spec.coldest_f, limits=limits)


def _feet_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("grout to feet", temperature_f=spec.coldest_f, limits=limits)


def _loads_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("grout to loads", temperature_f=spec.coldest_f, limits=limits)


def _grout(spec: Specification) -> Product:
    return "epoxy" if spec.epoxy_grout else "standard"


HEATED_FLOOR = PhaseKind(
    key="heated_floor",
    name=gettext_noop("Heated floor"),
    applies=Condition(surface="floor", heated=True),
    checks=(
        CheckKind(
            key="heated_floor.box",
            kind="ohms",
            unit="ohms",
            text=gettext_noop("Cable out of its box, before it is unrolled"),
            help=gettext_noop("Don't lay it: send it back to the supplier with the reading."),
            measure=_cable,
        ),
        CheckKind(
            key="heated_floor.laid",
            kind="ohms",
            unit="ohms",
            text=gettext_noop("Cable laid and fastened"),
            help=gettext_noop("Stop: find the damage before it is buried. Its maker says whether it may be mended."),
            measure=_cable,
        ),
        CheckKind(
            key="heated_floor.insulation",
            kind="tick",
            text=gettext_noop("Insulation between core and braid reads as the cable's instructions ask, probes in"),
            help=gettext_noop("Stop: a leak to the braid is a shock. A licensed electrician looks at it."),
            rule=sources.HEATED_READINGS,
        ),
        CheckKind(
            key="heated_floor.photo",
            kind="photo",
            text=gettext_noop("Cable and both sensors as they lie, with a tape in view"),
            help=gettext_noop("Photograph it now: who drills later looks here first. Lay the spare sensor too."),
            rule=sources.HEATED_READINGS,
        ),
        CheckKind(
            key="heated_floor.embedded",
            kind="ohms",
            unit="ohms",
            text=gettext_noop("Cable embedded, before tile"),
            help=gettext_noop("Stop: open the place while it is soft. Tile over a cut cable comes up again."),
            measure=_cable,
        ),
        CheckKind(
            key="heated_floor.electrician",
            kind="tick",
            text=gettext_noop("A licensed electrician connects it, on its own protected circuit; it is off until then"),
            help=gettext_noop("Leave the ends safe and unconnected. The local code decides about circuit and permit."),
            rule=sources.CABLE_TAG,
        ),
    ),
)

LAYOUT = PhaseKind(
    key="layout",
    name=gettext_noop("Layout"),
    applies=Condition(),
    checks=(
        CheckKind(
            key="layout.approved",
            kind="tick",
            text=gettext_noop("Owner has approved layout, grout color, joint and trim"),
            help=gettext_noop("Show the layout sheet and a board, and wait for the answer in writing."),
            rule=sources.APPROVAL,
        ),
        CheckKind(
            key="layout.lots",
            kind="tick",
            text=gettext_noop(
                "Tile on site is what was ordered: one lot to a plane, three boxes blended, none damaged"
            ),
            help=gettext_noop("Set nothing: setting a tile accepts it. Tell the office the lot and count."),
            rule=sources.LOTS,
        ),
        CheckKind(
            key="layout.spread",
            kind="reading",
            unit="mm",
            text=gettext_noop("Difference in size between the largest and the smallest of ten tiles"),
            help=gettext_noop("Sort the tile, or widen the joint to suit the difference and lay out again."),
            measure=_spread,
        ),
        CheckKind(
            key="layout.bow",
            kind="reading",
            unit="mm",
            text=gettext_noop("Bow along the longest edge, the worst of ten tiles, two laid face to face and halved"),
            help=gettext_noop(
                "Widen the joint by as much, or change the pattern: offset tile shows its bow as lippage."
            ),
            measure=_bow,
            applies=Condition(large_offset=True),
        ),
        CheckKind(
            key="layout.bow_by_standard",
            kind="reading",
            unit="mm",
            text=gettext_noop("Bow along the longest edge, the worst of ten tiles, against the tile's own standard"),
            help=gettext_noop("Set nothing: setting a tile accepts it. Show the supplier the reading first."),
            measure=_bow_by_standard,
            applies=Condition(large_tile=True, large_offset=False, stone=False),
        ),
        CheckKind(
            key="layout.panels",
            kind="tick",
            text=gettext_noop("Panels: crate looked over, path walked, frame and the people who carry named"),
            help=gettext_noop(
                "Lift nothing until it is so: a panel that breaks cuts. Two people at least, and gloves."
            ),
            rule=sources.PANELS,
            applies=Condition(panel=True),
        ),
        CheckKind(
            key="layout.stone",
            kind="tick",
            text=gettext_noop(
                "Stone is dry-laid and signed for; its mortar suits its color and its feeling for moisture"
            ),
            help=gettext_noop(
                "Lay it out dry with the owner. Stone that moisture moves or stains takes reactive mortar."
            ),
            rule=sources.STONE,
            applies=Condition(stone=True),
        ),
        CheckKind(
            key="layout.lines",
            kind="tick",
            text=gettext_noop("Level line and plumb line, or both floor lines, snapped and checked a second time"),
            help=gettext_noop("Snap them again from the layout sheet, from something on site that stays."),
            rule=sources.LINES,
            # Each face has its own lines; the first course and the cuts are measured where they are set.
            apart="face",
        ),
        CheckKind(
            key="layout.first",
            kind="reading",
            unit="mm",
            text=gettext_noop("First course against its line, farthest off"),
            help=gettext_noop("Take it up while it moves: every course repeats it."),
            measure=_first_course,
            apart="face",
        ),
        CheckKind(
            key="layout.cuts",
            kind="tick",
            text=gettext_noop("Smallest cuts measured on site are those of the layout sheet"),
            help=gettext_noop("Measure the room again and lay out again: a sliver now is a sliver for good."),
            rule=sources.LAYOUT_CUTS,
            apart="face",
        ),
    ),
)

SETTING = PhaseKind(
    key="setting",
    name=gettext_noop("Setting"),
    applies=Condition(),
    checks=(
        CheckKind(
            key="setting.saw",
            kind="tick",
            text=gettext_noop("Saw runs with water or vacuum on a GFCI outlet; masks by the silica plan"),
            help=gettext_noop("Stop cutting until it does. Bags and crates: two people or a cart."),
            rule=sources.SILICA,
        ),
        CheckKind(
            key="setting.batch",
            kind="photo",
            text=gettext_noop("Mortar bags: name, batch and date"),
            help=gettext_noop("Photograph the bag's print. Past its date it isn't mixed."),
            rule=sources.RECORDS,
            required=False,
        ),
        CheckKind(
            key="setting.coverage",
            kind="coverage",
            unit="percent",
            text=gettext_noop("Coverage on lifted tiles, three at least, early enough to change the trowel"),
            help=gettext_noop(
                "Take up what was set with this batch. Larger notch, ridges one way, fresh mortar, back-butter; lift "
                "three more. Corners and edges must be bedded."
            ),
            measure=_coverage,
            # Trowel, hand and substrate change from wall to wall: three tiles of one say nothing of another.
            apart="face",
        ),
        CheckKind(
            key="setting.bed",
            kind="reading",
            unit="mm",
            text=gettext_noop("Mortar left under a lifted tile, where it is thinnest"),
            help=gettext_noop("Too thin: a larger notch. Too thick: take it up and flatten what lies under it."),
            measure=_bed,
            required=False,
        ),
        CheckKind(
            key="setting.panels",
            kind="tick",
            text=gettext_noop(
                "Panels: mortar on wall or floor and on the panel, ridges collapsed, corners of cut-outs round"
            ),
            help=gettext_noop("Take it off with its frame and comb both again; a square corner of a cut-out cracks."),
            rule=sources.PANELS,
            applies=Condition(panel=True),
        ),
        CheckKind(
            key="setting.mosaic",
            kind="tick",
            text=gettext_noop("Mosaic: ridges knocked flat, no mortar in the joints, sheet lines gone from 6 ft"),
            help=gettext_noop("Move sheets while they move, cut the mortar out of the joints, look again from 6 ft."),
            rule=sources.MOSAIC,
            applies=Condition(mosaic=True),
        ),
        CheckKind(
            key="setting.weather",
            kind="tick",
            text=gettext_noop("Covered from rain, sun and frost until it has cured"),
            help=gettext_noop("Cover it now, and stop setting where it may freeze before it has cured."),
            rule=sources.EXTERIOR_CURE,
            applies=Condition(places=("exterior",)),
        ),
        CheckKind(
            key="setting.lippage",
            kind="reading",
            unit="mm",
            text=gettext_noop("Worst lippage between neighbors"),
            help=gettext_noop(
                "Reset while it moves. Measure the tile's bow: it is added to what is allowed, except in stone."
            ),
            measure=_lippage,
            apart="face",
        ),
        CheckKind(
            key="setting.gaps",
            kind="tick",
            text=gettext_noop("Gaps for soft joints are open and clean: inside corners, tub, floor, perimeter"),
            help=gettext_noop("Rake the mortar out before it is hard."),
            rule=sources.MOVEMENT_JOINTS,
        ),
        CheckKind(
            key="setting.joints",
            kind="tick",
            text=gettext_noop("Mortar is out of the joints to two thirds of their depth"),
            help=gettext_noop("Scrape it the same day: grout over mortar shows and cracks."),
            rule=sources.GROUT_WORK,
        ),
    ),
)

GROUT = PhaseKind(
    key="grout",
    name=gettext_noop("Grout"),
    applies=Condition(),
    checks=(
        CheckKind(
            key="grout.set",
            kind="wait",
            unit="hours",
            text=gettext_noop("Mortar has set before grout"),
            help=gettext_noop(
                "Wait what the bag states: longer in the cold, for large tile, stone, and dense tile on a membrane."
            ),
            measure=_mortar_wait,
        ),
        CheckKind(
            key="grout.cable",
            kind="ohms",
            unit="ohms",
            text=gettext_noop("Heating cable, tile set, before grout"),
            help=gettext_noop("Stop and find the damage while joints are open. Its maker says how it is mended."),
            measure=_cable,
            applies=Condition(surface="floor", heated=True),
        ),
        CheckKind(
            key="grout.clean",
            kind="tick",
            text=gettext_noop("Joints are clean, dry and free of spacers"),
            help=gettext_noop("Clean and vacuum them first."),
            rule=sources.GROUT_WORK,
        ),
        CheckKind(
            key="grout.water",
            kind="tick",
            text=gettext_noop("Mix water is measured, the same for every batch"),
            help=gettext_noop("Throw the batch away: wet grout cracks and dries blotchy."),
            rule=sources.GROUT_WORK,
        ),
        CheckKind(
            key="grout.batch",
            kind="photo",
            text=gettext_noop("Grout bags: color and batch number"),
            help=gettext_noop("One batch number to a plane. Two: blend them dry or stop at a corner."),
            rule=sources.RECORDS,
        ),
        CheckKind(
            key="grout.soft",
            kind="tick",
            text=gettext_noop("No grout in the soft joints"),
            help=gettext_noop("Rake it out before it is hard: grouted corners crack."),
            rule=sources.MOVEMENT_JOINTS,
        ),
    ),
)

SOFT_JOINTS = PhaseKind(
    key="soft_joints",
    name=gettext_noop("Soft joints and sealer"),
    applies=Condition(),
    checks=(
        CheckKind(
            key="soft_joints.planes",
            kind="tick",
            text=gettext_noop("Changes of plane and meetings with other materials are sealed, not grouted"),
            help=gettext_noop("Rake the grout out and seal."),
            rule=sources.MOVEMENT_JOINTS,
        ),
        CheckKind(
            key="soft_joints.field",
            kind="tick",
            text=gettext_noop(
                "Joints over structural joints, at the perimeter and in the field are soft and open below"
            ),
            help=gettext_noop("Cut the grout out through the tile's whole depth, back it and seal it."),
            rule=sources.MOVEMENT_JOINTS,
            applies=Condition(surface="floor"),
        ),
        CheckKind(
            key="soft_joints.shape",
            kind="tick",
            text=gettext_noop("Sealant is dry-bonded to two sides only, over a backer or tape"),
            help=gettext_noop("Pull it, dry the joint, back it and seal again: three-sided bond tears."),
            rule=sources.SEALANT_SHAPE,
        ),
        CheckKind(
            key="soft_joints.tub",
            kind="tick",
            text=gettext_noop("Tub was full while its joint was sealed, and stays full until it cures"),
            help=gettext_noop("Fill the tub and seal again: an empty tub tears the joint when it is filled."),
            rule=sources.TUB_FULL,
            applies=Condition(places=("tub_surround",)),
        ),
        CheckKind(
            key="soft_joints.photo",
            kind="photo",
            text=gettext_noop("Finished corners, perimeter and soft joints"),
            help=gettext_noop("Photograph each corner; it is what a callback is held against."),
            rule=sources.MOVEMENT_JOINTS,
        ),
        CheckKind(
            key="soft_joints.sealer",
            kind="wait",
            unit="hours",
            text=gettext_noop("Grout has cured before the sealer, where one is specified"),
            help=gettext_noop("Wait, or what the grout's and the sealer's makers state if that is longer."),
            measure=_sealer_wait,
            required=False,
        ),
        CheckKind(
            key="soft_joints.use",
            kind="wait",
            unit="hours",
            text=gettext_noop("Grout has cured before the first water"),
            help=gettext_noop("Keep it out of use and say so in writing. The bag's figure governs."),
            measure=_water_wait,
            applies=Condition(places=("shower", "tub_surround", "wet_floor", "exterior")),
        ),
        CheckKind(
            key="soft_joints.feet",
            kind="wait",
            unit="hours",
            text=gettext_noop("Grout has cured before anybody walks on it"),
            help=gettext_noop("Keep people off, and say so in writing. The bag's figure governs."),
            measure=_feet_wait,
            required=False,
            applies=Condition(places=("dry_floor",)),
        ),
        CheckKind(
            key="soft_joints.loads",
            kind="wait",
            unit="hours",
            text=gettext_noop("Grout has cured before cabinets and appliances roll over it"),
            help=gettext_noop("Lay boards until then. The bag's figure governs."),
            measure=_loads_wait,
            required=False,
            applies=Condition(places=("dry_floor",)),
        ),
        CheckKind(
            key="soft_joints.cable",
            kind="ohms",
            unit="ohms",
            text=gettext_noop("Heating cable, grouted; it stays off until the longest written cure has passed"),
            help=gettext_noop("Say it to the owner today. Who mends it needs the photo of the cable as it lay."),
            measure=_cable,
            applies=Condition(surface="floor", heated=True),
        ),
    ),
)
