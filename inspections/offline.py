"""What a phase's page tells the phone, so that it can judge an entry without signal as the server would, and knows what
holds the sign-off."""

from collections.abc import Sequence
from typing import Any

from django.urls import reverse

from inspections.queries import CheckView, PhaseView
from inspections.standing import PlaceView
from trade.lengths import Unit
from trade.limits import Limit


def for_the_phone(view: CheckView, units: Unit, limit: Limit | None) -> dict[str, Any]:
    """The check as data for `static/js/phone/verdict.js`: its kind, unit and limit, and how it stands on the server;
    `due`: when a wait that runs is over.

    `limit`: the shop's of now.
    """
    check = view.check
    return {
        "text": view.text,
        "kind": check.kind,
        "unit": check.unit,
        "units": units,
        "limit": limit.to_json() if limit else None,
        "required": check.required,
        "state": view.state,
        "due": view.newest.due_at if view.newest and view.state == "waiting" else None,
        "places": [
            {"key": place.key, "name": place.name, "state": place.state, "due": _due(place)} for place in view.places
        ],
    }


def _due(place: PlaceView) -> Any:
    return place.newest.due_at if place.newest and place.state == "waiting" else None


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
