from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.figures import trimmed
from estimating.catalogue import RATES, TILE, Wanted, unit_choices
from estimating.hours import Hour
from estimating.models import (
    ANSWER_LENGTH,
    QUESTION_LENGTH,
    ROUND_TO,
    WORDS_LENGTH,
    Acceptance,
    Estimate,
    EstimateLine,
    OverheadBy,
    PriceRules,
    Question,
    RateKind,
    TaxRule,
)
from estimating.pricing import markup_of
from estimating.seen import seen_line, seen_terms
from estimating.signing import BadSignature, Strokes, strokes_from
from jobs.models import Job
from rooms.models import Room, Tile
from shop.forms import OnceForm, SeenForm
from shop.templatetags.look import money


def _figure(*, label: Any, places: int, most: str, least: str = "0", **more: Any) -> forms.DecimalField:
    """A number typed as the shop's language writes it."""
    highest = Decimal(most)
    field = forms.DecimalField(
        label=label,
        min_value=Decimal(least),
        max_value=highest,
        decimal_places=places,
        max_digits=len(str(int(highest))) + places,
        localize=True,
        **more,
    )
    field.widget.attrs["inputmode"] = "decimal"
    return field


def check_day(day: date | None) -> date | None:
    """The day of a price. Raises ValidationError for one that is mistyped."""
    if day and not date(2000, 1, 1) <= day <= timezone.localdate() + timedelta(days=366):
        raise forms.ValidationError(_("A price is of a day since 2000, and at most a year ahead: check the year."))
    return day


class RateForm(forms.Form):
    """One rate, of a tile, of the catalogue, or of a `kind` of one's own in one of `units`: fields that it doesn't have
    are left out."""

    unit = forms.ChoiceField(label=_("Unit"))
    cost = _figure(label=_("Price"), places=4, most="999999")
    by_people = forms.BooleanField(
        label=_("An hour costs what the people on the job cost"),
        required=False,
        help_text=_("The cost of one hour here counts only where nobody has one under People."),
    )
    package = _figure(
        label=_("Units in a package"),
        places=3,
        most="999999",
        least="0.001",
        required=False,
        help_text=_("Sold in whole packages: the price is then of one package. Empty where any quantity can be had."),
    )
    hours = _figure(label=_("Hours for one unit"), places=4, most="999", least="0.0001")
    hours_low = _figure(label=_("At best"), places=4, most="999", required=False)
    hours_high = _figure(
        label=_("At worst"), places=4, most="999", required=False, help_text=_("Both or neither: risk is told of them.")
    )
    setup_hours = _figure(
        label=_("Set-up hours"), places=2, most="999", required=False, help_text=_("Once a room, however much it is.")
    )
    crew = forms.IntegerField(
        label=_("Persons at it"),
        min_value=1,
        max_value=20,
        required=False,
        help_text=_("Hours are those of all of them."),
    )
    product = forms.CharField(
        label=_("Product"), max_length=120, required=False, help_text=_("What you buy, by the name you know it by.")
    )
    supplier = forms.CharField(label=_("Supplier"), max_length=120, required=False)
    valid_from = forms.DateField(
        label=_("From"),
        required=False,
        initial=timezone.localdate,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_(
            "The day from which this holds, or of the quote. A later day: what stands now holds until then. An earlier "
            "one: this takes its place, and is as old as that. What was offered or accepted keeps its price."
        ),
    )

    def __init__(
        self,
        *args: Any,
        wanted: Wanted | None = None,
        tile: Tile | None = None,
        kind: RateKind | None = None,
        units: Iterable[str] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        if tile is not None:
            self.fields["unit"].choices = unit_choices(["piece"])  # type: ignore[attr-defined]
            self.fields["package"].label = _("Pieces in a box")
            self.fields["package"].help_text = _("The price is then of one box. Empty: the price is of one piece.")
            self._drop_labor()
            return
        if kind is None:
            wanted = wanted or next(rate for rate in RATES if rate.key != TILE)
            kind, units = wanted.kind, wanted.units
        self.fields["unit"].choices = unit_choices(units)  # type: ignore[attr-defined]
        if kind == RateKind.LABOR:
            self._drop_bought()
            self.fields["cost"].label = _("Cost of one hour")
            self.fields["cost"].help_text = _("What an hour costs the shop, with all that comes on top of the wage.")
        else:
            self._drop_labor()
            if kind != RateKind.MATERIAL:
                self._drop_bought()

    def clean_valid_from(self) -> date | None:
        return check_day(self.cleaned_data["valid_from"])

    def _drop_labor(self) -> None:
        for name in ("by_people", "hours", "hours_low", "hours_high", "setup_hours", "crew"):
            del self.fields[name]

    def _drop_bought(self) -> None:
        for name in ("package", "product", "supplier"):
            del self.fields[name]


class EstimateForm(SeenForm):
    """How the total is made of the cost. In `cleaned_data` after it is valid: what `change_estimate` takes."""

    markup_percent = _figure(
        label=_("Markup, percent of cost"),
        places=2,
        most="1000",
        help_text=_(
            "Markup is a part of the cost, margin a part of the price: 25 percent markup is 20 percent margin."
        ),
    )
    margin_percent = _figure(
        label=_("Or margin, percent of price"),
        places=2,
        most="90",
        required=False,
        help_text=_("A figure here goes before the markup, which then follows from it."),
    )
    tax_percent = _figure(label=_("Sales tax on materials, percent"), places=3, most="50", required=False)
    overhead_by = forms.ChoiceField(label=_("Overhead is recovered by"), choices=OverheadBy.choices, required=False)
    overhead = _figure(
        label=_("Overhead"), places=2, most="9999", required=False, help_text=_("An amount for an hour, or percent.")
    )
    minimum = _figure(label=_("Least price before tax"), places=2, most="9999999", required=False)
    round_to = forms.ChoiceField(label=_("Round the total"), choices=ROUND_TO, required=False)
    discount = _figure(label=_("Discount"), places=2, most="9999999", required=False)
    discount_by = forms.ChoiceField(
        label=_("Counted in"),
        choices=[("amount", _("money")), ("percent", _("percent"))],
        required=False,
    )
    discount_reason = forms.CharField(
        label=_("Why the discount"), max_length=200, required=False, help_text=_("The client reads it.")
    )
    thin_reason = forms.CharField(
        label=_("Why it may go below the least margin"),
        max_length=200,
        required=False,
        help_text=_("Only you read it. It is kept for the margin as it is now: less asks again."),
    )

    @staticmethod
    def initial_of(estimate: Estimate) -> dict[str, Any]:
        names = ("markup_percent", "tax_percent", "overhead", "minimum")
        discount = estimate.discount_percent or estimate.discount_amount
        return {
            **{name: trimmed(getattr(estimate, name)) for name in names},
            "overhead_by": estimate.overhead_by,
            "round_to": estimate.round_to,
            "discount": trimmed(discount) if discount else None,
            "discount_by": "percent" if estimate.discount_percent else "amount",
            "discount_reason": estimate.discount_reason,
            "thin_reason": estimate.thin_reason,
            "seen": seen_terms(estimate),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        cleaned |= {
            name: cleaned[name] or Decimal(0) for name in ("tax_percent", "overhead", "minimum") if name in cleaned
        }
        if (margin := cleaned.pop("margin_percent", None)) is not None:
            cleaned["markup_percent"] = markup_of(margin)
        discount = cleaned.pop("discount", None) or Decimal(0)
        by_percent = cleaned.pop("discount_by", "") == "percent"
        if by_percent and discount > 100:
            self.add_error("discount", _("A discount is 100 percent at most."))
        if discount and not cleaned.get("discount_reason"):
            self.add_error("discount_reason", _("Say why there is a discount."))
        cleaned["round_to"] = int(cleaned.get("round_to") or 0)
        cleaned["discount_percent"] = discount if by_percent else Decimal(0)
        cleaned["discount_amount"] = Decimal(0) if by_percent else discount
        return cleaned


class PriceRulesForm(forms.ModelForm):
    class Meta:
        model = PriceRules
        fields = ("overhead_by", "overhead", "minimum", "round_to", "minimum_margin", "rate_days")
        help_texts: ClassVar = {
            "overhead": _("An amount for an hour, or percent: rent, truck, phone, insurance, office."),
            "minimum_margin": _("Below it a proposal asks for your reason. 0 asks never."),
            "rate_days": _("An estimate names the rates that are older."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["overhead_by"].required = False


class TaxRuleForm(forms.ModelForm):
    class Meta:
        model = TaxRule
        fields = ("region", "kind", "on", "percent")

    def validate_constraints(self) -> None:
        """The same region and kind again is the new figure, not an error."""


class ContingencyForm(OnceForm):
    text = forms.CharField(
        label=_("What may be found"), max_length=200, help_text=_("Rotten stud replaced, subfloor patched …")
    )
    unit = forms.CharField(label=_("For each"), max_length=20, help_text=_("stud, sq ft, hour …"))
    unit_cost = _figure(
        label=_("Cost of one"), places=4, most="999999", help_text=_("To the shop; markup comes on top.")
    )
    hours = _figure(
        label=_("Hours of labor in one"),
        places=2,
        most="9999",
        required=False,
        help_text=_("They are in the cost already; overhead by the hour is counted on them."),
    )

    def clean_hours(self) -> Decimal:
        return self.cleaned_data["hours"] or Decimal(0)


class LineForm(SeenForm):
    """A line's figures, by hand. A computed line needs a reason, and without a rate a cost; one's own a reason only
    where its cost isn't that of its rate, and none without a rate."""

    quantity = _figure(label=_("Quantity"), places=3, most="999999999")
    cost = _figure(
        label=_("Cost"),
        places=2,
        most="99999999",
        required=False,
        help_text=_("Empty: the quantity at the rate. A figure here goes before it."),
    )
    low_hours = _figure(label=_("Hours at best"), places=2, most="99999", required=False)
    high_hours = _figure(
        label=_("Hours at worst"),
        places=2,
        most="99999",
        required=False,
        help_text=_("Of how far the hours may stray, the estimate tells the risk. Empty: as the rate has it."),
    )
    reason = forms.CharField(
        label=_("Why it is changed"),
        max_length=200,
        help_text=_("Kept with the line, so that the next fill of the estimate leaves it alone."),
    )

    def __init__(self, *args: Any, line: EstimateLine, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.line = line
        self.fields["reason"].required = bool(line.key)
        if line.unpriced:
            cost = self.fields["cost"]
            cost.required, cost.help_text = True, _("No rate prices this line: say what it costs, 0 for nothing.")
            cost.error_messages["required"] = cost.help_text
        if line.follows_rate:
            self.fields["reason"].help_text = _("Needed with a cost or hours of your own: the line then keeps them.")
        if line.hours is None:
            del self.fields["low_hours"], self.fields["high_hours"]

    @staticmethod
    def initial_of(line: EstimateLine, *, cost: Decimal | None) -> dict[str, Any]:
        """`cost`: what a person put in, in the place of what the quantity gives."""
        figures = {"cost": cost, "low_hours": line.low_hours, "high_hours": line.high_hours}
        return {
            "quantity": trimmed(line.quantity),
            **{name: None if figure is None else trimmed(figure) for name, figure in figures.items()},
            "reason": line.override_reason,
            "seen": seen_line(line),
        }

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        by_hand = [name for name in ("cost", "low_hours", "high_hours") if cleaned.get(name) is not None]
        if self.line.follows_rate and set(by_hand) & set(self.changed_data) and not cleaned.get("reason"):
            self.add_error("reason", _("Say why it isn’t as the rate has it."))
        return cleaned

    def figures(self) -> dict[str, Any]:
        """What `change_line` takes: a range that nobody touched goes along with the hours."""
        figures = dict(self.cleaned_data)
        low, high = figures.pop("low_hours", None), figures.pop("high_hours", None)
        if {"low_hours", "high_hours"} & set(self.changed_data):
            figures["hours_range"] = (low, high)
        return figures


class OwnLine(OnceForm):
    """What lines of one's own have alike: an hour whose cost is left empty costs what the people on the job cost."""

    hour: Hour | None = None

    def start_with(self, hour: Hour | None) -> None:
        self.hour, field = hour, self.fields["unit_cost"]
        if hour:
            field.required = False
            said = _("Left empty for labor: %(cost)s, %(how)s.") % {"cost": money(hour.cost), "how": hour.how}
            field.help_text = " ".join(str(part) for part in (field.help_text, said) if part)

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        if self.hour and "unit_cost" in cleaned and cleaned["unit_cost"] is None:
            if cleaned.get("kind") == RateKind.LABOR:
                cleaned["unit_cost"] = self.hour.cost
            else:
                self.add_error("unit_cost", _("Say what one costs: only an hour of labor may be left empty."))
        return cleaned


class OwnLineForm(OwnLine):
    text = forms.CharField(label=_("What"), max_length=200)
    kind = forms.ChoiceField(label=_("Kind"), choices=RateKind.choices, initial=RateKind.OTHER)
    room = forms.ModelChoiceField(
        label=_("Room"), queryset=Room.objects.none(), required=False, empty_label=_("the whole job")
    )
    quantity = _figure(label=_("Quantity"), places=3, most="999999999", initial=1, help_text=_("For labor: hours."))
    unit = forms.CharField(label=_("Unit"), max_length=20, required=False, initial=_("each"))
    unit_cost = _figure(label=_("Cost of one unit or hour"), places=4, most="99999999")
    allowance = forms.BooleanField(
        label=_("Allowance"),
        required=False,
        help_text=_("Not chosen yet: the client agrees to the amount, and what it cost is settled by a change order."),
    )

    def __init__(self, *args: Any, job: Job, hour: Hour | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = Room.objects.filter(job=job).in_the_offer()  # type: ignore[attr-defined]
        self.start_with(hour)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("allowance") and cleaned.get("kind") == RateKind.LABOR:
            self.add_error("allowance", _("Labor is no allowance: it is priced by its hours."))
        return cleaned


class AcceptForm(forms.Form):
    typed_name = forms.CharField(
        label=_("Your full name"),
        max_length=Acceptance._meta.get_field("typed_name").max_length,
        help_text=_("Typed here, it stands for your signature."),
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    # What js/signature.js drew: without it the typed name stands alone.
    strokes = forms.CharField(required=False, widget=forms.HiddenInput)
    agree = forms.BooleanField(
        label=_(
            "I have read this proposal and accept it: the work, the drawings, the total and what the price rests on."
        ),
        error_messages={"required": _("Tick this if you accept; otherwise ask us, or decline below.")},
    )

    def clean_strokes(self) -> Strokes | None:
        try:
            return strokes_from(self.cleaned_data["strokes"])
        except BadSignature as error:
            # A hidden field has no place of its own to say it at.
            self.add_error(None, str(error))
            return None


def _text(label: Any, longest: int, *, rows: int = 4, **more: Any) -> forms.CharField:
    return forms.CharField(label=label, max_length=longest, widget=forms.Textarea(attrs={"rows": rows}), **more)


class SendForm(forms.Form):
    to = forms.EmailField(label=_("To"))
    words = _text(
        _("Your own words"),
        WORDS_LENGTH,
        required=False,
        help_text=_("They stand above the link; greeting, link and your shop’s name are there already."),
    )


class AskForm(forms.Form):
    use_required_attribute = False
    """It shares its page's form with other questions: a browser would ask for it at each button."""

    question = _text(_("Your question"), QUESTION_LENGTH)


class AnswerForm(forms.Form):
    """The answer to one of the questions on a page: its field has an id of its own."""

    answer = _text(_("Your answer"), ANSWER_LENGTH, rows=3)

    def __init__(self, data: Mapping[str, Any] | None = None, *, question: Question) -> None:
        super().__init__(data, auto_id=f"id_{question.pk}_%s")


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label=_("What is the reason?"),
        max_length=300,
        required=False,
        help_text=_("It helps us to offer something better; you may leave it empty."),
    )


class WithdrawForm(forms.Form):
    reason = forms.CharField(label=_("Why it is withdrawn"), max_length=300)
