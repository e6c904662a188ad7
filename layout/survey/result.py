"""What a survey says: frozen, printable as `gaugerod-survey-result/1` (FORMATS.md), same input same bytes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from layout.result import Finding
from layout.survey.bed_result import Bed
from layout.survey.reading import Aim
from layout.survey.wanted import To
from layout.survey.words import volume_text
from trade.lengths import Unit, format_length
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

    unit: Unit
    line: str
    along: float
    amount: float
    text: str

    @property
    def along_text(self) -> str:
        return format_length(self.along, unit=self.unit)

    def to_json(self) -> Json:
        return {
            "line": self.line,
            "along_mm": self.along,
            "along_text": self.along_text,
            "amount_mm": self.amount,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True)
class Stud:
    """The work on one line, in order along it, without what rounds to nothing; `text` says it in a row."""

    line: str
    steps: tuple[Correction, ...]
    text: str

    def to_json(self) -> Json:
        steps = []
        for step in self.steps:
            said = step.to_json()
            del said["line"]
            steps.append(said)
        return {"line": self.line, "text": self.text, "steps": steps}


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
    schedule: tuple[Stud, ...]
    """Every line once, in the order in which they stand."""

    def to_json(self) -> Json:
        return {
            "work_mm": self.work,
            "aim": self.aim,
            "lines_touched": self.touched,
            **({} if self.lean is None else {"out_of_plumb": {"mm": self.lean, "text": self.lean_text}}),
            "corrections": [each.to_json() for each in self.corrections],
            "schedule": [each.to_json() for each in self.schedule],
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
class Spot:
    """The peak of a spot that stands proud of the plane: where, and how far, mm."""

    unit: Unit
    line: str
    at: float
    along: float
    amount: float

    def to_json(self) -> Json:
        return {
            "line": self.line,
            "at_mm": self.at,
            "along_mm": self.along,
            "along_text": format_length(self.along, unit=self.unit),
            "amount_mm": self.amount,
            "text": f"grind {format_length(self.amount, unit=self.unit)}",
        }


@dataclass(frozen=True, slots=True)
class Choice:
    """What is ground at most, and what compound it then takes; `saved_l` against grinding nothing."""

    unit: Unit
    grind: float
    volume_l: float
    saved_l: float
    deepest_mm: float
    ground_area_m2: float
    ground_l: float
    spots: int
    text: str

    def to_json(self) -> Json:
        return {
            "grind_mm": self.grind,
            "grind_text": format_length(self.grind, unit=self.unit),
            "volume_l": self.volume_l,
            "volume_text": volume_text(self.volume_l, self.unit),
            "saved_l": self.saved_l,
            "deepest_mm": self.deepest_mm,
            "deepest_text": format_length(self.deepest_mm, unit=self.unit),
            "ground_area_m2": self.ground_area_m2,
            "ground_l": self.ground_l,
            "spots": self.spots,
            "text": self.text,
        }


@dataclass(frozen=True, slots=True)
class Leveling:
    """A floor brought to a plane, exact for the floor as read. `volume_l`: compound; `ground_*`: what is ground off.

    `plane`: its height in mm over the laser plane at (0, 0), and how much it rises per mm across and along.
    """

    to: To
    unit: Unit
    plane: tuple[float, float, float]
    grind: float
    area_m2: float
    deepest_mm: float
    volume_l: float
    bags: int | None
    """Of compound; None where it isn't known what a bag makes."""
    ground_area_m2: float
    ground_l: float
    ground_mm: float
    high: tuple[Spot, ...]
    choices: tuple[Choice, ...]
    corrections: tuple[Correction, ...]

    def height(self, at: float, along: float) -> float:
        """Return the plane's height at a place, mm."""
        return self.plane[0] + self.plane[1] * at + self.plane[2] * along

    def to_json(self) -> Json:
        return {
            "to": self.to,
            "area_m2": self.area_m2,
            "deepest_mm": self.deepest_mm,
            "deepest_text": format_length(self.deepest_mm, unit=self.unit),
            "volume_l": self.volume_l,
            "volume_text": volume_text(self.volume_l, self.unit),
            **({} if self.bags is None else {"bags": self.bags}),
            "plane": {
                "height_mm": round(self.plane[0], 6) + 0.0,
                "across": round(self.plane[1], 9) + 0.0,
                "along": round(self.plane[2], 9) + 0.0,
            },
            "grind_mm": self.grind,
            "grind_text": format_length(self.grind, unit=self.unit),
            "ground": {
                "area_m2": self.ground_area_m2,
                "volume_l": self.ground_l,
                "deepest_mm": self.ground_mm,
                "deepest_text": format_length(self.ground_mm, unit=self.unit),
            },
            "high": [each.to_json() for each in self.high],
            "choices": [each.to_json() for each in self.choices],
            "corrections": [each.to_json() for each in self.corrections],
        }


@dataclass(frozen=True, slots=True)
class SurveyResult:
    """`flat` is the verdict on flatness, `plumb` the one on plumb (None on a floor)."""

    flat: Judged
    plumb: Judged | None
    lines: tuple[LineResult, ...]
    across: tuple[AcrossResult, ...]
    plane: Plane
    leveling: Leveling | None
    bed: Bed | None
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
            **({} if self.bed is None else {"bed": self.bed.to_json()}),
            "findings": [finding.to_json() for finding in self.findings],
        }
