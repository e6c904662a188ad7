"""What the standards let a tile be: bow, size, wedging, breaking strength.  Lengths are Decimal mm, forces lbf or N.

For tile in the box, before it is set. What counts on the floor is the measured bow: see `trade.lippage`.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Literal

from trade import sources
from trade.figures import not_negative, positive
from trade.limits import Outcome
from trade.product import IsoGroup
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

Across = Literal["edge", "diagonal"]
Body = Literal["floor", "glazed wall"]

_WARP: dict[tuple[bool, Across], tuple[str, str]] = {
    (True, "edge"): ("warp_rectified_percent", "warp_rectified_edge_mm"),
    (True, "diagonal"): ("warp_rectified_percent", "warp_rectified_diagonal_mm"),
    (False, "edge"): ("warp_other_percent", "warp_other_edge_mm"),
    (False, "diagonal"): ("warp_other_percent", "warp_other_diagonal_mm"),
}
"""By whether it is rectified: the shop's limits in percent of the length, and in mm."""

_BREAKING_N: dict[IsoGroup, Decimal] = {
    "Ia": Decimal(1300),
    "Ib": Decimal(1100),
    "IIa": Decimal(1000),
    "IIb": Decimal(800),
    "III": Decimal(600),
}


def warp_percent(*, deviation_mm: Decimal, length_mm: Decimal) -> Decimal:
    """Return the bow as a percent of the edge or diagonal it was measured over: + convex, - concave (ASTM C485)."""
    positive(length_mm=length_mm)
    return deviation_mm / length_mm * 100


def most_warp_mm(
    *, length_mm: Decimal, rectified: bool, across: Across = "edge", limits: ShopLimits = DEFAULTS
) -> tuple[Decimal, Rule]:
    """Return the most that a tile may bow over an edge or a diagonal of this length, either way, mm, and its rule."""
    positive(length_mm=length_mm)
    percent, cap = _WARP[rectified, across]
    return min(limits.value(percent) / 100 * length_mm, limits.value(cap)), limits.rule(percent, cap)


def judge_warp(
    *,
    deviation_mm: Decimal | None,
    length_mm: Decimal,
    rectified: bool,
    across: Across = "edge",
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a tile is as flat as its standard asks; `deviation_mm` None where nobody measured."""
    most, rule = most_warp_mm(length_mm=length_mm, rectified=rectified, across=across, limits=limits)
    figures = {"most_mm": most}
    if deviation_mm is None:
        template = gettext_noop("Lay five tiles face to face: the bow may be %(most_mm)s at most.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    figures["bow_mm"] = abs(deviation_mm)
    outcome: Outcome = "holds" if abs(deviation_mm) <= most else "fails"
    template = (
        gettext_noop("A bow of %(bow_mm)s is within the %(most_mm)s that the tile's standard allows.")
        if outcome == "holds"
        else gettext_noop(
            "A bow of %(bow_mm)s is more than the %(most_mm)s that the tile's standard allows: setting it accepts it, "
            "so show it to the supplier first."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def caliber_mm(*, average_mm: Decimal, limits: ShopLimits = DEFAULTS) -> tuple[Decimal, Decimal]:
    """Return the least and the greatest side of rectified floor tile that averages so much, mm."""
    positive(average_mm=average_mm)
    off = min(limits.caliber_percent / 100 * average_mm, limits.caliber_mm)
    return average_mm - off, average_mm + off


def judge_caliber(*, sides_mm: Sequence[Decimal], limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether sides measured on several tiles are of one caliber; fewer than five prove nothing."""
    positive(**{f"side_{n}": side for n, side in enumerate(sides_mm)})
    figures, rule = {"count": Decimal(len(sides_mm))}, limits.rule("caliber_percent", "caliber_mm")
    if len(sides_mm) < 5:
        template = gettext_noop("Measure five tiles at least: %(count)s so far.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    low, high = caliber_mm(average_mm=sum(sides_mm, Decimal(0)) / len(sides_mm), limits=limits)
    figures |= {"least_mm": min(sides_mm), "most_mm": max(sides_mm), "low_mm": low, "high_mm": high}
    outcome: Outcome = "holds" if low <= min(sides_mm) and max(sides_mm) <= high else "fails"
    template = (
        gettext_noop("All sides lie between %(least_mm)s and %(most_mm)s: one caliber.")
        if outcome == "holds"
        else gettext_noop(
            "Sides from %(least_mm)s to %(most_mm)s are more than one caliber: sort the tile, or widen the joint."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def wedging_percent(*, one_mm: Decimal, other_mm: Decimal, apart_mm: Decimal) -> Decimal:
    """Return how far a tile is from parallel: two widths' difference over the distance between them (ASTM C502)."""
    positive(one_mm=one_mm, other_mm=other_mm, apart_mm=apart_mm)
    return abs(one_mm - other_mm) / apart_mm * 100


def judge_strength(*, body: Body, breaking_lbf: Sequence[Decimal], limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether tiles that were broken by ASTM C648 are strong enough; without any nobody can tell."""
    not_negative(**{f"tile_{n}": force for n, force in enumerate(breaking_lbf)})
    keys = ("strength_floor_lbf",) if body == "floor" else ("strength_wall_lbf", "strength_wall_each_lbf")
    rule = limits.rule(*keys)
    mean, each = limits.value(keys[0]), Decimal(0) if body == "floor" else limits.value(keys[-1])
    figures = {"mean_least": mean, "each_least": each}
    if not breaking_lbf:
        template = gettext_noop("Ask for the tile's breaking strength: %(mean_least)s lbf on average is needed.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    figures |= {"mean": sum(breaking_lbf, Decimal(0)) / len(breaking_lbf), "least": min(breaking_lbf)}
    outcome: Outcome = "holds" if figures["mean"] >= mean and figures["least"] >= each else "fails"
    template = (
        gettext_noop("It breaks at %(mean)s lbf on average, the weakest at %(least)s.")
        if outcome == "holds"
        else gettext_noop("It breaks at %(mean)s lbf on average, the weakest at %(least)s: too weak for this use.")
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)


def least_breaking_newtons(group: IsoGroup) -> tuple[Decimal, Rule]:
    """Return the breaking load that an ISO group asks for in tile of 7.5 mm or more, N; III on floors."""
    return _BREAKING_N[group], sources.STRENGTH_ISO
