"""Which phases a room goes through, and what each must prove: its specification decides."""

from collections.abc import Mapping

from trade.catalogue import PHASE_KINDS
from trade.checklists import Checklist
from trade.checks import MOST_CHECKS, Apart, Check, CheckUnit, Kind, Phase
from trade.limits import Limit, judge, judge_all
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.specification import Specification

__all__ = [
    "MOST_CHECKS",
    "PHASE_KINDS",
    "Apart",
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

NO_LISTS: Mapping[str, Checklist] = {}
"""The catalogue as it comes."""


def phases_for(
    spec: Specification, *, limits: ShopLimits = DEFAULTS, lists: Mapping[str, Checklist] = NO_LISTS
) -> tuple[Phase, ...]:
    """Return the phases of one room in the order in which each covers the one before, with their checks, which judge by
    the shop's `limits`; `lists` are the shop's own checklists by their phases' keys.

    Keys of phases and of checks never repeat. Every room has at least substrate, layout, setting, grout, soft joints.
    """
    kinds = (lists[kind.key].as_kept(kind) if kind.key in lists else kind for kind in PHASE_KINDS)
    return tuple(kind.of(spec, limits=limits) for kind in kinds if kind.applies.applies(spec))
