"""How a check stands: on each of the surfaces that it is proved on apart, and with all of them together."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from uuid import UUID

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inspections.models import Check, Entry, Outcome, Waiver

CheckState = Literal["holds", "fails", "waiting", "skipped", "waived", "open"]

GRAVEST_FIRST: Sequence[CheckState] = ("fails", "waiting", "skipped", "open", "holds", "waived")
"""The check stands as the gravest of its surfaces does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceView:
    """One surface that a check is proved on apart, as it stands; `newest` counts there. Of a check that is the room's,
    once, it stands for the room, with neither key nor name."""

    key: str
    name: str
    state: CheckState
    newest: Entry | None
    unseen: tuple[Entry, ...] = ()


def places_of(check: Check, entries: Sequence[Entry], waiver: Waiver | None) -> tuple[PlaceView, ...]:
    """The surfaces of a check, in its order; `entries`: all of it, oldest first."""
    arrived = {str(entry.pk): arrival(entry) for entry in entries}
    found = []
    for surface in check.surfaces or [{"key": "", "name": ""}]:
        spoken = [entry for entry in entries if entry.speaks_for(surface["key"])]
        newest = spoken[-1] if spoken else None
        found.append(
            PlaceView(
                key=surface["key"],
                name=surface["name"],
                state=_state(newest, waiver),
                newest=newest,
                unseen=() if waiver else _unseen(spoken, arrived),
            )
        )
    return tuple(found)


def gravest(states: Sequence[CheckState]) -> CheckState:
    """How a check stands whose surfaces stand so."""
    return min(states, key=GRAVEST_FIRST.index)


def deciding(places: Sequence[PlaceView]) -> Entry | None:
    """The entry by which the check stands as it does: the newest of those on its gravest surfaces; None where nothing
    was entered there."""
    state = gravest([place.state for place in places])
    entries = [place.newest for place in places if place.state == state and place.newest]
    return max(entries, key=lambda entry: (entry.happened_at, entry.pk), default=None)


def still_to_answer(places: Sequence[PlaceView]) -> list[str]:
    """The keys of the surfaces that the next entry is most likely about: those without an answer, else those that don't
    hold; none where it goes for all of them alike."""
    unanswered = [place.key for place in places if place.state == "open"]
    wrong = [place.key for place in places if place.state not in ("holds", "waived")]
    found = unanswered or wrong
    return found if len(found) < len(places) else []


def reasons(check: Check, places: Sequence[PlaceView]) -> str:
    """Why the check holds its phase, with the surfaces where they don't all say the same; empty where it doesn't. The
    sign-off's trigger asks the same (inspections/triggers.py)."""
    said: dict[str, list[str]] = {}
    for place in places:
        if why := _reason(check, place):
            said.setdefault(why, []).append(place.name)
    if [len(names) for names in said.values()] == [len(places)]:
        return next(iter(said))
    return "; ".join(f"{', '.join(names)}: {why}" for why, names in said.items())


def arrival(entry: Entry) -> tuple[datetime, UUID]:
    return entry.created_at, entry.pk


def _unseen(entries: Sequence[Entry], arrived: dict[str, tuple[datetime, UUID]]) -> tuple[Entry, ...]:
    """Of what speaks for a surface, oldest first: see `inspections.queries.CheckView`. What its own maker, or somebody
    who had it on the card, entered over isn't among them. `arrived`: of all the check's entries."""
    if not entries:
        return ()
    *earlier, newest = entries

    def knew(later: Entry, entry: Entry) -> bool:
        if later.by_id == entry.by_id or not later.seen:
            return True
        return later.seen in arrived and arrival(entry) <= arrived[later.seen]

    return tuple(
        entry
        for place, entry in enumerate(earlier)
        if entry.outcome != newest.outcome and not any(knew(later, entry) for later in entries[place + 1 :])
    )


def _state(newest: Entry | None, waiver: Waiver | None) -> CheckState:
    if waiver:
        return "waived"
    if newest is None:
        return "open"
    if newest.outcome == Outcome.WAITING and newest.due_at and newest.due_at <= timezone.now():
        return "holds"
    return newest.outcome  # type: ignore[return-value]  # the other outcomes are states by the same names


def _reason(check: Check, place: PlaceView) -> str:
    state, newest = place.state, place.newest
    if state == "fails":
        return _("failed")
    if state == "waiting" and newest and newest.due_at:
        due = timezone.localtime(newest.due_at)
        return _("over on %(when)s") % {"when": date_format(due, _("D, M j, g:i a"))}
    if state == "skipped" and newest and check.required:
        return _("couldn't be checked, because: %(why)s") % {"why": newest.note}
    if state == "open" and check.required:
        return _("not checked yet")
    return ""
