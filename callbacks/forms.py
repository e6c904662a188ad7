"""Forms of callbacks. A form of something new carries the keys of the rows it will make: sent twice, one row."""

from datetime import date, datetime, timedelta
from typing import Any, cast

from django import forms
from django.core.validators import MinValueValidator
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import uuid7
from callbacks.models import Symptom
from jobs.forms import WhenForm
from jobs.models import Job
from rooms.models import Room
from shop.images import ACCEPT
from shop.models import ShopSettings

TEXT_MAX = 4000


class NewCallbackForm(forms.Form):
    key = forms.UUIDField(initial=uuid7, widget=forms.HiddenInput)
    photo_key = forms.UUIDField(initial=uuid7, widget=forms.HiddenInput)
    symptom = forms.ChoiceField(label=_("What it looks like"), choices=[("", _("Choose")), *Symptom.choices])
    room = forms.ModelChoiceField(
        label=_("Room"), queryset=Room.objects.none(), required=False, empty_label=_("Not sure, or several")
    )
    text = forms.CharField(
        label=_("In the client's words"),
        max_length=TEXT_MAX,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What they see, where, and since when."),
    )
    reported_by = forms.CharField(label=_("Who called"), max_length=160)
    reported_on = forms.DateField(label=_("When"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    photo = forms.FileField(
        label=_("Photo"),
        required=False,
        help_text=_("JPEG, PNG or WebP, if the client sent one."),
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        usual = {"reported_by": job.client.contact or job.client.name, "reported_on": timezone.localdate()}
        kwargs["initial"] = usual | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        room = cast("forms.ModelChoiceField[Room]", self.fields["room"])
        room.queryset = Room.objects.filter(job=job).part_of_the_job()

    def clean_reported_on(self) -> Any:
        day = self.cleaned_data["reported_on"]
        if day > timezone.localdate():
            raise forms.ValidationError(_("This day lies ahead: enter the day on which the client called."))
        if day.year < 1950:
            raise forms.ValidationError(_("This day is too long ago."))
        return day


class VisitForm(WhenForm):
    """Who goes there, and when. Two hours are suggested, or what is left of the day."""

    def __init__(self, *args: Any, shop: ShopSettings, **kwargs: Any) -> None:
        begins = datetime.combine(date.min, shop.work_starts)
        ends = min((begins + timedelta(hours=2)).time(), shop.work_ends)
        super().__init__(*args, shop=shop, initial={"ends": ends} | kwargs.pop("initial", {}), **kwargs)


class CloseCallbackForm(forms.Form):
    cause = forms.CharField(
        label=_("What caused it"),
        max_length=TEXT_MAX,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What was found, not what was guessed on the phone."),
    )
    remedy = forms.CharField(label=_("What was done"), max_length=TEXT_MAX, widget=forms.Textarea(attrs={"rows": 3}))
    cost = forms.DecimalField(
        label=_("What it cost us"),
        max_digits=12,
        decimal_places=2,
        required=False,
        validators=[MinValueValidator(0)],
        help_text=_("Labor and material, whether or not somebody pays for it."),
    )


class CloseoutForm(forms.Form):
    walked_with = forms.CharField(
        label=_("Walked through with"), max_length=160, help_text=_("Who looked at the finished work with you.")
    )
    note = forms.CharField(
        label=_("Note"),
        max_length=TEXT_MAX,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What was handed over or agreed: spare tile, care of stone, first day of use."),
    )
