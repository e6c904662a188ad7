"""From a checked form to the survey file that it describes, and back from the engine's word to the field it means."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from rooms.files import mm_text
from rooms.models import Surface, SurveyKind
from rooms.surveys.form import SurveyForm

FORMAT = "gaugerod-survey/1"

_Data = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Filed:
    """A survey file with its lengths as typed, and which field of the page each place in it came from."""

    data: _Data
    fields: dict[str, str] = field(default_factory=dict)

    def field_of(self, place: str) -> str | None:
        """The field that an error at this place of the file belongs to; None for the survey as a whole."""
        while place:
            if place in self.fields:
                return self.fields[place]
            place = place[: max(place.rfind("."), place.rfind("["), 0)]
        return None


def file_survey(form: SurveyForm, surface: Surface | None) -> Filed:
    """The file that the form describes; the form has to be valid. A line without readings is left out."""
    kind = "floor" if form.kind == SurveyKind.BED else form.kind
    filed = Filed({"format": FORMAT, "units": form.unit, "kind": kind})
    filed.data["tile_longest_edge"] = form.typed("tile_longest_edge")
    filed.fields["tile_longest_edge"] = "tile_longest_edge"
    if "aim" in form.fields:
        filed.data["aim"] = form.cleaned_data["aim"]
    if form.kind == SurveyKind.FLOOR:
        _file_leveling(form, filed)
    if form.kind == SurveyKind.BED:
        _file_bed(form, filed, surface)
    every = (_line(form, index) for index in range(form.state.lines))
    lines = [(line, names) for line, names in every if line["readings"]]
    filed.data["lines"] = [line for line, _names in lines]
    for number, (_read, names) in enumerate(lines):
        filed.fields.update({f"lines[{number}]{place}": name for place, name in names.items()})
    return filed


def missing_in(data: Mapping[str, Any], kind: str) -> list[str]:
    """What a survey lacks before the engine can take it: of a shower's floor outline, drain, slope and least_bed."""
    needed = ("outline", "drain", "slope", "least_bed") if kind == SurveyKind.BED else ()
    return [name for name in needed if name not in data["bed"]]


def _line(form: SurveyForm, index: int) -> tuple[_Data, dict[str, str]]:
    """A line as the file has it, and the fields of its places, which begin after the line's own."""
    names = {"": f"line-{index}-at", ".at": f"line-{index}-at"}
    readings: list[list[str]] = []
    for number in range(form.state.places):
        cell = f"line-{index}-{number}"
        if out := form.typed(cell):
            names |= {f".readings[{len(readings)}][0]": f"place-{number}", f".readings[{len(readings)}][1]": cell}
            readings.append([form.typed(f"place-{number}"), out])
    return {"id": form.line_name(index), "at": form.typed(f"line-{index}-at"), "readings": readings}, names


def _file_leveling(form: SurveyForm, filed: Filed) -> None:
    typed = form.cleaned_data
    leveling: _Data = {"to": typed["to"]}
    if typed["to"] == "slope":
        leveling |= {"fall": {typed["fall_in"]: typed["fall"]}, "toward": typed["toward"]}
    if form.typed("grind"):
        leveling["grind"] = form.typed("grind")
    if typed["bag_liters"] is not None:
        leveling["bag_liters"] = typed["bag_liters"]
    filed.data["leveling"] = leveling
    filed.fields.update({f"leveling.{name}": name for name in ("to", "fall", "toward", "grind", "bag_liters")})


def _file_bed(form: SurveyForm, filed: Filed, surface: Surface | None) -> None:
    bed: _Data = {}
    if form.outlined and surface is not None:
        bed["outline"] = [[mm_text(x), mm_text(y)] for x, y in surface.outline]
    elif (width := form.typed("width")) and (depth := form.typed("depth")):
        bed["outline"] = [["0", "0"], [width, "0"], [width, depth], ["0", depth]]
    drain = [form.typed("drain_x"), form.typed("drain_y")]
    other = [form.typed("drain_x2"), form.typed("drain_y2")]
    if all(drain):
        radius = form.typed("drain_radius")
        bed["drain"] = (
            {"line": [drain, other]} if all(other) else {"circle": [*drain, radius]} if radius else {"point": drain}
        )
    if form.typed("slope"):
        bed["slope"] = {form.cleaned_data["slope_in"]: form.cleaned_data["slope"]}
    bed |= {name: text for name in ("least_bed", "pre_slope") if (text := form.typed(name))}
    if form.cleaned_data["bag_liters"] is not None:
        bed["bag_liters"] = form.cleaned_data["bag_liters"]
    filed.data["bed"] = bed
    filed.fields.update({f"bed.{name}": name for name in ("slope", "least_bed", "pre_slope", "bag_liters")})
    drains = {"": "drain_x", ".circle[2]": "drain_radius", ".line[1]": "drain_x2"}
    filed.fields.update({f"bed.drain{place}": name for place, name in drains.items()})
    if not form.outlined:
        filed.fields["bed.outline"] = "width"
