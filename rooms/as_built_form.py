"""A field for each measure of a rough-in sheet that a tape can read off the framing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField
from django.utils.translation import gettext as _

from rooms.as_built import differences
from rooms.forms import LengthFormField, UnitForm
from rooms.rough_in import Item, Measure, RoughIn, SheetSurface
from shop.retelling import retold
from trade.lengths import Unit, parse_length


class AsBuiltForm(UnitForm):
    """What is left empty was not measured. `measures` is what was typed, as `AsBuilt.measures` keeps it; `kept`: such
    measures, that the fields begin with."""

    def __init__(
        self, *args: Any, sheet: RoughIn, unit: Unit, kept: Sequence[Mapping[str, Any]] = (), **kwargs: Any
    ) -> None:
        kept_mm = {(each["item"], each["name"]): each["mm"] for each in kept}
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
            measure.key: f"{item.number} {item.title}, {retold(measure.name)}"
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


@dataclass(frozen=True, slots=True)
class Row:
    """A measure with the field that takes it as built (None of what no tape reads off), and how it was built: `read`,
    where somebody measured it, and `off` where that isn't as the sheet has it."""

    measure: Measure
    field: BoundField | None
    read: str
    off: bool


def with_fields(
    sheet: RoughIn, form: AsBuiltForm, measured: Sequence[Mapping[str, Any]] = ()
) -> list[tuple[SheetSurface, list[tuple[Item, list[Row]]]]]:
    """Each surface, its items, and their measures with their fields and what was `measured` so far."""
    read = {(each["item"], each["name"]) for each in measured}
    off = {(each.item.number, each.measure.name): each for each in differences(sheet, measured)}

    def row(item: Item, measure: Measure) -> Row:
        place = item.number, measure.name
        differs = off.get(place)
        text = differs.text if differs else measure.text if place in read else ""
        return Row(measure, form[measure.key] if measure.framed else None, text, differs is not None)

    return [
        (surface, [(item, [row(item, each) for each in item.measures]) for item in surface.items])
        for surface in sheet.surfaces
    ]
