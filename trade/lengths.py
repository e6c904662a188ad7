"""Lengths as a setter types and reads them: feet, inches and fractions, or metric.  Kept in millimeters.

An inch is 25.4 mm exactly (international yard and pound agreement, 1959), so 1/64 in is 0.396875 mm: six places hold
every fraction on a tape exactly.
"""

import math
import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from trade.words import Unreadable, gettext_noop

Unit = Literal["in", "mm"]

MM_PER_INCH = Fraction(254, 10)
INCHES_PER_FOOT = 12
KM_PER_MILE = Fraction("1.609344")
"""5,280 ft of 0.3048 m: exact, as the inch."""
SIXTEENTH = Fraction(1, 16)
THIRTY_SECOND = Fraction(1, 32)
SIXTY_FOURTH = Fraction(1, 64)
LONGEST_MM = 1_000_000
"""1 km.  Nothing that is tiled is longer: a greater number is a slip of the finger or of the unit."""

_LONGEST_TEXT = 60
_FEET_FROM_INCHES = 120
_METRIC = {"mm": 1, "cm": 10, "m": 1000}

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+"
_QUANTITY = rf"(?:[0-9]+(?: - |[ -]))?[0-9]+ ?/ ?[0-9]+|{_NUMBER}"
_FEET_MARK = r"'|(?:ft|feet|foot)(?![a-z])\.?"
_INCH_MARK = r'"|(?:inches|inch|in)(?![a-z])\.?'
_SIGN = r"(?P<sign>[+-]?) ?"
_FEET_AND_INCHES = re.compile(
    rf"{_SIGN}(?P<feet>{_QUANTITY}) ?(?:{_FEET_MARK})(?:[ -]*(?P<inches>{_QUANTITY}) ?(?:{_INCH_MARK})?)?"
)
_INCHES = re.compile(rf"{_SIGN}(?P<inches>{_QUANTITY}) ?(?:{_INCH_MARK})")
_METERS = re.compile(rf"{_SIGN}(?P<number>{_NUMBER}) ?(?P<unit>mm|cm|m)\.?")
_BARE = re.compile(rf"{_SIGN}(?P<quantity>{_QUANTITY})")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]+)(?: - |[ -]))?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)")
_AMBIGUOUS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_PLAIN_DECIMAL = re.compile(r"-?(?:[0-9]{1,40}(?:[.,][0-9]{1,40})?|[.,][0-9]{1,40})")
_TWO_SLASHES = re.compile(r"/[ 0-9]*/")

_PLAIN = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u2032\u02b9\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u2033\u02ba", '"'),
        **dict.fromkeys("\u2044\u2215", "/"),
        **dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014", "-"),
    }
)

_EMPTY = gettext_noop("There is no length here. Type it like 63 1/2, 5' 3 1/2\" or 1602 mm.")
_UNREADABLE = gettext_noop("“%(text)s” can't be read as a length. Type it like 63 1/2, 5' 3 1/2\" or 1602 mm.")
_NOT_FINITE = gettext_noop("“%(text)s” is not a number. Type it like 63 1/2, 5' 3 1/2\" or 1602 mm.")
_SLASHES = gettext_noop("“%(text)s” has two slashes. Type one fraction, like 63 1/2.")
_ZERO_BELOW = gettext_noop("“%(text)s” divides by zero. Type the fraction again, like 63 1/2.")
_IMPROPER = gettext_noop("In “%(text)s” the fraction is one inch or more. Type it like 63 1/2.")
_INCHES_OVER = gettext_noop("“%(text)s” has twelve inches or more after the feet. Type it as %(better)s.")
_PART_FEET = gettext_noop(
    "“%(text)s” has part of a foot and inches too. Type whole feet before inches, like 5' 3 1/2\"."
)
_COMMA = gettext_noop("In “%(text)s” the comma could be a decimal or thousands. Type %(dot)s or %(none)s.")
_TWO_NUMBERS = gettext_noop(
    "“%(text)s” is two numbers. Mark feet and inches, like 5' 3\", or type a fraction, like 5 1/2."
)
_METRIC_FRACTION = gettext_noop("“%(text)s” is a fraction with a metric unit. Type a decimal, like 12.5 mm.")
_TOO_LONG = gettext_noop("“%(text)s” is longer than 1 km. Look at the number and its unit.")


class LengthError(Unreadable):
    """A length that can't be read."""


def parse_length(text: str | float | Decimal, *, unit: Unit = "in") -> Decimal:
    """Return the length that `text` states, in mm with six places.

    A bare number is in `unit`. A fraction without a unit is in inches whatever `unit` is, since nobody cuts a
    millimeter in eighths. Feet, inches and metric units may be spelled, abbreviated or marked; a minus sign before feet
    goes for the inches too. A comma is a decimal comma where it can't mean thousands. Inches after feet stay below
    twelve: 5' 14" is more often a slip than 6' 2".

    Raises LengthError for anything else, and beyond 1 km either way.
    """
    shown = as_typed(text)
    if isinstance(text, str):
        return _to_mm(_read(text, shown=shown, unit=unit), shown=shown)
    if isinstance(text, bool):
        raise LengthError(_UNREADABLE, {"text": shown})
    if not math.isfinite(text):
        raise LengthError(_NOT_FINITE, {"text": shown})
    return _to_mm(_exact(text) * (MM_PER_INCH if unit == "in" else 1), shown=shown)


def plain_decimal(text: str) -> Decimal:
    """Return a number of at most forty digits before and behind its point or comma, as it was typed.

    Raises ValueError for anything else: no exponents, which stand for more digits than a machine can hold.
    """
    plain = text.strip()
    if not _PLAIN_DECIMAL.fullmatch(plain):
        raise ValueError(f"no plain number: {as_typed(text)}")
    return Decimal(plain.replace(",", "."))


def inches(value: int | str | Fraction) -> Decimal:
    """Return mm (six places) for a figure of the trade stated in inches, such as `inches("1/8")` or `inches(15)`."""
    return _quantize(Fraction(value) * MM_PER_INCH)


def feet(value: int | str | Fraction) -> Decimal:
    """Return mm (six places) for a figure of the trade stated in feet."""
    return inches(Fraction(value) * INCHES_PER_FOOT)


def slope_run_mm(unit: Unit) -> Decimal:
    """Return what a slope is told over, mm: a foot, or a meter."""
    return feet(1) if unit == "in" else Decimal(1000)


def level_run_mm(unit: Unit) -> Decimal:
    """Return what a slope is read over, mm: a 2-ft level, or a meter."""
    return feet(2) if unit == "in" else Decimal(1000)


def round_to_fraction(mm: Decimal | float, *, step: Fraction = SIXTEENTH) -> Fraction:
    """Return `mm` as inches, rounded to the nearest multiple of `step`, halves away from zero.

    Raises LengthError for what is not a finite number, ValueError for a step that is not positive.
    """
    if step <= 0:
        raise ValueError(f"step must be positive, got {step}")
    if not math.isfinite(mm):
        raise LengthError(_NOT_FINITE, {"text": str(mm)})
    # Six places first: a float's noise must not decide which way a half goes.
    exact = Fraction(_quantize(_exact(mm)))
    return _round_half_away(exact / MM_PER_INCH / step) * step


def format_length(mm: Decimal | float, *, unit: Unit, step: Fraction = SIXTEENTH, feet: bool | None = None) -> str:
    """Return `mm` as a person reads it.

    Inches as `63 1/2"`, rounded to `step`; from 10 ft up as `12' 3 1/2"`. `feet=True` uses feet from 1 ft up,
    `feet=False` never does. Metric as `1602 mm`, with one decimal where it isn't whole (`step` doesn't matter).
    Halves round away from zero; what rounds to nothing has no sign. `parse_length` reads every result back, to within
    half a step.

    Raises LengthError for what is not a finite number, ValueError for a unit other than `in` and `mm`.
    """
    if unit == "mm":
        return _format_mm(mm)
    if unit != "in":
        raise ValueError(f"unit must be in or mm, got {unit}")
    rounded = round_to_fraction(mm, step=step)
    sign, size = ("-" if rounded < 0 else ""), abs(rounded)
    if feet is None:
        feet = size >= _FEET_FROM_INCHES
    if feet and size >= INCHES_PER_FOOT:
        whole_feet, rest = divmod(size, INCHES_PER_FOOT)
        return f"{sign}{whole_feet}' {'0 ' if 0 < rest < 1 else ''}{_mixed_text(rest)}\""
    return f'{sign}{_mixed_text(size)}"'


def _format_mm(mm: Decimal | float) -> str:
    if not math.isfinite(mm):
        raise LengthError(_NOT_FINITE, {"text": str(mm)})
    tenths = _round_half_away(Fraction(_quantize(_exact(mm))) * 10)
    whole, tenth = divmod(abs(tenths), 10)
    return f"{'-' if tenths < 0 else ''}{whole}{f'.{tenth}' if tenth else ''} mm"


def _mixed_text(size: Fraction) -> str:
    whole, part = divmod(size, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def _read(text: str, *, shown: str, unit: Unit) -> Fraction:
    """Return exact mm."""
    plain = plain_signs(text)
    if not plain:
        raise LengthError(_EMPTY)
    if len(plain) > _LONGEST_TEXT:
        raise LengthError(_UNREADABLE, {"text": shown})
    if _TWO_SLASHES.search(plain):
        raise LengthError(_SLASHES, {"text": shown})
    if match := _METERS.fullmatch(plain):
        return _signed(match, _number(match["number"], shown=shown) * _METRIC[match["unit"]])
    if match := _INCHES.fullmatch(plain):
        return _signed(match, _quantity(match["inches"], shown=shown) * MM_PER_INCH)
    if match := _FEET_AND_INCHES.fullmatch(plain):
        return _signed(match, _feet_and_inches(match, shown=shown) * MM_PER_INCH)
    if match := _BARE.fullmatch(plain):
        quantity = match["quantity"]
        in_inches = unit == "in" or "/" in quantity
        return _signed(match, _quantity(quantity, shown=shown) * (MM_PER_INCH if in_inches else 1))
    if re.fullmatch(rf"{_SIGN}(?:{_QUANTITY}) ?(?:mm|cm|m)\.?", plain):
        raise LengthError(_METRIC_FRACTION, {"text": shown})
    if re.fullmatch(rf"{_SIGN}(?:{_NUMBER})[ -]+(?:{_QUANTITY})", plain):
        raise LengthError(_TWO_NUMBERS, {"text": shown})
    raise LengthError(_UNREADABLE, {"text": shown})


def plain_signs(text: str) -> str:
    """Return `text` in lower case with ASCII marks, single spaces, and ½ written as 1/2."""
    spelled = "".join(
        f" {unicodedata.normalize('NFKC', sign)} " if unicodedata.decomposition(sign).startswith("<fraction>") else sign
        for sign in text[: 4 * _LONGEST_TEXT]
    )
    return " ".join(spelled.translate(_PLAIN).replace("''", '"').lower().split())


def _feet_and_inches(match: re.Match[str], *, shown: str) -> Fraction:
    """Return exact inches."""
    whole_feet = _quantity(match["feet"], shown=shown)
    if match["inches"] is None:
        return whole_feet * INCHES_PER_FOOT
    if whole_feet.denominator != 1 or not match["feet"].isdigit():
        raise LengthError(_PART_FEET, {"text": shown})
    rest = _quantity(match["inches"], shown=shown)
    if rest >= INCHES_PER_FOOT:
        more, less = divmod(rest, INCHES_PER_FOOT)
        better = f"{match['sign']}{whole_feet + more}' {_mixed_text(less)}\""
        raise LengthError(_INCHES_OVER, {"text": shown, "better": better})
    return whole_feet * INCHES_PER_FOOT + rest


def _quantity(text: str, *, shown: str) -> Fraction:
    """Return a number, a fraction or a whole with a fraction."""
    match = _MIXED.fullmatch(text)
    if not match:
        return _number(text, shown=shown)
    if not int(match["bottom"]):
        raise LengthError(_ZERO_BELOW, {"text": shown})
    part = Fraction(int(match["top"]), int(match["bottom"]))
    if match["whole"] is None:
        return part
    if part >= 1:
        raise LengthError(_IMPROPER, {"text": shown})
    return int(match["whole"]) + part


def _number(text: str, *, shown: str) -> Fraction:
    if _AMBIGUOUS.fullmatch(text):
        params = {"text": shown, "dot": text.replace(",", "."), "none": text.replace(",", "")}
        raise LengthError(_COMMA, params)
    return Fraction(text.replace(",", "."))


def _signed(match: re.Match[str], size: Fraction) -> Fraction:
    return -size if match["sign"] == "-" else size


def _to_mm(exact: Fraction, *, shown: str) -> Decimal:
    if abs(exact) > LONGEST_MM:
        raise LengthError(_TOO_LONG, {"text": shown})
    return _quantize(exact)


def _exact(value: float | Decimal) -> Fraction:
    """Return the number that was written: 0.1 is one tenth, not its nearest double."""
    # float() first, because a subclass may print itself otherwise.
    return Fraction(repr(float(value))) if isinstance(value, float) else Fraction(value)


def _quantize(exact: Fraction) -> Decimal:
    return Decimal(_round_half_away(exact * 1_000_000)).scaleb(-6)


def _round_half_away(exact: Fraction) -> int:
    size = math.floor(abs(exact) + Fraction(1, 2))
    return -size if exact < 0 else size


def as_typed(text: object) -> str:
    """Return what was typed, cut to a length that fits in a message."""
    shown = " ".join(str(text).split())
    return shown if len(shown) <= 30 else f"{shown[:29]}…"
