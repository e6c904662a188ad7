"""From readings to verdicts and work: how flat, how plumb, and the least that brings it right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Literal

import numpy as np

from layout.result import Finding
from layout.room import TOLERANCE
from layout.survey.bed import make_bed
from layout.survey.fewest import fewest_lines
from layout.survey.gaps import Floats, worst_gap
from layout.survey.leveling import level_floor
from layout.survey.plane import FREE, fit, places
from layout.survey.reading import Kind, Survey, SurveyLine
from layout.survey.result import (
    AcrossResult,
    Correction,
    Gap,
    Judged,
    LineResult,
    Plane,
    Plumb,
    Stud,
    SurveyResult,
)
from layout.survey.words import NOTHING
from layout.survey.words import mm as _mm
from layout.values import decimal
from trade import sources
from trade.lengths import Unit, format_length
from trade.plumb import judge_plumb
from trade.rules import FlatnessLimit, Rule, flatness_limits, flatness_rule, judge_flatness
from trade.verdicts import Verdict
from trade.words import gettext_noop

WAYS: Mapping[Kind, tuple[str, str]] = {
    "studs": (gettext_noop("shim"), gettext_noop("plane")),
    "wall": (gettext_noop("fill"), gettext_noop("grind")),
    "floor": (gettext_noop("fill"), gettext_noop("grind")),
}
"""What is done where material is missing, and where it stands proud."""


def survey(read: Survey) -> SurveyResult:
    """Return what a survey says: gaps, plumb, verdicts with their rules, and the least work to one plane.

    Raises RoomError where an aim can't be worked out.
    """
    limits = flatness_limits(tile_longest_edge_mm=decimal(read.tile_longest_edge), limits=read.limits)
    lines = tuple(
        LineResult(
            line.id, None if read.kind == "floor" else _plumb(read, line), _gaps(line.readings, limits, read.units)
        )
        for line in read.lines
    )
    across = tuple(AcrossResult(_mm(at), _gaps(profile, limits, read.units)) for at, profile in _shared(read.lines))
    plane = _plane(read)
    leveling = level_floor(read) if read.kind == "floor" else None
    bed = None if read.bed is None else make_bed(read, read.bed)
    plumb = None if read.kind == "floor" else _worst_plumb(read, lines)
    return SurveyResult(
        flat=_judged(_flatness(read, lines, across), read.units),
        plumb=None if plumb is None else _judged(plumb, read.units),
        lines=lines,
        across=across,
        plane=plane,
        leveling=leveling,
        bed=None if bed is None else bed[0],
        findings=(
            *_findings(read, plumb, across, plane, limits, grinds=leveling is not None and bool(leveling.high)),
            *(() if bed is None else bed[1]),
        ),
    )


def _gaps(profile: Sequence[tuple[float, float]], limits: Sequence[FlatnessLimit], units: Unit) -> tuple[Gap, ...]:
    along, out = (np.array(values, dtype=np.float64) for values in zip(*profile, strict=True))
    found = []
    for limit in limits:
        length, allowed = float(limit.length_mm), float(limit.gap_mm)
        worst = worst_gap(along, out, length)
        if worst is None:
            found.append(Gap(length, None, "", None, allowed, "can't tell"))
        else:
            gap, start = _mm(worst[0]), _mm(worst[1])
            text = format_length(gap, unit=units)
            found.append(Gap(length, gap, text, start, allowed, "fails" if gap > allowed else "holds"))
    return tuple(found)


def _shared(lines: Sequence[SurveyLine]) -> list[tuple[float, list[tuple[float, float]]]]:
    """Return the places along that two lines or more were read at, each with its profile across them."""
    read = sorted((along, line.at, out) for line in lines for along, out in line.readings)
    found: list[tuple[float, list[tuple[float, float]]]] = []
    for along, at, out in read:
        if not found or along - found[-1][0] > TOLERANCE:
            found.append((along, []))
        found[-1][1].append((at, out))
    return [(along, sorted(profile)) for along, profile in found if len(profile) > 1]


def _flatness(read: Survey, lines: Iterable[LineResult], across: Iterable[AcrossResult]) -> Verdict:
    """Return the verdict on all gaps. One over its limit fails; else a line that shows none leaves it undecided."""
    sets = [*(line.gaps for line in lines), *(each.gaps for each in across)]
    found = [[gap for each in sets if (gap := each[index].gap) is not None] for index in (0, 1)]
    unknown = any(gap.verdict == "can't tell" for each in sets for gap in each)
    over = any(gap.verdict == "fails" for each in sets for gap in each)
    long, short = (decimal(max(gaps)) if gaps and (over or not unknown) else None for gaps in found)
    edge = decimal(read.tile_longest_edge)
    return judge_flatness(tile_longest_edge_mm=edge, long_gap_mm=long, short_gap_mm=short, limits=read.limits)


def _plumb_verdict(read: Survey, line: SurveyLine) -> Verdict:
    foot = line.readings[0]
    out = max(abs(each - foot[1]) for _, each in line.readings)
    return judge_plumb(
        tile_longest_edge_mm=decimal(read.tile_longest_edge),
        height_mm=decimal(line.readings[-1][0] - foot[0]),
        out_of_plumb_mm=None if len(line.readings) < 2 else decimal(out),
        limits=read.limits,
    )


def _plumb(read: Survey, line: SurveyLine) -> Plumb:
    verdict = _plumb_verdict(read, line)
    out, limit = verdict.figures.get("out_of_plumb_mm"), float(verdict.figures["limit_mm"])
    text = "" if out is None else format_length(out, unit=read.units)
    return Plumb(None if out is None else float(out), text, limit, verdict.outcome)


def _worst_plumb(read: Survey, lines: Sequence[LineResult]) -> Verdict:
    """Return the verdict on the line farthest out for its limit; a line that can't be told outranks one that holds."""

    def rank(index: int) -> tuple[int, float]:
        plumb = lines[index].plumb
        assert plumb is not None
        return ("holds", "can't tell", "fails").index(plumb.verdict), (plumb.out or 0.0) / plumb.limit

    return _plumb_verdict(read, read.lines[max(range(len(lines)), key=rank)])


def _plane(read: Survey) -> Plane:
    if not read.lines:
        return Plane(read.aim, 0.0, 0, None, "", (), ())
    starts: list[int] = []
    at: list[float] = []
    along: list[float] = []
    out: list[float] = []
    for line in read.lines:
        starts.append(len(out))
        for place, reading in line.readings:
            at.append(line.at)
            along.append(place)
            out.append(reading)
    rows, level = places(np.array(at), np.array(along)), float(np.median(out))
    readings = np.array(out) - level
    ones = np.ones(len(out))
    if read.aim == "fewest-lines":
        amounts = fewest_lines(rows, readings, np.array(along), starts)
    elif read.aim == "shims-only":
        amounts = np.maximum(fit(rows, readings, -FREE * ones, ones).amounts, 0.0)
    else:
        amounts = fit(rows, readings, -ones, ones).amounts
    return _schedule(read, amounts)


def _schedule(read: Survey, amounts: Floats) -> Plane:
    add, take = WAYS[read.kind]
    corrections = []
    left = iter(amounts.tolist())
    for line in read.lines:
        for along, _ in line.readings:
            amount = _mm(next(left))
            if amount:
                text = ""
                if abs(amount) >= NOTHING:
                    text = f"{add if amount > 0 else take} {format_length(abs(amount), unit=read.units)}"
                corrections.append(Correction(read.units, line.id, _mm(along), amount, text))
    touched = len({each.line for each in corrections})
    lean = None if read.kind == "floor" else _lean(read, amounts)
    text = "" if lean is None else format_length(lean, unit=read.units)
    work = _mm(float(np.abs(amounts).sum()))
    return Plane(read.aim, work, touched, lean, text, tuple(corrections), tuple(_by_line(read, corrections)))


def _by_line(read: Survey, corrections: Sequence[Correction]) -> Iterable[Stud]:
    """Yield what is done on each line, line after line as one walks past them."""
    found: dict[str, list[Correction]] = {line.id: [] for line in read.lines}
    for each in corrections:
        if each.text:
            found[each.line].append(each)
    for line in sorted(read.lines, key=lambda each: each.at):
        steps = tuple(found[line.id])
        listed = "; ".join(f"{each.text} at {each.along_text}" for each in steps)
        yield Stud(line.id, steps, f"{line.id}: {listed or gettext_noop('leave it as it is')}")


def _lean(read: Survey, amounts: Floats) -> float | None:
    """Return how far the plane is out of plumb over the height that was read, mm; None where no line shows it."""
    low = min(line.readings[0][0] for line in read.lines)
    high = max(line.readings[-1][0] for line in read.lines)
    start = 0
    for line in read.lines:
        (foot, near), (head, far), stop = line.readings[0], line.readings[-1], start + len(line.readings)
        if head > foot:
            rise = far + float(amounts[stop - 1]) - near - float(amounts[start])
            return _mm(abs(rise) / (head - foot) * (high - low))
        start = stop
    return None


def _findings(
    read: Survey,
    plumb: Verdict | None,
    across: Sequence[AcrossResult],
    plane: Plane,
    limits: Sequence[FlatnessLimit],
    *,
    grinds: bool,
) -> Iterable[Finding]:
    if not read.lines:
        return
    rule = flatness_rule(tile_longest_edge_mm=decimal(read.tile_longest_edge))
    if plumb is not None and plumb.outcome == "fails":
        yield _finding("care", plumb.rule, plumb.say(unit=read.units))
    if grinds or any(each.amount < 0 and each.text for each in plane.corrections):
        caution = sources.PLANING if read.kind == "studs" else sources.SILICA
        yield _finding("care", caution, caution.text)
    yield from _leaning(read, plane)
    short = float(limits[1].length_mm)
    apart = [b - a for line in read.lines for (a, _), (b, _) in pairwise(line.readings)]
    if apart and max(apart) > short + TOLERANCE:
        text = gettext_noop(
            "Readings stand up to %(apart)s apart: a hump or dip between them shows under no straightedge. Lay the one "
            "of %(short)s on too."
        )
        told = {"apart": format_length(max(apart), unit=read.units), "short": format_length(short, unit=read.units)}
        yield _finding("note", rule, text % told)
    if not any(len(line.readings) > 1 for line in read.lines):
        yield _finding("note", rule, gettext_noop("No line was read at two places: nothing is known along them."))
    if not across:
        yield _finding("note", rule, gettext_noop("No height was read on two lines: nothing is known across them."))


def _leaning(read: Survey, plane: Plane) -> Iterable[Finding]:
    """Yield a finding where the plane itself leans too far: work saved now comes back in corners, doors and glass."""
    if plane.lean is None:
        return
    height = max(line.readings[-1][0] for line in read.lines) - min(line.readings[0][0] for line in read.lines)
    verdict = judge_plumb(
        tile_longest_edge_mm=decimal(read.tile_longest_edge),
        height_mm=decimal(height),
        out_of_plumb_mm=decimal(plane.lean),
        limits=read.limits,
    )
    if verdict.outcome == "fails":
        text = gettext_noop("The plane that this work comes to is flat, but leans. %s")
        yield _finding("care", verdict.rule, text % verdict.say(unit=read.units))


def _finding(level: Literal["care", "note"], rule: Rule, text: str) -> Finding:
    return Finding(level, rule.id, rule.source, text)


def _judged(verdict: Verdict, unit: Unit) -> Judged:
    figures = {name: float(value) for name, value in verdict.figures.items()}
    return Judged(verdict.outcome, verdict.rule.id, verdict.rule.source, verdict.say(unit=unit), figures)
