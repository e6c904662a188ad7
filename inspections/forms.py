"""What is typed and ticked on a check's card, turned into what `record_entry` takes."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import Check, CheckKind, Entry, SignOff
from inspections.place_form import PlaceFields
from jobs.models import Job
from rooms.models import Room, Surface
from shop.pdf_files import ACCEPT, BadPdf, pdf_bytes
from shop.phone_form import PhoneForm
from trade.coverage import Lifted
from trade.lengths import LengthError, Unit, inches, level_run_mm, parse_length, plain_decimal, slope_run_mm
from trade.limits import Limit

KEYPAD_HIGHEST = inches("1/2")
"""Above it no few readings are the usual ones, so that a keypad helps nobody. Common practice, no source."""


HIGHEST_OHMS = 100_000
"""More is no cable's but a meter's slip between its ranges. Common practice, no source."""


class EntryForm(PhoneForm, PlaceFields):
    """One check's card. Which fields it has, and which are needed, follows from the kind of the check.

    Buttons: `skip` (couldn't check: only the note counts), `right` and `wrong` of a tick, `begin` of a wait, `tap` (a
    key of the keypad enters its reading), `save`.
    """

    note = forms.CharField(label=gettext_lazy("Note, or why it can't be checked"), max_length=300, required=False)
    helper = forms.CharField(label=gettext_lazy("Done by, if they have no log-in"), max_length=120, required=False)
    seen = forms.CharField(widget=forms.HiddenInput, max_length=36, required=False)
    field_order = ("key", "seen", "note", "helper", "photo")

    def __init__(
        self,
        data: QueryDict | None = None,
        files: Any = None,
        *,
        check: Check,
        units: Unit,
        surfaces: Sequence[Surface] = (),
        **kwargs: Any,
    ) -> None:
        self.check = check
        self.skipped = data is not None and "skip" in data
        # A page that was open while a limit changed may still have the other keys.
        if data is not None and has_keypad(check) and data.get("tap") in KEYS[units]:
            data = data.copy()
            data["value_0"] = str(data["tap"])
        super().__init__(data, files, auto_id=f"id_{check.pk}_%s", **kwargs)
        if check.surfaces:
            self.fields["surfaces"] = forms.MultipleChoiceField(
                choices=[(surface["key"], surface["name"]) for surface in check.surfaces],
                required=False,
                error_messages={"invalid_choice": _("This check isn't about %(value)s. Open the page again.")},
            )
        self.take_surfaces(surfaces, units=units)
        if check.kind == CheckKind.PHOTO and not self.skipped:
            self.fields["photo"].required = True
            self.fields["photo"].error_messages["required"] = _("Take the photo first: this check is proved by it.")
        if check.kind == CheckKind.INSPECTION:
            self.fields["photo"].label = _("The report or the card: a photo, or a PDF")
            # Without `capture`, so that a phone offers its files beside the camera.
            self.fields["photo"].widget.attrs = {"accept": ACCEPT}
            self.fields["inspector"] = forms.CharField(
                label=_("Inspector"),
                required=not self.skipped,
                max_length=120,
                error_messages={"required": _("Say who inspected it: the name on the card or the report.")},
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )
            self.fields["permit"] = forms.CharField(
                label=_("Permit number"),
                required=False,
                max_length=60,
                widget=forms.TextInput(attrs={"autocomplete": "off"}),
            )
        if is_slope(check):
            level = _("inches, on a 2-ft level") if units == "in" else _("mm in 1 m")
            # A page from before the choice sends none: what it says is a rise over 1 ft or 1 m.
            self.fields["read_by"] = forms.ChoiceField(
                choices=[(units, level), ("percent", _("percent"))],
                initial=units,
                required=False,
                widget=forms.RadioSelect(attrs={"data-unit-of": "[data-length]"}),
            )
        if check.kind in (CheckKind.READING, CheckKind.READINGS, CheckKind.COVERAGE, CheckKind.OHMS):
            for number in range(self.readings_wanted):
                self.fields[f"value_{number}"] = forms.CharField(
                    label=self._label(number),
                    required=not self.skipped,
                    max_length=40,
                    error_messages={"required": _("Enter the reading.")},
                    widget=forms.TextInput(attrs={"autocomplete": "off"} | self._keyboard()),
                )
                if check.kind == CheckKind.COVERAGE:
                    self.fields[f"voids_{number}"] = forms.RegexField(
                        "^[01]{100}$", required=False, widget=forms.HiddenInput
                    )

    @property
    def readings_wanted(self) -> int:
        if self.check.kind == CheckKind.OHMS:
            return 2
        return (self.check.limit or {}).get("count", 1)

    @property
    def read_by(self) -> str:
        """How a slope was read, as `Entry.read_by`; empty where it wasn't said."""
        return str(self.data.get("read_by", "")) if self.is_bound and "read_by" in self.fields else ""

    def named(self) -> list[str]:
        """The keys of the surfaces that are tapped on the card."""
        return self["surfaces"].value() or []

    def value_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("value_")]

    def read_by_choices(self) -> list[forms.boundfield.BoundWidget]:
        return list(self["read_by"]) if "read_by" in self.fields else []

    def told_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("inspector", "permit") if name in self.fields]

    def voids_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("voids_")]

    @property
    def more_is_wrong(self) -> bool:
        """Whether a field of the fold has an error, so that it must stand open."""
        return any(self.has_error(name) for name in ("note", "helper", "photo")) or (
            self.place_is_wrong and self.check.kind not in (CheckKind.PHOTO, CheckKind.INSPECTION)
        )

    def _keyboard(self) -> dict[str, str]:
        """A number pad where no fraction, inch mark or percent sign is typed; the keys for lengths where one is."""
        if self.check.kind in (CheckKind.COVERAGE, CheckKind.OHMS) or self.check.unit == "share":
            return {"inputmode": "decimal"}
        return {"data-length": self["read_by"].value() or self.units if is_slope(self.check) else self.units}

    def _label(self, number: int) -> str:
        if self.check.kind == CheckKind.COVERAGE:
            return _("Lifted tile %(number)s, percent covered") % {"number": number + 1}
        if self.check.kind == CheckKind.OHMS:
            return _("Read now, ohms (0 where the meter shows none)") if number else _("On the cable’s tag, ohms")
        if is_slope(self.check):
            return _("Reading %(number)s") % {"number": number + 1} if self.readings_wanted > 1 else _("Reading")
        unit = self._unit_words()
        if self.readings_wanted == 1:
            return _("Reading, %(unit)s") % {"unit": unit}
        return _("Reading %(number)s, %(unit)s") % {"number": number + 1, "unit": unit}

    def _unit_words(self) -> str:
        if self.check.unit == "share":
            return _("percent")
        return _("inches") if self.units == "in" else _("mm")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.skipped:
            if not data.get("note"):
                self.add_error("note", _("Say why it can't be checked."))
        else:
            # Without its button the form was sent with the keyboard's Enter, out of a note: nothing was said yet.
            if self.check.kind in (CheckKind.TICK, CheckKind.INSPECTION) and not {"right", "wrong"} & set(self.data):
                self.add_error(None, _("Press one of the two: it is so, or it isn't."))
            if self.check.kind == CheckKind.WAIT and "begin" not in self.data:
                self.add_error(None, _("Press the button: the wait begins with it."))
            data["values"] = self._readings(data)
            data["voids"] = self._voids(data)
            if any(str(data.get(bound.name, "")).endswith("%") for bound in self.value_fields()) and self.read_by:
                data["read_by"] = "percent"
            data["told"] = {bound.name: data[bound.name] for bound in self.told_fields() if data.get(bound.name)}
        if self.check.kind == CheckKind.INSPECTION and data.get("photo"):
            self._clean_document(data)
        self.clean_place(data)
        if self.spot and not data.get("photo") and not self.has_error("photo"):
            self.add_error("surface", _("The place is the photo’s: take the photo as well."))
        if self.errors:
            self.ask_for_photo_again()
        return data

    def _clean_document(self, data: dict[str, Any]) -> None:
        """A PDF in the place of a photo, by what it contains."""
        try:
            data["document"] = pdf_bytes(data["photo"])
        except BadPdf as error:
            self.add_error("photo", str(error))
        else:
            data["photo"] = None if data["document"] else data["photo"]

    def _readings(self, data: dict[str, Any]) -> list[Decimal]:
        values: list[Decimal] = []
        for bound in self.value_fields():
            if text := data.get(bound.name):
                try:
                    values.append(self._read(text, number=len(values)))
                except ValueError as error:
                    self.add_error(bound.name, str(error))
        return values

    def _voids(self, data: dict[str, Any]) -> list[str]:
        """What was tapped of each lifted tile; it says the same as its share."""
        found = []
        for number in range(self.readings_wanted):
            voids = data.get(f"voids_{number}") or ""
            share, name = data.get(f"value_{number}"), f"value_{number}"
            if voids and share and not self.has_error(name) and self._read(share) != (left := Lifted.of(voids).percent):
                said = _("The voids that were tapped leave %(tapped)s percent: tap or type again.")
                self.add_error(name, said % {"tapped": left})
            found.append(voids)
        return found if any(found) else []

    def _read(self, text: str, *, number: int = 0) -> Decimal:
        """The reading in the check's unit: mm, percent or ohms. Raises ValueError that says what to type."""
        if self.check.kind == CheckKind.OHMS:
            return _ohms(text, tag=number == 0)
        if self.check.kind == CheckKind.COVERAGE or self.check.unit == "share":
            return _percent(text)
        if not is_slope(self.check):
            return _length(text, self.units)
        by = self.read_by
        if by == "percent" or text.endswith("%"):
            return _percent(text)
        run = level_run_mm(cast(Unit, by)) if by else slope_run_mm(self.units)
        return (_length(text, cast(Unit, by or self.units)) / run * 100).quantize(Decimal("0.0001"))


def _length(text: str, units: Unit) -> Decimal:
    try:
        length = parse_length(text, unit=units)
    except LengthError as error:
        raise ValueError(_(error.template) % error.params) from error
    if length < 0:
        # A gap under a straightedge, lippage, depth: each is a size. A minus would pass every upper limit.
        raise ValueError(_("A reading is never below zero. Type its size, like 1/8."))
    return length


def plain_number(text: str, *, unreadable: str) -> Decimal:
    """A number as it was typed, with a point or a comma. Raises ValueError, which says `unreadable`."""
    try:
        return plain_decimal(text)
    except ValueError:
        raise ValueError(unreadable) from None


def _ohms(text: str, *, tag: bool) -> Decimal:
    plain = text.lower().removesuffix("ohms").removesuffix("ohm").rstrip("ω")
    number = plain_number(plain, unreadable=_("“%(text)s” can't be read as ohms. Type it like 12.4.") % {"text": text})
    if not 0 <= number < HIGHEST_OHMS:
        raise ValueError(_("A heating cable has less than 100,000 ohms. Type it like 12.4."))
    if tag and not number:
        raise ValueError(_("A tag never says 0. Read it again."))
    return number


def _percent(text: str) -> Decimal:
    unreadable = _("“%(text)s” can't be read as a percentage. Type it like 96.") % {"text": text}
    number = plain_number(text.rstrip("%"), unreadable=unreadable)
    if not 0 <= number <= 100:
        raise ValueError(_("A percentage lies between 0 and 100."))
    return number


_FINE = [str(Fraction(count, 32)) for count in range(5)]
_COARSE = [str(Fraction(count, 16)) for count in range(5)]
_METRIC = ["0", "1", "2", "3", "4"]
KEYS: dict[Unit, set[str]] = {"in": {*_FINE, *_COARSE}, "mm": {*_METRIC}}


def is_slope(check: Check) -> bool:
    return check.unit == "percent" and check.kind in (CheckKind.READING, CheckKind.READINGS)


def has_keypad(check: Check) -> bool:
    return check.kind == CheckKind.READING and check.unit == "mm"


def keypad(check: Check, units: Unit, limit: Limit | None) -> list[str]:
    """The readings that occur most under `limit`, as they are typed, so that one tap is enough; none where they can't
    be guessed."""
    if not has_keypad(check) or limit is None or limit.high is None or limit.high > KEYPAD_HIGHEST:
        return []
    if units == "mm":
        return _METRIC
    # Where little is allowed, 1/16 would already be the whole of it.
    return _FINE if limit.high < inches("1/16") else _COARSE


class WaiverForm(forms.Form):
    reason = forms.CharField(label=gettext_lazy("Why this hold is let go"), max_length=300)


class AmendmentForm(PhoneForm):
    """Corrects `row`, a sign-off or an entry of a signed phase."""

    photo = None  # type: ignore[assignment]  # so Django drops a field of the class above
    text = forms.CharField(
        label=gettext_lazy("What is corrected, and why"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: QueryDict | None = None, *, row: Entry | SignOff) -> None:
        self.row = row
        super().__init__(data, auto_id=f"id_amend_{row.pk}_%s")

    @property
    def address(self) -> str:
        """Where it is sent. Each row has its own: by it the phone finds the form of what waits."""
        name = "amend_entry" if isinstance(self.row, Entry) else "amend_sign_off"
        return reverse(f"inspections:{name}", args=[self.row.pk])


class PunchItemForm(PhoneForm):
    text = forms.CharField(label=gettext_lazy("What is to do"), max_length=300)
    room = forms.ModelChoiceField(
        label=gettext_lazy("Room"), queryset=Room.objects.none(), required=False, empty_label=gettext_lazy("Anywhere")
    )
    place = forms.CharField(
        label=gettext_lazy("Where"),
        max_length=120,
        required=False,
        help_text=gettext_lazy("Such as: back wall, third course, at the niche."),
    )
    field_order = ("key", "text", "room", "place", "photo")

    def __init__(self, data: QueryDict | None = None, files: Any = None, *, job: Job, **kwargs: Any) -> None:
        super().__init__(data, files, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(job=job).part_of_the_job()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            self.ask_for_photo_again()
        return data
