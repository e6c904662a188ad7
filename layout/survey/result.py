"""What a survey says: frozen, printable as `gaugerod-survey-result/1` (FORMATS.md), same input same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from layout.result import Finding
from layout.survey.reading import Aim
from trade.limits import Outcome

FORMAT = "gaugerod-survey-result/1"

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Gap:
    """The widest gap under one straightedge on one line, mm; None where a single reading leaves nothing to lay it on.
    A straightedge longer than the line counts as long as the line."""

    length: float
    gap: float | None
    text: str
    start: float | None
    limit: float
    verdict: Outcome

    def to_json(self) -> Json:
        return {
            "length_mm": self.length,
            "gap_mm": self.gap,
            "text": self.text,
            "from_mm": self.start,
            "limit_mm": self.limit,
            "verdict": self.verdict,
        }


@dataclass(frozen=True, slots=True)
class Plumb:
    """The farthest that a line leaves the plumb line through its first reading, mm."""

    out: float | None
    text: str
    limit: float
    verdict: Outcome

    def to_json(self) -> Json:
        return {"mm": self.out, "text": self.text, "limit_mm": self.limit, "verdict": self.verdict}


@dataclass(frozen=True, slots=True)
class LineResult:
    """One line; `plumb` is None on a floor."""

    id: str
    plumb: Plumb | None
    gaps: tuple[Gap, ...]

    def to_json(self) -> Json:
        plumb = {} if self.plumb is None else {"out_of_plumb": self.plumb.to_json()}
        return {"id": self.id, **plumb, "gaps": [gap.to_json() for gap in self.gaps]}


@dataclass(frozen=True, slots=True)
class AcrossResult:
    """Across all lines that were read at this place along them."""

    at: float
    gaps: tuple[Gap, ...]

    def to_json(self) -> Json:
        return {"at_mm": self.at, "gaps": [gap.to_json() for gap in self.gaps]}


@dataclass(frozen=True, slots=True)
class Correction:
    """What one reading needs, mm toward the room. `text` is empty where it rounds to nothing."""

    line: str
    along: float
    amount: float
    text: str

    def to_json(self) -> Json:
        return {"line": self.line, "along_mm": self.along, "amount_mm": self.amount, "text": self.text}


@dataclass(frozen=True, slots=True)
class Plane:
    """The plane chosen by `aim`: `work` sums all amounts without sign, mm; `touched` counts lines with any.

    `lean`: mm that the plane itself is out of plumb over the height that was read; None on a floor, or where no line
    was read at two heights.
    """

    aim: Aim
    work: float
    touched: int
    lean: float | None
    lean_text: str
    corrections: tuple[Correction, ...]

    def to_json(self) -> Json:
        return {
            "work_mm": self.work,
            "aim": self.aim,
            "lines_touched": self.touched,
            **({} if self.lean is None else {"out_of_plumb": {"mm": self.lean, "text": self.lean_text}}),
            "corrections": [each.to_json() for each in self.corrections],
        }


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict with the rule it applied, its source, the figures that decided and the sentence that says so."""

    verdict: Outcome
    rule: str
    source: str
    text: str
    figures: Mapping[str, float]

    def to_json(self) -> Json:
        return {
            "verdict": self.verdict,
            "rule": self.rule,
            "source": self.source,
            "text": self.text,
            "figures": dict(self.figures),
        }


@dataclass(frozen=True, slots=True)
class Leveling:
    """A floor brought level with its highest reading by compound: exact for the floor as read."""

    area_m2: float
    deepest_mm: float
    volume_l: float

    def to_json(self) -> Json:
        return {"area_m2": self.area_m2, "deepest_mm": self.deepest_mm, "volume_l": self.volume_l}


@dataclass(frozen=True, slots=True)
class SurveyResult:
    """`flat` is the verdict on flatness, `plumb` the one on plumb (None on a floor)."""

    flat: Judged
    plumb: Judged | None
    lines: tuple[LineResult, ...]
    across: tuple[AcrossResult, ...]
    plane: Plane
    leveling: Leveling | None
    findings: tuple[Finding, ...]

    def to_json(self) -> Json:
        """The result as plain data in `gaugerod-survey-result/1`."""
        return {
            "format": FORMAT,
            **self.flat.to_json(),
            **({} if self.plumb is None else {"plumb": self.plumb.to_json()}),
            "lines": [line.to_json() for line in self.lines],
            "across": [each.to_json() for each in self.across],
            "plane": self.plane.to_json(),
            **({} if self.leveling is None else {"leveling": self.leveling.to_json()}),
            "findings": [finding.to_json() for finding in self.findings],
        }
