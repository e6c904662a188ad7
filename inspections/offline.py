"""What a check's card tells the phone, so that it can judge an entry without signal as the server would."""

from typing import Any

from inspections.queries import CheckView
from trade.lengths import Unit
from trade.limits import Limit


def for_the_phone(view: CheckView, units: Unit, limit: Limit | None) -> dict[str, Any]:
    """The check as data for `static/js/phone/verdict.js`: its kind, unit and limit, and how it stands on the server.

    `limit`: the shop's of now.
    """
    check = view.check
    return {
        "kind": check.kind,
        "unit": check.unit,
        "units": units,
        "limit": limit.to_json() if limit else None,
        "required": check.required,
        "state": view.state,
        "places": [{"key": place.key, "name": place.name, "state": place.state} for place in view.places],
    }
