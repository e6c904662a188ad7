"""The rules of the trade as functions: a case in, a verdict out.  Lengths are Decimal mm, slopes and shares percent.

Every limit is a default that a shop may set otherwise (`trade/shop_limits.py`): these take the shop's `limits`.
Manufacturer's written instructions, local code and inspector govern.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, get_args

from trade import sources
from trade.figures import not_negative, positive
from trade.lengths import feet, inches
from trade.limits import Limit, Outcome, judge, judge_all
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Confidence, Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

__all__ = ["Confidence", "Outcome", "Place", "Rule", "Verdict"]

Place = Literal["shower", "tub_surround", "wet_floor", "dry_floor", "dry_wall", "exterior"]
"""`wet_floor` drains and is wet in use; a bath floor outside the shower that only sees splashes is a `dry_floor`."""

LARGE_EDGE_MM = inches(15)
WIDE_JOINT_MM = inches("1/4")
"""From here on more lippage is allowed."""
DRY_PLACES: tuple[Place, ...] = ("dry_floor", "dry_wall")
LEAD_YEAR = 1978
ASBESTOS_YEAR = 1998
"""Adhesive with asbestos was sold until 1997, by the source of `sources.ASBESTOS`."""

_NEAR_MM = Decimal("0.01")
"""The tolerance of our geometry.  A joint of 5/32 in must not fail for the rounding of a warp typed in mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatnessLimit:
    """The gap allowed under a straightedge of this length, both in mm."""

    length_mm: Decimal
    gap_mm: Decimal


def flatness_keys(*, tile_longest_edge_mm: Decimal) -> tuple[str, str]:
    """Return the keys of a tile's two flatness limits by its measured edge, the long straightedge first; exactly 15 in
    is large.  ValueError unless positive."""
    positive(tile_longest_edge_mm=tile_longest_edge_mm)
    if tile_longest_edge_mm >= LARGE_EDGE_MM:
        return "flat_large_long_mm", "flat_large_short_mm"
    return "flat_small_long_mm", "flat_small_short_mm"


def flatness_rule(*, tile_longest_edge_mm: Decimal, limits: ShopLimits = DEFAULTS) -> Rule:
    """Return a tile's flatness rule by its measured edge.  ValueError unless positive."""
    return limits.rule(*flatness_keys(tile_longest_edge_mm=tile_longest_edge_mm))


def flatness_limits(
    *, tile_longest_edge_mm: Decimal, limits: ShopLimits = DEFAULTS
) -> tuple[FlatnessLimit, FlatnessLimit]:
    """Return the two limits of `flatness_rule`, the long straightedge first."""
    long, short = flatness_keys(tile_longest_edge_mm=tile_longest_edge_mm)
    short_length = inches(24) if tile_longest_edge_mm >= LARGE_EDGE_MM else inches(12)
    return (
        FlatnessLimit(length_mm=feet(10), gap_mm=limits.value(long)),
        FlatnessLimit(length_mm=short_length, gap_mm=limits.value(short)),
    )


def judge_flatness(
    *,
    tile_longest_edge_mm: Decimal,
    long_gap_mm: Decimal | None,
    short_gap_mm: Decimal | None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a substrate is flat enough for its tile, from the worst gap under each straightedge.

    One gap over its limit fails; a missing one (None) leaves the rest undecided.
    """
    long, short = flatness_limits(tile_longest_edge_mm=tile_longest_edge_mm, limits=limits)
    given = {"long_gap_mm": (long_gap_mm, long), "short_gap_mm": (short_gap_mm, short)}
    figures = {"long_limit_mm": long.gap_mm, "short_limit_mm": short.gap_mm, "short_length_mm": short.length_mm}
    figures |= {name: gap for name, (gap, _) in given.items() if gap is not None}
    not_negative(**figures)
    over = [gap is not None and gap > limit.gap_mm for gap, limit in given.values()]
    if any(over):
        outcome: Outcome = "fails"
        template = gettext_noop(
            "Not flat enough: at most %(long_limit_mm)s in 10 ft and %(short_limit_mm)s in %(short_length_mm)s. Mortar "
            "is not for flattening: plane, shim, patch or grind first."
        )
    elif long_gap_mm is None or short_gap_mm is None:
        outcome = "can't tell"
        template = gettext_noop("Lay both straightedges, 10 ft and %(short_length_mm)s, and read the widest gap.")
    else:
        outcome = "holds"
        template = gettext_noop(
            "Flat enough: %(long_gap_mm)s of %(long_limit_mm)s in 10 ft, %(short_gap_mm)s of %(short_limit_mm)s in "
            "%(short_length_mm)s."
        )
    rule = flatness_rule(tile_longest_edge_mm=tile_longest_edge_mm, limits=limits)
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def offset_joint_base(*, rectified: bool, limits: ShopLimits = DEFAULTS) -> tuple[Decimal, Rule]:
    """Return the joint in mm that offset courses of large tile need before the tile's bow is added, and its rule."""
    key = "offset_joint_rectified_mm" if rectified else "offset_joint_mm"
    return limits.value(key), limits.rule(key)


def least_joint(
    *,
    tile_longest_edge_mm: Decimal,
    size_spread_mm: Decimal,
    warp_mm: Decimal,
    offset: bool,
    rectified: bool,
    limits: ShopLimits = DEFAULTS,
) -> tuple[Decimal, Rule]:
    """Return the least joint in mm and the rule that asks most.

    `size_spread_mm`: measured difference in facing size. `warp_mm`: measured bow of the longest edge. `offset`:
    neighboring courses don't line up. Raises ValueError for a negative figure.
    """
    positive(tile_longest_edge_mm=tile_longest_edge_mm)
    not_negative(size_spread_mm=size_spread_mm, warp_mm=warp_mm)
    spread = limits.joint_to_spread * size_spread_mm
    key = "joint_to_spread" if spread > limits.smallest_joint_mm else "smallest_joint_mm"
    asked = [(max(spread, limits.smallest_joint_mm), limits.rule(key))]
    if offset and tile_longest_edge_mm > LARGE_EDGE_MM:
        flat, rule = offset_joint_base(rectified=rectified, limits=limits)
        asked.append((flat + warp_mm, rule))
    return max(asked, key=lambda each: each[0])


def judge_joint(
    *,
    joint_mm: Decimal,
    tile_longest_edge_mm: Decimal,
    size_spread_mm: Decimal | None,
    warp_mm: Decimal | None,
    offset: bool,
    rectified: bool,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a joint is wide enough.  A spread or warp that nobody measured (None) counts as nothing until it
    decides: a joint too narrow even then fails, else the verdict is `can't tell`."""
    positive(joint_mm=joint_mm)
    least, rule = least_joint(
        tile_longest_edge_mm=tile_longest_edge_mm,
        size_spread_mm=size_spread_mm or Decimal(0),
        warp_mm=warp_mm or Decimal(0),
        offset=offset,
        rectified=rectified,
        limits=limits,
    )
    warp_matters = offset and tile_longest_edge_mm > LARGE_EDGE_MM
    figures = {"joint_mm": joint_mm, "least_mm": least}
    if joint_mm < least - _NEAR_MM:
        template = gettext_noop("The joint of %(joint_mm)s is too narrow: this tile needs at least %(least_mm)s.")
        return Verdict(rule=rule, outcome="fails", figures=figures, template=template)
    if size_spread_mm is None:
        figures["times"] = limits.joint_to_spread
        template = gettext_noop("Measure the size of ten tiles: the joint is at least %(times)s times their spread.")
        rule = limits.rule("joint_to_spread")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    if warp_mm is None and warp_matters:
        template = gettext_noop("Measure the bow of the longest edge: it is added to the least joint of %(least_mm)s.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    template = gettext_noop("The joint of %(joint_mm)s is wide enough: this tile needs %(least_mm)s.")
    return Verdict(rule=rule, outcome="holds", figures=figures, template=template)


def judge_offset(*, share: Fraction | Decimal, side_mm: Decimal, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether neighboring courses may be offset by `share` of the side along the course, `side_mm`.

    A share counts from the nearer end, whichever way the courses step: 2/3 is 1/3. The rule prints 33 percent and
    means a third, so 1/3 itself holds. Raises ValueError outside 0 … 1.
    """
    exact = Fraction(share)
    if not 0 <= exact <= 1:
        raise ValueError(f"a share lies between 0 and 1, got {share}")
    positive(side_mm=side_mm)
    near = min(exact, 1 - exact)
    figures = {"offset_percent": _percent(near * 100), "side_mm": side_mm, "most_percent": limits.offset_percent}
    rule = limits.rule("offset_percent")
    # Half a percent of slack: a third written 0.333, 0.334 or 33 % is a third.
    if side_mm > LARGE_EDGE_MM and near > Fraction(limits.offset_percent) / 100 + Fraction(1, 200):
        template = (
            gettext_noop(
                "An offset of %(offset_percent)s percent on a side of %(side_mm)s makes lippage: a third at most, "
                "unless the tile's maker allows more and a mock-up is approved."
            )
            if rule is sources.OFFSET_LIMIT
            else gettext_noop(
                "An offset of %(offset_percent)s percent on a side of %(side_mm)s makes lippage: %(most_percent)s "
                "percent at most, unless the tile's maker allows more and a mock-up is approved."
            )
        )
        return Verdict(rule=rule, outcome="fails", figures=figures, template=template)
    template = gettext_noop("An offset of %(offset_percent)s percent suits a side of %(side_mm)s.")
    return Verdict(rule=rule, outcome="holds", figures=figures, template=template)


def coverage_limit(*, place: Place, stone: bool = False, limits: ShopLimits = DEFAULTS) -> tuple[Limit, Rule]:
    """Return the mortar coverage a place needs, percent as the mean of three lifted tiles, and its rule."""
    _known(place)
    if place not in DRY_PLACES:
        key = "coverage_wet_percent"
    elif stone:
        key = "coverage_stone_percent"
    else:
        key = "coverage_dry_percent"
    return Limit(compare="at least", low=limits.value(key), over="mean", count=3), limits.rule(key)


def judge_coverage(
    *, place: Place, readings: Sequence[Decimal], stone: bool = False, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether lifted tiles prove enough mortar; fewer than three prove nothing.  Raises ValueError for a reading
    outside 0 … 100."""
    limit, rule = coverage_limit(place=place, stone=stone, limits=limits)
    for reading in readings:
        if not (reading.is_finite() and 0 <= reading <= 100):
            raise ValueError(f"coverage lies between 0 and 100 percent, got {reading}")
    figures = {"count": Decimal(len(readings)), "least_percent": limit.low or Decimal(0)}
    outcome = judge_all(limit, readings)
    if outcome == "can't tell":
        template = gettext_noop(
            "Lift at least three tiles: %(count)s read so far, %(least_percent)s percent is needed."
        )
        return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
    figures["mean_percent"] = _percent(sum((Fraction(each) for each in readings), Fraction(0)) / len(readings))
    template = (
        gettext_noop("Mean coverage is %(mean_percent)s percent of the %(least_percent)s needed.")
        if outcome == "holds"
        else gettext_noop(
            "Mean coverage is only %(mean_percent)s percent, %(least_percent)s is needed. Reset what was set with this "
            "batch: a larger notch, fresh mortar, back-butter."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def lippage_key(*, joint_mm: Decimal, stone: bool) -> str:
    """Return which of the shop's limits the allowed lippage begins from."""
    if stone:
        return "lippage_stone_mm"
    return "lippage_wide_mm" if joint_mm >= WIDE_JOINT_MM else "lippage_narrow_mm"


def lippage_limit(
    *, joint_mm: Decimal, warp_mm: Decimal, stone: bool = False, limits: ShopLimits = DEFAULTS
) -> tuple[Limit, Rule]:
    """Return the allowed lippage in mm and its rule.  `warp_mm` is measured, not the standard's maximum."""
    positive(joint_mm=joint_mm)
    not_negative(warp_mm=warp_mm)
    if stone:
        warp_mm = Decimal(0)
    key = lippage_key(joint_mm=joint_mm, stone=stone)
    return Limit(compare="at most", high=limits.value(key) + warp_mm), limits.rule(key)


def slope_percent(*, fall_mm: Decimal, run_mm: Decimal) -> Decimal:
    """Return a slope in percent, two places, rounded down.  Raises ValueError for a run that is not positive."""
    positive(run_mm=run_mm)
    return _percent(Fraction(fall_mm) / Fraction(run_mm) * 100)


def shower_slope_limit(*, limits: ShopLimits = DEFAULTS) -> tuple[Limit, Rule]:
    """Return the slope that a shower floor needs, percent toward the drain, and its rule."""
    low, high = "shower_slope_low_percent", "shower_slope_high_percent"
    return Limit(compare="between", low=limits.value(low), high=limits.value(high)), limits.rule(low, high)


def judge_shower_slope(*, slope: Decimal, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether a shower floor's slope, in percent toward the drain, is right; away from the drain is negative."""
    limit, rule = shower_slope_limit(limits=limits)
    holds = judge(limit, slope)
    low, high = limits.shower_slope_low_percent, limits.shower_slope_high_percent
    figures = {"slope_percent": slope, "least_percent": low, "most_percent": high}
    template = (
        gettext_noop("The floor falls %(slope_percent)s percent to the drain.")
        if holds
        else gettext_noop(
            "The floor falls %(slope_percent)s percent: %(least_percent)s to %(most_percent)s percent is needed (2 is "
            "1/4 in per ft). Float it again before it is covered."
        )
    )
    outcome: Outcome = "holds" if holds else "fails"
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def judge_wall_height(
    *, above_floor_mm: Decimal, above_drain_mm: Decimal | None, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether a wet wall's finish is high enough by both codes: 6 ft above the floor, 70 in above the drain."""
    least_floor, least_drain = limits.wall_height_mm, limits.wall_height_drain_mm
    figures = {"floor_mm": above_floor_mm, "least_floor_mm": least_floor, "least_drain_mm": least_drain}
    not_negative(**figures)
    template = gettext_noop(
        "Wet walls reach %(least_floor_mm)s above the floor and %(least_drain_mm)s above the drain."
    )
    if above_drain_mm is not None:
        not_negative(above_drain_mm=above_drain_mm)
        figures["drain_mm"] = above_drain_mm
    outcome: Outcome = "holds"
    if above_floor_mm < least_floor or (above_drain_mm is not None and above_drain_mm < least_drain):
        outcome = "fails"
    elif above_drain_mm is None:
        outcome = "can't tell"
    rule = limits.rule("wall_height_mm", "wall_height_drain_mm")
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def _percent(value: Fraction) -> Decimal:
    """Return two places, rounded down: a mean just under its limit must not be shown as the limit."""
    return Decimal(value.numerator * 100 // value.denominator).scaleb(-2)


def _known(place: Place) -> None:
    if place not in get_args(Place):
        raise ValueError(f"no such place: {place}")
