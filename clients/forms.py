"""Forms of clients and sites. A form of something new carries the key of the row it will make: sent twice, one row."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from base.figures import trimmed
from clients.distance import MOST, from_km, in_miles, to_km
from clients.models import Client, Site
from clients.seen import seen_client, seen_site
from shop.forms import OnceForm, SeenForm, TelInput


class SearchForm(forms.Form):
    q = forms.CharField(label=_("Search"), required=False, max_length=100)

    @property
    def words(self) -> str:
        """What is searched for; nothing where it can't be searched for (a NUL, a whole novel)."""
        return self.cleaned_data.get("q", "") if self.is_valid() else ""


class ClientForm(forms.ModelForm):
    class Meta:
        model = Client
        fields = ("kind", "name", "contact", "phone", "email", "note")
        widgets: ClassVar = {"phone": TelInput, "note": forms.Textarea(attrs={"rows": 3})}


class SiteForm(forms.ModelForm):
    """In `cleaned_data` after it is valid: what `change_site` takes."""

    distance = forms.DecimalField(
        min_value=0,
        max_value=MOST,
        decimal_places=1,
        required=False,
        localize=True,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        help_text=_("Empty where it isn’t priced. With a rate for it an estimate counts it there and back, each trip."),
    )

    class Meta:
        model = Site
        fields = ("street", "city", "region", "postal_code", "year_built", "distance", "access_note")
        widgets: ClassVar = {
            "access_note": forms.Textarea(attrs={"rows": 3}),
            "year_built": forms.NumberInput(attrs={"inputmode": "numeric"}),
        }
        help_texts: ClassVar = {"access_note": _("Gate code, key, dog. Only the office and the job's crew see it.")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["distance"].label = (
            _("Miles one way from the shop") if in_miles() else _("Kilometers one way from the shop")
        )
        if self.instance.distance_km is not None:
            self.initial["distance"] = trimmed(from_km(self.instance.distance_km))

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        distance = cleaned.pop("distance", None)
        return {**cleaned, "distance_km": None if distance is None else to_km(distance)}


class NewClientForm(OnceForm, ClientForm):
    pass


class ChangeClientForm(SeenForm, ClientForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["seen"] = seen_client(self.instance)


class NewSiteForm(OnceForm, SiteForm):
    pass


class ChangeSiteForm(SeenForm, SiteForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["seen"] = seen_site(self.instance)


class WithKnownForm(forms.Form):
    """What to do with rows of clients who are there already."""

    with_known = forms.ChoiceField(
        label=_("Clients who are there already"),
        choices=[
            ("skip", _("Leave them out")),
            ("site", _("Add their street as another site, where it is another one")),
            ("again", _("Enter them once more")),
        ],
        initial="skip",
        widget=forms.RadioSelect,
    )
