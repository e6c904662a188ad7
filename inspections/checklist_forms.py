"""The forms of a phase's checklist: what of the catalogue is asked, and the shop's own checks."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.forms import plain_number
from inspections.wording import ONLY, SURFACES, in_words
from rooms.forms import exact_text
from rooms.models import Place
from trade.checklists import LONGEST_TEXT, MOST_OWN, Checklist, OwnCheck, OwnKind, phase_kind, stays
from trade.checks import CheckKind, CheckUnit
from trade.lengths import LengthError, Unit, parse_length
from trade.limits import Compare, Limit
from trade.specification import Condition

if TYPE_CHECKING:
    OwnForms = forms.BaseFormSet["OwnCheckForm"]
else:
    OwnForms = forms.BaseFormSet

HIGHEST_HOURS = 24 * 60
KINDS = [
    ("tick", gettext_lazy("seen and right")),
    ("photo", gettext_lazy("a photo")),
    ("reading", gettext_lazy("a reading")),
    ("wait", gettext_lazy("a wait")),
]
COMPARE = [("at most", gettext_lazy("at most")), ("at least", gettext_lazy("at least"))]
UNITS = [("mm", gettext_lazy("length")), ("share", gettext_lazy("percent"))]


@dataclass(frozen=True, slots=True)
class CatalogueRow:
    """A check of the catalogue on the page: with its boxes, or with none where it stays."""

    check: CheckKind
    where: str
    ask: forms.BoundField | None
    need: forms.BoundField | None


class CatalogueForm(forms.Form):
    """Which checks of the catalogue are asked, and which of them every room needs; why, and what was seen."""

    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=300,
        help_text=gettext_lazy("It stands beside the version for good: what came back, what a builder asks."),
        error_messages={"required": gettext_lazy("Say why: whoever works by it later asks.")},
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, checklist: Checklist, number: int) -> None:
        super().__init__(data, initial={"seen": number})
        self.kind = phase_kind(checklist.phase)
        for check in self._open():
            on, needed = check.key not in checklist.off, checklist.needed.get(check.key, check.required)
            self.fields[f"ask {check.key}"] = forms.BooleanField(label=_("Ask it"), required=False, initial=on)
            self.fields[f"need {check.key}"] = forms.BooleanField(label=_("Needed"), required=False, initial=needed)

    def look_again(self, number: int) -> None:
        """What was entered, on top of what somebody kept in the meantime."""
        data = cast(QueryDict, self.data).copy()
        data["seen"] = str(number)
        self.data = data

    def _open(self) -> list[CheckKind]:
        return [check for check in self.kind.checks if not stays(check)]

    def rows(self) -> list[CatalogueRow]:
        """The phase's checks in working order."""
        return [
            CatalogueRow(
                check=check,
                where=in_words(check.applies, check.apart),
                ask=None if stays(check) else self[f"ask {check.key}"],
                need=None if stays(check) else self[f"need {check.key}"],
            )
            for check in self.kind.checks
        ]

    def off(self) -> frozenset[str]:
        """The keys of what isn't asked."""
        return frozenset(check.key for check in self._open() if not self.cleaned_data[f"ask {check.key}"])

    def needed(self) -> dict[str, bool]:
        """By key, whether a check is needed, where the catalogue has it otherwise."""
        said = {check.key: self.cleaned_data[f"need {check.key}"] for check in self._open()}
        return {check.key: said[check.key] for check in self._open() if said[check.key] != check.required}


class OwnCheckForm(forms.Form):
    """A check of the shop's own; conditions are plain choices."""

    key = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    text = forms.CharField(
        label=gettext_lazy("What has to be so"),
        max_length=LONGEST_TEXT,
        help_text=gettext_lazy("As it is read out on site: Drain cover sits flush."),
    )
    help = forms.CharField(label=gettext_lazy("What to do where it isn’t"), max_length=LONGEST_TEXT, required=False)
    kind = forms.ChoiceField(label=gettext_lazy("Proved by"), choices=KINDS, initial="tick")
    compare = forms.ChoiceField(label=gettext_lazy("Reading"), choices=COMPARE, initial="at most")
    figure = forms.CharField(
        label=gettext_lazy("Limit"),
        required=False,
        max_length=40,
        help_text=gettext_lazy("Of a reading or a wait: 1/8, 19, or hours."),
        widget=forms.TextInput(attrs={"class": "short", "autocomplete": "off"}),
    )
    unit = forms.ChoiceField(label=gettext_lazy("Unit"), choices=UNITS, initial="mm")
    required = forms.BooleanField(label=gettext_lazy("Needed"), required=False, initial=True)
    places = forms.MultipleChoiceField(
        label=gettext_lazy("In these rooms; none ticked, in all"),
        choices=Place.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    surface = forms.ChoiceField(
        label=gettext_lazy("With"), choices=[("", gettext_lazy("anything")), *SURFACES.items()], required=False
    )
    only = forms.ChoiceField(
        label=gettext_lazy("Only where there is"),
        choices=[("", gettext_lazy("anything")), *ONLY.items()],
        required=False,
    )

    def __init__(self, *args: Any, units: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = units

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("kind") in ("reading", "wait"):
            try:
                data["value"] = self._figure(data)
            except ValueError as error:
                self.add_error("figure", str(error))
        return data

    def _figure(self, data: Mapping[str, Any]) -> Decimal:
        text = data.get("figure") or ""
        if not text:
            raise ValueError(_("Enter the limit: without it nothing can be judged."))
        if data["kind"] == "reading" and data.get("unit") == "mm":
            try:
                value = parse_length(text, unit=self.units)
            except LengthError as error:
                raise ValueError(_(error.template) % error.params) from error
        else:
            value = _number(text)
        most = {"wait": HIGHEST_HOURS}.get(data["kind"], 100 if data.get("unit") == "share" else 10_000)
        if not 0 < value <= most:
            raise ValueError(_("That can’t be meant: the limit has to be more than 0, and not out of all measure."))
        return value

    def own_check(self, key: str) -> OwnCheck:
        """What was entered, under `key`."""
        data = self.cleaned_data
        kind = cast(OwnKind, data["kind"])
        only = {data["only"]: True} if data["only"] else {}
        return OwnCheck(
            key=key,
            text=data["text"],
            kind=kind,
            help=data["help"],
            required=data["required"],
            limit=self._limit(kind, data),
            unit=cast(CheckUnit, "hours" if kind == "wait" else data["unit"]) if "value" in data else None,
            applies=Condition(places=tuple(data["places"]), surface=data["surface"] or None, **only),
        )

    def _limit(self, kind: OwnKind, data: Mapping[str, Any]) -> Limit | None:
        if "value" not in data:
            return None
        compare = cast(Compare, "at least" if kind == "wait" else data["compare"])
        return Limit(compare=compare, **{"low" if compare == "at least" else "high": data["value"]})


def _number(text: str) -> Decimal:
    unreadable = _("“%(text)s” can't be read as a number. Type it like 19.") % {"text": text}
    return plain_number(text.removesuffix("%"), unreadable=unreadable)


OwnCheckFormSet = forms.formset_factory(OwnCheckForm, extra=1, can_delete=True, max_num=MOST_OWN, absolute_max=MOST_OWN)


def initial_of(own: OwnCheck, *, units: Unit) -> dict[str, Any]:
    """What the form of an own check starts from."""
    only = next((name for name in ONLY if getattr(own.applies, name)), "")
    limit = own.limit
    value = None if limit is None else limit.low if limit.low is not None else limit.high
    text = "" if value is None else exact_text(value, unit=units) if own.unit == "mm" else f"{value.normalize():f}"
    return {
        "key": own.key,
        "text": own.text,
        "help": own.help,
        "kind": own.kind,
        "compare": limit.compare if limit else "at most",
        "figure": text,
        "unit": own.unit if own.unit in dict(UNITS) else "mm",
        "required": own.required,
        "places": list(own.applies.places),
        "surface": own.applies.surface or "",
        "only": only,
    }


def checklist_of(form: CatalogueForm, own: OwnForms, *, phase: str, keys: set[str]) -> Checklist:
    """The checklist that was entered. A new check gets a key that no version of this phase ever had: `keys`."""
    found, number = [], 1
    for each in own.forms:
        if not each.has_changed() and not each.initial:
            continue
        if each.cleaned_data.get("DELETE"):
            continue
        key = each.cleaned_data["key"]
        if key not in keys:
            while (key := f"{phase}.own_{number}") in keys:
                number += 1
            keys = keys | {key}
        found.append(each.own_check(key))
    return Checklist(phase=phase, off=form.off(), needed=form.needed(), own=tuple(found))
