"""Where a photo was taken: a surface, and two lengths from its lower left. A tap on the drawing fills them in
(static/js/photos.js); typing works without."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.actions.sorting import Spot
from rooms.drawn import Frame
from rooms.models import Surface
from trade.lengths import LengthError, Unit, parse_length

OLD_PAGE = gettext_lazy("Choose one of the list. If it isn’t there, load the page again.")


class PlaceFields(forms.Form):
    """The three fields of a place. After validation `spot` is what they say, None where they say nothing."""

    surface = forms.ChoiceField(
        label=gettext_lazy("Surface"), required=False, error_messages={"invalid_choice": OLD_PAGE}
    )
    from_left = forms.CharField(
        max_length=40, required=False, widget=forms.TextInput(attrs={"autocomplete": "off", "data-from": "left"})
    )
    from_bottom = forms.CharField(
        max_length=40, required=False, widget=forms.TextInput(attrs={"autocomplete": "off", "data-from": "bottom"})
    )
    spot: Spot | None = None

    def take_surfaces(self, surfaces: Iterable[Surface], *, units: Unit) -> None:
        """Offers these surfaces, grouped by room where they are of several, and says the unit."""
        self.units = units
        self.by_key = {str(surface.pk): surface for surface in surfaces}
        rooms = list(dict.fromkeys(surface.room for surface in self.by_key.values()))
        groups = [
            (str(room), [(key, str(s)) for key, s in self.by_key.items() if s.room_id == room.pk]) for room in rooms
        ]
        choices: Sequence[Any] = groups if len(rooms) > 1 else [each for _name, group in groups for each in group]
        self.fields["surface"].choices = [("", _("Not said")), *choices]  # type: ignore[attr-defined]
        inches = units == "in"
        self.fields["from_left"].label = _("From the left, inches") if inches else _("From the left, mm")
        self.fields["from_bottom"].label = _("From the bottom, inches") if inches else _("From the bottom, mm")

    @property
    def place_is_wrong(self) -> bool:
        return any(self.has_error(name) for name in ("surface", "from_left", "from_bottom"))

    def clean_place(self, data: dict[str, Any]) -> None:
        """Makes `spot`, or says what is wrong with the fields."""
        surface = self.by_key.get(data.get("surface") or "")
        lengths = {name: self._length(name, data.get(name) or "") for name in ("from_left", "from_bottom")}
        if self.place_is_wrong:
            return
        if surface is None:
            if any(length is not None for length in lengths.values()):
                self.add_error("surface", _("Choose the surface that the lengths are of."))
            return
        frame = Frame.of(surface)
        for name, most in (("from_left", frame.width), ("from_bottom", frame.height)):
            if lengths[name] is None and any(length is not None for length in lengths.values()):
                self.add_error(name, _("A place takes both: from the left and from the bottom."))
            elif (length := lengths[name]) is not None and not 0 <= length <= most:
                self.add_error(name, _("That place lies off the surface."))
        self.spot = Spot(surface, **lengths)

    def _length(self, name: str, text: str) -> Decimal | None:
        try:
            return parse_length(text, unit=self.units) if text.strip() else None
        except LengthError as error:
            self.add_error(name, _(error.template) % error.params)
            return None
