"""The installer's form: a change that turns up on site."""

from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.keys import uuid7
from estimating.models import FieldLimit
from shop.images import ACCEPT


class RaiseForm(forms.Form):
    """On the phone: what changes, why, a photo; `word` and who gave it where a field limit was agreed."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.CharField(label=gettext_lazy("What changes"), max_length=160)
    why = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=600,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=gettext_lazy("What was found, or what the client asked for."),
    )
    photo = forms.FileField(
        label=gettext_lazy("Photo"),
        required=False,
        widget=forms.FileInput(attrs={"accept": ACCEPT, "capture": "environment"}),
    )
    word_of = forms.CharField(
        label=gettext_lazy("Who said yes"),
        max_length=160,
        required=False,
        help_text=gettext_lazy("Empty: the work waits until the client approves."),
    )

    def __init__(self, data: QueryDict | None = None, files: Any = None, *, limit: FieldLimit | None) -> None:
        super().__init__(data, files, initial={"key": uuid7()})
        if limit is None and data is None:
            del self.fields["word_of"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in ("what", "why", "word_of"):
            data[name] = " ".join(data.get(name, "").split())
        if self.errors:
            self.ask_for_photo_again()
        return data

    def ask_for_photo_again(self) -> None:
        """A browser never fills in a chosen file again: say so, or it would be missed."""
        if self.files.get("photo") and not self.has_error("photo"):
            self.add_error("photo", _("Take or choose the photo again: it isn't kept until the rest can be."))

    def renew_key(self) -> None:
        """What was typed, ready to be sent as something new."""
        data = cast(QueryDict, self.data).copy()
        data["key"] = str(uuid7())
        self.data = data
