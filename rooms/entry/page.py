"""The entry page: its forms, whether they are right, and where what the engine says belongs."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from layout import RoomError
from rooms.entry.state import State, SurfaceState, Values
from rooms.forms import CornerForm, OpeningForm, RoomForm, SurfaceForm, TileForm
from rooms.models import SurfaceKind, Tile
from rooms.outlines import is_rectangle, outline_of
from rooms.sketch import sketch
from trade.lengths import Unit

_FROM_ROOM = ("pattern", "joint", "joint_high", "edge_gap")
"""What a surface takes from the room unless it says so itself."""


@dataclass
class OpeningPart:
    """An opening on the page. `name` is what the button that removes it sends."""

    form: OpeningForm
    number: int
    name: str
    fixed: bool


@dataclass
class SurfacePart:
    """A surface on the page: its form and its openings; `raw` is what the file said of it before. `fixed`: its outline
    came from a file and isn't a rectangle. `sketch`: its drawing, where fields can't show it."""

    index: int
    form: SurfaceForm
    openings: list[OpeningPart]
    raw: Mapping[str, Any]
    fixed: bool
    sketch: str = ""

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


class RoomEntry:
    """All forms of the page. `bound`: they are being checked; else they show `state` and complain of nothing."""

    def __init__(
        self,
        state: State,
        *,
        unit: Unit,
        base: Mapping[str, Any] | None = None,
        room_tile: Tile | None = None,
        bound: bool = False,
        focus: str = "",
    ) -> None:
        self.state, self.unit, self.base, self.room_tile, self.bound = state, unit, base or {}, room_tile, bound
        self.general: list[str] = []
        self._raw = {raw["id"]: raw for raw in self.base.get("surfaces", ())}
        pattern = state.room.get("pattern") or "stack"
        self.room_form = self._form(RoomForm, "room", state.room, pattern=self._pattern(pattern), unit=unit)
        self.tile_form = self._form(TileForm, "tile", state.tile, unit=unit)
        self.surfaces = [self._surface(index, each) for index, each in enumerate(state.surfaces)]
        walls = [("", _("choose …")), *((str(part.index), part.heading) for part in self.walls)]
        self.corners = [
            self._form(CornerForm, f"corner-{index}", each, walls=walls) for index, each in enumerate(state.corners)
        ]
        self._focus(focus)

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
            for opening in part.openings:
                name = _("%(surface)s, opening %(number)s") % {"surface": part.heading, "number": opening.number}
                yield name, opening.form
        for number, corner in enumerate(self.corners, start=1):
            yield _("Corner %(number)s") % {"number": number}, corner

    def is_valid(self) -> bool:
        """Whether each form is right by itself; the room as a whole is judged by the engine."""
        # All of them, so that everything that is wrong is said at once.
        right = [form.is_valid() for _part, form in self.named_forms]
        if not self.surfaces:
            self.general.append(_("A room needs at least one wall or floor. Add it."))
        for corner in self.corners:
            self._check_build_up(corner)
        return all(right) and not self.general and all(not form.errors for _part, form in self.named_forms)

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
            if index < len(self.surfaces) and number < len(self.surfaces[index].openings):
                name = {"outline": "left", "kind": "kind"}.get(found[3] or "", "")
                return self.surfaces[index].openings[number].form, name
        if (found := re.fullmatch(r"surfaces\[(\d+)\](?:\.(\w+).*)?", place)) and int(found[1]) < len(self.surfaces):
            name = found[2] or ""
            if name in _FROM_ROOM and name not in self.surfaces[int(found[1])].raw:
                return self.room_form, name
            return self.surfaces[int(found[1])].form, {"outline": "width", "id": "name"}.get(name, name)
        head, _dot, rest = place.partition(".")
        if head == "tile":
            return self.tile_form, "tile" if self.tile_form.cleaned_data.get("tile") else rest.split("[")[0]
        if head in self.room_form.fields:
            return self.room_form, head
        return None, ""

    def _surface(self, index: int, state: SurfaceState) -> SurfacePart:
        raw = self._raw.get(state.values.get("key") or "", {})
        fixed = bool(raw) and not is_rectangle(outline_of(raw, self.base["units"]) or [])
        at = f"surface-{index}"
        kind = state.values.get("kind") or "wall"
        form = self._form(SurfaceForm, at, state.values, fixed=fixed, kind=kind, unit=self.unit)
        known = {each["id"]: each for each in raw.get("openings", ())}
        openings = []
        for number, values in enumerate(state.openings):
            before = known.get(values.get("key") or "", {})
            odd = bool(before) and not is_rectangle(outline_of(before, self.base["units"]) or [])
            more = {"fixed": odd, "kind": before.get("kind", ""), "unit": self.unit}
            opening = self._form(OpeningForm, f"{at}-opening-{number}", values, **more)
            openings.append(OpeningPart(opening, number + 1, f"opening:{index}:{number}", odd))
        part = SurfacePart(index=index, form=form, openings=openings, raw=raw, fixed=fixed)
        if fixed or any(opening.fixed for opening in openings):
            part.sketch = sketch(raw, units=self.base["units"], shown_in=self.unit)
        return part

    def _form(self, form: type[forms.Form], prefix: str, values: Values, /, **more: Any) -> Any:
        if self.bound:
            return form({f"{prefix}-{name}": value for name, value in values.items()}, prefix=prefix, **more)
        return form(prefix=prefix, initial=values, **more)

    def _pattern(self, typed: str) -> str:
        """The pattern that the list must offer beside the usual ones: the room's own, else none."""
        own = (self.base.get("pattern") or {}) if self.base else {}
        known = own.get("share") if own.get("kind") == "offset" else own.get("kind")
        return str(known) if known and typed == known else "stack"

    def _focus(self, name: str) -> None:
        for _part, form in self.named_forms:
            for bound in form:
                if bound.html_name == name:
                    bound.field.widget.attrs["autofocus"] = True
