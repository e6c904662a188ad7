"""What is typed and ticked on a check's card, turned into what `record_entry` takes."""

from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.keys import uuid7
from inspections.models import Check, CheckKind
from jobs.models import Job
from rooms.models import Room
from trade.lengths import LengthError, Unit, parse_length

MOST_READINGS = 8
"""Fields offered for one check; common practice, no source: more is a survey."""

INCHES_PER_FOOT = 12


class EntryForm(forms.Form):
    """One check's card. Which fields it has, and which are needed, follows from the kind of the check.

    `skip` in the data says that the button "Couldn't check" was pressed: then only the reason counts.
    """

    key = forms.UUIDField(widget=forms.HiddenInput)
    note = forms.CharField(label=gettext_lazy("Note, or why it couldn't be checked"), max_length=300, required=False)
    helper = forms.CharField(label=gettext_lazy("Done by (a helper without a log-in)"), max_length=120, required=False)
    photo = forms.FileField(
        label=gettext_lazy("Photo"),
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )

    def __init__(
        self, data: QueryDict | None = None, files: Any = None, *, check: Check, units: Unit, **kwargs: Any
    ) -> None:
        self.check, self.units = check, units
        self.skipped = data is not None and "skip" in data
        if data is not None and "tap" in data:
            # A key of the keypad: one tap enters the reading.
            data = data.copy()
            data["value_0"] = data["tap"]
        super().__init__(data, files, initial={"key": uuid7()}, auto_id=f"id_{check.pk}_%s", **kwargs)
        if check.kind == CheckKind.PHOTO and not self.skipped:
            self.fields["photo"].required = True
            self.fields["photo"].error_messages["required"] = _("Take the photo first: this check is proved by it.")
        if check.kind in (CheckKind.READING, CheckKind.READINGS, CheckKind.COVERAGE):
            for number in range(self.readings_wanted):
                self.fields[f"value_{number}"] = forms.CharField(
                    label=self._label(number),
                    required=not self.skipped,
                    max_length=40,
                    error_messages={"required": _("Enter the reading.")},
                )

    @property
    def readings_wanted(self) -> int:
        if self.check.kind == CheckKind.READING:
            return 1
        return min(MOST_READINGS, (self.check.limit or {}).get("count", 1))

    def value_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("value_")]

    def _label(self, number: int) -> str:
        if self.check.kind == CheckKind.COVERAGE:
            return _("Lifted tile %(number)s, percent covered") % {"number": number + 1}
        unit = self._unit_words()
        if self.readings_wanted == 1:
            return _("Reading, %(unit)s") % {"unit": unit}
        return _("Reading %(number)s, %(unit)s") % {"number": number + 1, "unit": unit}

    def _unit_words(self) -> str:
        if self.check.unit == "percent":
            return _("inches in 1 ft (or 2 %)") if self.units == "in" else _("mm in 1 m (or 2 %)")
        return _("inches") if self.units == "in" else _("mm")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.skipped:
            if not data.get("note"):
                self.add_error("note", _("Say why it couldn't be checked."))
            return data
        data["values"] = []
        for bound in self.value_fields():
            if text := data.get(bound.name):
                try:
                    data["values"].append(self._read(text))
                except ValueError as error:
                    self.add_error(bound.name, str(error))
        return data

    def _read(self, text: str) -> Decimal:
        """The reading in the check's unit: mm or percent. Raises ValueError that says what to type."""
        if self.check.kind == CheckKind.COVERAGE:
            return _percent(text, highest=Decimal(100))
        if self.check.unit != "percent":
            return _length(text, self.units)
        if text.endswith("%"):
            return _percent(text, highest=Decimal(100))
        fall = _length(text, self.units)
        run = Decimal("304.8") if self.units == "in" else Decimal(1000)
        return (fall / run * 100).quantize(Decimal("0.0001"))


def _length(text: str, units: Unit) -> Decimal:
    try:
        return parse_length(text, unit=units)
    except LengthError as error:
        raise ValueError(_(error.template) % error.params) from error


def _percent(text: str, *, highest: Decimal) -> Decimal:
    plain = text.rstrip("%").strip().replace(",", ".")
    try:
        number = Decimal(plain)
    except InvalidOperation:
        raise ValueError(_("“%(text)s” can't be read as a percentage. Type it like 96.") % {"text": text}) from None
    if not number.is_finite() or not 0 <= number <= highest:
        raise ValueError(_("A percentage lies between 0 and %(highest)s.") % {"highest": highest})
    return number


def keypad(check: Check, units: Unit) -> list[str]:
    """The readings that occur most, as they are typed, so that one tap is enough; none where they can't be guessed."""
    if check.kind != CheckKind.READING or check.unit != "mm" or not check.limit:
        return []
    high = check.limit.get("high")
    if high is None or Decimal(high) > Decimal("12.7"):
        return []
    if units == "mm":
        return ["0", "1", "2", "3", "4"]
    step = Fraction(1, 32) if Decimal(high) < Decimal("1.5") else Fraction(1, 16)
    return [_fraction(step * count) for count in range(5)]


def _fraction(inches: Fraction) -> str:
    return "0" if not inches else f"{inches.numerator}/{inches.denominator}" if inches < 1 else str(inches)


class WaiverForm(forms.Form):
    reason = forms.CharField(label=gettext_lazy("Why this hold is let go"), max_length=300)


class PunchItemForm(forms.Form):
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
    photo = forms.FileField(
        label=gettext_lazy("Photo"),
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {}).setdefault("key", uuid7())
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(job=job)  # type: ignore[attr-defined]
