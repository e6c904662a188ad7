"""The page on which a substrate's readings are typed or tapped, and the survey file that they make (FORMATS)."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from layout import RoomError
from rooms.forms import LengthFormField, exact_text
from rooms.models import Room, Surface, SurfaceKind, SurveyKind
from trade.lengths import Unit

MOST_LINES, MOST_READINGS = 40, 40
ELSEWHERE = "elsewhere"

MOST_FIELDS = 600
"""Readings on one page; a larger floor is read in parts, or comes as a file to the command line."""

_HANGS = (SurfaceKind.WALL, SurfaceKind.CEILING, SurfaceKind.JAMB, SurfaceKind.CURB)

TAPS = {
    "in": ("0", "1/16", "1/8", "3/16", "1/4", "5/16", "3/8", "1/2"),
    "mm": ("0", "1", "2", "3", "4", "5", "8", "10"),
}
"""Readings that occur most, for the keys under the grid."""

AIMS = (
    ("least-total", _("the least work in all")),
    ("fewest-lines", _("as few of them touched as can be")),
    ("shims-only", _("only filled or shimmed, nothing planed")),
)
LEVELS = (
    ("level", _("level")),
    ("least-volume", _("flat, leaning as takes the least compound")),
    ("slope", _("sloped")),
)
TOWARD = (
    ("first", _("toward the first line")),
    ("last", _("toward the last line")),
    ("start", _("toward the start of the lines")),
    ("end", _("toward the end of the lines")),
)

_PLACES = (
    ("tile_longest_edge", "edge"), ("leveling.fall", "fall"), ("leveling.toward", "toward"),
    ("leveling.grind", "grind"), ("leveling", "to"), ("bed.outline", "width"), ("bed.drain", "drain_x"),
    ("bed.slope", "slope"),
    ("bed.least_bed", "least_bed"), ("bed.pre_slope", "pre_slope"), ("bed.bag_liters", "bag_liters"),
)  # fmt: skip
"""Where the survey file's places stand on the page."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the grid with its fields, as the page shows it."""

    name: str
    at: str
    fields: list[tuple[str, BoundField]]


class SlopeFormField(forms.CharField):
    """A fall as a setter says it: `1/4` in a foot, or `2 %`. Cleaned to what a survey file has for it."""

    def clean(self, value: Any) -> Any:
        text = str(super().clean(value) or "").strip()
        if not text:
            return None
        if not text.endswith("%"):
            return {"per_foot": text}
        try:
            return {"percent": float(text[:-1].strip().replace(",", "."))}
        except ValueError:
            raise ValidationError(_now("Type a fall like 1/4 (in a foot) or 2 %.")) from None


class SurveyForm(forms.Form):
    """What was read, line by line. The fields follow what is asked for; readings left empty weren't taken."""

    def __init__(self, room: Room, kind: str, data: Mapping[str, Any] | None, *, unit: Unit, judge: bool) -> None:
        self.room, self.what, self.unit = room, kind, unit
        self.surfaces = [surface for surface in room.surfaces.all() if _fits(surface, kind)]
        start = self._start(data)
        super().__init__(data if judge else None, initial=start)
        self._put_fields()
        self.lines_count = _count(start.get("lines"), 0 if kind == "bed" else 1, MOST_LINES)
        self.readings_count = _count(start.get("readings"), 1, MOST_READINGS)
        if self.lines_count * self.readings_count > MOST_FIELDS:
            self.lines_count = max(1, MOST_FIELDS // self.readings_count)
        for line in range(self.lines_count):
            for reading in range(self.readings_count):
                self.fields[_name(line, reading)] = _length("", unit, above=None, required=False)
        for row in self.grid:
            for place, bound in row.fields:
                bound.field.label = bound.label = _now("%(line)s at %(place)s") % {"line": row.name, "place": place}

    def _start(self, data: Mapping[str, Any] | None) -> dict[str, Any]:
        """What the page begins with: what was typed, else what the room says."""
        if data:
            return {name: data[name] for name in data}
        surface = self.surfaces[0] if self.surfaces else None
        wide, high = _size(surface) if surface else (Decimal(0), Decimal(0))
        inches = self.unit == "in"
        apart = Decimal("406.4") if self.what in ("studs", "wall") else Decimal("609.6")
        step = Decimal("609.6")
        if not inches:
            apart, step = (Decimal(400) if self.what in ("studs", "wall") else Decimal(600)), Decimal(600)
        start: dict[str, Any] = {
            "where": str(surface.pk) if surface else ELSEWHERE,
            "edge": exact_text(max(self.room.tile.width, self.room.tile.height), unit=self.unit),
            "lines": 0 if self.what == "bed" else min(MOST_LINES, int(wide // apart) + 1 if wide else 4),
            "apart": exact_text(apart, unit=self.unit),
            "readings": min(MOST_READINGS, int(high // step) + 1 if high else 5),
            "step": exact_text(step, unit=self.unit),
            "aim": "least-total",
            "to": "level",
            "toward": "end",
        }
        if surface and self.what == "bed" and _is_box(surface):
            start |= {"width": exact_text(wide, unit=self.unit), "depth": exact_text(high, unit=self.unit)}
        return start

    def _put_fields(self) -> None:
        unit, what = self.unit, self.what
        places = [(str(surface.pk), str(surface)) for surface in self.surfaces]
        self.fields["where"] = forms.ChoiceField(
            label=_("Where"), choices=[*places, (ELSEWHERE, _("elsewhere in this room"))]
        )
        self.fields["edge"] = _length(_("Longest edge of the tile"), unit)
        self.fields["lines"] = _number(_count_label(what), least=0 if what == "bed" else 1, most=MOST_LINES)
        self.fields["apart"] = _length(_("Apart"), unit)
        self.fields["readings"] = _number(_("Readings on each"), least=1, most=MOST_READINGS)
        self.fields["step"] = _length(_("One every"), unit)
        if what in ("studs", "wall"):
            self.fields["aim"] = forms.ChoiceField(label=_("Bring it into plane with"), choices=AIMS)
        if what == "floor":
            self.fields["to"] = forms.ChoiceField(label=_("The floor is to be"), choices=LEVELS)
            self.fields["fall"] = SlopeFormField(
                label=_("Fall"), required=False, help_text=_("For a sloped floor: 1/8 in a foot, or 1 %.")
            )
            self.fields["toward"] = forms.ChoiceField(label=_("It falls"), choices=TOWARD)
            self.fields["grind"] = _length(
                _("Grind off at most"), unit, required=False, help_text=_("Empty: nothing is ground, all is filled.")
            )
        if what == "bed":
            as_drawn = _("Empty: the floor as it was measured.")
            self.fields["width"] = _length(_("Width of the floor"), unit, required=False, help_text=as_drawn)
            self.fields["depth"] = _length(_("Depth"), unit, required=False)
            self.fields["drain_x"] = _length(_("Middle of the drain, from the left"), unit)
            self.fields["drain_y"] = _length(_("From the front"), unit)
            self.fields["drain_across"] = _length(_("Width of the drain"), unit, required=False)
            self.fields["slope"] = SlopeFormField(
                label=_("Slope"), initial="1/4", help_text=_("1/4 in a foot, or 2 %.")
            )
            self.fields["least_bed"] = _length(_("Bed at the drain"), unit)
            self.fields["pre_slope"] = _length(
                _("Pre-slope under the liner, at the drain"), unit, required=False, help_text=_("Empty: one bed alone.")
            )
            self.fields["bag_liters"] = forms.DecimalField(
                label=_("Liters that a bag makes"), required=False, min_value=Decimal("0.1"), max_value=1000
            )

    @property
    def setup(self) -> list[BoundField]:
        """The fields before the grid that aren't its size."""
        size = ("lines", "apart", "readings", "step")
        return [bound for bound in self if not bound.name.startswith("r-") and bound.name not in size]

    @property
    def size(self) -> list[BoundField]:
        """The fields that say how large the grid is."""
        return [self[name] for name in ("lines", "apart", "readings", "step")]

    @property
    def grid(self) -> Iterator[Line]:
        """The lines with their readings, each named by where it stands."""
        apart, step = self._mm("apart"), self._mm("step")
        for line in range(self.lines_count):
            places = [exact_text(step * reading, unit=self.unit) for reading in range(self.readings_count)]
            bounds = [self[_name(line, reading)] for reading in range(self.readings_count)]
            name = _line_name(self.what, line)
            yield Line(name, exact_text(apart * line, unit=self.unit), list(zip(places, bounds, strict=True)))

    def _mm(self, name: str) -> Decimal:
        field = self.fields[name]
        assert isinstance(field, LengthFormField)
        try:
            return field.to_python(self[name].value()) or Decimal(0)
        except ValidationError:
            return Decimal(0)

    def where_text(self) -> str:
        """What the surface is called."""
        named = {str(surface.pk): str(surface) for surface in self.surfaces}
        return named.get(self.cleaned_data["where"], "") or str(SurveyKind(self.what).label)

    def to_data(self) -> dict[str, Any]:
        """The survey as a file has it (`gaugerod-survey/1`), in millimeters; lines without a reading are left out."""
        clean = self.cleaned_data
        lines = []
        self.kept: list[tuple[int, list[int]]] = []
        for line in range(self.lines_count):
            taken = [n for n in range(self.readings_count) if clean.get(_name(line, n)) is not None]
            if taken:
                readings = [[_text(clean["step"] * n), _text(clean[_name(line, n)])] for n in taken]
                lines.append(
                    {"id": _line_name(self.what, line), "at": _text(clean["apart"] * line), "readings": readings}
                )
                self.kept.append((line, taken))
        data: dict[str, Any] = {
            "format": "gaugerod-survey/1",
            "units": self.unit,
            "kind": "floor" if self.what == "bed" else self.what,
            "tile_longest_edge": _text(clean["edge"]),
            "lines": lines,
        }
        if self.what in ("studs", "wall"):
            data["aim"] = clean["aim"]
        if self.what == "floor":
            data["leveling"] = self._leveling()
        if self.what == "bed":
            data["bed"] = self._bed()
        return data

    def _leveling(self) -> dict[str, Any]:
        clean = self.cleaned_data
        found: dict[str, Any] = {"to": clean["to"]}
        if clean["grind"]:
            found["grind"] = _text(clean["grind"])
        if clean["to"] == "slope":
            found |= {"fall": clean["fall"], "toward": clean["toward"]}
        return found

    def _bed(self) -> dict[str, Any]:
        clean = self.cleaned_data
        wide, deep = clean["width"], clean["depth"]
        if wide and deep:
            outline = [[0, 0], [_text(wide), 0], [_text(wide), _text(deep)], [0, _text(deep)]]
        else:
            surface = next((each for each in self.surfaces if str(each.pk) == clean["where"]), None)
            if surface is None:
                raise RoomError("bed.outline", _now("type the width and the depth of the floor"))
            outline = [[_text(x), _text(y)] for x, y in surface.outline]
        place = [_text(clean["drain_x"]), _text(clean["drain_y"])]
        across = clean["drain_across"]
        drain = {"circle": [*place, _text(across / 2)]} if across else {"point": place}
        found = {"outline": outline, "drain": drain, "slope": clean["slope"], "least_bed": _text(clean["least_bed"])}
        if clean["pre_slope"]:
            found["pre_slope"] = _text(clean["pre_slope"])
        if clean["bag_liters"]:
            found["bag_liters"] = float(clean["bag_liters"])
        return found

    def say(self, error: RoomError) -> None:
        """Put what the engine found wrong where it was typed."""
        reason = error.reason[:1].upper() + error.reason[1:]
        for line, (number, taken) in enumerate(getattr(self, "kept", [])):
            for reading, n in enumerate(taken):
                if error.place.startswith(f"lines[{line}].readings[{reading}]"):
                    self.add_error(_name(number, n), reason)
                    return
        for place, name in _PLACES:
            if error.place.startswith(place) and name in self.fields:
                self.add_error(name, reason)
                return
        self.add_error(None, reason if error.place != "lines" else _now("Type at least one reading."))


def _fits(surface: Surface, kind: str) -> bool:
    return surface.kind in _HANGS if kind in ("studs", "wall") else surface.kind not in _HANGS


def _size(surface: Surface) -> tuple[Decimal, Decimal]:
    xs, ys = zip(*surface.outline, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _is_box(surface: Surface) -> bool:
    """Whether a surface is a plain rectangle."""
    xs, ys = zip(*surface.outline, strict=True)
    return len(surface.outline) == 4 and len(set(xs)) == len(set(ys)) == 2


def _length(label: Any, unit: Unit, *, above: int | None = 0, **more: Any) -> LengthFormField:
    return LengthFormField(label=label, unit=unit, above=above, **more)


def _number(label: Any, *, least: int, most: int) -> forms.IntegerField:
    widget = forms.NumberInput(attrs={"class": "short", "inputmode": "numeric"})
    return forms.IntegerField(label=label, min_value=least, max_value=most, widget=widget)


def _count_label(kind: str) -> Any:
    return (
        _("Studs") if kind == "studs" else _("Lines of readings under it") if kind == "bed" else _("Lines of readings")
    )


def _line_name(kind: str, line: int) -> str:
    return f"stud {line + 1}" if kind == "studs" else f"line {line + 1}"


def _name(line: int, reading: int) -> str:
    return f"r-{line}-{reading}"


def _count(value: Any, least: int, most: int) -> int:
    try:
        return min(most, max(least, int(str(value))))
    except ValueError:
        return least


def _text(mm: Decimal) -> str:
    return f"{mm.normalize():f} mm"
