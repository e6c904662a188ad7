"""What lippage a tile makes by itself, before anybody has set it, and what would lessen it.  Lengths are Decimal mm."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from trade import sources
from trade.figures import not_negative
from trade.limits import Outcome
from trade.rules import WIDE_JOINT_MM, judge_offset, least_joint, lippage_key, lippage_limit
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

_NEAR_MM = Decimal("0.01")
"""The tolerance of our geometry."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """Another way to lay the same tile: what lippage its bow would make, and what would be allowed, mm."""

    forecast_mm: Decimal
    allowed_mm: Decimal


def forecast_mm(*, warp_mm: Decimal, share: Fraction | Decimal) -> Decimal:
    """Return how far two perfectly set neighbors stand apart where one is shifted by `share` of the bowed side, mm.

    The bow is a parabola between the tile's ends, so the neighbor's end meets this tile 4 s (1 - s) of the bow up: all
    of it at one half, 8/9 at a third, nothing in a stack.  ValueError for a negative warp or a share outside 0 … 1.
    """
    exact = Fraction(share)
    if not 0 <= exact <= 1:
        raise ValueError(f"a share lies between 0 and 1, got {share}")
    not_negative(warp_mm=warp_mm)
    apart = Fraction(warp_mm) * 4 * exact * (1 - exact)
    return (Decimal(apart.numerator) / Decimal(apart.denominator)).quantize(Decimal("0.0001"))


def relief(
    *,
    warp_mm: Decimal,
    share: Fraction | Decimal,
    joint_mm: Decimal,
    stone: bool = False,
    limits: ShopLimits = DEFAULTS,
) -> Relief:
    """Return forecast and allowance for one way to lay a tile."""
    limit, _ = lippage_limit(joint_mm=joint_mm, warp_mm=warp_mm, stone=stone, limits=limits)
    assert limit.high is not None
    return Relief(forecast_mm=forecast_mm(warp_mm=warp_mm, share=share), allowed_mm=limit.high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The same tile laid with another offset or joint: what its bow makes, what is allowed, the joint that it needs.

    `offset_holds`: the offset is one that this size may have. `left_mm` is what the setting may add, below 0 where the
    bow alone is too much.
    """

    share: Fraction
    joint_mm: Decimal
    planned: bool
    offset_holds: bool
    forecast_mm: Decimal
    allowed_mm: Decimal
    left_mm: Decimal
    least_joint_mm: Decimal

    @property
    def outcome(self) -> Outcome:
        fits = self.offset_holds and self.left_mm >= 0 and self.joint_mm >= self.least_joint_mm - _NEAR_MM
        return "holds" if fits else "fails"


def ways(
    *,
    warp_mm: Decimal | None,
    longest_mm: Decimal,
    spread_mm: Decimal | None,
    joint_mm: Decimal,
    share: Fraction | Decimal,
    rectified: bool = False,
    stone: bool = False,
    limits: ShopLimits = DEFAULTS,
) -> tuple[Way, ...]:
    """Return what a tile's bow makes as planned, in a stack, offset by a third and by half, and with a joint of 1/4 in;
    nothing before a bow was measured.  ValueError for a share outside 0 … 1.

    Leveling clips are no row of this table: they hold neighbors level while the mortar sets, so they help with what
    the setting adds, and change neither the bow nor what is allowed (common practice, no source).
    """
    if warp_mm is None:
        return ()
    # A third comes as 0.333333 where it was kept with six places.
    exact = Fraction(share).limit_denominator(1000)
    planned = min(exact, 1 - exact)
    cases = [(each, joint_mm) for each in (planned, Fraction(0), Fraction(1, 3), Fraction(1, 2))]
    cases.append((planned, max(joint_mm, WIDE_JOINT_MM)))

    def way(share: Fraction, joint_mm: Decimal, *, planned: bool) -> Way:
        bow = relief(warp_mm=warp_mm, share=share, joint_mm=joint_mm, stone=stone, limits=limits)
        least, _rule = least_joint(
            tile_longest_edge_mm=longest_mm,
            size_spread_mm=spread_mm or Decimal(0),
            warp_mm=warp_mm,
            offset=share > 0,
            rectified=rectified,
            limits=limits,
        )
        return Way(
            share=share,
            joint_mm=joint_mm,
            planned=planned,
            offset_holds=judge_offset(share=share, side_mm=longest_mm, limits=limits).outcome == "holds",
            forecast_mm=bow.forecast_mm,
            allowed_mm=bow.allowed_mm,
            left_mm=bow.allowed_mm - bow.forecast_mm,
            least_joint_mm=least,
        )

    return tuple(way(*case, planned=not index) for index, case in enumerate(dict.fromkeys(cases)))


def judge_forecast(
    *,
    warp_mm: Decimal | None,
    share: Fraction | Decimal,
    joint_mm: Decimal,
    stone: bool = False,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a tile's own bow leaves the setter any of the lippage allowed; `warp_mm` None: nobody measured.

    The figures say what the bow takes at this offset and at a third, and what a joint of 1/4 in would allow.
    """
    rule = limits.rule(lippage_key(joint_mm=joint_mm, stone=stone), named=sources.LIPPAGE_FORECAST)
    if warp_mm is None:
        template = gettext_noop(
            "Measure the bow of five tiles along their longest edge: it decides what lippage there will be."
        )
        return Verdict(rule=rule, outcome="can't tell", template=template)
    asked = relief(warp_mm=warp_mm, share=share, joint_mm=joint_mm, stone=stone, limits=limits)
    figures = {
        "forecast_mm": asked.forecast_mm,
        "allowed_mm": asked.allowed_mm,
        "left_mm": max(asked.allowed_mm - asked.forecast_mm, Decimal(0)),
        "third_mm": forecast_mm(warp_mm=warp_mm, share=Fraction(1, 3)),
        "wide_mm": relief(warp_mm=warp_mm, share=share, joint_mm=WIDE_JOINT_MM, stone=stone, limits=limits).allowed_mm,
    }
    outcome: Outcome = "holds" if asked.forecast_mm <= asked.allowed_mm else "fails"
    template = (
        gettext_noop(
            "The tile's own bow makes up to %(forecast_mm)s of lippage; %(allowed_mm)s is allowed, so the setting may "
            "add %(left_mm)s. At a third of the side it would make %(third_mm)s, in a stack none; a joint of 1/4 in or "
            "more allows %(wide_mm)s."
        )
        if outcome == "holds"
        else gettext_noop(
            "The tile's own bow makes up to %(forecast_mm)s of lippage and only %(allowed_mm)s is allowed, however "
            "well it is set. Lay it in a stack, where bows lie side by side, or choose straighter tile; clips can't "
            "bend it flat for good."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
