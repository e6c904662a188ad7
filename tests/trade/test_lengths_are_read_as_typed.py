"""What people type, and what is said to them when it can't be read."""

import copy
from decimal import Decimal

import pytest

from trade.lengths import LengthError, feet, inches, parse_length

IN_INCHES = [
    ("63", "1600.2"),
    ("63 1/2", "1612.9"),
    ("63-1/2", "1612.9"),
    ("63 1/2 in", "1612.9"),
    ("63½", "1612.9"),
    ("63 ½\u201d", "1612.9"),
    ("63.5", "1612.9"),
    ("63,5", "1612.9"),
    (".5", "12.7"),
    ("0,125", "3.175"),
    ("1/8", "3.175"),
    ("-1/8", "-3.175"),
    ("- 1/8", "-3.175"),
    ("\u2212⅛", "-3.175"),
    ("+1/8", "3.175"),
    ("1/64", "0.396875"),
    ("5/4", "31.75"),
    ("0", "0"),
    ("-0", "0"),
]
WITH_UNIT = [
    ("5' 3 1/2\"", "1612.9"),
    ("5'-3 1/2\"", "1612.9"),
    ("5'\u20133½\"", "1612.9"),
    ("5\u2019 3 1/2\u201d", "1612.9"),
    ("5\u20323½\u2033", "1612.9"),
    ("5' 3 1/2''", "1612.9"),
    ("5' 3", "1600.2"),
    ("5'3.5", "1612.9"),
    ("5 ft 3 in", "1600.2"),
    ("5ft3in", "1600.2"),
    ("5 ft. 3 in.", "1600.2"),
    ("5 FEET 3 Inches", "1600.2"),
    ("1 foot 1 inch", "330.2"),
    ("5'", "1524"),
    ("5.5'", "1676.4"),
    ("5 1/2 ft", "1676.4"),
    ("5' 1/2\"", "1536.7"),
    ("5'-1/2", "1536.7"),
    ("-5' 3\"", "-1600.2"),
    ("0' 3\"", "76.2"),
    ('⅜"', "9.525"),
    ("⅝ in", "15.875"),
    ('¼"', "6.35"),
    ('¾"', "19.05"),
    ('⅞"', "22.225"),
    ('1\u20448"', "3.175"),
    ("1602 mm", "1602"),
    ("1602mm", "1602"),
    ("1602.5 mm", "1602.5"),
    ("160.2 cm", "1602"),
    ("1.2 m", "1200"),
    ("1,2 m", "1200"),
    ("1,25 M", "1250"),
    ("  1602\u00a0mm ", "1602"),
    ("-3 mm", "-3"),
]


@pytest.mark.parametrize(("typed", "mm"), IN_INCHES)
def test_a_bare_number_is_in_inches_where_the_shop_says_inches(typed: str, mm: str) -> None:
    assert parse_length(typed, unit="in") == Decimal(mm)


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(("typed", "mm"), WITH_UNIT)
def test_a_length_with_its_unit_is_the_same_in_every_shop(typed: str, mm: str, unit) -> None:
    assert parse_length(typed, unit=unit) == Decimal(mm)


@pytest.mark.parametrize(("typed", "mm"), [("1602", "1602"), ("3,5", "3.5"), ("0.5", "0.5"), ("-2", "-2")])
def test_a_bare_number_is_in_mm_where_the_shop_says_mm(typed: str, mm: str) -> None:
    assert parse_length(typed, unit="mm") == Decimal(mm)


@pytest.mark.parametrize(("typed", "mm"), [("1/8", "3.175"), ("63 1/2", "1612.9")])
def test_a_fraction_is_in_inches_even_where_the_shop_says_mm(typed: str, mm: str) -> None:
    assert parse_length(typed, unit="mm") == Decimal(mm)


def test_every_length_has_six_places_and_zero_has_no_sign() -> None:
    for typed in ("63", "1/3", "-0", "1602 mm"):
        parsed = parse_length(typed)
        assert parsed.as_tuple().exponent == -6
        assert str(parsed).startswith("-") is False


def test_numbers_from_a_file_are_what_was_written_there() -> None:
    assert parse_length(11.8125, unit="in") == Decimal("300.0375")
    assert parse_length(0.1, unit="mm") == Decimal("0.1")
    assert parse_length(60, unit="in") == Decimal(1524)
    assert parse_length(Decimal("2.5"), unit="mm") == Decimal("2.5")
    assert parse_length(1e-3, unit="mm") == Decimal("0.001")


def test_the_inch_is_25_4_mm_exactly() -> None:
    # International yard and pound agreement, 1959: 1 yd = 0.9144 m.
    assert inches(36) == Decimal("914.4")
    assert feet(3) == Decimal("914.4")
    assert feet(10) == Decimal(3048)
    assert inches("1/64") == Decimal("0.396875")


REFUSED = [
    ("", "There is no length here"),
    ("   ", "There is no length here"),
    ("1/2/3", "two slashes"),
    ("1½/2", "two slashes"),
    ("1/0", "divides by zero"),
    ("63 1/0", "divides by zero"),
    ("5' 14\"", "Type it as 6' 2\""),
    ("-5' 12\"", "Type it as -6' 0\""),
    ("63 5/4", "one inch or more"),
    ("63 4/4", "one inch or more"),
    ("5.5' 3\"", "Type whole feet before inches"),
    ("5 1/2' 3\"", "Type whole feet before inches"),
    ("5 3", "two numbers"),
    ("5-3", "two numbers"),
    ("1,200 mm", "Type 1.200 or 1200"),
    ("63,500", "comma could be a decimal or thousands"),
    ("1/2 m", "fraction with a metric unit"),
    ("nan", "can't be read"),
    ("inf", "can't be read"),
    ("-Infinity", "can't be read"),
    ("1e3", "can't be read"),
    ("0x10", "can't be read"),
    ("1_000", "can't be read"),
    ("٣", "can't be read"),
    ("five feet", "can't be read"),
    ("5 km", "can't be read"),
    ("5'-", "can't be read"),
    ("'", "can't be read"),
    ('"', "can't be read"),
    ("--5", "can't be read"),
    ("5' -3 -1/2", "can't be read"),
    ("5' 3' 2\"", "can't be read"),
    ("3\" 5'", "can't be read"),
    ("5 m 3 cm", "can't be read"),
    ("1.234,5 mm", "can't be read"),
    ("1,234.5 mm", "can't be read"),
    ("1001 m", "longer than 1 km"),
    ("-1001 m", "longer than 1 km"),
    ("9" * 59, "longer than 1 km"),
    ("9" * 100_000, "can't be read"),
    ("1 " * 100_000, "can't be read"),
    ("\x00", "can't be read"),
]


@pytest.mark.parametrize("unit", ["in", "mm"])
@pytest.mark.parametrize(("typed", "says"), REFUSED, ids=lambda value: ascii(value)[:20])
def test_what_cannot_be_read_says_why_and_what_to_type(typed: str, says: str, unit) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(typed, unit=unit)
    assert says in str(caught.value)
    assert any(word in str(caught.value).lower() for word in ("type", "look at", "mark feet"))
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize("number", [float("nan"), float("inf"), Decimal("NaN"), Decimal("-Infinity"), True, 1e300])
def test_a_number_that_is_no_length_is_refused(number) -> None:
    with pytest.raises(LengthError):
        parse_length(number, unit="mm")


def test_one_kilometer_is_still_a_length() -> None:
    assert parse_length("1000 m") == Decimal(1_000_000)
    with pytest.raises(LengthError):
        parse_length("1000000.1 mm")


def test_an_error_keeps_its_template_for_translation_and_survives_pickling() -> None:
    with pytest.raises(LengthError) as caught:
        parse_length("1/0")
    error = copy.copy(caught.value)  # goes the way of pickling, as between worker processes
    assert error.template % error.params == str(caught.value)
    assert error.params == {"text": "1/0"}
    assert isinstance(error, ValueError)
