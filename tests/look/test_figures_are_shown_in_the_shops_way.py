"""Lengths, money and shares as the shop's settings want them."""

from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.template import Context, Template
from django.utils.html import strip_tags

from shop.templatetags import look


def render(source: str, **context: object) -> str:
    return Template("{% load look %}" + source).render(Context(context))


def test_a_length_is_shown_in_inches_with_its_fraction_set_as_one() -> None:
    # 25.4 mm to the inch exactly (NIST SP 811, appendix B.8): 63.5 in = 1612.9 mm.
    html = render("{{ mm|length }}", mm=Decimal("1612.9"))
    assert strip_tags(html) == "63 1/2&quot;"
    assert '<span class="up">1</span>/<span class="dn">2</span>' in html


def test_a_length_is_shown_in_millimeters_where_the_shop_measures_so(
    shop: SimpleNamespace,
) -> None:
    shop.units = "mm"
    assert strip_tags(render("{{ mm|length }}", mm=Decimal("1612.9"))) == "1612.9 mm"


def test_a_finer_step_is_taken_where_asked() -> None:
    assert strip_tags(render('{{ mm|length:"1/32" }}', mm=Decimal("0.79375"))) == "1/32&quot;"


def test_length_still_counts_lists_and_texts() -> None:
    assert render("{{ a|length }} {{ b|length }} {{ c|length }}", a=[1, 2, 3], b="tile", c={}) == "3 4 0"


def test_nothing_is_shown_for_a_length_that_was_not_measured() -> None:
    assert render("{{ mm|length }}{{ mm|length_text }}{{ mm|money }}{{ mm|percent }}", mm=None) == ""
    assert render("{{ mm|length }}", mm=Decimal("NaN")) == ""


def test_a_plain_length_has_no_markup() -> None:
    assert look.length_text(Decimal("1612.9")) == '63 1/2"'


@pytest.mark.parametrize(
    ("text", "set_as_fraction"),
    [
        ('at least 1/4" in 1 ft', 1),
        ("1/8 or 3/16", 2),
        ("11/24/2026", 0),
        ("a/b", 0),
        ("2/3/4", 0),
        ("1/1000", 0),
    ],
)
def test_fractions_in_a_text_are_found_and_dates_are_not(text: str, set_as_fraction: int) -> None:
    html = look.fractions(text)
    assert html.count('class="fr"') == set_as_fraction
    assert strip_tags(html).replace("&quot;", '"') == text


def test_a_text_with_fractions_is_escaped_first() -> None:
    assert "<script>" not in look.fractions("<script>1/2</script>")


@pytest.mark.parametrize(
    ("amount", "shown"),
    [
        (Decimal("12345.675"), "$12,345.68"),
        (Decimal("0.004"), "$0.00"),
        (Decimal("-12.5"), "−$12.50"),
        (Decimal("-0.001"), "$0.00"),
        (Decimal("1234567890.10"), "$1,234,567,890.10"),
    ],
)
def test_money_is_grouped_and_rounded_half_up(amount: Decimal, shown: str) -> None:
    assert look.money(amount) == shown


@pytest.mark.parametrize(
    ("currency", "locale", "shown"),
    [
        ("CAD", "en-us", "$1,234.50"),
        ("CAD", "en-ca", "$1\N{NO-BREAK SPACE}234.50"),
        ("EUR", "de", "1.234,50\N{NO-BREAK SPACE}€"),
        ("CHF", "en-us", "CHF\N{NO-BREAK SPACE}1,234.50"),
        ("JPY", "en-us", "¥1,235"),  # ISO 4217: no minor unit
    ],
)
def test_money_follows_currency_and_locale(shop: SimpleNamespace, currency: str, locale: str, shown: str) -> None:
    shop.currency, shop.locale = currency, locale
    assert look.money(Decimal("1234.50")) == shown


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        ("0.125", "12.5%"),
        ("0.95", "95%"),
        ("1", "100%"),
        ("-0.02", "−2%"),
        ("0.33333", "33.3%"),
        ("0", "0%"),
    ],
)
def test_a_share_is_shown_as_percent(share: str, shown: str) -> None:
    assert look.percent(Decimal(share)) == shown
