"""Lines of one's own that a rate prices, at its newer price."""

from collections.abc import Mapping
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.actions._open import price_anew
from estimating.hours import Hour, cost_by
from estimating.models import Estimate, EstimateLine, Rate

_WRITTEN = (
    *("rate", "unit", "quantity", "packages", "hours", "low_hours", "high_hours"),
    *("unit_cost", "cost", "hour_how"),
)


def take_newer_prices(
    estimate: Estimate, rates: Mapping[tuple[str, UUID | None], Rate], hour: Hour | None
) -> list[str]:
    """Puts lines whose rate got a newer price at it, `rates` being those in force, and those that follow the people at
    their `hour`; what changed, in words.

    A figure put in by hand stays, and so does a line whose rate was put away. 2 queries. Raises CannotChange.
    """
    lines = EstimateLine.objects.filter(estimate=estimate, key="", override_reason="", rate__isnull=False)
    changed, told = [], []
    for line in lines.select_related("rate", "room"):
        newer = rates.get((line.rate.key, line.rate.tile_id)) if line.rate else None
        if newer is None or (newer == line.rate and line.unit_cost == cost_by(newer, hour)):
            continue
        before = line.cost
        price_anew(line, line.quantity, newer, hour)
        changed.append(line)
        if line.cost != before:
            told.append(_("%(line)s: another price.") % {"line": line.full_text})
    EstimateLine.objects.bulk_update(changed, _WRITTEN)
    return told
