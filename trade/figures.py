"""What a figure must be before anything can be said of it."""

from decimal import Decimal


def positive(**values: Decimal) -> None:
    """Raise ValueError, which names the figure, unless each is a number above 0."""
    for name, value in values.items():
        if not (value.is_finite() and value > 0):
            raise ValueError(f"{name} must be more than 0, got {value}")


def not_negative(**values: Decimal) -> None:
    """Raise ValueError, which names the figure, unless each is a number, 0 or above."""
    for name, value in values.items():
        if not (value.is_finite() and value >= 0):
            raise ValueError(f"{name} must be 0 or more, got {value}")
