"""How a check stands: on each of the surfaces that it is proved on apart, and with all of them together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal
from uuid import UUID

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from inspections.models import Check, Entry, Outcome, Phase, Waiver

CheckState = Literal["holds", "fails", "early", "waiting", "skipped", "waived", "open"]
"""`early`: what was entered would pass, and came before its turn: it doesn't count."""

GRAVEST_FIRST: Sequence[CheckState] = ("fails", "early", "waiting", "skipped", "open", "holds", "waived")
"""The check stands as the gravest of its surfaces does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """From when on what passes a check counts. `since` None: from the beginning, or, where there is something that
    comes `first` (in words), not yet. `why`: what is wrong with an entry from before, and what to do."""

    since: datetime | None = None
    first: str = ""
    why: str = ""

    def comes_too_early(self, entry: Entry) -> bool:
        if entry.outcome not in (Outcome.HOLDS, Outcome.WAITING):
            return False
        return bool(self.first) or (self.since is not None and shown_at(entry) < self.since)


ANY_TIME = Turn()


def shown_at(entry: Entry) -> datetime:
    """The moment that an entry shows: a photo may have been taken before it was entered."""
    return min(entry.happened_at, entry.photo.happened_at) if entry.photo else entry.happened_at


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceView:
    """One surface that a check is proved on apart, as it stands; `newest` counts there. Of a check that is the room's,
    once, it stands for the room, with neither key nor name."""

    key: str
    name: str
    state: CheckState
    newest: Entry | None
    unseen: tuple[Entry, ...] = ()
    early: str = ""


def turn_of(
    check: Check,
    *,
    beside: Sequence[Check],
    places: Mapping[str, Sequence[PlaceView]],
    texts: Mapping[str, str],
    covered: Phase | None,
) -> Turn:
    """From when on what passes the check counts; the sign-off's trigger asks the same (inspections/triggers.py).

    `beside`: the checks of its phase, by their keys the `places` and `texts` of those before it; `covered`: the phase
    before its own.
    """
    found = [ANY_TIME]
    if check.in_turn and covered is not None:
        found.append(_after_sign_off(covered))
    for other in beside:
        if other.key in check.after and other.key in places:
            found.append(_after_check(other, places[other.key], texts[other.key]))
        if check.key in other.restarts and (failed := newest_failure(other)):
            why = _("“%(check)s” failed since: enter it again, from the start")
            found.append(Turn(since=failed, why=why % {"check": _(other.text)}))
    waits = [turn for turn in found if turn.first]
    begun = [turn for turn in found if turn.since is not None]
    return next(iter(waits), None) or max(begun, key=lambda turn: turn.since or _NEVER, default=ANY_TIME)


_NEVER = datetime.max.replace(tzinfo=UTC)


def _after_sign_off(phase: Phase) -> Turn:
    name = {"phase": _(phase.name)}
    why = _("too early: %(phase)s has to be signed first. Enter it again after that") % name
    if sign_off := getattr(phase, "sign_off", None):
        return Turn(since=sign_off.happened_at, why=why)
    return Turn(first=_("%(phase)s signed") % name, why=why)


def _after_check(other: Check, places: Sequence[PlaceView], text: str) -> Turn:
    state = gravest([place.state for place in places])
    why = _("too early: “%(check)s” comes first. Enter it again after that") % {"check": text}
    newest = deciding(places)
    if state in ("holds", "waiting") and newest:
        return Turn(since=over_at(newest), why=why)
    if state == "waived" or (state in ("open", "skipped") and not other.required):
        return ANY_TIME
    return Turn(first=text, why=why)


def over_at(entry: Entry) -> datetime:
    """From when on what passes counts as done: a wait is over later."""
    return entry.due_at or entry.happened_at


def newest_failure(check: Check) -> datetime | None:
    """When the check failed last, but for what the owner waived."""
    waiver = _newest(check.waivers.all())
    failed = [
        entry.happened_at
        for entry in check.entries.all()
        if entry.outcome == Outcome.FAILS and (waiver is None or _came_after(entry, waiver))
    ]
    return max(failed, default=None)


def _newest(waivers: Iterable[Waiver]) -> Waiver | None:
    return max(waivers, key=lambda waiver: (waiver.created_at, waiver.pk), default=None)


def places_of(
    check: Check, entries: Sequence[Entry], waivers: Sequence[Waiver] = (), turn: Turn = ANY_TIME
) -> tuple[PlaceView, ...]:
    """The surfaces of a check, in its order; `entries`: all of it, oldest first."""
    waiver = _newest(waivers)
    arrived = {str(entry.pk): arrival(entry) for entry in entries}
    found = []
    for surface in check.surfaces or [{"key": "", "name": ""}]:
        spoken = [entry for entry in entries if entry.speaks_for(surface["key"])]
        newest = spoken[-1] if spoken else None
        since = [each for each in spoken if each.outcome == Outcome.FAILS and waiver and _came_after(each, waiver)]
        waived = waiver is not None and not since
        early = newest is not None and not waived and turn.comes_too_early(newest)
        found.append(
            PlaceView(
                key=surface["key"],
                name=surface["name"],
                state="waived" if waived else "early" if early else _state(newest),
                newest=newest,
                unseen=() if waived else _unseen(spoken, arrived),
                early=turn.why if early else "",
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


def _came_after(entry: Entry, waiver: Waiver) -> bool:
    """A waiver stands for what had arrived by then."""
    return entry.created_at > waiver.created_at


def _state(newest: Entry | None) -> CheckState:
    if newest is None:
        return "open"
    if newest.outcome == Outcome.WAITING and newest.due_at and newest.due_at <= timezone.now():
        return "holds"
    return newest.outcome  # type: ignore[return-value]  # the other outcomes are states by the same names


def _reason(check: Check, place: PlaceView) -> str:
    state, newest = place.state, place.newest
    if state == "fails":
        return _("failed")
    if state == "early":
        return place.early
    if state == "waiting" and newest and newest.due_at:
        due = timezone.localtime(newest.due_at)
        return _("over on %(when)s") % {"when": date_format(due, _("D, M j, g:i a"))}
    if state == "skipped" and newest and check.required:
        return _("couldn't be checked, because: %(why)s") % {"why": newest.note}
    if state == "open" and check.required:
        return _("not checked yet")
    return ""
