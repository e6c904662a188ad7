"""What a survey says of a check of flatness or plumb: the figure that would be typed on its card."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from itertools import pairwise
from typing import Any, Literal, cast

from inspections.models import Check, Entry, Outcome
from layout.room import TOLERANCE
from rooms.models import Survey, SurveyKind
from trade.lengths import Unit, feet, inches, parse_length

Figure = Literal["long", "short", "plumb"]

WALLS = (SurveyKind.STUDS, SurveyKind.WALL)
FACES = (*WALLS, SurveyKind.FLOOR)


@dataclass(frozen=True, slots=True)
class Measure:
    """Which figure of a survey a check wants, from which kinds of survey. `apart`, mm: readings farther apart than
    that show nothing of it, since what stands between them lies under no straightedge of that length."""

    figure: Figure
    kinds: Sequence[str]
    apart: Decimal


MEASURES: Mapping[str, Measure] = {
    "substrate.plane": Measure("long", FACES, feet(10)),
    "substrate.short_plane": Measure("short", FACES, inches(24)),
    "substrate.short_plane_small_tile": Measure("short", FACES, inches(12)),
    "substrate.plumb": Measure("plumb", WALLS, feet(10)),
}
"""By the check's key."""


def figure_of(survey: Survey, check: Check) -> Decimal | None:
    """The widest gap that the survey found under the check's straightedge, or the farthest out of plumb over 10 ft or
    the height, mm; None where it can't tell."""
    measure = MEASURES[check.key]
    if survey.result is None or survey.kind not in measure.kinds or _too_far_apart(survey, measure):
        return None
    if measure.figure == "plumb":
        return _out_of_plumb(survey.result)
    gap = survey.result["figures"].get(f"{measure.figure}_gap_mm")
    return None if gap is None else _mm(gap)


def newest_of_the_other_surfaces(check: Check, survey: Survey) -> list[Survey]:
    """Of every other surface the newest survey that was entered on the check since its last reading without one.

    For a check of the whole room: a wall that is flat says nothing of the one beside it, while a reading that was
    typed is the widest of all. One query.
    """
    entries = Entry.objects.filter(check_done=check, outcome__in=(Outcome.HOLDS, Outcome.FAILS))
    found: dict[tuple[str, bool], Survey] = {}
    for entry in entries.filter(happened_at__lte=survey.happened_at).select_related("survey").order_by("-happened_at"):
        if entry.survey is None:
            break
        found.setdefault(_place(entry.survey), entry.survey)
    found.pop(_place(survey), None)
    return list(found.values())


def _place(survey: Survey) -> tuple[str, bool]:
    return survey.surface, survey.kind == SurveyKind.FLOOR


def _out_of_plumb(result: Mapping[str, Any]) -> Decimal | None:
    """A line higher than 10 ft may lean by as much more (trade.plumb): told over 10 ft, as the check asks."""
    plumb = result.get("plumb")
    if plumb is None or plumb["verdict"] == "can't tell":
        return None
    out, allowed = (Decimal(str(plumb["figures"][name])) for name in ("out_of_plumb_mm", "limit_mm"))
    return _mm(out * Decimal(str(result["figures"]["long_limit_mm"])) / allowed)


def _too_far_apart(survey: Survey, measure: Measure) -> bool:
    unit = cast(Unit, survey.data["units"])
    return any(
        float(parse_length(far, unit=unit) - parse_length(near, unit=unit) - measure.apart) > TOLERANCE
        for near, far in _neighbors(survey.data["lines"])
    )


def _neighbors(lines: Iterable[Mapping[str, Any]]) -> Iterable[tuple[str, str]]:
    for line in lines:
        for (near, _), (far, _) in pairwise(line["readings"]):
            yield near, far


def _mm(figure: float | Decimal) -> Decimal:
    """As lengths are stored; up, so that it never seems to hold."""
    return Decimal(str(figure)).quantize(Decimal("0.000001"), ROUND_CEILING)
