"""Formatting, rounding, and the way back."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade.lengths import (
    SIXTEENTH,
    SIXTY_FOURTH,
    THIRTY_SECOND,
    LengthError,
    format_length,
    parse_length,
    round_to_fraction,
)

# A little under 1 km, so that rounding up stays a length.
LENGTHS = st.integers(min_value=-999_990_000_000, max_value=999_990_000_000).map(lambda n: Decimal(n).scaleb(-6))
STEPS = st.sampled_from([SIXTEENTH, THIRTY_SECOND, SIXTY_FOURTH])


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        ("1612.9", '63 1/2"'),
        ("3.175", '1/8"'),
        ("-3.175", '-1/8"'),
        ("25.4", '1"'),
        ("0", '0"'),
        ("0.3", '0"'),
        ("-0.3", '0"'),
        ("7.9375", '5/16"'),
        ("304.8", '12"'),
        ("3046.4125", '119 15/16"'),
        ("3047.9", "10' 0\""),
        ("3048", "10' 0\""),
        ("3746.5", "12' 3 1/2\""),
        ("-3746.5", "-12' 3 1/2\""),
        ("3060.7", "10' 0 1/2\""),
    ],
)
def test_inches_stand_as_fractions_and_as_feet_from_ten_feet_up(mm: str, shown: str) -> None:
    assert format_length(Decimal(mm), unit="in") == shown


def test_feet_can_be_asked_for_or_refused() -> None:
    assert format_length(Decimal("1612.9"), unit="in", feet=True) == "5' 3 1/2\""
    assert format_length(Decimal("88.9"), unit="in", feet=True) == '3 1/2"'
    assert format_length(Decimal("3746.5"), unit="in", feet=False) == '147 1/2"'


@pytest.mark.parametrize(
    ("mm", "shown"),
    [("1602", "1602 mm"), ("1602.04", "1602 mm"), ("1602.05", "1602.1 mm"), ("-0.04", "0 mm"), ("-3.175", "-3.2 mm")],
)
def test_millimeters_have_one_decimal_where_they_need_it(mm: str, shown: str) -> None:
    assert format_length(Decimal(mm), unit="mm") == shown


def test_halves_round_away_from_zero_whatever_the_type() -> None:
    half = Decimal("0.79375")  # 1/32 in, half a sixteenth
    for value in (half, float(half)):
        assert round_to_fraction(value) == Fraction(1, 16)
        assert round_to_fraction(-value) == -Fraction(1, 16)
        assert round_to_fraction(value, step=THIRTY_SECOND) == Fraction(1, 32)
    assert round_to_fraction(Decimal("0.793749")) == 0


def test_noise_of_a_double_does_not_turn_a_half() -> None:
    assert 0.1 + 0.2 != 0.3  # the noise meant here
    assert round_to_fraction(0.79375 - 1e-13) == Fraction(1, 16)


def test_32nds_are_shown_where_asked() -> None:
    assert format_length(Decimal("3.96875"), unit="in", step=THIRTY_SECOND) == '5/32"'


@pytest.mark.parametrize("value", [float("nan"), float("inf"), Decimal("NaN")])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_what_is_no_number_is_not_shown_as_one(value, unit) -> None:
    with pytest.raises(LengthError):
        format_length(value, unit=unit)


def test_an_unknown_unit_or_a_step_of_nothing_is_a_mistake_in_the_code() -> None:
    with pytest.raises(ValueError, match="unit"):
        format_length(1, unit="ft")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="step"):
        round_to_fraction(1, step=Fraction(0))


@given(mm=LENGTHS, step=STEPS, feet=st.sampled_from([None, True, False]), shop=st.sampled_from(["in", "mm"]))
def test_every_length_shown_in_inches_reads_back_to_within_half_a_step(mm, step, feet, shop) -> None:
    shown = format_length(mm, unit="in", step=step, feet=feet)
    assert "." not in shown
    back = parse_length(shown, unit=shop)
    assert abs(Fraction(back) - Fraction(mm)) <= step * Fraction(254, 10) / 2
    assert format_length(back, unit="in", step=step, feet=feet) == shown


@given(mm=LENGTHS)
def test_every_length_shown_in_mm_reads_back_to_within_half_a_tenth(mm) -> None:
    shown = format_length(mm, unit="mm")
    assert abs(parse_length(shown, unit="in") - mm) <= Decimal("0.05")


@given(sixty_fourths=st.integers(min_value=-2_000_000, max_value=2_000_000))
def test_every_sixty_fourth_of_an_inch_is_kept_exactly(sixty_fourths: int) -> None:
    sign = "-" if sixty_fourths < 0 else ""
    whole, part = divmod(abs(sixty_fourths), 64)
    parsed = parse_length(f"{sign}{whole} {part}/64")
    assert Fraction(parsed) == Fraction(sixty_fourths, 64) * Fraction(254, 10)
    assert round_to_fraction(parsed, step=SIXTY_FOURTH) == Fraction(sixty_fourths, 64)


@given(
    feet=st.integers(0, 3000),
    inches=st.integers(0, 11),
    part=st.sampled_from(["", " 1/2", " 15/16", "½", " ⅛", "-3/4"]),
    feet_mark=st.sampled_from(["'", "\u2019", "\u2032", " ft", "ft.", " feet"]),
    between=st.sampled_from([" ", "-", " - ", "  "]),
    inch_mark=st.sampled_from(["", '"', "\u201d", "\u2033", "''", " in", " in.", " inches"]),
)
def test_feet_and_inches_read_alike_however_they_are_marked(feet, inches, part, feet_mark, between, inch_mark) -> None:
    value = {"": 0, " 1/2": 0.5, " 15/16": 0.9375, "½": 0.5, " ⅛": 0.125, "-3/4": 0.75}[part]
    parsed = parse_length(f"{feet}{feet_mark}{between}{inches}{part}{inch_mark}", unit="mm")
    assert parsed == Decimal(str(feet * 12 + inches + value)) * Decimal("25.4")


@given(text=st.text(max_size=80) | st.text(alphabet="0123456789 '\"/-.,½ftinmc", max_size=20))
def test_anything_typed_is_a_length_or_a_clear_refusal(text: str) -> None:
    try:
        parsed = parse_length(text)
    except LengthError as error:
        said = str(error)
    else:
        said = format_length(parsed, unit="in")
        assert abs(parsed) <= 1_000_000
    assert said
    assert "%(" not in said or "%(" in text
