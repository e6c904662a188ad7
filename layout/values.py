"""Typed values out of plain data, each refused with the place it stood at."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from layout.errors import RoomError
from layout.room import Point, Units
from trade.lengths import LengthError, parse_length

LONGEST_TEXT = 200
"""Characters in a name: what fits on a sheet, and a guard against a file that isn't one."""


def shown(value: object) -> str:
    """Return a value as it may stand in a message: short, on one line."""
    if value is None or isinstance(value, bool):
        return {None: "nothing", True: "true", False: "false"}[value]
    if isinstance(value, Mapping):
        return "an object"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**12:
        return "a huge number"
    text = " ".join("".join(c if unicodedata.category(c)[0] != "C" else " " for c in str(value)).split())
    text = text if len(text) <= 40 else f"{text[:39]}…"
    return f'"{text}"' if isinstance(value, str) else text


def mapping(value: Any, place: str) -> Mapping[str, Any]:
    """Return `value` if it is an object. Raises RoomError."""
    if not isinstance(value, Mapping):
        raise RoomError(place, f"an object with names and values is needed here, not {shown(value)}")
    return value


def items(value: Any, place: str, *, most: int) -> Sequence[Any]:
    """Return `value` if it is a list of at most `most` items. Raises RoomError."""
    if not isinstance(value, list | tuple):
        raise RoomError(place, f"a list is needed here, not {shown(value)}")
    if len(value) > most:
        raise RoomError(place, f"{len(value):,} entries are too many; at most {most:,} are taken")
    return value


def text(value: Any, place: str, *, empty: bool = False) -> str:
    """Return a name or short text. Raises RoomError where it isn't one, is empty, too long, or holds control codes."""
    if not isinstance(value, str):
        raise RoomError(place, f"a text is needed here, not {shown(value)}")
    if not value.strip() and not empty:
        raise RoomError(place, "a text is needed here, this is empty")
    if len(value) > LONGEST_TEXT:
        raise RoomError(place, f"a text of at most {LONGEST_TEXT} characters is needed here")
    if any(unicodedata.category(char) in ("Cc", "Cs", "Cn", "Co") for char in value):
        raise RoomError(place, "control characters can't stand in a name")
    return value


def choice(value: Any, place: str, allowed: Sequence[str]) -> str:
    """Return `value` if it is one of `allowed`. Raises RoomError that lists them."""
    if not isinstance(value, str) or value not in allowed:
        raise RoomError(place, f"{shown(value)} isn't known here; it is one of {', '.join(allowed)}")
    return value


def flag(value: Any, place: str) -> bool:
    """Return a true or false. Raises RoomError."""
    if not isinstance(value, bool):
        raise RoomError(place, f"true or false is needed here, not {shown(value)}")
    return value


def number(value: Any, place: str, *, least: float, most: float) -> float:
    """Return a plain number within bounds. Raises RoomError, also for NaN."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RoomError(place, f"a number is needed here, not {shown(value)}")
    if not least <= value <= most:
        raise RoomError(place, f"{shown(value)} is out of range; a number from {least:g} to {most:g} is needed")
    return float(value)


def whole(value: Any, place: str, *, least: int, most: int) -> int:
    """Return a whole number within bounds. Raises RoomError."""
    found = number(value, place, least=least, most=most)
    if found != int(found):
        raise RoomError(place, f"a whole number is needed here, not {shown(value)}")
    return int(found)


def share(value: Any, place: str) -> Fraction:
    """Return a part of one, exactly: `"1/3"` or 0.25. Raises RoomError unless it lies above 0 and below 1."""
    try:
        # A text's exponent may stand for more digits than a machine can hold.
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise ValueError
        if isinstance(value, str) and "e" in value.lower():
            raise ValueError
        found = Fraction(value.strip() if isinstance(value, str) else repr(value))
    except (ValueError, ZeroDivisionError, OverflowError):
        reason = f'a share of the tile like "1/3" or 0.25 is needed here, not {shown(value)}'
        raise RoomError(place, reason) from None
    if not 0 < found < 1:
        raise RoomError(place, f"a share lies above 0 and below 1, not at {shown(value)}")
    if found.denominator > 10_000:
        raise RoomError(place, f'{shown(value)} is finer than anybody sets; type it like "1/3" or with four decimals')
    return found


def length(
    value: Any, place: str, units: Units, *, least: float = 0.0, most: float = 1_000_000.0, signed: bool = False
) -> float:
    """Return a length in mm. Raises RoomError for what isn't one, or lies below `least` or above `most` mm.

    A number is in `units`; a text may carry its own. With `signed`, `least` doesn't apply.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise RoomError(place, f"a length is needed here, not {shown(value)}")
    if isinstance(value, int) and abs(value) > 1_000_000_000:
        raise RoomError(place, "a huge number is no length; look at the number and its unit")
    try:
        found = float(parse_length(value, unit=units))
    except LengthError as error:
        raise RoomError(place, str(error)) from None
    if not signed and found < least:
        what = "can't be negative" if found < 0 else "can't be nothing" if found == 0 else "is too small"
        raise RoomError(place, f"{shown(value)} {what}")
    if found > most:
        raise RoomError(place, f"{shown(value)} is too much; at most {most:g} mm makes sense here")
    return found


def point(value: Any, place: str, units: Units) -> Point:
    """Return a point in mm, of two lengths. Raises RoomError."""
    pair = items(value, place, most=2)
    if len(pair) != 2:
        raise RoomError(place, "a point is two lengths, [x, y]")
    x, y = (length(part, f"{place}[{axis}]", units, signed=True) for axis, part in enumerate(pair))
    return x, y


def decimal(value: float) -> Decimal:
    """Return a float as the rules of the trade take it, with six places."""
    return Decimal(repr(round(value, 6)))
