"""Which phases a room goes through, and what each must prove: its specification decides."""

from trade.catalogue import PHASE_KINDS
from trade.checks import MOST_CHECKS, Check, CheckUnit, Kind, Phase
from trade.limits import Limit, judge, judge_all
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.specification import Specification

__all__ = [
    "MOST_CHECKS",
    "PHASE_KINDS",
    "Check",
    "CheckUnit",
    "Kind",
    "Limit",
    "Phase",
    "Specification",
    "judge",
    "judge_all",
    "phases_for",
]


def phases_for(spec: Specification, *, limits: ShopLimits = DEFAULTS) -> tuple[Phase, ...]:
    """Return the phases of one room in the order in which each covers the one before, with their checks, which judge by
    the shop's `limits`.

    Keys of phases and of checks never repeat. Every room has at least substrate, layout, setting, grout, soft joints.
    """
    return tuple(kind.of(spec, limits=limits) for kind in PHASE_KINDS if kind.applies.applies(spec))
