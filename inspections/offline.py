"""What a check's card tells the phone, so that it can judge an entry without signal as the server would."""

from typing import Any

from inspections.models import CheckKind
from inspections.queries import CheckView
from trade.lengths import Unit


def for_the_phone(view: CheckView, units: Unit) -> dict[str, Any]:
    """The check as data for `static/js/phone/verdict.js`: its kind, unit and limit, and how it stands on the server.

    `hours`: of a wait, how long it takes at least. `due`: when one that runs is over (ISO 8601).
    """
    check, newest = view.check, view.newest
    limit = check.limit or {}
    return {
        "kind": check.kind,
        "unit": check.unit,
        "units": units,
        "limit": limit or None,
        "required": check.required,
        "state": view.state,
        "hours": limit.get("low") if check.kind == CheckKind.WAIT else None,
        "due": newest.due_at.isoformat() if newest and newest.due_at else None,
    }
