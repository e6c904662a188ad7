"""Forms of jobs. A form of something new carries the key of the row it will make: sent twice, one row."""

from datetime import timedelta
from typing import Any, ClassVar, cast

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.keys import uuid7
from clients.forms import SearchForm
from clients.models import Client, Site
from clients.queries import sites_of
from jobs.models import BookingKind, Job, Stage
from jobs.queries import people_not_on_crew, people_to_book
from jobs.when import moments
from shop.images import ACCEPT
from shop.models import ShopSettings, Staff
from shop.queries import shop_settings


class JobSearchForm(SearchForm):
    stage = forms.ChoiceField(label=_("Stage"), required=False, choices=[("", _("Every stage")), *Stage.choices])

    @property
    def stage_chosen(self) -> str:
        return self.cleaned_data.get("stage", "") if self.is_valid() else ""


class JobForm(forms.ModelForm):
    class Meta:
        model = Job
        fields = ("title", "site", "note")
        widgets: ClassVar = {"site": forms.RadioSelect, "note": forms.Textarea(attrs={"rows": 4})}
        help_texts: ClassVar = {"title": _("As you call it among yourselves: upstairs bath, lobby floor.")}

    def __init__(self, *args: Any, client: Client, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        site = cast("forms.ModelChoiceField[Site]", self.fields["site"])
        site.queryset = sites_of(client)
        site.empty_label = None
        site.label = _("Where")


class NewJobForm(JobForm):
    key = forms.UUIDField(initial=uuid7, widget=forms.HiddenInput)


class CrewForm(forms.Form):
    person = forms.ModelChoiceField(label=_("Who"), queryset=Staff.objects.none(), empty_label=_("Choose a person"))

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        person = cast("forms.ModelChoiceField[Staff]", self.fields["person"])
        person.queryset = people_not_on_crew(job)


class WhenForm(forms.Form):
    """Who, on which day, from when to when. After validation `cleaned_data` has `starts_at` and `ends_at`."""

    person = forms.ModelChoiceField(label=_("Who"), queryset=Staff.objects.none(), empty_label=_("Choose a person"))
    day = forms.DateField(
        label=_("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    starts = forms.TimeField(label=_("From"), widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    ends = forms.TimeField(label=_("To"), widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
    overnight = forms.BooleanField(label=_("Ends the next day"), required=False)

    def __init__(self, *args: Any, shop: ShopSettings, **kwargs: Any) -> None:
        usual = {
            "day": timezone.localdate() + timedelta(days=1),
            "starts": shop.work_starts,
            "ends": shop.work_ends,
        }
        kwargs["initial"] = usual | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        person = cast("forms.ModelChoiceField[Staff]", self.fields["person"])
        person.queryset = people_to_book()
        # Far-off years are slips of the finger.
        today = timezone.localdate()
        self.fields["day"].validators += [
            MinValueValidator(today - timedelta(days=366), _("This day is more than a year ago.")),
            MaxValueValidator(today + timedelta(days=3 * 366), _("This day is more than three years away.")),
        ]

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or self.cleaned_data
        if {"day", "starts", "ends"} <= cleaned.keys():
            try:
                cleaned["starts_at"], cleaned["ends_at"] = moments(
                    day=cleaned["day"],
                    starts=cleaned["starts"],
                    ends=cleaned["ends"],
                    overnight=cleaned.get("overnight", False),
                )
            except forms.ValidationError as error:
                self.add_error(None, error)
        return cleaned


class BookingForm(WhenForm):
    kind = forms.ChoiceField(label=_("Kind"), choices=BookingKind, initial=BookingKind.PHASE)
    what = forms.CharField(
        label=_("What for"),
        max_length=120,
        help_text=_("Measure, waterproofing, grout: what the person reads in Today."),
    )
    field_order = ("person", "what", "kind", "day", "starts", "ends", "overnight")


class PhotoForm(forms.Form):
    key = forms.UUIDField(initial=uuid7, widget=forms.HiddenInput)
    file = forms.FileField(
        label=_("Photo"),
        help_text=_("JPEG, PNG or WebP. Where and on what phone it was taken is not kept."),
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    caption = forms.CharField(label=_("What it shows"), max_length=200, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if shop_settings().keep_photo_place:
            self.fields["file"].help_text = _("JPEG, PNG or WebP. Where it was taken is kept, if the phone tells it.")


class TakeForm(PhotoForm):
    """One press: the camera opens, and the photo is kept. What it shows is said later; `of`: what is known by then."""

    def __init__(self, *, job: Job, of: str = "") -> None:
        super().__init__(auto_id=f"id_take_{job.pk}_%s", initial={"caption": of})
        self.fields["file"].label = _("Take a photo")
        self.fields["file"].help_text = ""
        self.fields["file"].widget.attrs["capture"] = "environment"
        self.fields["caption"].widget = forms.HiddenInput()
