"""Conditions and checks in words, as the checklists' page shows them."""

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from rooms.models import Place
from trade.phases import Apart
from trade.specification import Condition

SURFACES: dict[str, str | Promise] = {
    "floor": gettext_lazy("floors"),
    "walls": gettext_lazy("walls"),
    "ceiling": gettext_lazy("ceilings"),
}
ONLY: dict[str, str | Promise] = {
    "large_tile": gettext_lazy("tile with an edge of 15 in or more"),
    "large_offset": gettext_lazy("large tile in an offset pattern"),
    "panel": gettext_lazy("panels of 1 m² (11 sq ft) or more"),
    "stone": gettext_lazy("natural stone"),
    "mosaic": gettext_lazy("mosaic"),
    "heated": gettext_lazy("a heated floor"),
    "steam": gettext_lazy("steam"),
    "curb": gettext_lazy("a curb"),
    "flats": gettext_lazy("niche, bench or sill"),
    "accessible": gettext_lazy("an accessible threshold"),
    "demolition": gettext_lazy("old tile or board that comes out"),
    "permit": gettext_lazy("a permit"),
}
"""By the flags of trade.specification.Condition."""


APART: dict[Apart, str | Promise] = {
    "wall": gettext_lazy("each wall apart"),
    "face": gettext_lazy("each wall, floor and ceiling apart"),
}


def in_words(condition: Condition, apart: Apart | None = None) -> str:
    """Where a check applies: "Shower · walls · where there is steam"; every room, where nothing is said. With `apart`
    what it is proved on."""
    said = []
    if condition.places:
        said.append(", ".join(str(Place(place).label) for place in condition.places))
    if condition.surface:
        said.append(str(SURFACES[condition.surface]))
    for name, words in ONLY.items():
        so = getattr(condition, name)
        if so is not None:
            said.append((_("where there is %(what)s") if so else _("not with %(what)s")) % {"what": words})
    if condition.built_before:
        said.append(_("houses from before %(year)s") % {"year": condition.built_before})
    if not said:
        said.append(_("every room"))
    if apart:
        said.append(str(APART[apart]))
    return " · ".join(said)
