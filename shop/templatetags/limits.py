"""Measures in the shop's units: `{% load limits %}`.

{{ value|measured:"hours" }}      a figure of any unit there is, as a person reads it
"""

from decimal import Decimal

from django import template
from django.utils.formats import number_format
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from shop.queries import shop_settings
from shop.templatetags.look import length
from trade.lengths import inches

register = template.Library()

INCH_STEP = inches("1/64")
MM_STEP = Decimal("0.1")


@register.filter
def measured(value: Decimal, unit: str) -> str | SafeString:
    """A figure in its unit (trade.limit_figures.FigureUnit; `mm` is a length as well).

    A length that lies between the fractions of a tape was typed in mm: it is shown so.
    """
    if unit in ("length", "mm"):
        if shop_settings().units == "in" and value % INCH_STEP:
            return f"{_plain(value.quantize(MM_STEP))} mm"
        return length(value, "1/64")
    figures = _plain(round(value, 2))
    if unit == "hours":
        return _("%(hours)s hours") % {"hours": figures}
    if unit == "times":
        return _("%(times)s times") % {"times": figures}
    if unit == "part":
        return _("span / %(part)s") % {"part": figures}
    if unit == "coefficient":
        return figures
    if unit == "kg_m2":
        return _("%(weight)s kg/m²") % {"weight": figures}
    if unit == "lbf":
        return f"{figures} lbf"
    return f"{figures} %"


def _plain(value: Decimal) -> str:
    """No zeros that say nothing, the decimal sign of the shop's language."""
    return number_format(f"{value.normalize():f}", use_l10n=True)
