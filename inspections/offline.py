"""What a check's card tells the phone, so that it can judge an entry without signal as the server would."""

from typing import Any

from inspections.models import CheckKind
from inspections.queries import CheckView
from trade.lengths import Unit
from trade.limits import Limit


def for_the_phone(view: CheckView, units: Unit, limit: Limit | None) -> dict[str, Any]:
    """The check as data for `static/js/phone/verdict.js`: its kind, unit and limit, and how it stands on the server.

    `limit`: the shop's of now. `hours`: of a wait, how long it takes at least. `due`: when one that runs is over (ISO
    8601).
    """
    check, newest = view.check, view.newest
    judged = limit.to_json() if limit else None
    return {
        "kind": check.kind,
        "unit": check.unit,
        "units": units,
        "limit": judged,
        "required": check.required,
        "state": view.state,
        "hours": judged["low"] if judged and check.kind == CheckKind.WAIT else None,
        "due": newest.due_at.isoformat() if newest and newest.due_at else None,
    }
