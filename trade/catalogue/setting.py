"""Layout, setting, grout and soft joints: what everybody sees."""

from decimal import Decimal

from trade import sources
from trade.checks import CheckKind, PhaseKind
from trade.limits import Limit
from trade.rules import coverage_limit, lippage_limit, offset_joint_base
from trade.shop_limits import ShopLimits
from trade.sources import Rule
from trade.specification import Condition, Specification
from trade.waits import least_wait
from trade.words import gettext_noop


def _spread(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    most = round(spec.joint_mm / limits.joint_to_spread, 3)
    return Limit(compare="at most", high=most), limits.rule("joint_to_spread")


def _bow(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    flat, rule = offset_joint_base(rectified=spec.rectified, limits=limits)
    return Limit(compare="at most", high=max(spec.joint_mm - flat, Decimal(0))), rule


def _first_course(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at most", high=limits.first_course_mm), limits.rule("first_course_mm")


def _coverage(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return coverage_limit(place=spec.place, stone=spec.stone, limits=limits)


def _lippage(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return lippage_limit(joint_mm=spec.joint_mm, warp_mm=spec.warp_mm, stone=spec.stone, limits=limits)


def _mortar_wait(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("mortar to grout", limits=limits)


def _water_wait(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("grout to water", limits=limits)


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
        ),
        CheckKind(
            key="layout.first",
            kind="reading",
            unit="mm",
            text=gettext_noop("First course against its line, farthest off"),
            help=gettext_noop("Take it up while it moves: every course repeats it."),
            measure=_first_course,
        ),
        CheckKind(
            key="layout.cuts",
            kind="tick",
            text=gettext_noop("Smallest cuts measured on site are those of the layout sheet"),
            help=gettext_noop("Measure the room again and lay out again: a sliver now is a sliver for good."),
            rule=sources.LAYOUT_CUTS,
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
            kind="tick",
            text=gettext_noop("Sealer, where specified, after the grout's cure"),
            help=gettext_noop("Wait 48 to 72 hours at least, or what the grout's and the sealer's makers state."),
            rule=sources.WAIT_SEALER,
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
    ),
)
