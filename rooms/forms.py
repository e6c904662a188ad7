"""Forms of the room pages. Lengths are typed as a setter types them, and shown so that they read back exactly."""

import re
import unicodedata
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from base.keys import key_from
from rooms.models import LONGEST_TEXT, Edge, Place, Tile
from rooms.queries import shop_tiles
from trade.lengths import SIXTY_FOURTH, LengthError, Unit, format_length, parse_length


def exact_text(mm: Decimal, *, unit: Unit) -> str:
    """A length in the shop's units where that says it exactly, down to 1/64 in; else in millimeters."""
    text = format_length(mm, unit=unit, step=SIXTY_FOURTH, feet=False)
    return text if parse_length(text, unit=unit) == mm else f"{mm.normalize():f} mm"


_NOT_MM = re.compile(r"""[/⁄'"’”′″]|\b(?:in|inch|inches|ft|foot|feet)\b|\d(?:in|ft)""", re.IGNORECASE)


class LengthFormField(forms.Field):
    """A length, cleaned to Decimal mm. A bare number is in `unit`; `least` and `above` bound it, in mm."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "negative": _("This can't be negative."),
        "nothing": _("This has to be more than 0."),
        "in inches": _("This one is in millimeters whatever the shop’s unit is: type it like 0.4."),
    }
    mm_only = False
    """Whether its label asks for millimeters: then nothing else is taken, since a fraction is in inches."""

    def __init__(self, *, unit: Unit = "in", above: int | None = 0, least: int | None = None, **kwargs: Any) -> None:
        kwargs.setdefault(
            "widget", forms.TextInput(attrs={"class": "short", "autocomplete": "off", "autocapitalize": "off"})
        )
        super().__init__(**kwargs)
        self.unit, self.above, self.least = unit, above, least

    @property
    def unit(self) -> Unit:
        return self._unit

    @unit.setter
    def unit(self, unit: Unit) -> None:
        # The keys under a finger are those of the field's unit.
        self._unit = unit
        self.widget.attrs["data-length"] = unit

    def to_python(self, value: Any) -> Decimal | None:
        text = str(value or "").strip()
        if not text:
            return None
        if self.mm_only and _NOT_MM.search(unicodedata.normalize("NFKC", text)):
            raise ValidationError(self.error_messages["in inches"], code="in inches")
        try:
            return parse_length(text, unit=self.unit)
        except LengthError as error:
            raise ValidationError(gettext(error.template) % error.params, code="unreadable") from None

    def validate(self, value: Decimal | None) -> None:
        super().validate(value)
        if value is None:
            return
        if self.least is not None and value < self.least:
            raise ValidationError(self.error_messages["negative"], code="negative")
        if self.least is None and self.above is not None and value <= self.above:
            raise ValidationError(self.error_messages["nothing"], code="nothing")

    def prepare_value(self, value: Any) -> Any:
        """What was typed stays as it was typed."""
        return exact_text(value, unit=self.unit) if isinstance(value, Decimal) else value


class UnitForm(forms.Form):
    """A form whose lengths are in the shop's units, those `in_mm` in millimeters whatever the shop's are."""

    in_mm: ClassVar[Sequence[str]] = ()

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if hasattr(field, "unit"):
                field.unit = "mm" if name in self.in_mm else unit
            if name in self.in_mm:
                field.mm_only = True  # type: ignore[attr-defined]


class _PickOrNot(forms.ModelChoiceField):
    """A choice that always says something: none picked means the words of its empty line."""

    def clean(self, value: Any) -> Any:
        return None if value in self.empty_values else super().clean(value)


class _AskedLater(forms.ChoiceField):
    """A choice that older pages don't have: a phone may send what it kept on one of them."""

    def clean(self, value: Any) -> Any:
        return super().clean(value) if value else ""


class _Measured(LengthFormField):
    """A measure of a tile that nobody picked from the list."""

    default_error_messages: ClassVar[dict[str, Any]] = {
        "required": _("Measure one tile and enter this, or pick one of the shop's tiles above.")
    }


PATTERNS = [
    ("stack", _("stacked, joint over joint")),
    ("1/2", _("offset by half")),
    ("1/3", _("offset by a third")),
    ("1/4", _("offset by a quarter")),
    ("diagonal", _("diagonal: stacked, turned 45°")),
    ("herringbone", _("herringbone, turned 45° to the walls")),
    ("herringbone 0", _("herringbone, along the walls")),
    ("hex", _("hexagons, a corner up")),
]
"""An offset by its share; a herringbone that isn't turned by 45° with its angle."""


class RoomForm(UnitForm):
    name = forms.CharField(label=_("Name of the room"), max_length=LONGEST_TEXT)
    place = forms.ChoiceField(label=_("What it is"), choices=[("", _("choose …")), *Place.choices])
    demolition = forms.BooleanField(label=_("Old tile or board comes out first"), required=False)
    outlines_of = _AskedLater(
        label=_("Taped to"),
        choices=[("board", _("the board, or whatever the tile goes on")), ("framing", _("bare framing: stud to stud"))],
        help_text=_("The build-up counts from there. Openings are the holes in the board either way."),
    )
    joint = LengthFormField(label=_("Joint"))
    joint_high = LengthFormField(
        label=_("Widest joint"), required=False, help_text=_("How far joints may drift before new lines are snapped.")
    )
    edge_gap = LengthFormField(
        label=_("Gap at the edges"), required=False, least=0, help_text=_("For the soft joint; left empty, the joint.")
    )
    pattern = forms.ChoiceField(
        label=_("Pattern"),
        choices=PATTERNS,
        help_text=_(
            "A herringbone takes a tile longer than wide. Of hexagons the width counts, from flat to flat; enter the "
            "height from corner to corner."
        ),
    )
    run = forms.ChoiceField(
        label=_("Offset runs"),
        choices=[("alternate", _("back and forth")), ("stair", _("on and on, like stairs"))],
        help_text=_("Counts for an offset only."),
    )
    axis = forms.ChoiceField(label=_("Courses"), choices=[("rows", _("run across")), ("columns", _("run up"))])

    def __init__(self, *args: Any, pattern: str = "stack", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if pattern not in dict(PATTERNS):
            # The room came with a pattern of its own, from a file.
            self.fields["pattern"].choices = [*PATTERNS, (pattern, pattern)]  # type: ignore[attr-defined]


class TileForm(UnitForm):
    """One of the shop's tiles, or a new one by its measures."""

    in_mm: ClassVar[Sequence[str]] = ("size_spread", "warp")

    tile = _PickOrNot(label=_("Tile"), queryset=Tile.objects.none(), empty_label=_("a new one, measured below"))
    name = forms.CharField(
        label=_("Its name in this shop"),
        required=False,
        max_length=120,
        help_text=_("Left empty, it is called by its size."),
    )
    width = _Measured(label=_("Width as it hangs"), help_text=_("Measured, not off the box."))
    height = _Measured(label=_("Height as it hangs"))
    thickness = _Measured(label=_("Thickness"))
    edge = forms.ChoiceField(label=_("Edge"), choices=Edge.choices, initial=Edge.CALIBRATED)
    per_box = forms.IntegerField(label=_("Pieces in a box"), required=False, min_value=1, max_value=100_000)
    size_spread = LengthFormField(
        label=_("Largest difference in size, mm"),
        required=False,
        least=0,
        help_text=_("Between ten tiles out of three boxes."),
    )
    warp = LengthFormField(
        label=_("Bow of the longest edge, mm"),
        required=False,
        least=0,
        help_text=_("Two tiles face to face: half of the gap."),
    )
    stone = forms.BooleanField(label=_("Natural stone"), required=False)
    directional = forms.BooleanField(
        label=_("The face has a direction"), required=False, help_text=_("Offcuts are never turned.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # The one that the room wears may be archived by now.
        worn = key_from(str(self["tile"].value() or ""))
        self.fields["tile"].queryset = shop_tiles() | Tile.objects.filter(pk=worn)  # type: ignore[attr-defined]

    def clean(self) -> None:
        super().clean()
        if self.cleaned_data.get("tile") or "tile" in self.errors:
            # What the fields of a new tile say, or don't, belongs to no tile.
            for name in set(self.errors) - {"tile"}:
                del self.errors[name]


class UploadForm(forms.Form):
    file = forms.FileField(
        label=_("Room file"),
        widget=forms.ClearableFileInput(attrs={"accept": ".json,application/json"}),
        help_text=_("A gaugerod-room/1 file, of at most 2 MB."),
    )
    place = forms.ChoiceField(
        label=_("What it is"), choices=[("", _("as the file says")), *Place.choices], required=False
    )
    demolition = forms.BooleanField(label=_("Old tile or board comes out first"), required=False)


REASONS = [
    _("largest smallest cut"),
    _("fewest cuts"),
    _("fewest tiles"),
    _("looks best where it is seen first"),
    _("the client’s wish"),
]


class ChooseForm(forms.Form):
    """Why a layout is chosen, by a tap or in words of one's own, which go before it."""

    reason = forms.ChoiceField(
        label=_("Why this one"),
        required=False,
        choices=[(str(number), label) for number, label in enumerate(REASONS)],
        widget=forms.RadioSelect,
        help_text=_("For whoever asks later: the client, the crew, yourself."),
    )
    why = forms.CharField(label=_("Or in your own words"), required=False, max_length=300)
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def clean(self) -> None:
        super().clean()
        picked = self.cleaned_data.pop("reason", "")
        if picked and not self.cleaned_data.get("why"):
            self.cleaned_data["why"] = str(REASONS[int(picked)])
        if not self.errors and not self.cleaned_data["why"]:
            self.add_error("reason", _("Say why: tap a reason, or write your own."))
