"""Forms of what the shop says and asks in its proposals."""

from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.figures import trimmed
from estimating.local_limits import Local, read_share
from estimating.models import SignedAt
from estimating.payments import DUE, MOST_STEPS, BadPlan, Step, due_text, in_order
from estimating.plans import Plan
from estimating.texts.fields import BadText, check


class Versioned(forms.Form):
    """`seen`: the number of the version that the form was opened on, 0 for none."""

    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def look_again(self, seen: int | str) -> None:
        """What was typed, on top of the version that somebody kept in the meantime."""
        data = cast(QueryDict, self.data).copy()
        data["seen"] = str(seen)
        self.data = data


class TextForm(Versioned):
    """One block."""

    text = forms.CharField(
        label=gettext_lazy("What it says"),
        max_length=6000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 14}),
    )

    def __init__(self, *args: Any, is_list: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].help_text = (
            _("Each line is an item of its own. Empty: it is left out.")
            if is_list
            else _("A blank line begins a new paragraph. Empty: it is left out.")
        )

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"]
        try:
            check(text)
        except BadText as error:
            raise forms.ValidationError(str(error)) from error
        return text


class ColorForm(forms.Form):
    color = forms.RegexField(
        label=gettext_lazy("Color of the letter’s headings"),
        regex=r"^#[0-9a-fA-F]{6}\Z",
        widget=forms.TextInput(attrs={"type": "color"}),
        error_messages={"invalid": gettext_lazy("Write a color like #1d5c63.")},
        help_text=gettext_lazy("Of the shop’s name, the headings and the line under the logo; dark enough for white."),
    )


class PlanForm(Versioned):
    """Payment steps in rows, and where it is signed; of a job also what is on special order. `steps` after validation;
    rows without a moment are no steps."""

    signed_at = forms.ChoiceField(
        label=gettext_lazy("Where it is signed"),
        choices=SignedAt.choices,
        help_text=gettext_lazy(
            "By it the proposal carries the notice that the client may cancel, or none (16 CFR 429). Local law applies."
        ),
    )
    special_order_words = forms.CharField(
        label=gettext_lazy("Material on special order, which"), max_length=200, required=False
    )

    def __init__(self, data: Any = None, *, plan: Plan, of_a_job: bool) -> None:
        initial: dict[str, Any] = {
            "seen": plan.number,
            "signed_at": plan.signed_at,
            "special_order": plan.special_order,
            "special_order_words": plan.special_order_words,
        }
        for at, step in enumerate(plan.steps[:MOST_STEPS]):
            initial |= {
                f"due_{at}": step.due,
                f"percent_{at}": None if step.percent is None else trimmed(step.percent),
                f"amount_{at}": step.amount,
            }
        super().__init__(data, initial=initial)
        moments = [("", _("no step")), *((due, due_text(due).capitalize()) for due in DUE)]
        for at in range(MOST_STEPS):
            names = {"step": at + 1}
            self.fields[f"due_{at}"] = forms.ChoiceField(
                label=_("Step %(step)s, due") % names, choices=moments, required=False
            )
            self.fields[f"percent_{at}"] = _figure(_("Step %(step)s, percent") % names, places=2, most=100)
            self.fields[f"amount_{at}"] = _figure(_("Step %(step)s, amount") % names, places=2, most=99_999_999)
        if of_a_job:
            self.fields["special_order"] = _figure(_("What it costs"), places=2, most=99_999_999)
        else:
            del self.fields["special_order_words"]

    def ordered(self) -> list[forms.BoundField]:
        """The fields of what is on special order; none for the shop's usual steps."""
        return [self[name] for name in ("special_order_words", "special_order") if name in self.fields]

    def kept(self) -> dict[str, Any]:
        """What `set_payment_plan` takes of a valid form."""
        names = ("steps", "seen", "signed_at", "special_order", "special_order_words")
        return {name: self.cleaned_data[name] for name in names if name in self.cleaned_data}

    def rows(self) -> list[list[forms.BoundField]]:
        """The fields, row by row: those with something in them, and two for more."""
        rows = [[self[f"{name}_{at}"] for name in ("due", "percent", "amount")] for at in range(MOST_STEPS)]
        filled = [at for at, row in enumerate(rows) if any(bound.value() not in (None, "") for bound in row)]
        return rows[: max(filled, default=0) + 3]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        steps = []
        for at in range(MOST_STEPS):
            due, percent, amount = (cleaned.get(f"{name}_{at}") for name in ("due", "percent", "amount"))
            if percent is not None and amount is not None:
                self.add_error(f"amount_{at}", _("Give a percentage or an amount, and leave the other empty."))
            elif due:
                steps.append(Step(due=due, percent=percent, amount=amount))
            elif percent is not None or amount is not None:
                self.add_error(f"due_{at}", _("Say when this is due."))
        if bool(cleaned.get("special_order")) != bool(cleaned.get("special_order_words")):
            missing = "special_order" if cleaned.get("special_order_words") else "special_order_words"
            self.add_error(missing, _("Say which material is on special order, and what it costs."))
        if not self.errors:
            try:
                cleaned["steps"] = in_order(steps)
            except BadPlan as error:
                self.add_error(None, str(error))
        return cleaned


def _figure(label: str, *, places: int, most: int) -> forms.DecimalField:
    field = forms.DecimalField(
        label=label,
        min_value=Decimal(1).scaleb(-places),
        max_value=most,
        decimal_places=places,
        required=False,
        localize=True,
    )
    field.widget.attrs["inputmode"] = "decimal"
    return field


class LocalLimitForm(Versioned):
    """What the law of one place allows."""

    place = forms.CharField(
        label=gettext_lazy("State or region"), max_length=60, help_text=gettext_lazy("As it stands on the site’s page.")
    )
    code = forms.CharField(
        label=gettext_lazy("Short form"), max_length=10, required=False, help_text=gettext_lazy("Like CA.")
    )
    share = forms.CharField(
        label=gettext_lazy("Deposit, at most this share of the price"),
        max_length=20,
        required=False,
        help_text=gettext_lazy("Percent, like 10, or 1/3. Empty: no share is set."),
    )
    most = forms.DecimalField(
        label=gettext_lazy("Deposit, at most this amount"),
        min_value=0,
        max_digits=12,
        decimal_places=2,
        required=False,
        localize=True,
        help_text=gettext_lazy("The lower of the two counts. Empty: no amount is set."),
    )
    by_value = forms.BooleanField(
        label=gettext_lazy("Later payments never come to more than the work done and the material delivered"),
        required=False,
    )
    special_order = forms.BooleanField(
        label=gettext_lazy("What material on special order costs may be asked for on top"),
        required=False,
        help_text=gettext_lazy("Which it is, and its cost, stand with a job’s payment steps."),
    )
    cancel_days = forms.IntegerField(
        label=gettext_lazy("Business days in which a client may cancel"),
        min_value=0,
        max_value=60,
        help_text=gettext_lazy("3 under 16 CFR 429: Saturdays count, Sundays and federal holidays don’t. 0: none."),
    )
    note = forms.CharField(
        label=gettext_lazy("Where this stands"),
        max_length=300,
        help_text=gettext_lazy("The law or who told you, and when you looked."),
    )

    def __init__(self, data: Any = None, *, local: Local | None = None) -> None:
        names = ("place", "code", "share", "most", "by_value", "special_order", "cancel_days", "note")
        initial = {name: getattr(local, name) for name in names} if local else {}
        super().__init__(data, initial=initial | {"seen": local.number if local else 0})

    def clean_share(self) -> str:
        share: str = self.cleaned_data["share"]
        if share:
            try:
                read_share(share)
            except ValueError as error:
                raise forms.ValidationError(str(error)) from error
        return share
