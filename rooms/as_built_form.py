"""A field for each measure of a rough-in sheet that a tape can read off the framing."""

from typing import Any

from django.utils.translation import gettext as _

from rooms.forms import LengthFormField, UnitForm
from rooms.models import AsBuilt
from rooms.rough_in import RoughIn
from trade.lengths import Unit, parse_length


class AsBuiltForm(UnitForm):
    """What is left empty was not measured. `measures` is what was typed, as `AsBuilt.measures` keeps it."""

    def __init__(self, *args: Any, sheet: RoughIn, unit: Unit, kept: AsBuilt | None = None, **kwargs: Any) -> None:
        kept_mm = {(each["item"], each["name"]): each["mm"] for each in kept.measures} if kept else {}
        initial = {}
        self.places: dict[str, tuple[int, str]] = {}
        for item in sheet.items:
            for measure in item.measures:
                if measure.framed:
                    self.places[measure.key] = place = (item.number, measure.name)
                    if place in kept_mm:
                        initial[measure.key] = parse_length(kept_mm[place], unit="mm")
        super().__init__(*args, unit=unit, initial=initial, **kwargs)
        labels = {
            measure.key: f"{item.number} {item.title}, {measure.name}"
            for item in sheet.items
            for measure in item.measures
        }
        for key in self.places:
            # A point may stand in a corner.
            self.fields[key] = LengthFormField(label=labels[key], required=False, least=0, unit=unit)

    def clean(self) -> None:
        super().clean()
        if not self.errors and not self.measures:
            self.add_error(None, _("Enter at least one length as it was built."))

    @property
    def measures(self) -> list[dict[str, Any]]:
        """Of a valid form: every length that was typed, in mm."""
        return [
            {"item": item, "name": name, "mm": f"{self.cleaned_data[key]:f}"}
            for key, (item, name) in self.places.items()
            if self.cleaned_data.get(key) is not None
        ]
