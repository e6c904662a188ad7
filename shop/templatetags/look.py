"""Template tags and filters of the base look: `{% load look %}`.

{% verdict "holds" %}                   shape and word: holds, fails, held, waived (also "can't tell")
{% verdict "fails" text=_("3/16 read") %}  another word beside the same shape
{% verdict "held" quiet=True %}         shape to be seen, word for screen readers only
{% field form.name %}                   label, input, help and errors, wired for screen readers
{% form_errors form %}                  summary of what is wrong, with links to the fields
{{ mm|length }}  {{ mm|length:"1/32" }} a length in mm shown in the shop's units, fraction set as one
{{ text|retold }}                       a sentence frozen in English, in the reader's language
{{ text|fractions }}                    a text with its fractions set as such (limits, findings)
{{ svg|on_paper }}                      a drawing of layout.drawing for a PDF: carries its own style
{{ mm|length_text }}                    the same without markup: for <title>, attributes, mail
{{ span|minutes }}                      a timedelta in whole minutes
{{ amount|money }}  {{ share|percent }} Decimal in the shop's currency; a share of 1 as percent
{% main_nav %}                          the office's navigation, for office.html only
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django import template
from django.conf import settings
from django.forms import BaseForm, BoundField, CheckboxInput
from django.template.defaultfilters import length as count_items
from django.urls import reverse
from django.utils import formats, translation
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from shop import retelling
from trade.lengths import format_length

if TYPE_CHECKING:
    from django.template.context import Context

register = template.Library()

SPRITE = Path(__file__).resolve().parents[2] / "static" / "img" / "marks.svg"

# state -> (shape in the sprite, the word that a person reads)
VERDICTS = {
    "holds": ("holds", pgettext_lazy("verdict of a check", "Holds")),
    "fails": ("fails", pgettext_lazy("verdict of a check", "Fails")),
    "held": ("held", pgettext_lazy("verdict of a check", "Held")),
    "waived": ("waived", pgettext_lazy("verdict of a check", "Waived")),
    "can't tell": ("held", pgettext_lazy("verdict of a check", "Can’t tell yet")),
}

# Currency signs in common use; a currency without one here is written with its ISO 4217 code. From memory.
SIGNS = {
    "USD": "$",
    "CAD": "$",
    "AUD": "$",
    "NZD": "$",
    "EUR": "€",
    "GBP": "£",
    "JPY": "¥",
}
SIGN_LEADS = (
    "en",
    "es",
)  # languages that write the sign before the figure in North America; from memory
# Currencies without minor unit (ISO 4217, exponent 0; from memory). All others are shown with two decimals.
NO_CENTS = {"JPY", "KRW", "CLP", "ISK", "VND"}

FRACTION = re.compile(r"(?<![\d/])(\d{1,3})/(\d{1,3})(?![\d/])")


def _settings() -> Any:
    """The shop's settings (units, currency, locale). Imported late: templates load before the models are ready."""
    from shop.queries import shop_settings

    return shop_settings()


# ---------------------------------------------------------------- verdicts


@cache
def _shape(name: str) -> str:
    """Inner SVG of one shape of the sprite: inline, so that it also shows offline and in PDFs."""
    found = re.search(
        rf'<symbol id="{name}" viewBox="0 0 18 18">(.*?)</symbol>',
        SPRITE.read_text(encoding="utf-8"),
    )
    if found is None:
        raise LookupError(f"{SPRITE.name} has no shape {name!r}")
    return found[1]


@register.simple_tag
def verdict(state: str, text: str = "", quiet: bool = False) -> SafeString:
    """Shape and word of a verdict. An unknown state raises ValueError: it is a mistake in the page."""
    try:
        shape, word = VERDICTS[str(state)]
    except KeyError:
        raise ValueError(f"no verdict {state!r}; one of {', '.join(VERDICTS)}") from None
    return format_html(
        '<span class="verdict is-{}">'
        '<svg class="mark" viewBox="0 0 18 18" aria-hidden="true" focusable="false">{}</svg>'
        '<span class="{}">{}</span></span>',
        shape,
        mark_safe(_shape(shape)),  # noqa: S308  our own file
        "unseen" if quiet else "word",
        text or word,
    )


# ---------------------------------------------------------------- forms


@register.inclusion_tag("_field.html")
def field(bound: BoundField) -> dict[str, Any]:
    """One form field. `kind`: box (checkbox before its label), group (radio or several boxes), line (the rest)."""
    if not isinstance(bound, BoundField):
        raise ValueError("{% field %} takes a field of a form; the form has none of this name")
    widget = bound.field.widget
    kind = "box" if isinstance(widget, CheckboxInput) else "group" if widget.use_fieldset else "line"
    return {
        "field": bound,
        "kind": kind,
        "marks_optional": not bound.field.required and kind == "line",
    }


@register.inclusion_tag("_form_errors.html")
def form_errors(form: BaseForm) -> dict[str, Any]:
    """Summary of a bound form's errors with a link to each field; empty when there are none."""
    lines = []
    for bound in form:
        # A group has no input of its own: the first choice takes the focus.
        target = bound.id_for_label or (f"{bound.auto_id}_0" if bound.auto_id else "")
        lines += [
            {
                "target": "" if bound.is_hidden else target,
                "label": bound.label,
                "text": e,
            }
            for e in bound.errors
        ]
    return {"general": form.non_field_errors(), "lines": lines}


# ---------------------------------------------------------------- numbers


def _decimal(value: Any) -> Decimal | None:
    if value is None or isinstance(value, bool) or value == "":
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def _length(value: Any, step: str) -> str:
    number = _decimal(value)
    if number is None:
        return ""
    return format_length(number, unit=_settings().units, step=Fraction(step))


@register.filter
def fractions(text: Any) -> SafeString:
    """Any text with its fractions set as such: `3/16` stays `3/16` to a screen reader and when copied.

    Dates and paths (`11/24/2026`, `a/1/2`) are left alone: two figures of at most three digits, no slash beside them.
    """
    marked = r'<span class="fr"><span class="up">\1</span>/<span class="dn">\2</span></span>'
    return mark_safe(FRACTION.sub(marked, str(conditional_escape(text))))  # noqa: S308  escaped before


@register.filter
def retold(text: str) -> str:
    """See shop.retelling."""
    return retelling.retold(text)


@register.filter(name="length")
def length(value: Any, step: str = "1/16") -> Any:
    """A number of mm in the shop's units, its fraction set as one; None gives nothing.

    Anything that has a length of its own (a list, a queryset, a text) is counted, as Django's filter of this name does.
    """
    if hasattr(value, "__len__"):
        return count_items(value)
    text = _length(value, step)
    if not text:
        return ""
    return format_html('<span class="len">{}</span>', fractions(text))


@register.filter
def length_text(value: Any, step: str = "1/16") -> str:
    """Like `length`, as plain text."""
    return _length(value, step)


@register.filter
def money(value: Any) -> str:
    """A Decimal in the shop's currency and locale, rounded half up to its minor unit; None gives nothing."""
    number = _decimal(value)
    if number is None:
        return ""
    shop = _settings()
    places = 0 if shop.currency in NO_CENTS else 2
    number = number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    minus = "\N{MINUS SIGN}" if number < 0 else ""
    figures = _localized(abs(number), places, shop.locale)
    sign = SIGNS.get(shop.currency, shop.currency)
    if shop.locale[:2] not in SIGN_LEADS:
        return f"{minus}{figures}\N{NO-BREAK SPACE}{sign}"
    return f"{minus}{sign}{'' if shop.currency in SIGNS else chr(0xA0)}{figures}"


@register.filter
def percent(value: Any, places: int = 1) -> str:
    """A share of 1 as percent with at most `places` decimals: 0.125 gives 12.5%; None gives nothing."""
    number = _decimal(value)
    if number is None:
        return ""
    number = (number * 100).quantize(Decimal(1).scaleb(-int(places)), rounding=ROUND_HALF_UP)
    whole = number == number.to_integral_value()
    minus = "\N{MINUS SIGN}" if number < 0 else ""
    return f"{minus}{_localized(abs(number), 0 if whole else int(places), _settings().locale)}%"


@register.filter
def minutes(value: timedelta | None) -> int:
    """A span of time in whole minutes, rounded up; none is 0."""
    return -(-int(value.total_seconds()) // 60) if value else 0


def _localized(number: Decimal, places: int, locale: str) -> str:
    with translation.override(translation.to_language(locale or settings.LANGUAGE_CODE)):
        return formats.number_format(number, decimal_pos=places, use_l10n=True, force_grouping=True)


# ---------------------------------------------------------------- drawings


@cache
def _drawing_style() -> str:
    """drawing.css with the tokens of document.css put in: WeasyPrint applies no page style inside an SVG."""
    folder = SPRITE.parents[1] / "css"
    tokens = dict(
        re.findall(
            r"--([\w-]+):\s*([^;]+);",
            (folder / "document.css").read_text(encoding="utf-8"),
        )
    )
    rules = re.sub(
        r"/\*.*?\*/",
        "",
        (folder / "drawing.css").read_text(encoding="utf-8"),
        flags=re.DOTALL,
    )
    rules = re.sub(r"svg(\.drawn)? (?=[.{])", lambda m: "svg " if m[1] else "", rules)
    return re.sub(r"var\(--([\w-]+)\)", lambda m: tokens[m[1]], rules)


@register.filter
def on_paper(svg: str) -> SafeString:
    """A drawing for a document: the same SVG with its style inside. Only for PDFs; a page's policy would refuse it.

    Raises ValueError for what is not one SVG element.
    """
    head = re.match(r"\s*<svg\b[^>]*>", svg)
    if head is None:
        raise ValueError("on_paper takes an SVG drawing")
    return mark_safe(f"{head[0]}<style>{_drawing_style()}</style>{svg[head.end() :]}")  # noqa: S308  drawn by layout


# ---------------------------------------------------------------- navigation


@dataclass(frozen=True)
class _Item:
    url: str
    name: Any
    apps: frozenset[str]  # apps whose other pages count as being here
    owner_only: bool = False


NAV = (
    _Item("home:week", gettext_lazy("Week"), frozenset()),
    _Item(
        "jobs:list",
        gettext_lazy("Jobs"),
        frozenset({"jobs", "rooms", "estimating", "inspections", "home"}),
    ),
    _Item("rooms:tiles", gettext_lazy("Tiles"), frozenset()),
    _Item("clients:list", gettext_lazy("Clients"), frozenset({"clients"})),
    _Item("callbacks:list", gettext_lazy("Callbacks"), frozenset({"callbacks"})),
    _Item("estimating:rates", gettext_lazy("Rates"), frozenset(), owner_only=True),
    _Item("shop:settings", gettext_lazy("Settings"), frozenset({"shop"}), owner_only=True),
    _Item("shop:staff", gettext_lazy("Staff"), frozenset(), owner_only=True),
)


def _here(context: Context) -> str:
    """Which navigation item the page belongs to: the context's `here` ("jobs:list"), else by the URL."""
    if named := context.get("here"):
        return str(named)
    match = getattr(context.get("request"), "resolver_match", None)
    if match is None:
        return ""
    if any(item.url == match.view_name for item in NAV):
        return str(match.view_name)
    if match.view_name.startswith("shop:staff"):
        return "shop:staff"
    if match.view_name.startswith("rooms:tile"):
        return "rooms:tiles"
    if match.view_name.startswith("estimating:rate"):
        return "estimating:rates"
    return next((item.url for item in NAV if match.app_name in item.apps), "")


@register.inclusion_tag("_nav.html", takes_context=True)
def main_nav(context: Context) -> dict[str, Any]:
    """The office's navigation: items that this person may open, the present one marked."""
    user = getattr(context.get("request"), "user", None)
    here, owner = _here(context), getattr(user, "role", "") == "owner"
    items = [
        {"url": reverse(item.url), "name": item.name, "here": item.url == here}
        for item in NAV
        if owner or not item.owner_only
    ]
    return {"items": items, "label": _("Main")}
