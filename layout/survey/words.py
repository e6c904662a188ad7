"""How a survey says volumes, areas and weights, and rounds what it prints."""

from __future__ import annotations

from decimal import Decimal

from trade.lengths import Unit, inches

NOTHING = float(inches("1/32"))
"""mm. What is less rounds to no sixteenth of an inch: nobody shims or planes it, in whatever unit."""

LITERS_PER_CUBIC_FOOT = 28.316846592
"""0.3048³ m³: an inch is 25.4 mm exactly."""
M2_PER_SQUARE_FOOT = 0.09290304
KG_PER_POUND = 0.45359237
"""International yard and pound agreement, 1959."""


def mm(value: float) -> float:
    """Return a figure with six places, and no minus before nothing."""
    return round(float(value), 6) + 0.0


def decimal(value: float) -> Decimal:
    return Decimal(repr(round(value, 6)))


def volume_text(liters: float, unit: Unit) -> str:
    """Return a volume as `12.3 L`, in inches with cubic feet beside it: bags are sold by either."""
    metric = f"{liters:.1f} L"
    return metric if unit == "mm" else f"{metric} ({liters / LITERS_PER_CUBIC_FOOT:.2f} cu ft)"


def area_text(m2: float, unit: Unit) -> str:
    return f"{m2:.2f} m²" if unit == "mm" else f"{m2 / M2_PER_SQUARE_FOOT:.1f} sq ft"


def weight_text(kg: float, unit: Unit) -> str:
    return f"{kg:.0f} kg" if unit == "mm" else f"{kg / KG_PER_POUND:.0f} lb"
