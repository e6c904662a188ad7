"""What the forms share that a phone keeps until they can be sent."""

from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.errors import Refused
from base.keys import uuid7


class PhoneForm(forms.Form):
    """A form that counts once however often it is sent: `key` is made when it is shown, and the row gets it."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    photo = forms.FileField(
        label=gettext_lazy("Photo"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )

    def __init__(self, data: QueryDict | None = None, files: Any = None, **kwargs: Any) -> None:
        super().__init__(data, files, initial={"key": uuid7()} | kwargs.pop("initial", {}), **kwargs)

    def come_back(self, error: Refused) -> None:
        """What was typed, with what was refused in it, ready to be sent as something new."""
        self.add_error(None, str(error))
        if "photo" in self.fields:
            self.ask_for_photo_again()
        data = cast(QueryDict, self.data).copy()
        data["key"] = str(uuid7())
        self.data = data

    def ask_for_photo_again(self) -> None:
        """A browser never fills in a chosen file again: say so, or it would be missed."""
        if self.files.get("photo") and not self.has_error("photo"):
            self.add_error("photo", _("Take or choose the photo again: it isn't kept until the rest can be."))
