"""Slope, waterproofing and water test: what keeps the water where it belongs."""

from dataclasses import replace

from trade import sources
from trade.checks import CheckKind, PhaseKind
from trade.limits import Limit
from trade.rules import shower_slope_limit
from trade.shop_limits import ShopLimits
from trade.sources import Rule
from trade.specification import WET_PLACES, Condition, Specification
from trade.waits import least_wait
from trade.words import gettext_noop


def _slope(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    # Corners differ, so one reading proves one corner only: two at least, common practice.
    if spec.place == "exterior":
        low = limits.exterior_slope_percent
        return Limit(compare="at least", low=low, count=2), limits.rule("exterior_slope_percent")
    limit, rule = shower_slope_limit(limits=limits)
    return replace(limit, count=2), rule


def _liner(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.liner_height_mm), limits.rule("liner_height_mm")


def _wall_height(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.wall_height_mm), limits.rule("wall_height_mm")


def _height_over_drain(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.wall_height_drain_mm), limits.rule("wall_height_drain_mm")


def _curb(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    if spec.accessible:
        return Limit(compare="at most", high=limits.curb_accessible_mm), limits.rule("curb_accessible_mm")
    low, high = "curb_low_mm", "curb_high_mm"
    return Limit(compare="between", low=limits.value(low), high=limits.value(high)), limits.rule(low, high)


def _below_pan(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.curb_below_pan_mm), limits.rule("curb_below_pan_mm")


def _sills(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    low, high = "sill_low_percent", "sill_high_percent"
    return Limit(compare="between", low=limits.value(low), high=limits.value(high)), limits.rule(low, high)


def _steam_ceiling(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.steam_ceiling_percent), limits.rule("steam_ceiling_percent")


def _flange(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.flange_mm), limits.rule("flange_mm")


def _membrane_wait(spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return least_wait("membrane to water test", temperature_f=spec.coldest_f, limits=limits)


def _depth(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    low, high = "water_depth_low_mm", "water_depth_high_mm"
    return Limit(compare="between", low=limits.value(low), high=limits.value(high)), limits.rule(low, high)


def _stood(_spec: Specification, limits: ShopLimits) -> tuple[Limit, Rule]:
    return Limit(compare="at least", low=limits.water_test_hours), limits.rule("water_test_hours")


EARLIER_TEXTS = (
    gettext_noop("Water at its mark, at the start and at the end"),
    gettext_noop("Mark the level with tape and pencil, and photograph both times."),
)
"""Of checks as they were asked before: jobs whose work began then still show them."""

SLOPE = PhaseKind(
    key="slope",
    name=gettext_noop("Slope"),
    applies=Condition(places=("shower", "wet_floor", "exterior"), surface="floor"),
    checks=(
        CheckKind(
            key="slope.preslope",
            kind="tick",
            text=gettext_noop("What lies under the liner or membrane slopes to the drain as well"),
            help=gettext_noop("Float the pre-slope first: a flat liner keeps the mud wet for good."),
            rule=sources.PAN_BUILD,
            applies=Condition(places=("shower", "wet_floor")),
        ),
        CheckKind(
            key="slope.fall",
            kind="readings",
            unit="percent",
            text=gettext_noop("Slope from each far corner to the drain or edge, by level"),
            help=gettext_noop(
                "Float it again: too little holds water, too much is unsafe to stand on. 1/4 in per ft is 2 percent."
            ),
            measure=_slope,
        ),
        CheckKind(
            key="slope.run",
            kind="tick",
            text=gettext_noop("Water poured at the rim runs off, and none stands"),
            help=gettext_noop("Mark the low spot while it is wet, fill it, pour again."),
            rule=sources.PAN_BUILD,
        ),
        CheckKind(
            key="slope.away",
            kind="tick",
            text=gettext_noop("Slope runs away from the building, below the door's sill and flashing"),
            help=gettext_noop(
                "Stop: tile above a sill or its flashing leads water indoors. Ask before the bed goes in."
            ),
            rule=sources.EXTERIOR_SLOPE,
            applies=Condition(places=("exterior",)),
        ),
        CheckKind(
            key="slope.rim",
            kind="tick",
            text=gettext_noop("Rim of the pan is level all round, so that one bottom course fits"),
            help=gettext_noop("Bring the rim level, or note on the layout sheet where the bottom course is scribed."),
            rule=sources.PAN_BUILD,
            required=False,
            applies=Condition(places=("shower",)),
        ),
        CheckKind(
            key="slope.weeps",
            kind="tick",
            text=gettext_noop("Liner pan: weep holes pass a cup of water after the mud is in"),
            help=gettext_noop("Open the mud at the drain, clear the weep holes, pack gravel around them."),
            rule=sources.PAN_BUILD,
            required=False,
            applies=Condition(places=("shower",)),
        ),
    ),
)

WATERPROOFING = PhaseKind(
    key="waterproofing",
    name=gettext_noop("Waterproofing"),
    applies=Condition(places=WET_PLACES),
    checks=(
        CheckKind(
            key="waterproofing.laps",
            kind="photo",
            text=gettext_noop("Laps, corners, drain and curb, close enough to see the edges"),
            help=gettext_noop("Patch what gapes or bubbles with the same system, lapped as its maker states."),
            rule=sources.MEMBRANE_LAPS,
            # Bands and laps are made, and covered, face by face.
            apart="face",
        ),
        CheckKind(
            key="waterproofing.turn_up",
            kind="tick",
            text=gettext_noop("Membrane turns up at every wall and is dammed or sloped off at the doorway"),
            help=gettext_noop("Turn it up with the corners of the same system before the base or wall tile covers it."),
            rule=sources.WET_ROOM,
            applies=Condition(places=("wet_floor",)),
            apart="wall",
        ),
        CheckKind(
            key="waterproofing.pipes",
            kind="photo",
            text=gettext_noop("Valve, arm, spout and niche sealed around"),
            help=gettext_noop("Seal each with the collar or band of the same system."),
            rule=sources.MEMBRANE_LAPS,
            applies=Condition(surface="walls"),
        ),
        CheckKind(
            key="waterproofing.film",
            kind="tick",
            text=gettext_noop("Liquid membrane: both coats read with the wet gauge at the stated film, no pinholes"),
            help=gettext_noop("Add a coat. Too thin shows the board's color through."),
            rule=sources.MEMBRANE_LAPS,
            required=False,
            # The gauge is pressed into each coat of each face.
            apart="face",
        ),
        CheckKind(
            key="waterproofing.flats",
            kind="tick",
            text=gettext_noop("Niche sill, bench and top of curb slope to the drain"),
            help=gettext_noop("Build them up before tile: a level one holds water under the grout."),
            rule=sources.FLATS_SLOPE,
            applies=Condition(places=("shower", "tub_surround"), flats=False),
        ),
        CheckKind(
            key="waterproofing.sills",
            kind="reading",
            unit="percent",
            text=gettext_noop("Niche sill, bench and top of curb: the flattest one's slope to the drain"),
            help=gettext_noop("Build it up before tile: a level one holds water under the grout."),
            measure=_sills,
            applies=Condition(places=("shower", "tub_surround"), flats=True),
        ),
        CheckKind(
            key="waterproofing.curb",
            kind="reading",
            unit="mm",
            text=gettext_noop("Top of the finished curb above the top of the drain"),
            help=gettext_noop("Build it up or cut it down before it is covered. Your local code decides."),
            measure=_curb,
            applies=Condition(places=("shower",), curb=True),
        ),
        CheckKind(
            key="waterproofing.curb_below_pan",
            kind="reading",
            unit="mm",
            text=gettext_noop("Top of the finished curb below the pan's sides and back, least"),
            help=gettext_noop("Carry the pan's sides up: water must leave over the curb before it leaves elsewhere."),
            measure=_below_pan,
            applies=Condition(places=("shower",), curb=True, accessible=False),
        ),
        CheckKind(
            key="waterproofing.liner",
            kind="reading",
            unit="mm",
            text=gettext_noop("Liner or membrane up the wall, least height above the finished curb"),
            help=gettext_noop(
                "Extend it with a lap of the same system. Your local code may ask less: ask the inspector."
            ),
            measure=_liner,
            applies=Condition(places=("shower",), surface="floor"),
        ),
        CheckKind(
            key="waterproofing.fasteners",
            kind="tick",
            text=gettext_noop(
                "No fastener goes through the pan below its top inch, nor through the curb's top or inside"
            ),
            help=gettext_noop("Pull it and patch the hole with the same system; then the water test decides."),
            rule=sources.PAN_BUILD,
            applies=Condition(places=("shower",), surface="floor"),
        ),
        CheckKind(
            key="waterproofing.flange",
            kind="tick",
            text=gettext_noop("Wall barrier laps over the tub's flange, with a gap left for the soft joint"),
            help=gettext_noop("Lap it over the flange, never behind it."),
            rule=sources.TUB_FLANGE,
            applies=Condition(places=("tub_surround",)),
        ),
        CheckKind(
            key="waterproofing.flange_height",
            kind="reading",
            unit="mm",
            text=gettext_noop("Height of the tub's flange, where it is lowest"),
            help=gettext_noop("A tub without a flange lets water behind the wall: ask its maker for a flange kit."),
            measure=_flange,
            applies=Condition(places=("tub_surround",)),
        ),
        CheckKind(
            key="waterproofing.height",
            kind="reading",
            unit="mm",
            text=gettext_noop("Least height of the wet wall's finish above the room's floor"),
            help=gettext_noop("Carry it up. One code also asks 70 in above the drain; your local code decides."),
            measure=_wall_height,
            applies=Condition(places=("shower", "tub_surround"), surface="walls"),
        ),
        CheckKind(
            key="waterproofing.height_over_drain",
            kind="reading",
            unit="mm",
            text=gettext_noop("Least height of the wet wall's finish above the drain"),
            help=gettext_noop("Carry it up. Codes differ: your local code decides."),
            measure=_height_over_drain,
            required=False,
            applies=Condition(places=("shower",), surface="walls"),
        ),
        CheckKind(
            key="waterproofing.steam_ceiling",
            kind="reading",
            unit="percent",
            text=gettext_noop("Steam: slope of the ceiling, so that drops run to a wall"),
            help=gettext_noop("Slope it before it is covered: a level ceiling drips on people, hot."),
            measure=_steam_ceiling,
            applies=Condition(surface="ceiling", steam=True),
        ),
    ),
)

_FROM_THE_START = ("water_test.depth", "water_test.mark", "water_test.hours")
"""What is done anew when the water got away: filled, marked and stood. Common practice, no source."""

WATER_TEST = PhaseKind(
    key="water_test",
    name=gettext_noop("Water test"),
    applies=Condition(places=("shower", "wet_floor"), surface="floor"),
    checks=(
        CheckKind(
            key="water_test.cured",
            kind="wait",
            unit="hours",
            text=gettext_noop("Membrane has cured before the water goes in"),
            help=gettext_noop("Wait, twice as long below 50 °F, or what its maker states if that is longer."),
            measure=_membrane_wait,
        ),
        CheckKind(
            key="water_test.depth",
            kind="reading",
            unit="mm",
            text=gettext_noop("Depth of the water at the threshold, drain plugged"),
            help=gettext_noop("Build a dam where there is no curb. Deeper than this asks an engineer: water is heavy."),
            measure=_depth,
            after=("water_test.cured",),
        ),
        CheckKind(
            key="water_test.mark",
            kind="photo",
            text=gettext_noop("Water at its mark, at the start"),
            help=gettext_noop("Mark the level with tape and pencil, and photograph it."),
            rule=sources.WATER_TEST_CODE,
            after=("water_test.cured",),
        ),
        CheckKind(
            key="water_test.hours",
            kind="wait",
            unit="hours",
            text=gettext_noop("Water has stood"),
            help=gettext_noop("Wait. The code's minimum is 15 minutes; the trade's practice is 24 hours."),
            measure=_stood,
            after=("water_test.cured",),
        ),
        CheckKind(
            key="water_test.mark_end",
            kind="photo",
            text=gettext_noop("Water at its mark, at the end"),
            help=gettext_noop("Photograph it at the same mark before the water goes out."),
            rule=sources.WATER_TEST_CODE,
            after=("water_test.hours",),
        ),
        CheckKind(
            key="water_test.level",
            kind="tick",
            text=gettext_noop("Level hasn't dropped from its mark"),
            help=gettext_noop(
                "Check the plug, then the drain's clamp, corners and curb. Mend it and test from the start."
            ),
            rule=sources.WATER_TEST_PRACTICE,
            after=("water_test.hours",),
            restarts=_FROM_THE_START,
        ),
        CheckKind(
            key="water_test.below",
            kind="tick",
            text=gettext_noop("Ceiling below, outside of the curb and foot of the walls are dry"),
            help=gettext_noop("Drain it at once, find the way of the water, mend it and test from the start."),
            rule=sources.WATER_TEST_CODE,
            after=("water_test.hours",),
            restarts=_FROM_THE_START,
        ),
        CheckKind(
            key="water_test.spray",
            kind="tick",
            text=gettext_noop("Niche, bench and valve sprayed for 10 minutes, nothing behind them is wet"),
            help=gettext_noop("Open, dry and seal again what let water through."),
            rule=sources.SPRAY,
            applies=Condition(surface="walls"),
            after=("water_test.cured",),
        ),
        CheckKind(
            key="water_test.inspection",
            kind="inspection",
            text=gettext_noop("Inspector has passed the pan and its water test"),
            help=gettext_noop("Cover nothing. Correct what the inspector wrote, and call for the next visit."),
            rule=sources.INSPECTION,
            applies=Condition(permit=True),
            after=("water_test.cured",),
        ),
    ),
)
