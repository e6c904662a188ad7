"""How a survey says volumes, areas and weights, and rounds what it prints."""

from __future__ import annotations

from trade.lengths import Unit, inches
from trade.units import CUBIC_FOOT_L, POUND_KG, SQUARE_FOOT_M2

NOTHING = float(inches("1/32"))
"""mm. What is less rounds to no sixteenth of an inch: nobody shims or planes it, in whatever unit."""


def mm(value: float) -> float:
    """Return a figure with six places, and no minus before nothing."""
    return round(float(value), 6) + 0.0


def volume_text(liters: float, unit: Unit) -> str:
    """Return a volume as `12.3 L`, in inches with cubic feet beside it: bags are sold by either."""
    metric = f"{liters:.1f} L"
    return metric if unit == "mm" else f"{metric} ({liters / float(CUBIC_FOOT_L):.2f} cu ft)"


def area_text(m2: float, unit: Unit) -> str:
    return f"{m2:.2f} m²" if unit == "mm" else f"{m2 / float(SQUARE_FOOT_M2):.1f} sq ft"


def weight_text(kg: float, unit: Unit) -> str:
    return f"{kg:.0f} kg" if unit == "mm" else f"{kg / float(POUND_KG):.0f} lb"
