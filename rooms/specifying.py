"""What a room is built of: the forms that say it, and what they file."""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms.models import model_to_dict
from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from rooms.forms import LengthFormField, UnitForm
from rooms.models import ClimateZone, Conditions, Membrane, Room, Steam, Substrate, Tile
from rooms.specification import conditions_of
from trade.lengths import Unit
from trade.units import UnitError, format_mass, format_temperature, parse_mass, parse_temperature

NOT_SAID = ("", _("nobody has said"))

WOODS = [
    ("", _("not known")),
    ("1400000", _("spruce-pine-fir No. 2")),
    ("1600000", _("southern pine No. 2")),
    ("1900000", _("Douglas fir-larch, select structural")),
]
"""By its modulus of elasticity in psi: the values that the code's span tables come out with."""


class QuantityField(forms.CharField):
    """A mass or a temperature, typed in the shop's units or with its own; cleaned to what it is kept in, to `step`."""

    def __init__(
        self,
        *,
        read: Callable[..., Decimal],
        show: Callable[..., str],
        step: Decimal,
        unit: Unit = "in",
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"class": "short", "autocomplete": "off"}))
        super().__init__(required=False, max_length=40, **kwargs)
        self.read, self.show, self.step, self.unit = read, show, step, unit

    def clean(self, value: Any) -> Decimal | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.read(text, unit=self.unit).quantize(self.step)
        except UnitError as error:
            raise ValidationError(_now(error.template) % error.params, code="unreadable") from None

    def prepare_value(self, value: Any) -> Any:
        """What was typed stays as it was typed."""
        return self.show(value, unit=self.unit, places=3) if isinstance(value, Decimal) else value


class ConditionsForm(UnitForm):
    """`rooms.models.Conditions`, field by field."""

    substrate = forms.ChoiceField(label=_("Tile stands on"), choices=[NOT_SAID, *Substrate.choices], required=False)
    membrane = forms.ChoiceField(label=_("Waterproofing"), choices=[NOT_SAID, *Membrane.choices], required=False)
    retarder_behind = forms.BooleanField(label=_("Plastic, foil or foil-faced insulation is behind it"), required=False)
    retarder_perms = forms.DecimalField(
        label=_("Permeance of what is behind it, perm"), required=False, min_value=0, max_digits=6, decimal_places=3
    )
    climate_zone = forms.ChoiceField(
        label=_("Climate zone, where a tiled wall is an outside wall"),
        choices=[("", _("no outside wall, or not known")), *ClimateZone.choices],
        required=False,
        help_text=_("Of the energy code: your building department names it."),
    )
    heated = forms.BooleanField(label=_("The floor is heated"), required=False)
    steam = forms.ChoiceField(label=_("Steam"), choices=[("", _("none")), *Steam.choices], required=False)
    membrane_perms = forms.DecimalField(
        label=_("Permeance of the membrane, perm"),
        required=False,
        min_value=0,
        max_digits=6,
        decimal_places=3,
        help_text=_("Off its data sheet; steam asks for it."),
    )
    under_water = forms.BooleanField(label=_("It stays under water"), required=False)
    freezes = forms.BooleanField(label=_("It freezes there"), required=False)
    sun = forms.BooleanField(label=_("Direct sun, or damp all day"), required=False)
    slab_above_ground = forms.BooleanField(label=_("A concrete slab above ground"), required=False)
    grazing_light = forms.BooleanField(label=_("A light or window closer than 24 in to the wall"), required=False)
    stains = forms.BooleanField(label=_("Food, dye or oil reaches the grout"), required=False)
    even_color = forms.BooleanField(label=_("One even grout color matters above all"), required=False)
    accessible = forms.BooleanField(label=_("The threshold is an accessible one"), required=False)
    permit = forms.BooleanField(
        label=_("A permit covers the work"),
        required=False,
        help_text=_("Then an inspector passes it before it is covered: it becomes a check."),
    )
    rapid_mortar = forms.BooleanField(label=_("Rapid mortar"), required=False)
    rapid_leveler = forms.BooleanField(label=_("Rapid leveling compound"), required=False)
    epoxy_grout = forms.BooleanField(label=_("Epoxy grout"), required=False)
    coldest_f = QuantityField(
        label=_("Coldest it gets while it cures"),
        read=parse_temperature,
        show=format_temperature,
        step=Decimal("0.1"),
        help_text=_("Left empty, about 70 °F (21 °C). Below it the waits are longer."),
    )
    joist_span = LengthFormField(label=_("Span of the joists"), required=False)
    joist_spacing = LengthFormField(label=_("Joists apart, center to center"), required=False)
    joist_width = LengthFormField(
        label=_("Width of a joist"), required=False, help_text=_("Measured: 1 1/2 in of a 2x10.")
    )
    joist_depth = LengthFormField(
        label=_("Depth of a joist"), required=False, help_text=_("Measured: 9 1/4 in of a 2x10.")
    )
    joist_stiffness = forms.TypedChoiceField(
        label=_("Wood of the joists"), choices=WOODS, required=False, coerce=int, empty_value=None
    )

    groups: ClassVar[tuple[tuple[str | Promise, tuple[str, ...]], ...]] = (
        (
            _("What it stands on"),
            (
                "substrate",
                "membrane",
                "climate_zone",
                "retarder_behind",
                "retarder_perms",
                "slab_above_ground",
                "heated",
                "rapid_leveler",
            ),
        ),
        (_("What it meets"), ("steam", "membrane_perms", "under_water", "freezes", "sun", "grazing_light")),
        (_("What sets and fills it"), ("rapid_mortar", "epoxy_grout", "stains", "even_color", "coldest_f")),
        (_("Who asks for more"), ("permit", "accessible")),
        (
            _("Joists of a floor, where they can be seen"),
            ("joist_span", "joist_spacing", "joist_width", "joist_depth", "joist_stiffness"),
        ),
    )

    def grouped(self) -> list[tuple[str | Promise, list[forms.BoundField]]]:
        """The fields under their headings, as a person goes through them."""
        return [(heading, [self[name] for name in names]) for heading, names in self.groups]


class TileSheetForm(UnitForm):
    """What stands on the tile's data sheet. It counts in every room with this tile."""

    in_mm: ClassVar[Sequence[str]] = ("ribs",)

    name = forms.CharField(label=_("Its name in this shop"), max_length=120)
    absorption = forms.DecimalField(
        label=_("Water it takes up, %"), required=False, min_value=0, max_value=100, max_digits=5, decimal_places=2
    )
    friction = forms.DecimalField(
        label=_("Wet friction (DCOF)"), required=False, min_value=0, max_value=2, max_digits=4, decimal_places=3
    )
    friction_declared = forms.NullBooleanField(
        label=_("Its maker declares it fit for this place"),
        required=False,
        widget=forms.Select(choices=[("unknown", _("not known")), ("true", _("yes")), ("false", _("no"))]),
    )
    breaking_lbf = forms.DecimalField(
        label=_("Breaking strength, lbf"), required=False, min_value=0, max_digits=7, decimal_places=1
    )
    weight_kg = QuantityField(
        label=_("Weight of one piece"),
        read=parse_mass,
        show=format_mass,
        step=Decimal("0.001"),
        help_text=_("Left empty, by its size."),
    )
    ribs = LengthFormField(
        label=_("Depth of the ribs on its back, mm"),
        required=False,
        least=0,
        help_text=_("Mortar fills them: it counts in the takeoff."),
    )
    stone = forms.BooleanField(label=_("Natural stone"), required=False)
    glass = forms.BooleanField(label=_("Glass"), required=False)
    mosaic = forms.BooleanField(label=_("Mosaic on sheets"), required=False)
    moisture_sensitive = forms.BooleanField(label=_("Water warps or stains it, or its back is resin"), required=False)
    face_scratches = forms.BooleanField(label=_("Its face scratches: polished or soft"), required=False)


def forms_of(room: Room, *, unit: Unit, data: Mapping[str, Any] | None = None) -> tuple[ConditionsForm, TileSheetForm]:
    """Both forms of a room's page, as it stands or as they were sent."""
    said = model_to_dict(conditions_of(room), exclude=["id", "room"])
    sheet = model_to_dict(room.tile, fields=list(TileSheetForm.base_fields))
    return (
        ConditionsForm(data, unit=unit, initial=said, prefix="room"),
        TileSheetForm(data, unit=unit, initial=sheet, prefix="tile"),
    )


def changes_of(form: UnitForm, row: Conditions | Tile) -> dict[str, Any]:
    """What a form says otherwise than the row; nothing of an empty choice where the row has none."""
    return {name: value for name, value in form.cleaned_data.items() if value != getattr(row, name)}
