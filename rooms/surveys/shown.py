"""What the page of a kept survey says, from what was frozen with it. Never judged anew."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

import layout
from layout.survey import read_survey
from layout.survey import survey as judge
from layout.survey.picture import contour_svg, pictures
from layout.survey.words import area_text
from rooms.models import Survey, SurveyKind
from rooms.surveys.filing import missing_in
from shop.retelling import is_english, retold
from trade.lengths import Unit, format_length

_Json = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class GapRow:
    """The widest gap under one straightedge, in one direction; `gap` is empty where none could be told."""

    straightedge: str
    way: str
    gap: str
    where: str
    limit: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Shown:
    """Ready for the template. `result` is the frozen one, None of an unfinished survey, of which `missing` says what
    it lacks; `judged` is what gives the verdict on top: text, rule, source."""

    missing: list[str]
    result: _Json | None = None
    judged: _Json | None = None
    gaps: Sequence[GapRow] = ()
    pictures: Mapping[str, SafeString] | None = None
    """By what they show: floor, constant_slope, level_perimeter."""
    readings: Sequence[tuple[str, str, Sequence[tuple[str, str]]]] = ()
    high: Sequence[tuple[str, str, str]] = ()
    """Of each spot to grind: line, place along, how much."""
    area: str = ""
    asked: Sequence[tuple[str, str]] = ()
    """What was wanted of a floor, as typed."""
    findings: Sequence[_Json] = ()
    """Less those that a verdict says already."""


def shown(survey: Survey) -> Shown:
    """The survey as its page says it."""
    lines = survey.data["lines"]
    readings = [(line["id"], line["at"], [tuple(pair) for pair in line["readings"]]) for line in lines]
    result = survey.result
    if result is None:
        texts = _missing_texts()
        missing = [texts[name] for name in missing_in(survey.data, survey.kind)]
        return Shown(missing, readings=readings, asked=list(_asked(survey.data)))
    unit = cast(Unit, survey.data["units"])
    judged = result["bed"]["ways"][0] if survey.kind == SurveyKind.BED else result
    # Our own engine's drawings; it escapes what it is given.
    drawn = {name.replace("-", "_"): mark_safe(svg) for name, svg in _drawings(survey).items()}  # noqa: S308
    leveling = result.get("leveling") or {"high": (), "area_m2": 0.0}
    told = {judged["text"], result.get("plumb", {}).get("text")}
    return Shown(
        missing=[],
        result=result,
        judged=judged,
        gaps=list(_gaps(result, unit)),
        pictures=drawn,
        readings=readings,
        asked=list(_asked(survey.data)),
        high=[(each["line"], each["along_text"], each["text"]) for each in leveling["high"]],
        area=area_text(leveling["area_m2"], unit),
        findings=[each for each in result["findings"] if each["text"] not in told],
    )


def _drawings(survey: Survey) -> dict[str, str]:
    """The drawings by what they show: as they were kept, or the same drawn anew for who doesn't read English."""
    if is_english() or survey.engine_version != layout.ENGINE_VERSION:
        return {each["id"]: each["svg"] for each in survey.drawings}
    read = read_survey(survey.data)
    result = judge(read)
    return {what: contour_svg(read, result, what=what, say=retold) for what in pictures(read, result)}


def _asked(data: _Json) -> Iterable[tuple[str, str]]:
    bed, leveling = data.get("bed") or {}, data.get("leveling") or {}
    outline = bed.get("outline") or [None]
    if outline[0] == ["0", "0"]:
        yield _("Floor"), " × ".join(outline[2])
    for how, places in (bed.get("drain") or {}).items():
        ends = places if how == "line" else [places[:2]]
        texts = [_("%(x)s from the left, %(y)s from the bottom") % {"x": x, "y": y} for x, y in ends]
        if how == "circle":
            texts.append(_("radius %(r)s") % {"r": places[2]})
        yield _("Drain"), "; ".join(texts)
    for name, slope in ((_("Slope wanted"), bed.get("slope")), (_("Falls by"), leveling.get("fall"))):
        for how, text in (slope or {}).items():
            said = _("%(slope)g percent") if how == "percent" else _("%(slope)s in a foot")
            yield name, said % {"slope": text}
    for name, text in (
        (_("Least thickness of the bed"), bed.get("least_bed")),
        (_("Least thickness of a pre-slope"), bed.get("pre_slope")),
        (_("Grind by up to"), leveling.get("grind")),
    ):
        if text:
            yield name, text
    if bag := bed.get("bag_liters") or leveling.get("bag_liters"):
        yield _("One bag makes"), f"{bag:g} L"


def _missing_texts() -> dict[str, str]:
    return {
        "outline": _("Width and depth of the floor."),
        "drain": _("Where the drain stands, from the left and from the bottom."),
        "slope": _("The slope that is wanted."),
        "least_bed": _("The least thickness of the bed."),
    }


def _gaps(result: _Json, unit: Unit) -> Iterable[GapRow]:
    """Along the lines and across them, for each straightedge the widest gap."""
    across = [(_across_name(each["at_mm"], unit), each) for each in result["across"]]
    for way, sets in (
        (_("along the lines"), [(line["id"], line) for line in result["lines"]]),
        (_("across the lines"), across),
    ):
        for index in range(len(sets[0][1]["gaps"]) if sets else 0):
            name, worst = max(((name, each["gaps"][index]) for name, each in sets), key=_rank)
            where = name
            if worst["from_mm"] is not None:
                at = format_length(worst["from_mm"], unit=unit)
                where = _("%(line)s, straightedge from %(at)s") % {"line": name, "at": at}
            yield GapRow(
                straightedge=format_length(worst["length_mm"], unit=unit),
                way=way,
                gap=worst["text"],
                where=where,
                limit=format_length(worst["limit_mm"], unit=unit),
                verdict=worst["verdict"],
            )


def _across_name(mm: float, unit: Unit) -> str:
    return _("across at %(along)s") % {"along": format_length(mm, unit=unit)}


def _rank(named: tuple[str, _Json]) -> float:
    """Wider is worse; what can't be told ranks last."""
    return -1.0 if named[1]["gap_mm"] is None else named[1]["gap_mm"]
