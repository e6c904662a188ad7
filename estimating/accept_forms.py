"""What a client's yes to a proposal comes with: what was chosen, a signature, or a paper signed by hand."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from estimating.forms import AcceptForm
from estimating.models import Acceptance
from estimating.options import BadChoice, check_shown, choice_of, default_choice, has_options, key_of, picked_in
from estimating.signing import Paper, paper_from
from shop.images import BadImage
from shop.pdf_files import ACCEPT, BadPdf


class _PickingForm(forms.Form):
    """With what is picked of the options. `choice` is its key; before the form is sent, of what is in the price."""

    def __init__(self, *args: Any, content: Mapping[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        prefix = f"{self.prefix}-" if self.prefix else ""
        self.content = content
        self.picked = picked_in(self.data, prefix=prefix) if isinstance(self.data, QueryDict) else []
        self.choice = key_of(self.picked) if self.is_bound else default_choice(content)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        if has_options(self.content):
            try:
                self.check_choice(choice_of(self.content, self.picked))
            except BadChoice as error:
                self.add_error(None, str(error))
        return cleaned

    def check_choice(self, choice: str) -> None:
        """Of a choice that is offered. Raises BadChoice."""


class AcceptProposalForm(_PickingForm, AcceptForm):
    """With the total that stood beside what was picked: the two must be of one offer."""

    total = forms.CharField(required=False, widget=forms.HiddenInput)

    def check_choice(self, choice: str) -> None:
        check_shown(self.content, choice, self.cleaned_data["total"])


class SignedPaperForm(forms.Form):
    """What came back signed by hand: who signed, when, and the paper itself."""

    typed_name = forms.CharField(
        label=_("Who signed it"), max_length=Acceptance._meta.get_field("typed_name").max_length
    )
    signed_on = forms.DateField(
        label=_("Date on the paper"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    paper = forms.FileField(
        label=_("The signed paper"),
        help_text=_("A PDF, or a photo of the page with the signature. If the form comes back, choose the file again."),
        widget=forms.FileInput(attrs={"accept": ACCEPT}),
    )

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        upload, day = self.cleaned_data.get("paper"), self.cleaned_data.get("signed_on")
        if upload and day:
            try:
                self.cleaned_data["paper"] = paper_from(upload, signed_on=day)
            except (BadPdf, BadImage) as error:
                self.add_error("paper", str(error))
        return cleaned

    @property
    def signed(self) -> Paper:
        """Of a valid form: what was attached."""
        paper: Paper = self.cleaned_data["paper"]
        return paper


class PaperForm(_PickingForm, SignedPaperForm):
    """A proposal that came back signed by hand, with the boxes that were ticked on it."""
