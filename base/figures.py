"""Numbers without the zeros that the database keeps behind them."""

from decimal import Decimal


def trimmed(value: Decimal) -> Decimal:
    """12.500 is 12.5, and 100 stays 100: as somebody types it into a form."""
    return value.normalize() + 0


def digits(value: Decimal) -> str:
    """The same as text, with a point whatever the language: "12.5"."""
    return f"{value.normalize():f}"
