"""How rates and quantities read on a page: `{% load estimating %}`."""

from decimal import Decimal
from typing import Any

from django import template
from django.utils import formats
from django.utils.translation import gettext as _

from estimating import options
from estimating.catalogue import one_unit, unit_name
from estimating.models import EstimateLine, Rate
from estimating.options import Content
from estimating.signing import Strokes, svg_path
from shop.templatetags.look import money

register = template.Library()


def _plain(value: Decimal) -> str:
    """A number without the zeros that the database keeps behind it."""
    number = value.normalize()
    places = max(0, -int(number.as_tuple().exponent))
    return formats.number_format(number, decimal_pos=places, use_l10n=True, force_grouping=True)


@register.filter
def price(value: Decimal) -> str:
    """Money, with the third and fourth place where a rate has them: "$0.73 (0.725)"."""
    return money(value) if round(value, 2) == value else f"{money(value)} ({_plain(value)})"


@register.filter
def stroke_path(strokes: Strokes) -> str:
    """A drawn signature as an SVG path in a frame of 600 by 200."""
    return svg_path(strokes)


@register.filter
def options_asked(content: Content, choice: str | None = None) -> list[dict[str, Any]]:
    """The groups of a proposal's options, as picked in `choice`; without one as the content has it."""
    return options.asked(content, options.default_choice(content) if choice is None else choice)


@register.filter
def totals_told(content: Content) -> list[dict[str, Any]]:
    """What each choice of a proposal comes to, where a person would read them all."""
    return options.totals_told(content)


@register.filter
def steps_told(content: Content) -> list[dict[str, str]]:
    """The payment steps that are told choice by choice."""
    return options.steps_told(content)


@register.filter
def rate_text(rate: Rate, cost: Decimal | None = None) -> str:
    """ "$26.00 for 50 lb", "$62.00 an hour, 0.15 hours per sq ft". `cost`: what it came to on a job, where an hour is
    that of the people there."""
    figures = {"price": price(rate.cost if cost is None else cost), "unit": one_unit(rate.unit)}
    if rate.hours is not None:
        said = _("%(price)s an hour, %(hours)s hours per %(unit)s")
        if rate.by_people and cost is None:
            said = _("the people’s hour (else %(price)s), %(hours)s hours per %(unit)s")
        return ", ".join([said % {**figures, "hours": _plain(rate.hours)}, *_more_of_labor(rate)])
    if rate.package is not None:
        package = f"{_plain(rate.package)} {unit_name(rate.unit)}"
        return _("%(price)s for %(package)s") % {**figures, "package": package}
    return _("%(price)s per %(unit)s") % figures


def _more_of_labor(rate: Rate) -> list[str]:
    more = []
    if rate.hours_low is not None and rate.hours_high is not None:
        more.append(
            _("%(low)s at best, %(high)s at worst") % {"low": _plain(rate.hours_low), "high": _plain(rate.hours_high)}
        )
    if rate.setup_hours:
        more.append(_("%(hours)s hours to set up") % {"hours": _plain(rate.setup_hours)})
    if rate.crew > 1:
        more.append(_("%(persons)s persons at it") % {"persons": rate.crew})
    return more


@register.filter
def quantity_text(line: EstimateLine) -> str:
    """ "90.4 lb", "112 sq ft", "1 trip": to a hundredth, where the row holds a thousandth."""
    name = one_unit(line.unit) if line.quantity == 1 and line.unit != "each" else unit_name(line.unit)
    return f"{_plain(round(line.quantity, 2))} {name}"


@register.filter
def bought_text(line: EstimateLine) -> str:
    """What is paid for where it isn't the quantity itself: "2 × 50 lb", "8.2 h"; else nothing."""
    if line.packages is not None and line.rate and line.rate.package:
        return f"{line.packages} \N{MULTIPLICATION SIGN} {_plain(line.rate.package)} {unit_name(line.unit)}"
    if line.hours is not None and line.hours != line.quantity:
        return _("%(hours)s h") % {"hours": _plain(line.hours)}
    return ""


@register.filter
def plain(value: Decimal | None) -> str:
    return "" if value is None else _plain(value)


@register.filter
def unit(value: str) -> str:
    return unit_name(value)
