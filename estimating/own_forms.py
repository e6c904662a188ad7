"""Forms of the shop's own rates, and of a line that a rate prices."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from estimating.catalogue import UNIT_NAMES
from estimating.forms import RateForm, _figure
from estimating.hours import Hour
from estimating.models import Rate, RateKind
from estimating.own_rates import LONGEST_NAME, rate_choices
from estimating.pricing import dimension
from jobs.models import Job
from rooms.models import Room
from shop.forms import OnceForm

KINDS: Mapping[RateKind, Promise] = {
    RateKind.MATERIAL: _("Something that you buy and leave there: a package, a product and a supplier belong to it."),
    RateKind.LABOR: _("A task by the hours that one unit of it takes."),
    RateKind.EQUIPMENT: _("What you rent or wear out: a tall ladder by the day, a lift by the week."),
    RateKind.DISPOSAL: _("A container by the load, a dump fee by the ton."),
    RateKind.TRAVEL: _("Ferry, toll, parking by the day."),
    RateKind.OTHER: _("Whatever is none of these: a permit, a helper’s fee."),
}
"""What a shop may price by itself, and what belongs there."""
_BEGINS_IN = {RateKind.EQUIPMENT: "day", RateKind.DISPOSAL: "load", RateKind.TRAVEL: "trip"}


def units_for(unit: str = "") -> list[str]:
    """All units; those that measure what `unit` does, where one is given."""
    return [each for each in UNIT_NAMES if not unit or dimension(each) == dimension(unit)]


class OwnRateForm(RateForm):
    """One of the shop's own rates. `unit`: what it is priced by already."""

    name = forms.CharField(label=_("Name"), max_length=LONGEST_NAME)
    field_order = ("name", "unit", "cost")

    def __init__(self, *args: Any, kind: RateKind, unit: str = "", **kwargs: Any) -> None:
        super().__init__(*args, kind=kind, units=units_for(unit), **kwargs)
        self.initial.setdefault("unit", unit or _BEGINS_IN.get(kind, "each"))
        if unit:
            self.fields["unit"].help_text = _("Only what measures the same: for another measure make another rate.")


class ByRateForm(OnceForm):
    """What lines by one of the rates have alike. In `cleaned_data["rate"]` after it is valid: the Rate."""

    rate = forms.ChoiceField(label=_("Rate"))

    def __init__(self, data: QueryDict | None = None, *, rates: Sequence[Rate], hour: Hour | None) -> None:
        super().__init__(data, auto_id="id_rate_%s")
        self.by_key = {str(rate.pk): rate for rate in rates}
        self.fields["rate"].choices = rate_choices(rates, hour)  # type: ignore[attr-defined]

    def clean_rate(self) -> Rate:
        return self.by_key[self.cleaned_data["rate"]]


class LineByRateForm(ByRateForm):
    """A line of an estimate by one of the rates: a quantity in its unit."""

    quantity = _figure(label=_("Quantity"), places=3, most="999999999", help_text=_("In the unit of the rate."))
    room = forms.ModelChoiceField(
        label=_("Room"), queryset=Room.objects.none(), required=False, empty_label=_("the whole job")
    )
    text = forms.CharField(label=_("What"), max_length=200, required=False, help_text=_("Empty: the name of the rate."))

    def __init__(self, data: QueryDict | None = None, *, job: Job, rates: Sequence[Rate], hour: Hour | None) -> None:
        super().__init__(data, rates=rates, hour=hour)
        self.fields["room"].queryset = Room.objects.filter(job=job).in_the_offer()  # type: ignore[attr-defined]
