from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from estimating.catalogue import RATES, TILE, Wanted, unit_choices
from estimating.models import Acceptance, EstimateLine, RateKind
from jobs.models import Job
from rooms.models import Room, Tile


def _figure(*, label: Any, places: int, most: str, least: str = "0", **more: Any) -> forms.DecimalField:
    """A number typed as the shop's language writes it."""
    highest = Decimal(most)
    field = forms.DecimalField(
        label=label,
        min_value=Decimal(least),
        max_value=highest,
        decimal_places=places,
        max_digits=len(str(int(highest))) + places,
        localize=True,
        **more,
    )
    field.widget.attrs["inputmode"] = "decimal"
    return field


class RateForm(forms.Form):
    """One rate, of a tile or of the catalogue: fields that it doesn't have are left out."""

    unit = forms.ChoiceField(label=_("Unit"))
    cost = _figure(label=_("Price"), places=4, most="999999")
    package = _figure(
        label=_("Units in a package"),
        places=3,
        most="999999",
        least="0.001",
        required=False,
        help_text=_("Sold in whole packages: the price is then of one package. Empty where any quantity can be had."),
    )
    hours = _figure(label=_("Hours for one unit"), places=4, most="999", least="0.0001")

    def __init__(self, *args: Any, wanted: Wanted | None = None, tile: Tile | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if tile is not None:
            self.fields["unit"].choices = unit_choices(["piece"])  # type: ignore[attr-defined]
            self.fields["package"].label = _("Pieces in a box")
            self.fields["package"].help_text = _("The price is then of one box. Empty: the price is of one piece.")
            del self.fields["hours"]
            return
        wanted = wanted or next(rate for rate in RATES if rate.key != TILE)
        self.fields["unit"].choices = unit_choices(wanted.units)  # type: ignore[attr-defined]
        if wanted.kind == RateKind.LABOR:
            del self.fields["package"]
            self.fields["cost"].label = _("Cost of one hour")
            self.fields["cost"].help_text = _("What an hour costs the shop, with all that comes on top of the wage.")
        else:
            del self.fields["hours"]


class EstimateForm(forms.Form):
    markup_percent = _figure(
        label=_("Markup, percent of cost"),
        places=2,
        most="1000",
        help_text=_(
            "Markup is a part of the cost, margin a part of the price: 25 percent markup is 20 percent margin."
        ),
    )
    tax_percent = _figure(label=_("Sales tax on materials, percent"), places=3, most="50")


class LineForm(forms.Form):
    """A line's figures, by hand. A computed line needs a reason, one's own doesn't."""

    quantity = _figure(label=_("Quantity"), places=3, most="999999999")
    cost = _figure(
        label=_("Cost"),
        places=2,
        most="99999999",
        required=False,
        help_text=_("Empty: the quantity at the rate. A figure here goes before it."),
    )
    reason = forms.CharField(
        label=_("Why it is changed"),
        max_length=200,
        help_text=_("Kept with the line, so that the next fill of the estimate leaves it alone."),
    )

    def __init__(self, *args: Any, line: EstimateLine, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = bool(line.key)


class OwnLineForm(forms.Form):
    text = forms.CharField(label=_("What"), max_length=200)
    kind = forms.ChoiceField(label=_("Kind"), choices=RateKind.choices, initial=RateKind.OTHER)
    room = forms.ModelChoiceField(
        label=_("Room"), queryset=Room.objects.none(), required=False, empty_label=_("the whole job")
    )
    quantity = _figure(label=_("Quantity"), places=3, most="999999999", initial=1, help_text=_("For labor: hours."))
    unit = forms.CharField(label=_("Unit"), max_length=20, required=False, initial=_("each"))
    unit_cost = _figure(label=_("Cost of one unit or hour"), places=4, most="99999999")

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(job=job)  # type: ignore[attr-defined]


class AcceptForm(forms.Form):
    typed_name = forms.CharField(
        label=_("Your full name"),
        max_length=Acceptance._meta.get_field("typed_name").max_length,
        help_text=_("Typed here, it stands for your signature."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    agree = forms.BooleanField(
        label=_(
            "I have read this proposal and accept it: the work, the drawings, the total and what the price rests on."
        ),
        error_messages={"required": _("Tick this if you accept; otherwise ask us, or decline below.")},
    )


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label=_("What is the reason?"),
        max_length=300,
        required=False,
        help_text=_("It helps us to offer something better; you may leave it empty."),
    )


class WithdrawForm(forms.Form):
    reason = forms.CharField(label=_("Why it is withdrawn"), max_length=300)
