"""Figures as people and spreadsheets write them."""

from decimal import Decimal

import pytest
from django.utils import translation

from base.tables import NoFigure, figure_from, figure_text


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("26", "26"),
        ("26.50", "26.50"),
        ("$1,234.50", "1234.50"),
        ("1.234,50 €", "1234.50"),
        ("1\N{NARROW NO-BREAK SPACE}234,5", "1234.5"),
        ("1'234.5", "1234.5"),
        ("12,5", "12.5"),
        ("0,125", "0.125"),
        ("1,234", "1234"),
        ("1.234", "1.234"),
        ("1,234,567", "1234567"),
        ("1.234.567", "1234567"),
        (".5", "0.5"),
        ("-3", "-3"),
        ("\N{MINUS SIGN}$3", "-3"),
    ],
)
def test_a_figure_is_read_however_it_is_written(text, number):
    with translation.override("en-us"):
        assert figure_from(text) == Decimal(number)


# Where the decimal mark is a comma: common practice in Spain, as Django's formats have it.
@pytest.mark.parametrize(("text", "number"), [("1,234", "1.234"), ("1.234", "1234"), ("26.50", "26.50")])
def test_one_mark_before_three_digits_is_read_as_the_language_has_it(text, number):
    with translation.override("es-es"):
        assert figure_from(text) == Decimal(number)


@pytest.mark.parametrize(
    "text",
    ["", "abc", "12 50", "12.5.3", "1,23,4", "1e9", "(12)", "26 per bag", "NaN", "inf", "12.", "--1", "١٢", "1,2.3,4"],
)
def test_what_is_no_figure_or_two_is_refused(text):
    with translation.override("en-us"), pytest.raises(NoFigure):
        figure_from(text)


@pytest.mark.parametrize("language", ["en-us", "es-es"])
@pytest.mark.parametrize("number", ["0", "26", "26.5", "1.234", "1234.5", "0.0001", "999999.9999"])
def test_what_is_written_is_read_back(language, number):
    with translation.override(language):
        assert figure_from(figure_text(Decimal(number))) == Decimal(number)
        assert figure_from(figure_text(float(number))) == Decimal(number)


def test_a_float_has_the_digits_that_a_spreadsheet_shows():
    with translation.override("en-us"):
        assert figure_text(0.1 + 0.2) == "0.3"
