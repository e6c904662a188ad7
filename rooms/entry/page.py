"""The entry page: its forms, whether they are right, and where what the engine says belongs."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from layout import RoomError
from rooms.entry.forms import MORE_MEASURES, CornerForm, LegForm, OpeningForm, SurfaceForm
from rooms.entry.state import NEW_CORNER, NEW_LEG, NEW_OPENING, State, SurfaceState, Values, new_surface
from rooms.entry.taken import OwnOutline, is_fixed, openings_of, own_outline, trimmed
from rooms.forms import RoomForm, TileForm
from rooms.measured import HALF_STEP, Measures, Outlined, Point, Side, outline, walk
from rooms.models import SurfaceKind, Tile
from trade.lengths import Unit, format_length

_FROM_ROOM = ("pattern", "joint", "joint_high", "edge_gap")
"""What a surface takes from the room unless it says so itself."""


BLANK = 9999
"""The index of what isn't on the page yet: a page without signal puts another in its place."""

NOT_OUTLINED = Outlined(())


@dataclass
class OpeningPart:
    """An opening on the page. `name` is what the button that removes it sends."""

    form: OpeningForm
    number: int
    name: str
    fixed: bool

    @property
    def moves(self) -> bool:
        """Whether it is said, or tried to say, that it may be moved."""
        return any(self.form[name].value() or self.form[name].errors for name in ("moves_x", "moves_y"))


def follows(index: int, raw: Mapping[str, Any], kind: str) -> bool:
    """Whether a surface takes height and build-up from the wall before it unless it says its own: a new wall, not the
    first surface."""
    return index > 0 and not raw and kind == SurfaceKind.WALL


@dataclass
class SurfacePart:
    """A surface on the page: its form, its legs and its openings; `raw` is what the file said of it before, `own` how
    the page shows that outline. `fixed`: its outline came from a file. Once checked: `outlined`, what its `measures` or
    `steps` make, `bows` being the side on which its middle may bow."""

    index: int
    form: SurfaceForm
    openings: list[OpeningPart]
    raw: Mapping[str, Any]
    own: OwnOutline
    legs: list[LegForm]
    measures: Measures | None = None
    steps: Sequence[Point] = ()
    outlined: Outlined = NOT_OUTLINED
    bows: Side | None = "right"

    @property
    def fixed(self) -> bool:
        return self.own.fixed

    @property
    def follows(self) -> bool:
        return follows(self.index, self.raw, self.form["kind"].value())

    @property
    def walked(self) -> bool:
        return "width" not in self.form.fields and not self.fixed

    def measures_typed(self) -> Measures:
        """Of a form that has them, and nothing wrong with them."""
        typed = self.form.cleaned_data
        more = {name: typed.get(name) for name in MORE_MEASURES}
        return Measures(width=typed["width"], height=typed["height"], **more)

    def steps_typed(self) -> list[Point]:
        """The legs that were typed, of valid forms."""
        return [step for leg in self.legs if (step := leg.step)]

    @property
    def more_is_told(self) -> bool:
        """Whether the further measures have anything in them or wrong with them."""
        names = [name for name in ("sure", *MORE_MEASURES) if name in self.form.fields]
        return any(self.form[name].value() or self.form[name].errors for name in names)

    @property
    def about_is_told(self) -> bool:
        """Whether something is wrong with what it is, or it is one that the page has just added."""
        names = ("name", "kind", "edge_gap")
        wrong = any(self.form[name].errors for name in names)
        return wrong or not self.form["name"].value()

    @property
    def heading(self) -> str:
        return str(self.form["name"].value() or "") or _("Surface %(number)s") % {"number": self.index + 1}

    @property
    def name(self) -> str:
        """What the buttons that remove it send."""
        return f"surface:{self.index}"

    @property
    def more(self) -> str:
        """What the button that adds an opening to it sends."""
        return f"opening:{self.index}"

    @property
    def leg(self) -> str:
        """What the buttons that add and remove a leg send."""
        return f"leg:{self.index}"


class RoomEntry:
    """All forms of the page. `bound`: they are being checked; else they show `state` and complain of nothing.
    `refused`: it isn't for what was typed that it can't be saved. `asks`: what the page asks to be sure of: "drop",
    "remove_room" or "surface:<n>"."""

    def __init__(
        self,
        state: State,
        *,
        unit: Unit,
        base: Mapping[str, Any] | None = None,
        room_tile: Tile | None = None,
        bound: bool = False,
        focus: str = "",
        asks: str = "",
    ) -> None:
        self.state, self.unit, self.base, self.room_tile, self.bound = state, unit, base or {}, room_tile, bound
        self.asks = asks
        self.general: list[str] = []
        self.refused = False
        self._raw = {raw["id"]: raw for raw in self.base.get("surfaces", ())}
        pattern = state.room.get("pattern") or "stack"
        self.room_form = self._form(RoomForm, "room", state.room, pattern=self._pattern(pattern), unit=unit)
        self.tile_form = self._form(TileForm, "tile", state.tile, unit=unit)
        self.surfaces = [self._surface(index, each) for index, each in enumerate(state.surfaces)]
        walls = self._wall_choices()
        self.corners = [
            self._form(CornerForm, f"corner-{index}", each, walls=walls) for index, each in enumerate(state.corners)
        ]
        self._focus(focus)

    @property
    def corners_open(self) -> bool:
        """Whether a corner has something wrong, or is one that the page has just added."""
        return any(form.errors or not form["left"].value() for form in self.corners)

    @property
    def walls(self) -> list[SurfacePart]:
        return [part for part in self.surfaces if part.form["kind"].value() == SurfaceKind.WALL]

    @property
    def named_forms(self) -> Iterator[tuple[str, forms.Form]]:
        """Every form of the page with the name of the part it belongs to."""
        yield "", self.room_form
        yield "", self.tile_form
        for part in self.surfaces:
            yield part.heading, part.form
            for number, leg in enumerate(part.legs, start=1):
                yield _("%(surface)s, side %(number)s") % {"surface": part.heading, "number": number}, leg
            for opening in part.openings:
                name = _("%(surface)s, opening %(number)s") % {"surface": part.heading, "number": opening.number}
                yield name, opening.form
        for number, corner in enumerate(self.corners, start=1):
            yield _("Corner %(number)s") % {"number": number}, corner

    def blank_surface(self, kind: SurfaceKind) -> SurfacePart:
        """One that isn't on the page, with a side and an opening, its index being `BLANK`."""
        state = replace(new_surface({"kind": kind}, self.unit), openings=(NEW_OPENING,), legs=(NEW_LEG,))
        return RoomEntry(State(), unit=self.unit)._surface(BLANK, state)

    def blank_corner(self) -> CornerForm:
        """One that isn't on the page, its index being `BLANK`."""
        return CornerForm(prefix=f"corner-{BLANK}", initial=NEW_CORNER, walls=self._wall_choices())

    def checked(self) -> "RoomEntry":
        """The same entry, its forms checked: itself where they are."""
        if self.bound:
            return self
        entry = RoomEntry(self.state, unit=self.unit, base=self.base, room_tile=self.room_tile, bound=True)
        entry.is_valid()
        return entry

    def is_valid(self) -> bool:
        """Whether each form is right by itself; the room as a whole is judged by the engine."""
        # All of them, so that everything that is wrong is said at once.
        right = [form.is_valid() for _part, form in self.named_forms]
        if not self.surfaces:
            self.general.append(_("A room needs at least one wall or floor. Add it."))
        self._fill_in()
        for part in self.surfaces:
            self._outline(part)
        for corner in self.corners:
            self._check_build_up(corner)
        return all(right) and not self.general and all(not form.errors for _part, form in self.named_forms)

    def _fill_in(self) -> None:
        """A new wall that says no height or build-up has those of the wall before it, where that one ends."""
        before: SurfaceForm | None = None
        for part in self.surfaces:
            form = part.form
            if part.follows and before:
                ends = {name: before.cleaned_data.get(name) for name in ("height", "right_height", "build_up")}
                found = {"height": ends["right_height"] or ends["height"], "build_up": ends["build_up"]}
                for name, mm in found.items():
                    if form.cleaned_data.get(name) is None and name not in form.errors:
                        form.cleaned_data[name] = mm
            if "height" in form.fields and form.cleaned_data.get("height") is None and "height" not in form.errors:
                form.add_error("height", _("Say how high it is: no wall before it does."))
            if form["kind"].value() == SurfaceKind.WALL:
                before = form

    def _outline(self, part: SurfacePart) -> None:
        """What the measures make, and beside each what of it can't be."""
        part.bows = self._free_side(part.index)
        wrong = {"width", "height", *MORE_MEASURES} & part.form.errors.keys()
        if part.fixed or wrong or not all(leg.is_valid() for leg in part.legs):
            return
        if part.walked:
            part.steps = part.steps_typed()
            part.outlined = Outlined(walk(part.steps) if len(part.steps) > 1 else ())
            if not part.outlined.points:
                part.form.add_error(None, _("Walk round it: at least two sides, one after the other."))
            return
        part.measures = part.measures_typed()
        part.outlined = outline(part.measures, bows=part.bows)
        for said in part.outlined.said:
            text = self._text(said.template, said.figures)
            if said.stops:
                part.form.add_error(said.name, text)
            elif said.odd and not part.form.cleaned_data.get("sure"):
                part.form.add_error(said.name, text + " " + _("If it is so, tick that below."))

    def _free_side(self, index: int) -> Side | None:
        """The side of a surface that meets no other wall."""
        typed = [corner.cleaned_data for corner in self.corners if corner.is_valid()]
        if not any(each["left"] == str(index) for each in typed):
            return "right"
        return None if any(each["right"] == str(index) for each in typed) else "left"

    def notes(self, part: SurfacePart) -> list[str]:
        """What there is to say of a surface's measures, beside what can't be."""
        found = [said for said in part.outlined.said if not said.stops and not said.odd]
        return [*(self._text(said.template, said.figures) for said in found), *self._uneven(part)]

    def _uneven(self, part: SurfacePart) -> list[str]:
        """The corners in which the wall on the left ends at another height than this one begins. A wall of a file may
        begin at another level."""
        typed = [corner.cleaned_data for corner in self.corners if corner.is_valid()]
        befores = [self.surfaces[int(each["left"])] for each in typed if each["right"] == str(part.index)]
        found = []
        for before in befores:
            if part.measures and before.measures and not {part.raw.get("level"), before.raw.get("level")} - {None}:
                ends, begins = before.measures.right_height or before.measures.height, part.measures.height
                if abs(ends - begins) > 2 * HALF_STEP:
                    words = {"wall": before.heading, "ends": self._length(ends), "begins": self._length(begins)}
                    text = _("%(wall)s ends %(ends)s high in their corner, this one begins %(begins)s high.")
                    found.append(text % words)
        return found

    def _length(self, mm: Decimal) -> str:
        return format_length(mm, unit=self.unit)

    def _text(self, template: str, figures: Mapping[str, Any]) -> str:
        texts = {name: self._length(mm) for name, mm in figures.items()}
        return _(template) % texts

    def _check_build_up(self, corner: CornerForm) -> None:
        """The wall that is set first decides where the other begins: by its build-up."""
        first = corner.cleaned_data.get("first", "")
        which = corner.cleaned_data.get(first, "")
        if not which or corner.errors:
            return
        form = self.surfaces[int(which)].form
        if not form.cleaned_data.get("build_up") and "build_up" not in form.errors:
            form.add_error("build_up", _("Set first in a corner: its build-up decides where the next wall begins."))

    def say(self, error: RoomError) -> None:
        """Puts what the engine says beside the field that it means; else at the top."""
        form, name = self._meant(error.place)
        if form is None:
            self.general.append(f"{error.place}: {error.reason}" if error.place else error.reason)
        else:
            form.add_error(name if name in form.fields else None, error.reason)

    def lacks(self) -> list[str]:
        """What is wrong or missing, in words that name the place."""
        found = [f"{each.label}: {error}" for each in self for error in each.errors]
        return [*self.non_field_errors(), *found]

    def non_field_errors(self) -> list[str]:
        """For the tag form_errors, as if the page were one form."""
        found = list(self.general)
        for part, form in self.named_forms:
            found += [f"{part}: {error}" if part else str(error) for error in form.non_field_errors()]
        return found

    def __iter__(self) -> Iterator[SimpleNamespace]:
        for part, form in self.named_forms:
            for bound in form:
                label = f"{part}: {bound.label}" if part else bound.label
                yield SimpleNamespace(
                    label=label,
                    errors=bound.errors,
                    is_hidden=bound.is_hidden,
                    id_for_label=bound.id_for_label,
                    auto_id=bound.auto_id,
                )

    def _meant(self, place: str) -> tuple[forms.Form | None, str]:
        if found := re.fullmatch(r"surfaces\[(\d+)\]\.openings\[(\d+)\](?:\.(\w+).*)?", place):
            index = int(found[1])
            number = int(found[2])
            parts = self.surfaces[index].openings if index < len(self.surfaces) else []
            forms_of_file = [part.form for part in parts if not part.form.is_blocking]
            if number < len(forms_of_file):
                fields = {"outline": "left", "circle": "left", "movable": "moves_x", "kind": "kind"}
                name = fields.get(found[3] or "", "")
                return forms_of_file[number], name
        if (found := re.fullmatch(r"surfaces\[(\d+)\](?:\.(\w+).*)?", place)) and int(found[1]) < len(self.surfaces):
            name = found[2] or ""
            if name in _FROM_ROOM and name not in self.surfaces[int(found[1])].raw:
                return self.room_form, name
            part = self.surfaces[int(found[1])]
            if name == "outline" and part.walked:
                return part.legs[0], "length"
            return part.form, {"outline": "width", "id": "name"}.get(name, name)
        head, _dot, rest = place.partition(".")
        if head == "tile":
            return self.tile_form, "tile" if self.tile_form.cleaned_data.get("tile") else rest.split("[")[0]
        if head in self.room_form.fields:
            return self.room_form, head
        return None, ""

    def _surface(self, index: int, state: SurfaceState) -> SurfacePart:
        raw = self._raw.get(state.values.get("key") or "", {})
        units = self.base.get("units", "")
        own = own_outline(raw, units)
        kind = state.values.get("kind") or "wall"
        at = f"surface-{index}"
        walked = bool(state.values.get("walked"))
        has_edges = trimmed(raw, walked=walked)
        form = self._form(
            SurfaceForm,
            at,
            state.values,
            fixed=own.fixed,
            walked=walked,
            trimmed=has_edges,
            follows=follows(index, raw, kind),
            kind=kind,
            unit=self.unit,
        )
        known = {each["id"]: each for each in openings_of(raw)}
        openings = []
        for number, values in enumerate(state.openings):
            before = known.get(values.get("key") or "", {})
            odd = bool(before) and is_fixed(before, units)
            more = {"fixed": odd, "kind": before.get("kind", ""), "unit": self.unit}
            opening = self._form(OpeningForm, f"{at}-opening-{number}", values, **more)
            openings.append(OpeningPart(opening, number + 1, f"opening:{index}:{number}", odd))
        more = {"unit": self.unit, "trimmed": has_edges}
        legs = [self._form(LegForm, f"{at}-leg-{n}", leg, **more) for n, leg in enumerate(state.legs)]
        return SurfacePart(index=index, form=form, openings=openings, raw=raw, own=own, legs=legs)

    def _form(self, form: type[forms.Form], prefix: str, values: Values, /, **more: Any) -> Any:
        if self.bound:
            return form({f"{prefix}-{name}": value for name, value in values.items()}, prefix=prefix, **more)
        return form(prefix=prefix, initial=values, **more)

    def _pattern(self, typed: str) -> str:
        """The pattern that the list must offer beside the usual ones: the room's own, else none."""
        own = (self.base.get("pattern") or {}) if self.base else {}
        known = own.get("share") if own.get("kind") == "offset" else own.get("kind")
        return str(known) if known and typed == known else "stack"

    def _wall_choices(self) -> list[tuple[str, str]]:
        return [("", _("choose …")), *((str(part.index), part.heading) for part in self.walls)]

    def _focus(self, name: str) -> None:
        for _part, form in self.named_forms:
            for bound in form:
                if bound.html_name == name:
                    bound.field.widget.attrs["autofocus"] = True
