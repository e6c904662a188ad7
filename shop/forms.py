"""Forms of the shop: log-in, staff, settings; and what forms of any app have alike."""

from typing import Any, ClassVar, cast
from uuid import UUID

from django import forms
from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.password_validation import validate_password
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from base.keys import uuid7
from shop.images import ACCEPT
from shop.models import Role, ShopSettings, Staff
from shop.regions import currency_choices, locale_choices, time_zone_choices

USERNAME = RegexValidator(
    r"^[a-z0-9][a-z0-9._-]*\Z",
    _("Use small letters a to z, digits, dot, hyphen and underscore; begin with a letter or digit."),
)
WEEKDAYS = (
    (1, _("Monday")),
    (2, _("Tuesday")),
    (3, _("Wednesday")),
    (4, _("Thursday")),
    (5, _("Friday")),
    (6, _("Saturday")),
    (7, _("Sunday")),
)


class OnceForm(forms.Form):
    """A form of something new: it carries the key of the row that it makes, so that sent twice it makes one."""

    key = forms.UUIDField(initial=uuid7, required=False, widget=forms.HiddenInput)

    def clean_key(self) -> UUID:
        return self.cleaned_data["key"] or uuid7()

    def send_again(self) -> None:
        """What was typed is one more: with a key of its own."""
        data = cast(QueryDict, self.data).copy()
        data[self.add_prefix("key")] = str(uuid7())
        self.data = data


class SeenForm(forms.Form):
    """A form of something that is there. `seen`: what stood in it when it was opened, in short."""

    seen = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)

    def clean_seen(self) -> str | None:
        return self.cleaned_data["seen"] or None  # of a page from before it carried one

    def look_again(self, fresh: forms.BaseForm) -> None:
        """What was typed, on top of what somebody kept in the meantime: `fresh` is the form as it would be opened now.
        Beside each field where the two differ stands what it has now."""
        data = cast(QueryDict, self.data).copy()
        data[self.add_prefix("seen")] = fresh.initial["seen"]
        self.data = data
        for name, field in self.fields.items():
            stands = fresh.initial.get(name)
            typed = field.widget.value_from_datadict(data, self.files, self.add_prefix(name))
            if not field.widget.is_hidden and field.has_changed(stands, typed):
                self.add_error(name, _stands_now(field, stands))


def _stands_now(field: forms.Field, value: Any) -> str:
    if isinstance(field, forms.BooleanField):
        return gettext("Now it is ticked.") if value else gettext("Now it isn’t ticked.")
    names = {str(key): name for key, name in getattr(field, "choices", ())}
    shown = names.get(str(value), value)
    return gettext("Now it is empty.") if shown in (None, "") else gettext("Now it is “%(value)s”.") % {"value": shown}


class LogInForm(AuthenticationForm):
    """Log-in names are in small letters; a phone's keyboard likes to begin with a capital."""

    error_messages = {  # noqa: RUF012 -- as the base class declares it
        "invalid_login": _("This log-in name and password don't belong together. Look for a slip of the finger."),
        "inactive": _("This log-in is closed. Ask the owner."),
    }

    def clean_username(self) -> str:
        return self.cleaned_data["username"].strip().lower()


class TelInput(forms.TextInput):
    input_type = "tel"


class StaffForm(forms.ModelForm):
    language = forms.ChoiceField(
        label=_("Language"),
        choices=[("", _("As the shop is set")), *settings.LANGUAGES],
        required=False,
        help_text=_("Of the pages for the phone. The office’s pages and what clients read are in English so far."),
    )

    class Meta:
        model = Staff
        fields = ("name", "role", "email", "phone", "language")
        widgets: ClassVar = {"phone": TelInput}


class NewStaffForm(StaffForm):
    username = forms.CharField(
        label=_("Log-in name"),
        max_length=60,
        help_text=_("Small letters and digits, such as rui or rui.t. It can't be changed later."),
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off", "spellcheck": "false"}),
    )
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        help_text=_("At least 8 characters, no common word. Tell it to the person; you can set another one later."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    field_order = ("name", "role", "username", "password", "email", "phone", "language")

    def clean_username(self) -> str:
        username = self.cleaned_data["username"].strip().lower()
        USERNAME(username)
        if Staff.objects.filter(username=username).exists():
            raise forms.ValidationError(_("Somebody has this log-in name already."))
        return username

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if password := self.cleaned_data.get("password"):
            person = Staff(**{n: self.cleaned_data.get(n, "") for n in ("username", "name", "email")})
            try:
                validate_password(password, person)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return cleaned


class LanguageForm(forms.Form):
    """A person's own choice."""

    language = forms.ChoiceField(label=_("Language"), choices=settings.LANGUAGES)


class PasswordForm(forms.Form):
    """A new password for `staff`."""

    password = forms.CharField(
        label=_("New password"),
        strip=False,
        help_text=_("At least 8 characters, no common word. It logs the person out everywhere."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, staff: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.staff = staff

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        validate_password(password, self.staff)
        return password


class OwnPasswordForm(PasswordChangeForm):
    """One's own new password, with the present one: who finds a phone unlocked can't lock its person out."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["new_password1"].help_text = _(
            "At least 8 characters, no common word. Other phones and computers have to log in again."
        )


class SettingsForm(forms.ModelForm):
    """The shop's settings. `logo` and `remove_logo` are not fields of the model's: the action stores the picture."""

    logo = forms.FileField(
        label=_("Logo"),
        required=False,
        help_text=_("PNG, JPEG or WebP. It stands on proposals and on the pages that clients see."),
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )
    remove_logo = forms.BooleanField(label=_("Remove the present logo"), required=False)
    currency = forms.ChoiceField(label=_("Currency"), choices=currency_choices)
    time_zone = forms.ChoiceField(label=_("Time zone"), choices=time_zone_choices)
    locale = forms.ChoiceField(label=_("Language and region"), choices=locale_choices)
    work_days = forms.TypedMultipleChoiceField(
        label=_("Working days"), choices=WEEKDAYS, coerce=int, widget=forms.CheckboxSelectMultiple
    )
    proposal_days = forms.IntegerField(
        label=_("Days a proposal holds"), validators=[MinValueValidator(1), MaxValueValidator(365)]
    )
    remind_days = forms.IntegerField(
        label=_("Days until a client is reminded of a proposal"),
        required=False,
        help_text=_("By mail, once, in working hours, if it was sent by mail and not answered. Empty or 0: never."),
        validators=[MinValueValidator(0), MaxValueValidator(365)],
    )
    warranty_months = forms.IntegerField(
        label=_("Months of warranty on workmanship"), validators=[MinValueValidator(0), MaxValueValidator(600)]
    )

    class Meta:
        model = ShopSettings
        fields = (
            "name",
            "phone",
            "email",
            "address",
            "license_line",
            "units",
            "paper",
            "currency",
            "time_zone",
            "locale",
            "tax_percent",
            "markup_percent",
            "proposal_days",
            "remind_days",
            "warranty_months",
            "work_starts",
            "work_ends",
            "work_days",
            "keep_photo_place",
        )
        help_texts: ClassVar = {
            "keep_photo_place": _(
                "Otherwise the position is removed before a photo is kept. It tells where your people were: say so to "
                "them, and ask what the law where you work wants. Many phones hand no position over."
            )
        }
        widgets: ClassVar = {
            "phone": TelInput,
            "address": forms.Textarea(attrs={"rows": 3}),
            "work_starts": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
            "work_ends": forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.instance.work_days:
            self.initial["work_days"] = [1, 2, 3, 4, 5]
        if not self.instance.logo:
            del self.fields["remove_logo"]
        for name in ("tax_percent", "markup_percent"):
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    def clean_remind_days(self) -> int:
        return self.cleaned_data["remind_days"] or 0

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        starts, ends = self.cleaned_data.get("work_starts"), self.cleaned_data.get("work_ends")
        if starts and ends and ends <= starts:
            self.add_error("work_ends", _("The day has to end after it starts."))
        return cleaned


ROLES = {
    Role.OWNER: _("Everything, and alone: rooms, rates, proposals, settings and staff; may waive a hold."),
    Role.OFFICE: _("Clients, jobs, bookings, proposals' links, callbacks."),
    Role.INSTALLER: _("Only the jobs that they are on, on the phone: layout sheets, checks, photos, punch lists."),
}
