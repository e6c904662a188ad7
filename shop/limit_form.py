"""The form that sets one limit, typed in the shop's units."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from fractions import Fraction
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.models import LimitChange
from shop.templatetags.limits import measured
from trade.lengths import (
    SIXTY_FOURTH,
    LengthError,
    Unit,
    format_length,
    parse_length,
    plain_decimal,
    slope_run_mm,
)
from trade.limit_figures import Figure

HUNDREDTH = Decimal("0.01")


class LimitForm(forms.Form):
    """`value` in the figure's unit, and why; `seen` is the number of the change that the form was opened on. With the
    button `back` the value doesn't count."""

    value = forms.CharField(
        label=gettext_lazy("This shop’s limit"),
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Type the limit.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=300,
        help_text=gettext_lazy(
            "It stands beside the limit for good: a product’s instructions, a code, what came back."
        ),
        error_messages={"required": gettext_lazy("Say why: whoever reads a verdict later asks.")},
    )
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(
        self, data: Any = None, *, figure: Figure, units: Unit, newest: LimitChange | None, **kwargs: Any
    ) -> None:
        self.figure, self.units = figure, units
        self.back = data is not None and "back" in data
        own = newest.value if newest else None
        initial = {
            "value": "" if own is None else typed(own, figure=figure, units=units),
            "seen": newest.number if newest else 0,
        }
        super().__init__(data, initial=initial, **kwargs)
        self.fields["value"].required = not self.back
        self.fields["value"].help_text = self._help()

    def look_again(self, newest: LimitChange | None) -> None:
        """What was typed, on top of what somebody set in the meantime."""
        data = cast(QueryDict, self.data).copy()
        data["seen"] = str(newest.number if newest else 0)
        self.data = data

    def clean_value(self) -> Decimal | None:
        if self.back:
            return None
        figure = self.figure
        try:
            value = read(self.cleaned_data["value"], figure=figure, units=self.units)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        if not figure.lowest <= value <= figure.highest:
            low, high = measured(figure.lowest, figure.unit), measured(figure.highest, figure.unit)
            raise forms.ValidationError(
                format_html(_("That can’t be meant: this limit lies between {} and {}."), low, high)
            )
        return value

    def _help(self) -> str:
        """How to type it, and from where on it is looser than its source."""
        figure, inch = self.figure, self.units == "in"
        how = {
            "length": _("In inches, like 1/8, or like 3 mm.") if inch else _("In millimeters, like 3."),
            "percent": _("In percent, like 90, or a share, like 1/3."),
            "slope": _("In inches in 1 ft, like 1/4, or like 2 %.") if inch else _("In mm in 1 m, like 20, or 2 %."),
            "hours": _("In hours, like 48."),
            "times": _("A number, like 3."),
            "part": _("A number, like 360."),
            "coefficient": _("A number, like 0.42."),
            "lbf": _("In pounds of force, like 250."),
            "kg_m2": _("In kilograms on a square meter, like 32."),
        }[figure.unit]
        more = _("More than {} is looser than the source: it lets more pass.")
        less = _("Less than {} is looser than the source: it lets more pass.")
        looser = more if figure.looser == "above" else less
        return format_html("{} {}", how, format_html(looser, measured(figure.default, figure.unit)))


def read(text: str, *, figure: Figure, units: Unit) -> Decimal:
    """A limit as it was typed, in the figure's unit. Raises ValueError that says what to type."""
    text = text.strip()
    if figure.unit == "length" or (figure.unit == "slope" and not text.endswith("%")):
        try:
            length = parse_length(text, unit=units)
        except LengthError as error:
            raise ValueError(_(error.template) % error.params) from error
        if figure.unit == "length":
            return length
        # A reading of 1/4 in per ft (2.083 percent) must meet a limit of 1/4 in per ft that is shown as 2.08 percent.
        rounding = ROUND_FLOOR if figure.looser == "below" else ROUND_CEILING
        return (length / slope_run_mm(units) * 100).quantize(HUNDREDTH, rounding)
    if figure.unit == "percent" and text.count("/") == 1:
        return _share(text)
    return _number(text.rstrip("%").strip(), shown=text)


def typed(value: Decimal, *, figure: Figure, units: Unit) -> str:
    """A limit as it would be typed: read again it is the same."""
    if figure.unit == "slope":
        return f"{value.normalize():f} %"
    if figure.unit != "length":
        return f"{value.normalize():f}"
    text = format_length(value, unit=units, step=SIXTY_FOURTH)
    return text if parse_length(text, unit=units) == value else f"{value.normalize():f} mm"


def _share(text: str) -> Decimal:
    try:
        percent = Fraction(text.replace(" ", "")) * 100
    except (ValueError, ZeroDivisionError):
        raise ValueError(_unreadable(text)) from None
    return (Decimal(percent.numerator) / percent.denominator).quantize(HUNDREDTH)


def _number(text: str, *, shown: str) -> Decimal:
    try:
        return plain_decimal(text)
    except ValueError:
        raise ValueError(_unreadable(shown)) from None


def _unreadable(text: str) -> str:
    return _("“%(text)s” can't be read as a number. Type it like 48 or 2.5.") % {"text": text}
