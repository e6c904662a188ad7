"""Readings and limits in the shop's units."""

from decimal import Decimal

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inspections.models import Check, CheckKind, Entry
from shop.templatetags.look import length

register = template.Library()


def _value(check: Check, value: str) -> str | SafeString:
    """A value as it is stored, in the shop's units: mm through the length filter, percent as it is, hours in words."""
    number = Decimal(value)
    if check.unit == "mm":
        return length(number, "1/32")
    if check.unit == "hours":
        return _("%(hours)s hours") % {"hours": f"{number.normalize():f}"}
    return f"{number.quantize(Decimal('0.1')).normalize():f} %"


@register.filter
def allowed(check: Check) -> str | SafeString:
    """What the check allows: "at most 1/8 in"; empty where nothing is measured."""
    if not check.limit:
        return ""
    low, high = check.limit.get("low"), check.limit.get("high")
    if low is not None and high is not None:
        text = format_html(_("from {} to {}"), _value(check, low), _value(check, high))
    elif low is not None:
        text = format_html(_("at least {}"), _value(check, low))
    else:
        text = format_html(_("at most {}"), _value(check, high))
    if check.unit == "percent" and check.kind != CheckKind.COVERAGE and low is not None:
        text = format_html("{} {}", text, _("(1/4 in per ft is 2 %)"))
    if check.limit.get("over") == "mean":
        text = format_html(_("{}, the mean of {} or more"), text, check.limit["count"])
    return text


@register.filter
def entered(entry: Entry, check: Check) -> str | SafeString:
    """What an entry says, in short."""
    if entry.values:
        return format_html(_("you read {}"), SafeString(", ".join(str(_value(check, value)) for value in entry.values)))
    return ""
