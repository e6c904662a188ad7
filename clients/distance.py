"""How far a site is from the shop: kept in km, typed and read in miles where the shop counts in inches."""

from decimal import Decimal

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.models import Units
from shop.queries import shop_settings
from trade.lengths import KM_PER_MILE

MOST = 2000
"""Miles or km: farther than that nobody drives to set tile."""
_KM_PER_MILE = Decimal(KM_PER_MILE.numerator) / KM_PER_MILE.denominator
_KEPT = Decimal("0.0000001")
"""Of a km: a tenth of a mile is kept exactly."""


def in_miles() -> bool:
    return shop_settings().units == Units.INCH


def to_km(distance: Decimal) -> Decimal:
    """What was typed, in miles or km as the shop counts, in km."""
    return (distance * _KM_PER_MILE).quantize(_KEPT) if in_miles() else distance


def from_km(km: Decimal) -> Decimal:
    """In miles or km, as the shop counts, to a tenth."""
    return round(km / _KM_PER_MILE if in_miles() else km, 1)


def distance_text(km: Decimal) -> str:
    """ "12.5 miles", "1 mile", "20 km"."""
    distance = from_km(km)
    number = formats.number_format(distance, decimal_pos=0 if distance == int(distance) else 1)
    if in_miles():
        return ngettext("%(number)s mile", "%(number)s miles", 1 if distance == 1 else 2) % {"number": number}
    return _("%(number)s km") % {"number": number}
