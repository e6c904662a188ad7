"""Figures as people write them in a table: with a currency's sign, with thousands apart, with point or comma."""

import re
import unicodedata
from decimal import Decimal

from django.utils import formats

_PLAIN = re.compile(r"[+-]?[0-9]{1,30}(\.[0-9]{1,30})?")
# Thousands apart: by point, comma, or a space or apostrophe, which stands here as "_".
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}([.,_])[0-9]{3}(\1[0-9]{3})*")
_SPACES = str.maketrans({"'": "_", "\N{RIGHT SINGLE QUOTATION MARK}": "_", "\N{MINUS SIGN}": "-"})


class NoFigure(ValueError):
    """Not a number, or one that can be read in two ways."""


def figure_from(text: str) -> Decimal:
    """The number that `text` says: 1234.5 of "$1,234.50", "1 234,50 €" or "1'234.5".

    A single point or comma before three digits is read as the language in force writes numbers: "1,234" is 1234 in
    American English, 1.234 in Spain. Raises NoFigure.
    """
    bare = _bare(text)
    mark = _decimal_mark(bare)
    whole, point, rest = bare.rpartition(mark) if mark in bare else (bare, "", "")
    if grouped := _GROUPED.fullmatch(whole):
        whole = whole.replace(grouped[1], "")
    plain = f"{whole or '0'}.{rest}" if point else whole
    if not _PLAIN.fullmatch(plain):
        raise NoFigure(text)
    return Decimal(plain)


def _bare(text: str) -> str:
    """Without a currency's sign; spaces and apostrophes between figures as "_"."""
    signs = (("_" if unicodedata.category(sign) == "Zs" else sign) for sign in text.translate(_SPACES))
    bare = "".join(sign for sign in signs if unicodedata.category(sign) not in ("Sc", "Cf"))
    return bare.strip("_").replace("-_", "-")


def _decimal_mark(bare: str) -> str:
    """Which of point and comma stands before the fraction."""
    points, commas = bare.count("."), bare.count(",")
    if points and commas:
        return max(".,", key=bare.rfind)
    if points + commas != 1:
        return "," if points else "."
    used = "." if points else ","
    whole, _mark, rest = bare.partition(used)
    if len(rest) == 3 and re.fullmatch(r"[+-]?[1-9][0-9]{0,2}", whole):
        return formats.get_format("DECIMAL_SEPARATOR")
    return used


def figure_text(value: Decimal | float) -> str:
    """The number as `figure_from` reads it in the same language: no thousands, no zeros at the end; of a float the 15
    digits that a spreadsheet shows."""
    number = Decimal(f"{value:.15g}") if isinstance(value, float) else Decimal(value)
    plain = format(number, "f")
    if "." in plain:
        plain = plain.rstrip("0").rstrip(".")
    return plain.replace(".", formats.get_format("DECIMAL_SEPARATOR"))
