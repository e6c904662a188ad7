"""The installer's form: a change that turns up on site."""

from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy

from estimating.models import FieldLimit
from shop.images import ACCEPT
from shop.phone_form import PhoneForm


class RaiseForm(PhoneForm):
    """On the phone: what changes, why, a photo; `word` and who gave it where a field limit was agreed."""

    what = forms.CharField(label=gettext_lazy("What changes"), max_length=160)
    why = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("What was found, or what the client asked for."),
    )
    word_of = forms.CharField(
        label=gettext_lazy("Who said yes"),
        max_length=160,
        required=False,
        help_text=gettext_lazy("Empty: the work waits until the client approves."),
    )

    field_order = ("key", "what", "why", "photo", "word_of")

    def __init__(self, data: QueryDict | None = None, files: Any = None, *, limit: FieldLimit | None) -> None:
        super().__init__(data, files)
        self.fields["photo"].widget.attrs["accept"] = ACCEPT
        if limit is None and data is None:
            del self.fields["word_of"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in ("what", "why", "word_of"):
            data[name] = " ".join(data.get(name, "").split())
        if self.errors:
            self.ask_for_photo_again()
        return data
