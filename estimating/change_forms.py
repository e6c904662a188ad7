"""Forms of change orders: the office's and the client's."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.db import models
from django.http import QueryDict
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from estimating.accept_forms import SignedPaperForm
from estimating.change_queries import ChangeView
from estimating.forms import AcceptForm, OwnLine, _figure
from estimating.hours import Hour
from estimating.models import ChangeOrder, FieldLimit, RateKind
from estimating.own_forms import ByRateForm
from estimating.text_forms import Versioned
from jobs.models import Photo
from shop.forms import OnceForm

_MOST = "99999999"


def _length(name: str) -> int | None:
    field = ChangeOrder._meta.get_field(name)
    return field.max_length if isinstance(field, models.CharField) else None


class NewChangeForm(OnceForm):
    what = forms.CharField(label=gettext_lazy("What changes"), max_length=_length("what"))
    why = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=_length("why"),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    directed_by = forms.CharField(
        label=gettext_lazy("Directed by"),
        max_length=_length("directed_by"),
        required=False,
        help_text=gettext_lazy("Who asked for it or agreed to it: the client, or somebody who may decide for them."),
    )


class ChangeForm(Versioned, NewChangeForm):
    """`seen`: `ChangeView.said` of what it was opened on."""

    key = None  # type: ignore[assignment]  # so Django drops a field of the class above
    seen = forms.CharField(max_length=16, widget=forms.HiddenInput)  # type: ignore[assignment]
    days = forms.IntegerField(
        label=gettext_lazy("Working days added"),
        min_value=-250,
        max_value=250,
        initial=0,
        help_text=gettext_lazy("0 where the finish stays; with a minus where days are saved."),
    )
    not_to_exceed = _figure(
        label=gettext_lazy("Time and material, not to exceed"),
        places=2,
        least="0.01",
        most=_MOST,
        required=False,
        help_text=gettext_lazy(
            "Empty: the price is fixed. It counts in the job’s sum at this amount; what isn’t used is given back by a "
            "credit."
        ),
    )
    photos = forms.MultipleChoiceField(
        label=gettext_lazy("Photos"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, data: QueryDict | None = None, *, view: ChangeView, photos: Sequence[Photo]) -> None:
        self.by_key = {str(photo.pk): photo for photo in photos}
        change = view.change
        start = {
            "seen": view.said,
            "what": change.what,
            "why": change.why,
            "directed_by": change.directed_by,
            "days": change.days,
            "not_to_exceed": change.not_to_exceed,
            "photos": [str(photo.pk) for photo in change.photos.all()],
        }
        super().__init__(data, initial=start)
        if self.by_key:
            self.fields["photos"].choices = [  # type: ignore[attr-defined]
                (key, _photo_text(photo)) for key, photo in self.by_key.items()
            ]
        else:
            del self.fields["photos"]

    def clean_photos(self) -> list[Photo]:
        return [self.by_key[key] for key in self.cleaned_data["photos"]]

    def figures(self) -> dict[str, Any]:
        """What `edit_change` takes."""
        return {"photos": []} | self.cleaned_data


def _photo_text(photo: Photo) -> str:
    day = date_format(localtime(photo.happened_at), _("M j"))
    return _("%(caption)s, %(day)s") % {"caption": photo.caption or _("Photo without a caption"), "day": day}


class _CreditForm(forms.Form):
    credit = forms.BooleanField(
        label=gettext_lazy("A credit: what is left out or given back"),
        required=False,
    )


class RateLineForm(ByRateForm, _CreditForm):
    """A line of a change order by one of the rates: a quantity in its unit."""

    quantity = _figure(label=gettext_lazy("Quantity"), places=3, most="999999999")
    text = forms.CharField(
        label=gettext_lazy("As the client reads it"),
        max_length=200,
        required=False,
        help_text=gettext_lazy("Empty: the name of the rate."),
    )
    field_order = ("key", "rate", "quantity", "text", "credit")


class OwnChangeLineForm(_CreditForm, OwnLine):
    text = forms.CharField(label=gettext_lazy("What"), max_length=200)
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=RateKind.choices, initial=RateKind.OTHER)
    quantity = _figure(
        label=gettext_lazy("Quantity"),
        places=3,
        most="999999999",
        initial=Decimal(1),
        help_text=gettext_lazy("For labor: hours."),
    )
    unit = forms.CharField(label=gettext_lazy("Unit"), max_length=20, required=False, initial=gettext_lazy("each"))
    unit_cost = _figure(
        label=gettext_lazy("Cost of one unit or hour"),
        places=4,
        most=_MOST,
        help_text=gettext_lazy("What it costs the shop; the markup comes on top. 0 where nothing is charged."),
    )
    field_order = ("key", "text", "kind", "quantity", "unit", "unit_cost", "credit")

    def __init__(self, data: QueryDict | None = None, *, hour: Hour | None = None) -> None:
        super().__init__(data, auto_id="id_own_%s")
        self.start_with(hour)

    def clean_kind(self) -> RateKind:
        return RateKind(self.cleaned_data["kind"])


class SettleForm(forms.Form):
    """What one of several allowances came to; its field has an id of its own."""

    cost = _figure(
        label=gettext_lazy("What it cost the shop"),
        places=2,
        most="9999999",
        help_text=gettext_lazy("With freight, before tax: markup and tax come on top, as in the proposal."),
    )

    def __init__(self, data: Mapping[str, Any] | None = None, *, key: object) -> None:
        super().__init__(data, auto_id=f"id_{key}_%s")


class FieldLimitForm(forms.Form):
    amount = _figure(
        label=gettext_lazy("Field limit"),
        places=2,
        most=_MOST,
        required=False,
        help_text=gettext_lazy("Empty or 0: every change waits until the client approves it."),
    )
    agreed_with = forms.CharField(
        label=gettext_lazy("Agreed with"), max_length=FieldLimit._meta.get_field("agreed_with").max_length
    )


class ApproveForm(AcceptForm):
    agree = forms.BooleanField(
        label=gettext_lazy("I have read this change order and approve it: what changes, its price, and the days."),
        error_messages={
            "required": gettext_lazy("Tick this if you approve; otherwise ask us, or decline below."),
        },
    )


class ChangePaperForm(SignedPaperForm):
    """A change order that came back signed by hand: the version that stands printed on it."""

    version = forms.IntegerField(widget=forms.HiddenInput)
