"""Dangers by task and age of the house: what to speak of before somebody starts.  Usual caution only.

The employer's written plan, OSHA's own text, state rules and licensed trades govern.
"""

from dataclasses import dataclass
from typing import Literal, get_args

from trade import sources
from trade.rules import ASBESTOS_YEAR, LEAD_YEAR
from trade.sources import Rule

Task = Literal[
    "demolition",
    "rough-in",
    "boards",
    "cutting on a wet saw",
    "cutting by hand",
    "grinding",
    "mixing",
    "waterproofing",
    "setting",
    "grouting",
    "handling",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """`before`: only in houses built before this year; a year nobody knows counts as old."""

    rule: Rule
    tasks: tuple[Task, ...]
    before: int | None = None


HAZARDS: tuple[Hazard, ...] = (
    Hazard(rule=sources.ASBESTOS, tasks=("demolition", "grinding"), before=ASBESTOS_YEAR),
    Hazard(rule=sources.LEAD, tasks=("demolition", "grinding"), before=LEAD_YEAR),
    Hazard(rule=sources.WIRING, tasks=("demolition", "rough-in", "cutting on a wet saw", "cutting by hand")),
    Hazard(rule=sources.STRUCTURE, tasks=("demolition", "rough-in")),
    Hazard(rule=sources.PLUMBING, tasks=("demolition", "rough-in")),
    Hazard(rule=sources.SILICA_DEMOLITION, tasks=("demolition",)),
    Hazard(rule=sources.SILICA_BOARD, tasks=("boards",)),
    Hazard(rule=sources.SILICA_HAND_SAW, tasks=("cutting by hand",)),
    Hazard(rule=sources.SILICA_GRINDER, tasks=("grinding", "cutting by hand")),
    Hazard(rule=sources.SILICA_WET_SAW, tasks=("cutting on a wet saw",)),
    Hazard(rule=sources.SILICA, tasks=("mixing",)),
    Hazard(rule=sources.SOLVENTS, tasks=("waterproofing", "grouting")),
    Hazard(rule=sources.CEMENT_SKIN, tasks=("mixing", "setting", "grouting")),
    Hazard(rule=sources.SHARP_EDGES, tasks=("demolition", "cutting on a wet saw", "cutting by hand", "handling")),
    Hazard(rule=sources.LIFTING, tasks=("demolition", "mixing", "boards", "handling")),
)
"""The gravest first: what kills or sickens years later, then what hurts today."""


def hazards_of(*tasks: Task, year_built: int | None) -> tuple[Rule, ...]:
    """Return what to speak of before these tasks, the gravest first, none twice.  ValueError for a task there isn't."""
    for task in tasks:
        if task not in get_args(Task):
            raise ValueError(f"no such task: {task}")
    return tuple(
        hazard.rule
        for hazard in HAZARDS
        if set(hazard.tasks) & set(tasks)
        and (hazard.before is None or year_built is None or year_built < hazard.before)
    )
