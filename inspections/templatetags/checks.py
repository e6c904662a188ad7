"""Readings and limits in the shop's units."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inspections.models import Check, CheckKind, Entry
from shop.queries import shop_settings
from shop.templatetags.look import length
from trade.lengths import inches

register = template.Library()

INCH_STEP = inches("1/64")
MM_STEP = Decimal("0.1")


def _figure(check: Check, value: str, *, rounding: str | None = None) -> str | SafeString:
    """A value as it is stored, in the shop's units: lengths, percent, hours.

    A bound is rounded to its safe side (`rounding`), so that what the card says is allowed does hold when it is read.
    A reading that lies between the fractions of a tape was typed in mm: it is shown so.
    """
    number = Decimal(value)
    if check.unit == "hours":
        return _("%(hours)s hours") % {"hours": f"{number.normalize():f}"}
    if check.unit != "mm":
        return f"{number.quantize(Decimal('0.01')).normalize():f} %"
    metric = shop_settings().units == "mm"
    if rounding:
        step = MM_STEP if metric else INCH_STEP
        number = (number / step).to_integral_value(rounding) * step
    elif not metric and number % INCH_STEP:
        return f"{number.quantize(MM_STEP).normalize():f} mm"
    return length(number, "1/64")


@register.filter
def allowed(check: Check) -> str | SafeString:
    """What the check allows: "at most 1/8 in"; empty where nothing is measured."""
    if not check.limit:
        return ""
    low, high = (
        bound is not None and _figure(check, bound, rounding=rounding)
        for bound, rounding in ((check.limit["low"], ROUND_CEILING), (check.limit["high"], ROUND_FLOOR))
    )
    if low and high:
        text = format_html(_("from {} to {}"), low, high)
    elif low:
        text = format_html(_("at least {}"), low)
    else:
        text = format_html(_("at most {}"), high)
    if check.unit == "percent" and check.kind != CheckKind.COVERAGE and shop_settings().units == "in":
        text = format_html("{} {}", text, _("(1/4 in per ft is 2 %)"))
    if check.limit["over"] == "mean":
        text = format_html(_("{}, the mean of {} or more"), text, check.limit["count"])
    return text


@register.filter
def readings(entry: Entry, check: Check) -> SafeString:
    """What was read; empty where nothing was measured."""
    figures = format_html_join(", ", "{}", ((_figure(check, value),) for value in entry.values))
    return format_html(_("read: {}"), figures) if entry.values else figures
