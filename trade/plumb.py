"""Whether a stud or wall stands plumb, for the tile that goes on it.  Lengths are Decimal mm."""

from decimal import Decimal

from trade import sources
from trade.lengths import feet
from trade.limits import Outcome
from trade.rules import flatness_keys, flatness_limits
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

PLUMB_OVER_MM = feet(10)


def plumb_limit(*, tile_longest_edge_mm: Decimal, height_mm: Decimal, limits: ShopLimits = DEFAULTS) -> Decimal:
    """Return how far out of plumb a line may stand, mm, six places: the long straightedge's gap in 10 ft or the line's
    height, and as much again for each further 10 ft.  ValueError unless the edge is positive."""
    long, _ = flatness_limits(tile_longest_edge_mm=tile_longest_edge_mm, limits=limits)
    return round(long.gap_mm * max(Decimal(1), height_mm / PLUMB_OVER_MM), 6)


def judge_plumb(
    *,
    tile_longest_edge_mm: Decimal,
    height_mm: Decimal,
    out_of_plumb_mm: Decimal | None,
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return whether a line that leaves the plumb line through its foot by `out_of_plumb_mm` at most is plumb enough.

    None, where a single reading shows no lean, can't be told. Raises ValueError for a negative figure.
    """
    limit = plumb_limit(tile_longest_edge_mm=tile_longest_edge_mm, height_mm=height_mm, limits=limits)
    figures = {"limit_mm": limit}
    outcome: Outcome = "can't tell"
    template = gettext_noop("Read the line at two heights or more: at most %(limit_mm)s out of plumb is allowed.")
    if out_of_plumb_mm is not None:
        if not (out_of_plumb_mm.is_finite() and out_of_plumb_mm >= 0):
            raise ValueError(f"out_of_plumb_mm must be 0 or more, got {out_of_plumb_mm}")
        figures["out_of_plumb_mm"] = out_of_plumb_mm
        if out_of_plumb_mm > limit:
            outcome = "fails"
            template = gettext_noop("Out of plumb by %(out_of_plumb_mm)s: at most %(limit_mm)s is allowed.")
        else:
            outcome = "holds"
            template = gettext_noop("Out of plumb by %(out_of_plumb_mm)s of the %(limit_mm)s allowed.")
    long, _ = flatness_keys(tile_longest_edge_mm=tile_longest_edge_mm)
    rule = limits.rule(long, named=sources.PLUMB)
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
