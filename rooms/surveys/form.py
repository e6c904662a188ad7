"""The form of a survey's page: settings by kind, and the grid of readings. What isn't typed yet may stay open."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.forms.boundfield import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from rooms.forms import LengthFormField
from rooms.models import SurveyKind
from rooms.surveys.state import State
from trade.lengths import Unit

AIMS = [
    ("least-total", _("least material")),
    ("fewest-lines", _("fewest lines touched")),
    ("shims-only", _("nothing taken off")),
]
TO = [
    ("level", _("level")),
    ("least-volume", _("whatever takes the least compound")),
    ("slope", _("a slope")),
]
TOWARD = [
    ("end", _("the end of the lines")),
    ("start", _("the start of the lines")),
    ("last", _("the last line")),
    ("first", _("the first line")),
]
SLOPES = [("per_foot", _("in a foot")), ("percent", _("percent"))]


class _Needed(LengthFormField):
    """A length that a verdict or a button needs; an unfinished survey is kept without."""

    def validate(self, value: Decimal | None) -> None:
        if value is not None:
            super().validate(value)


class _SlopeField(forms.CharField):
    """The number of a slope: a length that it falls in a foot, or percent; read when it is known which."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            max_length=60, widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}), **kwargs
        )

    def validate(self, value: str) -> None:
        """May stay open."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the grid as the page shows it: where it stands, and for each place its name and its field."""

    name: str
    at: BoundField
    cells: list[tuple[str, BoundField]]


class SurveyForm(forms.Form):
    """All fields of the page. `bound`: they are being checked; else they show `state` and complain of nothing."""

    use_required_attribute = False

    def __init__(self, state: State, *, unit: Unit, outlined: bool = False, bound: bool = False) -> None:
        """`outlined`: a shower's floor has the outline of its surface, which no field says."""
        super().__init__(state.values if bound else None, initial=None if bound else dict(state.values))
        self.state, self.unit, self.outlined = state, unit, outlined
        self.fields.update(_settings(state.kind, unit, outlined=outlined))
        self.fields.update(_grid(state, unit))

    @property
    def kind(self) -> str:
        return self.state.kind

    @property
    def places(self) -> list[BoundField]:
        return [self[f"place-{number}"] for number in range(self.state.places)]

    @property
    def lines(self) -> Iterator[Line]:
        for index in range(self.state.lines):
            cells = [(self.place_name(n), self[f"line-{index}-{n}"]) for n in range(self.state.places)]
            yield Line(self.line_name(index), self[f"line-{index}-at"], cells)

    def line_name(self, index: int) -> str:
        return line_name(self.kind, index)

    def place_name(self, number: int) -> str:
        return self.state.values.get(f"place-{number}") or grid_words(self.kind)["place"] % {"number": number + 1}

    def typed(self, name: str) -> str:
        """What was typed into a field, without spaces around it."""
        return str(self.state.values.get(name, "")).strip()

    def say_spacing(self) -> None:
        """Says what is missing of the distances that lines and places should have."""
        for name in ("across", "along"):
            if not self.typed(name):
                self.add_error(name, gettext("Type how far apart, like 16 or 400 mm."))

    def clean(self) -> None:
        super().clean()
        self._check_places()
        for name in ("slope", "fall"):
            if name in self.fields:
                self._check_slope(name)
        if self.kind == SurveyKind.BED:
            self._check_bed()
        elif self.cleaned_data.get("to") == "slope" and not self.typed("fall"):
            self.add_error("fall", gettext("A slope needs how much it falls. Type it, like 1/8."))
        if not self.errors and not self._has_anything():
            self.add_error(None, gettext("Nothing is read yet. Type at least one reading."))

    def _has_anything(self) -> bool:
        read = any(self.typed(f"line-{i}-{n}") for i in range(self.state.lines) for n in range(self.state.places))
        return read or (self.kind == SurveyKind.BED and any(map(self.typed, ("drain_x", "slope", "least_bed"))))

    def _check_places(self) -> None:
        """A reading is nothing without its place."""
        for index in range(self.state.lines):
            for number in range(self.state.places):
                if not self.typed(f"line-{index}-{number}"):
                    continue
                for name, text in (
                    (f"line-{index}-at", gettext("Where does this line stand? Type how far from the first.")),
                    (f"place-{number}", gettext("Where is this on the line? Type how far from its start.")),
                ):
                    if not self.typed(name) and name not in self.errors:
                        self.add_error(name, text)

    def _check_slope(self, name: str) -> None:
        text = self.typed(name)
        if not text or name in self.errors:
            return
        if self.cleaned_data.get(f"{name}_in") == "percent":
            try:
                self.cleaned_data[name] = float(Decimal(text.replace(",", ".").rstrip("% ")))
            except InvalidOperation:
                self.add_error(name, gettext("Type percent as a number, like 2."))
        else:
            self.cleaned_data[name] = text

    def _check_bed(self) -> None:
        for one, other in (("width", "depth"), ("drain_x", "drain_y"), ("drain_x2", "drain_y2")):
            if bool(self.typed(one)) != bool(self.typed(other)):
                empty = other if self.typed(one) else one
                if empty in self.fields:
                    self.add_error(empty, gettext("One measure is here without the other. Type both, or neither."))
        if self.typed("drain_x2") and self.typed("drain_radius"):
            self.add_error(
                "drain_radius", gettext("A drain is round or linear. Leave its radius empty, or the other end.")
            )


def line_name(kind: str, index: int) -> str:
    """How a line is called on the page and in the file."""
    return grid_words(kind)["line"] % {"number": index + 1}


def grid_words(kind: str) -> dict[str, str]:
    """How lines and places are called, with `%(number)s` for the count from 1; for static/js/survey_grid.js as well."""
    line = gettext("Stud %(number)s") if kind == SurveyKind.STUDS else gettext("Line %(number)s")
    return {"line": line, "place": gettext("place %(number)s")}


def _settings(kind: str, unit: Unit, *, outlined: bool) -> Iterator[tuple[str, forms.Field]]:
    yield "tile_longest_edge", LengthFormField(unit=unit, label=_("Longest edge of the tile"))
    yield "across", _Needed(unit=unit, label=_("Lines apart"))
    yield "along", _Needed(unit=unit, label=_("Readings apart"))
    if kind in (SurveyKind.STUDS, SurveyKind.WALL):
        yield "aim", forms.ChoiceField(label=_("Bring it to a plane with"), choices=AIMS)
    if kind == SurveyKind.FLOOR:
        yield "to", forms.ChoiceField(label=_("Bring the floor to"), choices=TO)
        yield "fall", _SlopeField(label=_("Falls by"), required=False, help_text=_("Of a slope only."))
        yield "fall_in", forms.ChoiceField(label=_("Measured"), choices=SLOPES)
        yield "toward", forms.ChoiceField(label=_("Falls toward"), choices=TOWARD)
        yield "grind", LengthFormField(unit=unit, label=_("Grind high spots by up to"), required=False, least=0)
    if kind == SurveyKind.BED:
        yield from _bed(unit, outlined=outlined)
    if kind in (SurveyKind.FLOOR, SurveyKind.BED):
        label, told = _("One bag makes, L"), _("By its label.")
        yield "bag_liters", forms.FloatField(required=False, min_value=0.1, max_value=1000, label=label, help_text=told)


def _bed(unit: Unit, *, outlined: bool) -> Iterator[tuple[str, forms.Field]]:
    if not outlined:
        yield "width", _Needed(unit=unit, label=_("Width of the floor"))
        yield "depth", _Needed(unit=unit, label=_("Depth of the floor"))
    yield "drain_x", _Needed(unit=unit, least=0, label=_("Drain, from the left"))
    yield "drain_y", _Needed(unit=unit, least=0, label=_("Drain, from the bottom"))
    yield (
        "drain_radius",
        LengthFormField(
            unit=unit, required=False, label=_("Radius of a round drain"), help_text=_("Center to rim, on top.")
        ),
    )
    yield "drain_x2", LengthFormField(unit=unit, required=False, least=0, label=_("Its other end, from the left"))
    yield "drain_y2", LengthFormField(unit=unit, required=False, least=0, label=_("Its other end, from the bottom"))
    yield "slope", _SlopeField(label=_("Slope"))
    yield "slope_in", forms.ChoiceField(label=_("Measured"), choices=SLOPES)
    yield "least_bed", _Needed(unit=unit, least=0, label=_("Least thickness of the bed"))
    yield (
        "pre_slope",
        LengthFormField(
            unit=unit,
            required=False,
            least=0,
            label=_("Least thickness of a pre-slope"),
            help_text=_("Under a liner; the bed over it is then as thick everywhere."),
        ),
    )


def _grid(state: State, unit: Unit) -> Iterator[tuple[str, forms.Field]]:
    def length(label: str) -> LengthFormField:
        return LengthFormField(unit=unit, above=None, required=False, label=label)

    for number in range(state.places):
        yield f"place-{number}", length(gettext("Place %(number)s along") % {"number": number + 1})
    for index in range(state.lines):
        name = line_name(state.kind, index)
        yield f"line-{index}-at", length(gettext("%(line)s stands at") % {"line": name})
        for number in range(state.places):
            at = state.values.get(f"place-{number}") or str(number + 1)
            yield f"line-{index}-{number}", length(f"{name}, {at}")
