"""Areas, volumes, masses and temperatures: what is typed, what is shown, and the way back."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade import units
from trade.lengths import parse_length
from trade.units import UnitError

READERS = {
    "area": (units.parse_area, units.format_area),
    "volume": (units.parse_volume, units.format_volume),
    "mass": (units.parse_mass, units.format_mass),
    "temperature": (units.parse_temperature, units.format_temperature),
}
SHOPS = st.sampled_from(["in", "mm"])


@pytest.mark.parametrize(
    ("what", "text", "kept"),
    [
        # The inch is 25.4 mm and the pound 0.45359237 kg (1959); the gallon is 231 cubic inches, so 3.785411784 L.
        ("area", "1 sq ft", "0.09290304"),
        ("area", "1 ft²", "0.09290304"),
        ("area", "48 1/2 sq. ft.", "4.50579744"),
        ("area", "48½ square feet", "4.50579744"),
        ("area", "1 sq yd", "0.83612736"),
        ("area", "144 sq in", "0.09290304"),
        ("area", "4.5 m²", "4.5"),
        ("area", "4,5 m2", "4.5"),
        ("area", "2500 cm^2", "0.25"),
        ("volume", "1 gal", "3.785411784"),
        ("volume", "4 qt", "3.785411784"),
        ("volume", "1 gal 2 qt", "5.678117676"),
        ("volume", "128 fl oz", "3.785411784"),
        ("volume", "1 cu ft", "28.316846592"),
        ("volume", "750 mL", "0.75"),
        ("volume", "½ L", "0.5"),
        ("volume", "0.2 m³", "200"),
        ("mass", "50 lb", "22.6796185"),
        ("mass", "50 lbs.", "22.6796185"),
        ("mass", "16 oz", "0.45359237"),
        ("mass", "3 lb 8 oz", "1.587573295"),
        ("mass", "2 kg 500 g", "2.5"),
        ("mass", "22.7kg", "22.7"),
        ("temperature", "70 °F", "70"),
        ("temperature", "70f", "70"),
        ("temperature", "21 °C", "69.8"),
        ("temperature", "-40 C", "-40"),
        ("temperature", "0º c", "32"),
        ("temperature", "−5 °C", "23"),
    ],
)
def test_units_are_their_definitions(what: str, text: str, kept: str) -> None:
    for shop in ("in", "mm"):
        assert READERS[what][0](text, unit=shop) == Decimal(kept)


@pytest.mark.parametrize(
    ("what", "inches", "metric"),
    [("area", "0.92903040", "10"), ("volume", "37.85411784", "10"), ("mass", "4.5359237", "10")],
)
@pytest.mark.parametrize("typed", ["10", 10, 10.0, Decimal(10)])
def test_a_number_alone_is_in_the_shops_units(what: str, inches: str, metric: str, typed) -> None:
    assert READERS[what][0](typed, unit="in") == Decimal(inches)
    assert READERS[what][0](typed, unit="mm") == Decimal(metric)


def test_degrees_alone_are_the_shops() -> None:
    assert units.parse_temperature("50") == 50
    assert units.parse_temperature("50°") == 50
    assert units.parse_temperature(10, unit="mm") == 50
    assert units.parse_temperature("10 degrees", unit="mm") == 50


@pytest.mark.parametrize(
    ("what", "text", "said"),
    [
        ("area", "", "There is no area here"),
        ("area", "twelve", "can't be read as an area"),
        ("area", "48 ft", "doesn't measure an area"),
        ("area", "10 x 12", "can't be read as an area"),
        ("area", "1,200 sq ft", "Type 1.200 or 1200."),
        ("area", "-3 sq ft", "less than nothing"),
        ("area", "2 1/0 sq ft", "divides by zero"),
        ("area", "2 3/2 sq ft", "one or more"),
        ("area", "99999999 m²", "more than any job"),
        ("volume", "12 oz", "doesn't measure a volume"),
        ("volume", "2 qt 1 gal", "don't belong together"),
        ("volume", "1 gal 5 qt", "don't belong together"),
        ("mass", "3 lb 20 oz", "don't belong together"),
        ("mass", "3 1/2 lb 4 oz", "don't belong together"),
        ("mass", "3 lb 8", "don't belong together"),
        ("mass", "3 8", "don't belong together"),
        ("mass", "5 stone", "can't be read as a weight"),
        ("mass", "5 kg 3 oz", "don't belong together"),
        ("mass", float("nan"), "is not a number"),
        ("mass", True, "is not a number"),
        ("mass", "1e5 kg", "can't be read"),
        ("temperature", "451 °F", "°F or °C?"),
        ("temperature", "70 kg", "doesn't measure a temperature"),
        ("temperature", "70 °K", "can't be read as a temperature"),
    ],
)
def test_what_cant_be_read_says_why_and_what_to_type(what: str, text, said: str) -> None:
    with pytest.raises(UnitError) as caught:
        READERS[what][0](text)
    assert said in str(caught.value)
    assert "%(" not in str(caught.value)


@pytest.mark.parametrize(
    ("what", "kept", "unit", "shown"),
    [
        ("area", "4.50579744", "in", "48.5 sq ft"),
        ("area", "0.04645152", "in", "72 sq in"),
        ("area", "4.5", "mm", "4.5 m²"),
        ("area", "0.025", "mm", "250 cm²"),
        ("area", "0", "in", "0 sq ft"),
        ("volume", "9.46352946", "in", "2.5 gal"),
        ("volume", "2.839058838", "in", "3 qt"),
        ("volume", "0.354882", "in", "12 fl oz"),
        ("volume", "9.46", "mm", "9.5 L"),
        ("volume", "0.75", "mm", "750 mL"),
        ("mass", "22.6796185", "in", "50 lb"),
        ("mass", "0.2267961850", "in", "8 oz"),
        ("mass", "0.4535", "in", "1 lb"),
        ("mass", "22.68", "mm", "22.7 kg"),
        ("mass", "0.25", "mm", "250 g"),
        ("temperature", "70", "in", "70 °F"),
        ("temperature", "70", "mm", "21.1 °C"),
        ("temperature", "31.99", "mm", "0 °C"),
        ("temperature", "-40", "mm", "-40 °C"),
    ],
)
def test_quantities_are_shown_as_people_say_them(what: str, kept: str, unit, shown: str) -> None:
    assert READERS[what][1](Decimal(kept), unit=unit) == shown


def test_halves_round_away_from_zero_and_a_doubles_noise_decides_nothing() -> None:
    assert units.format_mass(Decimal("2.25"), unit="mm") == "2.3 kg"
    assert units.format_mass(2.25 - 1e-14, unit="mm") == "2.3 kg"
    assert units.format_temperature(Decimal("-2.25"), unit="in") == "-2.3 °F"
    assert units.format_area(Decimal("4.449999"), unit="mm", places=0) == "4 m²"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), Decimal("NaN"), -1, Decimal("-0.1")])
def test_what_is_no_amount_is_not_shown_as_one(value) -> None:
    with pytest.raises(UnitError):
        units.format_area(value, unit="in")


def test_an_unknown_unit_is_a_mistake_in_the_code() -> None:
    with pytest.raises(ValueError, match="unit must be"):
        units.parse_area("3", unit="ft")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="unit must be"):
        units.format_mass(3, unit="lb")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="places"):
        units.format_mass(3, unit="in", places=-1)


STEPS = {
    "sq ft": Fraction(9290304, 10**8),
    "sq in": Fraction(64516, 10**8),
    "m²": Fraction(1),
    "cm²": Fraction(1, 10**4),
    "mm²": Fraction(1, 10**6),
    "gal": Fraction(3785411784, 10**9),
    "qt": Fraction(3785411784, 4 * 10**9),
    "fl oz": Fraction(3785411784, 128 * 10**9),
    "L": Fraction(1),
    "mL": Fraction(1, 1000),
    "lb": Fraction(45359237, 10**8),
    "oz": Fraction(45359237, 16 * 10**8),
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "°F": Fraction(1),
    "°C": Fraction(9, 5),
}
"""Our own table beside the module's: exact definitions of 1959, and the gallon of 231 cubic inches."""


@given(
    what=st.sampled_from(["area", "volume", "mass"]),
    millionths=st.integers(0, 10**7) | st.integers(0, 10**11),
    shop=SHOPS,
    reader=SHOPS,
    places=st.integers(0, 3),
)
def test_every_amount_shown_reads_back_to_within_half_a_place(what, millionths, shop, reader, places) -> None:
    read, show = READERS[what]
    kept = Decimal(millionths).scaleb(-6)
    shown = show(kept, unit=shop, places=places)
    unit = shown.split(" ", 1)[1]
    back = read(shown, unit=reader)
    assert abs(Fraction(back) - Fraction(kept)) <= STEPS[unit] / 10**places / 2 + Fraction(1, 10**12)
    assert show(back, unit=shop, places=places) == shown
    assert re.fullmatch(rf"[0-9]+(\.[0-9]{{1,{max(places, 1)}}})? [a-zL²]+( [a-z]+)?", shown)


@given(hundredths=st.integers(-10_000, 30_000), shop=SHOPS, reader=SHOPS)
def test_every_temperature_shown_reads_back_to_within_half_a_place(hundredths, shop, reader) -> None:
    kept = Decimal(hundredths).scaleb(-2)
    shown = units.format_temperature(kept, unit=shop)
    try:
        back = units.parse_temperature(shown, unit=reader)
    except UnitError:
        # Rounded past the hottest and coldest that can be typed.
        assert abs(hundredths) > 9_900
        return
    assert abs(Fraction(back) - Fraction(kept)) <= STEPS[shown.split(" ")[1]] / 20
    assert units.format_temperature(back, unit=shop) == shown


@given(
    text=st.text(max_size=80)
    | st.text(alphabet="0123456789 .,/-½°²FCsqftinmlgkzobLaudeg", max_size=16)
    | st.from_regex(r"[0-9]{1,4}([.,/ ][0-9]{1,3})? ?(sq ft|m²|gal|qt|fl oz|lb|oz|kg|L|°F|C)( [0-9]{1,3} ?(oz|qt|g))?"),
    what=st.sampled_from(sorted(READERS)),
    shop=SHOPS,
)
def test_anything_typed_is_a_quantity_or_one_clear_refusal(text: str, what: str, shop) -> None:
    read, show = READERS[what]
    try:
        kept = read(text, unit=shop)
    except UnitError as error:
        said = str(error)
        assert said.endswith((".", "?"))
        assert "Type" in said or "Look at" in said
        assert "%(" not in said or "%(" in text
    else:
        assert show(kept, unit=shop)


@given(text=st.from_regex(r"[0-9]{1,4} (sq ft|m²|gal|qt|lb|kg|°F|°C)", fullmatch=True))
def test_a_quantity_is_never_read_as_a_length_by_mistake(text: str) -> None:
    with pytest.raises(ValueError, match="can't be read"):
        parse_length(text)
