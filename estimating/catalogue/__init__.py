"""The rates that the shop needs before it can price: what they are for, and example figures to begin with.

Example figures are invented, except where a source stands beside them; they are marked wherever they show, until the
shop puts its own in their place. Labor costs are what an hour costs the shop with all that comes on top of the wage.
"""

from django.utils.translation import gettext_lazy as _

from estimating.catalogue.around import DISPOSAL, DISTANCE, DUST, EQUIPMENT, HAUL, SAW, TRAVEL, TRIP
from estimating.catalogue.labor import DEMOLITION, LABOR, MINIMUM_TRIP, RETURN_VISIT, SETTING
from estimating.catalogue.materials import MATERIALS, class_key, class_name
from estimating.catalogue.wanted import ONE, UNIT_NAMES, Example, Wanted, one_unit, unit_choices, unit_name

__all__ = [
    "BY_KEY",
    "DEMOLITION",
    "DISTANCE",
    "DUST",
    "HAUL",
    "MINIMUM_TRIP",
    "ONE",
    "RATES",
    "RETURN_VISIT",
    "SAW",
    "SETTING",
    "TILE",
    "TILE_HELP",
    "TRIP",
    "UNIT_NAMES",
    "Example",
    "Wanted",
    "class_key",
    "class_name",
    "one_unit",
    "unit_choices",
    "unit_name",
]

TILE = "tile"
TILE_HELP = _("Price of a box with its pieces as the package, or of one piece with the package left empty.")

RATES: tuple[Wanted, ...] = (*MATERIALS, *LABOR, *EQUIPMENT, *DISPOSAL, *TRAVEL)

BY_KEY: dict[str, Wanted] = {rate.key: rate for rate in RATES}
