"""Areas, volumes, masses and temperatures as a setter types and reads them.  Lengths stand in `trade/lengths.py`.

Kept in m², L, kg and °F.  Every factor is a definition: the inch of 25.4 mm and the pound of 0.45359237 kg
(international yard and pound agreement, 1959), the gallon of 231 cubic inches, °F = 9/5 °C + 32 (NIST Handbook 44,
appendix C, from memory).
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from trade.lengths import INCHES_PER_FOOT, MM_PER_INCH, Unit, as_typed, plain_signs
from trade.words import Unreadable, gettext_noop

Quantity = Literal["area", "volume", "mass", "temperature"]

SQUARE_INCH_M2 = (MM_PER_INCH / 1000) ** 2
SQUARE_FOOT_M2 = SQUARE_INCH_M2 * INCHES_PER_FOOT**2
CUBIC_INCH_L = (MM_PER_INCH / 100) ** 3
CUBIC_FOOT_L = CUBIC_INCH_L * INCHES_PER_FOOT**3
GALLON_L = 231 * CUBIC_INCH_L
POUND_KG = Fraction(45_359_237, 100_000_000)

MOST = 1_000_000
"""m², L or kg.  No shop tiles that much: a greater number is a slip of the finger or of the unit."""
COLDEST_F, HOTTEST_F = -100, 300
"""Beyond these nothing is tiled: a slip of the unit."""

_PLACES = 12
"""Decimals kept: a hundredth of a fluid ounce in liters needs no more."""
_LONGEST_TEXT = 60

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_AMOUNT = re.compile(rf"(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)|(?P<number>{_NUMBER})")
_PART = re.compile(
    rf"(?P<amount>(?:[0-9]+[ -])?[0-9]+ ?/ ?[0-9]+|{_NUMBER}) ?(?P<unit>[^0-9.,/ -][^0-9,/-]*(?:(?<=[a-z^])[23])?)?"
)
_SIGN = re.compile(r"(?P<sign>[+-]?) ?(?P<rest>.*)")
_AMBIGUOUS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")

_EMPTY = gettext_noop("There is no %(what)s here. Type it like %(like)s.")
_UNREADABLE = gettext_noop("“%(text)s” can't be read as %(a)s. Type it like %(like)s.")
_NOT_A_NUMBER = gettext_noop("“%(text)s” is not a number. Type it like %(like)s.")
_ZERO_BELOW = gettext_noop("“%(text)s” divides by zero. Type the fraction again, like 2 1/2.")
_IMPROPER = gettext_noop("In “%(text)s” the fraction is one or more. Type it like 2 1/2.")
_COMMA = gettext_noop("In “%(text)s” the comma could be a decimal or thousands. Type %(dot)s or %(none)s.")
_OTHER_UNIT = gettext_noop("“%(unit)s” in “%(text)s” doesn't measure %(a)s. Type it like %(like)s.")
_ORDER = gettext_noop("“%(text)s” has two amounts that don't belong together. Type one, or the larger unit first.")
_NEGATIVE = gettext_noop("“%(text)s” is less than nothing. Type it without the minus sign.")
_TOO_MUCH = gettext_noop("“%(text)s” is more than any job has. Look at the number and its unit.")
_NO_WEATHER = gettext_noop("“%(text)s” is no temperature that tile is set at. Look at the number: °F or °C?")


class UnitError(Unreadable):
    """A quantity that can't be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kind:
    """What can be typed and shown of one quantity.

    `factors`: how much of the kept unit each spelling is; `zeros`: where a scale's zero lies, if not at ours. `bare`:
    the unit of a number alone, by the shop's units. `ladder`: the units shown, largest first; below 1 (or `least`) of
    one the next is used. `pairs`: what may follow what, as in `3 lb 8 oz`.
    """

    what: str
    a: str
    like: str
    factors: Mapping[str, Fraction]
    bare: Mapping[Unit, str]
    zeros: Mapping[str, int]
    ladder: Mapping[Unit, tuple[str, ...]]
    least: Mapping[str, Fraction]
    pairs: Mapping[str, tuple[str, ...]]


def _spelled(**spellings: tuple[Fraction, str]) -> dict[str, Fraction]:
    return {each: factor for factor, names in spellings.values() for each in names.split("|")}


_AREAS = _spelled(
    inch=(SQUARE_INCH_M2, "sq in|sqin|sq inch|sq inches|square inch|square inches|in²|in2|in^2"),
    foot=(SQUARE_FOOT_M2, "sq ft|sqft|sf|sq foot|sq feet|square foot|square feet|ft²|ft2|ft^2"),
    yard=(SQUARE_FOOT_M2 * 9, "sq yd|sqyd|square yard|square yards|yd²|yd2|yd^2"),
    mm=(Fraction(1, 1_000_000), "mm²|mm2|mm^2|sq mm"),
    cm=(Fraction(1, 10_000), "cm²|cm2|cm^2|sq cm"),
    meter=(Fraction(1), "m²|m2|m^2|sq m|sqm|square meter|square meters|square metre|square metres"),
)
_VOLUMES = _spelled(
    ounce=(GALLON_L / 128, "fl oz|fl. oz|floz|fluid ounce|fluid ounces"),
    cup=(GALLON_L / 16, "cup|cups"),
    pint=(GALLON_L / 8, "pt|pts|pint|pints"),
    quart=(GALLON_L / 4, "qt|qts|quart|quarts"),
    gallon=(GALLON_L, "gal|gals|gallon|gallons"),
    cubic_inch=(CUBIC_INCH_L, "cu in|cubic inch|cubic inches|in³|in3|in^3"),
    cubic_foot=(CUBIC_FOOT_L, "cu ft|cubic foot|cubic feet|ft³|ft3|ft^3"),
    cubic_yard=(CUBIC_FOOT_L * 27, "cu yd|cubic yard|cubic yards|yd³|yd3|yd^3"),
    milliliter=(Fraction(1, 1000), "ml|milliliter|milliliters|cm³|cm3|cm^3"),
    liter=(Fraction(1), "l|liter|liters|litre|litres"),
    cubic_meter=(Fraction(1000), "m³|m3|m^3|cu m|cubic meter|cubic meters"),
)
_MASSES = _spelled(
    ounce=(POUND_KG / 16, "oz|ounce|ounces"),
    pound=(POUND_KG, "lb|lbs|pound|pounds"),
    gram=(Fraction(1, 1000), "g|gram|grams"),
    kilogram=(Fraction(1), "kg|kgs|kilo|kilos|kilogram|kilograms"),
    tonne=(Fraction(1000), "t|tonne|tonnes"),
)
_DEGREES = _spelled(
    fahrenheit=(Fraction(1), "°f|° f|f|deg f|degrees f|fahrenheit|degrees fahrenheit"),
    celsius=(Fraction(9, 5), "°c|° c|c|deg c|degrees c|celsius|degrees celsius"),
)
_ALL = {**_AREAS, **_VOLUMES, **_MASSES, **_DEGREES, **dict.fromkeys(("mm", "cm", "m", "in", "ft", "yd"), Fraction(1))}

_KINDS: dict[Quantity, _Kind] = {
    "area": _Kind(
        what=gettext_noop("area"),
        a=gettext_noop("an area"),
        like="48 1/2 sq ft, 4.5 m²",
        factors=_AREAS,
        bare={"in": "sq ft", "mm": "m²"},
        zeros={},
        ladder={"in": ("sq ft", "sq in"), "mm": ("m²", "cm²", "mm²")},
        least={"m²": Fraction(1, 10)},
        pairs={},
    ),
    "volume": _Kind(
        what=gettext_noop("volume"),
        a=gettext_noop("a volume"),
        like="2 1/2 gal, 3 qt, 9.5 L",
        factors=_VOLUMES,
        bare={"in": "gal", "mm": "l"},
        zeros={},
        ladder={"in": ("gal", "qt", "fl oz"), "mm": ("L", "mL")},
        least={},
        pairs={"gal": ("qt", "pt", "cup", "fl oz"), "qt": ("pt", "cup", "fl oz"), "pt": ("cup", "fl oz")},
    ),
    "mass": _Kind(
        what=gettext_noop("weight"),
        a=gettext_noop("a weight"),
        like="50 lb, 3 lb 8 oz, 22.7 kg",
        factors=_MASSES,
        bare={"in": "lb", "mm": "kg"},
        zeros={},
        ladder={"in": ("lb", "oz"), "mm": ("kg", "g")},
        least={},
        pairs={"lb": ("oz",), "kg": ("g",)},
    ),
    "temperature": _Kind(
        what=gettext_noop("temperature"),
        a=gettext_noop("a temperature"),
        like="70 °F, 21 °C",
        factors=_DEGREES,
        bare={"in": "°f", "mm": "°c"},
        zeros={name: 32 for name, factor in _DEGREES.items() if factor != 1},
        ladder={"in": ("°F",), "mm": ("°C",)},
        least={},
        pairs={},
    ),
}


def in_pounds(kg: Decimal) -> Decimal:
    """Return a mass in pounds."""
    pounds = Fraction(kg) / POUND_KG
    return Decimal(pounds.numerator) / Decimal(pounds.denominator)


def parse_area(text: str | float | Decimal, *, unit: Unit = "in") -> Decimal:
    """Return an area in m²; a bare number is in sq ft, or in m² where the shop's `unit` is mm.  See `_parse`."""
    return _parse(text, "area", unit)


def parse_volume(text: str | float | Decimal, *, unit: Unit = "in") -> Decimal:
    """Return a volume in L; a bare number is in US gallons, or in L where the shop's `unit` is mm.  See `_parse`."""
    return _parse(text, "volume", unit)


def parse_mass(text: str | float | Decimal, *, unit: Unit = "in") -> Decimal:
    """Return a mass in kg; a bare number is in pounds, or in kg where the shop's `unit` is mm.  See `_parse`."""
    return _parse(text, "mass", unit)


def parse_temperature(text: str | float | Decimal, *, unit: Unit = "in") -> Decimal:
    """Return a temperature in °F; a bare number is in °F, or in °C where the shop's `unit` is mm.  See `_parse`."""
    return _parse(text, "temperature", unit)


def format_area(m2: Decimal | float, *, unit: Unit, places: int = 1) -> str:
    """Return an area as a person reads it, `48.5 sq ft`, `72 sq in` or `4.5 m²`.  See `_format`."""
    return _format(m2, "area", unit, places)


def format_volume(liters: Decimal | float, *, unit: Unit, places: int = 1) -> str:
    """Return a volume as a person reads it, `2.5 gal`, `3 qt`, `12 fl oz` or `9.5 L`.  See `_format`."""
    return _format(liters, "volume", unit, places)


def format_mass(kg: Decimal | float, *, unit: Unit, places: int = 1) -> str:
    """Return a mass as a person reads it, `50 lb`, `8 oz` or `22.7 kg`.  See `_format`."""
    return _format(kg, "mass", unit, places)


def format_temperature(fahrenheit: Decimal | float, *, unit: Unit, places: int = 1) -> str:
    """Return a temperature as a person reads it, `70 °F` or `21.1 °C`.  See `_format`."""
    return _format(fahrenheit, "temperature", unit, places)


def _parse(text: str | float | Decimal, quantity: Quantity, unit: Unit) -> Decimal:
    """Return what `text` states, in the kept unit, twelve places.

    Numbers may be decimals, with a dot or with a comma that can't mean thousands, or fractions, `2 1/2`; units may be
    spelled, abbreviated or squared. Two parts may follow each other where people say so: `3 lb 8 oz`, `1 gal 2 qt`.

    Raises UnitError for anything else, for a minus sign (but before a temperature), and for what no job has.
    """
    kind = _KINDS[quantity]
    if unit not in kind.bare:
        raise ValueError(f"unit must be in or mm, got {unit}")
    shown = as_typed(text)
    if not isinstance(text, str):
        if isinstance(text, bool) or not math.isfinite(text):
            raise UnitError(_NOT_A_NUMBER, {"text": shown, "like": kind.like})
        # What was written: 0.1 is one tenth, not its nearest double.
        value = Fraction(repr(float(text))) if isinstance(text, float) else Fraction(text)
        return _checked(_in_kept(value, kind.bare[unit], kind), quantity, shown)
    read = plain_signs(text).replace("º", "°")
    if not read:
        raise UnitError(_EMPTY, {"what": kind.what, "like": kind.like})
    unreadable = UnitError(_UNREADABLE, {"text": shown, "a": kind.a, "like": kind.like})
    match = _SIGN.fullmatch(read)
    if len(read) > _LONGEST_TEXT or match is None:
        raise unreadable
    parts = _parts(match["rest"])
    if not parts or len(parts) > 2:
        raise unreadable
    values = [(_amount(amount, shown), name) for amount, name in parts]
    if len(values) == 1:
        ((amount, name),) = values
        total = _in_kept(-amount if match["sign"] == "-" else amount, _known(name, kind, unit, shown, unreadable), kind)
    else:
        total = _both(values, kind, unit, shown, unreadable)
        total = -total if match["sign"] == "-" else total
    return _checked(total, quantity, shown)


def _parts(text: str) -> list[tuple[str, str]]:
    """Return amounts and the units behind them, or nothing where something else stands between."""
    found, at = [], 0
    while at < len(text):
        match = _PART.match(text, at)
        if match is None:
            return []
        name = (match["unit"] or "").strip().rstrip(".").replace("sq.", "sq")
        found.append((match["amount"], " ".join(name.split())))
        at = match.end()
        while at < len(text) and text[at] == " ":
            at += 1
    return found


def _known(name: str, kind: _Kind, unit: Unit, shown: str, unreadable: UnitError) -> str:
    if not name or (kind.factors is _DEGREES and name in ("°", "deg", "degrees")):
        return kind.bare[unit]
    if name in kind.factors:
        return name
    if name in _ALL:
        raise UnitError(_OTHER_UNIT, {"text": shown, "unit": name, "a": kind.a, "like": kind.like})
    raise unreadable


def _both(values: list[tuple[Fraction, str]], kind: _Kind, unit: Unit, shown: str, unreadable: UnitError) -> Fraction:
    """Return the sum of two amounts, the second less than one of the first's unit: 3 lb 20 oz is a slip."""
    (large, first), (small, second) = values
    factors = [kind.factors[_known(name, kind, unit, shown, unreadable)] for name in (first, second)]
    allowed = {
        kind.factors[below]
        for above, belows in kind.pairs.items()
        for below in belows
        if kind.factors[above] == factors[0]
    }
    whole = large.denominator == 1
    if not (first and second and whole and factors[1] in allowed and small * factors[1] < factors[0]):
        raise UnitError(_ORDER, {"text": shown})
    return large * factors[0] + small * factors[1]


def _amount(text: str, shown: str) -> Fraction:
    match = _AMOUNT.fullmatch(text)
    assert match is not None, text
    if number := match["number"]:
        if _AMBIGUOUS.fullmatch(number):
            raise UnitError(_COMMA, {"text": shown, "dot": number.replace(",", "."), "none": number.replace(",", "")})
        return Fraction(number.replace(",", "."))
    if not int(match["bottom"]):
        raise UnitError(_ZERO_BELOW, {"text": shown})
    part = Fraction(int(match["top"]), int(match["bottom"]))
    if match["whole"] is None:
        return part
    if part >= 1:
        raise UnitError(_IMPROPER, {"text": shown})
    return int(match["whole"]) + part


def _in_kept(amount: Fraction, name: str, kind: _Kind) -> Fraction:
    return amount * kind.factors[name] + kind.zeros.get(name, 0)


def _checked(value: Fraction, quantity: Quantity, shown: str) -> Decimal:
    if quantity == "temperature":
        if not COLDEST_F <= value <= HOTTEST_F:
            raise UnitError(_NO_WEATHER, {"text": shown})
    elif value < 0:
        raise UnitError(_NEGATIVE, {"text": shown})
    elif value > MOST:
        raise UnitError(_TOO_MUCH, {"text": shown})
    return Decimal(_round_half_away(value * 10**_PLACES)).scaleb(-_PLACES)


def _format(value: Decimal | float, quantity: Quantity, unit: Unit, places: int) -> str:
    """Return `value`, in the kept unit, with at most `places` decimals, halves rounded away from zero.

    What is less than one of a unit is shown in the next smaller one, so that little isn't shown as nothing. The
    quantity's reader reads every result back, to within half a place of the unit shown.

    Raises UnitError for what is not a finite number, and for less than nothing (but a temperature); ValueError for a
    unit other than `in` and `mm`, or places below 0.
    """
    kind = _KINDS[quantity]
    if unit not in kind.ladder:
        raise ValueError(f"unit must be in or mm, got {unit}")
    if places < 0:
        raise ValueError(f"places must be 0 or more, got {places}")
    if not math.isfinite(value):
        raise UnitError(_NOT_A_NUMBER, {"text": str(value), "like": kind.like})
    # Twelve places first: a double's noise must not decide which way a half goes.
    exact = Fraction(repr(float(value))) if isinstance(value, float) else Fraction(value)
    exact = Fraction(_round_half_away(exact * 10**_PLACES), 10**_PLACES)
    if exact < 0 and quantity != "temperature":
        raise UnitError(_NEGATIVE, {"text": str(value)})
    above: Fraction | None = None
    for name in kind.ladder[unit]:
        factor = kind.factors[name.lower()]
        size = _round_half_away((exact - kind.zeros.get(name.lower(), 0)) / factor * 10**places)
        if above is not None and size * factor >= above * 10**places:
            # Rounding made one of the larger unit: 16 oz is 1 lb.
            return _format(Decimal(above.numerator) / Decimal(above.denominator), quantity, unit, places)
        above = factor * kind.least.get(name, Fraction(1))
        if exact >= above or quantity == "temperature":
            break
    return f"{_decimal_text(size, places)} {name}" if size else f"0 {kind.ladder[unit][0]}"


def _decimal_text(size: int, places: int) -> str:
    text = f"{Decimal(size).scaleb(-places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _round_half_away(exact: Fraction) -> int:
    size = math.floor(abs(exact) + Fraction(1, 2))
    return -size if exact < 0 else size
