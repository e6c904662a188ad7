"""The arithmetic of a price: pure functions on Decimal, no database.

Money is rounded in one place, `cents`: half up, to the cent. Everything that is added up was rounded before, so that
a column on paper adds up to the figure under it.
"""

from estimating.pricing.hours import burdened, mean_hour
from estimating.pricing.lines import Price, Priced, crew_days, price_line
from estimating.pricing.money import MOST, TooMuch, cents, hours_of, share_out
from estimating.pricing.totals import (
    KINDS,
    MAN_DAY_HOURS,
    PLAIN,
    Charged,
    Kind,
    Tax,
    Terms,
    Totals,
    add_up,
    margin_of,
    marked_up,
    markup_of,
    overhead_on,
)
from estimating.pricing.units import converted, dimension

__all__ = [
    "KINDS",
    "MAN_DAY_HOURS",
    "MOST",
    "PLAIN",
    "Charged",
    "Kind",
    "Price",
    "Priced",
    "Tax",
    "Terms",
    "TooMuch",
    "Totals",
    "add_up",
    "burdened",
    "cents",
    "converted",
    "crew_days",
    "dimension",
    "hours_of",
    "margin_of",
    "marked_up",
    "markup_of",
    "mean_hour",
    "overhead_on",
    "price_line",
    "share_out",
]
