"""What a phase's page tells the phone, so that it can judge an entry without signal as the server would, and knows what
holds the sign-off."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.urls import reverse

from inspections.models import Phase
from inspections.queries import CheckView, PhaseView
from inspections.standing import PlaceView, deciding, newest_failure, over_at, shown_at
from trade.lengths import Unit
from trade.limits import Limit


def for_the_phone(view: CheckView, units: Unit, limit: Limit | None, covered: Phase | None = None) -> dict[str, Any]:
    """The check as data for `static/js/phone/verdict.js` and `walls.js`: its kind, unit and limit, how it stands on the
    server, and its order among the others; `due`: when a wait that runs is over.

    `limit`: the shop's of now. `covered`: the phase before its own.
    """
    check = view.check
    newest = deciding(view.stands)
    sign_off = getattr(covered, "sign_off", None)
    return {
        "text": view.text,
        "kind": check.kind,
        "unit": check.unit,
        "units": units,
        "limit": limit.to_json() if limit else None,
        "required": check.required,
        "state": view.state,
        "due": _moment(view.newest.due_at if view.newest and view.state == "waiting" else None),
        "places": [
            {
                "key": place.key,
                "name": place.name,
                "state": place.state,
                "at": place.newest and _moment(shown_at(place.newest)),
                "due": _due(place),
            }
            for place in view.places
        ],
        "key": check.key,
        "at": newest and _moment(shown_at(newest)),
        # From then on it counts as done.
        "over": newest and _moment(over_at(newest)),
        "after": check.after,
        "restarts": check.restarts,
        "failed": _moment(newest_failure(check)),
        "covers": {"phase": str(covered.pk), "signed": _moment(sign_off and sign_off.happened_at)}
        if covered and check.in_turn
        else None,
    }


def _moment(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _due(place: PlaceView) -> str | None:
    return _moment(place.newest.due_at if place.newest and place.state == "waiting" else None)


def before_it(view: PhaseView, views: Sequence[PhaseView], units: Unit) -> list[dict[str, Any]]:
    """The phases of the room that come before this one, as data for `static/js/phone/signing.js`; `checks`: of signed
    ones those that hold what comes after, each with the addresses at which it is entered."""
    return [
        {
            "key": str(each.phase.pk),
            "name": each.name,
            "signed": each.signed_at is not None,
            "checks": [
                for_the_phone(check, units, None)
                | {
                    "addresses": [
                        reverse(name, args=[check.check.pk]) for name in ("inspections:entry", "inspections:survey")
                    ]
                }
                for check in each.checks
                if each.signed_at and check.holds
            ],
        }
        for each in views[: views.index(view)]
    ]
