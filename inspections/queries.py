"""What pages read of the phases: each function a known number of queries, however many phases and entries there are."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal
from uuid import UUID

from django.db.models import Count, F, Prefetch, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from estimating.change_queries import undecided_changes
from inspections.models import Amendment, Check, ChecklistVersion, Entry, Outcome, Phase, PunchItem, Waiver
from inspections.standing import (
    ANY_TIME,
    CheckState,
    PlaceView,
    Turn,
    arrival,
    deciding,
    gravest,
    places_of,
    reasons,
    turn_of,
)
from jobs.models import Job, Photo, Stage
from rooms.models import Room
from rooms.rough_in_checks import ITEM_KEY
from shop.models import Staff
from shop.retelling import retold

PhaseState = Literal["signed", "open", "held", "ahead"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckView:
    """A check with the entry that it stands by, mostly its newest; `earlier` has the others, oldest first.

    `places`: the surfaces that it is proved on apart; it holds when it holds on each, and `newest` is what was entered
    last on those that stand worst. Without them it is the room's, once. `holds` is empty where the check holds nothing;
    else why, in words. `unseen`: what says otherwise than the newest entry of the same surface, by others, and nobody
    who entered that surface later knew of it: two phones without signal. It ends when that is entered again on a card
    that shows both, when they come to say the same, or with a waiver. `turn`: from when on what passes counts.
    """

    check: Check
    text: str
    help: str
    state: CheckState
    newest: Entry | None
    earlier: tuple[Entry, ...]
    waivers: tuple[Waiver, ...]
    turn: Turn = ANY_TIME
    holds: str = ""
    unseen: tuple[Entry, ...] = ()
    stands: tuple[PlaceView, ...] = ()
    places: tuple[PlaceView, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether its surfaces don't all stand the same."""
        return len({place.state for place in self.places}) > 1

    @property
    def early(self) -> str:
        """Why what was entered doesn't count yet, and what to do; empty where it does."""
        return next((place.early for place in self.stands if place.early), "")

    @property
    def unfinished(self) -> bool:
        """Whether some of its surfaces have an answer and some have none."""
        return self.differs and any(place.state == "open" for place in self.places)

    @property
    def folded(self) -> tuple[Entry, ...]:
        """The earlier entries that needn't stand open on the card."""
        return tuple(entry for entry in self.earlier if entry not in self.unseen)

    @property
    def amended_in_fold(self) -> bool:
        return any(entry.amendments.all() for entry in self.folded)

    @property
    def last_arrived(self) -> Entry | None:
        """Of all that stands on the card, what came last: see `Entry.seen`."""
        entries = (*self.earlier, self.newest) if self.newest else ()
        return max(entries, key=arrival, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseView:
    """A phase as it stands.

    `signed`; `held`: it is its turn, or it was signed, and something entered holds it (a failed or skipped check, a
    wait that runs); `open`: it is its turn; `ahead`: the one before it isn't signed. `before`: the first phase of the
    room that has to be signed before this one. `late`: checks of signed phases before it that hold it, since what was
    entered after their sign-off failed. `said_anew`: checks that aren't asked any more, in whose place others are.
    """

    phase: Phase
    name: str
    state: PhaseState
    checks: tuple[CheckView, ...]
    before: Phase | None
    signed_at: datetime | None
    signed_by: Staff | None
    late: tuple[CheckView, ...] = ()
    said_anew: tuple[CheckView, ...] = ()

    @property
    def in_the_way(self) -> tuple[CheckView, ...]:
        """The checks that keep it from being signed: late ones, then those that were entered, then those still open."""
        own = [view for view in self.checks if view.holds]
        return self.late + tuple(sorted(own, key=lambda view: view.state == "open"))

    @property
    def holds(self) -> tuple[str, ...]:
        """Why the phase is held, as far as something was entered: the check and the reason."""
        return tuple(self._in_words(view) for view in self.in_the_way if view.state != "open")

    @property
    def unproved(self) -> tuple[str, ...]:
        """All that keeps the phase from being signed, in words, the phase before it included."""
        turn = (_("%(phase)s isn't signed yet") % {"phase": _(self.before.name)},) if self.before else ()
        return turn + tuple(self._in_words(view) for view in self.in_the_way)

    @property
    def may_be_signed(self) -> bool:
        return self.signed_at is None and not self.before and not self.in_the_way

    @property
    def next_step(self) -> str:
        """What to do about the first thing that holds it."""
        return next((view.help for view in self.in_the_way if view.state in ("fails", "skipped")), "")

    @property
    def amended(self) -> int:
        """How many amendments its sign-off and its entries have."""
        if self.signed_at is None:
            return 0
        of_entries = sum(len(entry.amendments.all()) for view in self.checks for entry in view.check.entries.all())
        return len(self.phase.sign_off.amendments.all()) + of_entries

    @property
    def done(self) -> int:
        return sum(view.state in ("holds", "waived") for view in self.checks)

    @property
    def total(self) -> int:
        """The checks that count: the required ones, and of the others those that something was entered for."""
        return sum(view.check.required or view.state != "open" for view in self.checks)

    def _in_words(self, view: CheckView) -> str:
        if view.check.phase_id == self.phase.pk:
            return view.holds
        return _("%(phase)s, after its sign-off: %(hold)s") % {"phase": _(view.check.phase.name), "hold": view.holds}


def checklists_in_force(*, at: datetime | None = None) -> dict[str, ChecklistVersion]:
    """By phase, the shop's own checklist of now, or of a moment; a phase that the shop never changed isn't among them.
    One query."""
    versions = ChecklistVersion.objects.select_related("by").order_by("phase", "-number").distinct("phase")
    return {each.phase: each for each in (versions if at is None else versions.filter(created_at__lte=at))}


def _phases() -> QuerySet[Phase]:
    entries = Entry.objects.select_related("photo", "by").order_by("happened_at", "id")
    waivers = Waiver.objects.select_related("by")
    checks = Check.objects.select_related("said_anew").prefetch_related(
        Prefetch("entries", entries), Prefetch("waivers", waivers)
    )
    return (
        Phase.objects.select_related("sign_off__by", "checklist", "room__job__site", "room__job__client")
        .prefetch_related(Prefetch("checks", checks))
        .order_by("room__position", "room__created_at", "room_id", "position")
    )


def _take_amendments(phases: Sequence[Phase]) -> None:
    """Gives the sign-offs and entries of the phases their amendments. One query, where a prefetch of each takes two."""
    of_phases = Q(sign_off__phase__in=phases) | Q(entry__check_done__phase__in=phases)
    found = defaultdict(list)
    for amendment in Amendment.objects.filter(of_phases).select_related("by") if phases else ():
        found[amendment.entry_id or amendment.sign_off_id].append(amendment)
    for phase in phases:
        entries = [entry for check in phase.checks.all() for entry in check.entries.all()]
        for row in (*entries, getattr(phase, "sign_off", None)):
            if row is not None:  # where a prefetch keeps them
                row._prefetched_objects_cache = {"amendments": found[row.pk]}  # type: ignore[union-attr]


def phases_of_job(job: Job) -> list[PhaseView]:
    """Of every room, in its order, the phases in theirs. At most five queries."""
    return _views(_phases().filter(room__job=job))


def phases_of_rooms(rooms: Iterable[Room]) -> list[PhaseView]:
    """The same for these rooms, of whichever jobs. At most five queries."""
    return _views(_phases().filter(room__in=list(rooms)))


def phase_view(phase: Phase) -> PhaseView:
    """One phase, read anew, with regard to those before it in its room. At most five queries."""
    return next(view for view in _views(_phases().filter(room=phase.room_id)) if view.phase.pk == phase.pk)


def phases_under_way() -> list[PhaseView]:
    """The phases of all jobs under way. At most five queries."""
    return _views(_phases().filter(room__job__stage__in=(Stage.WORKING, Stage.PUNCH_LIST)))


def newest_amendments() -> list[Amendment]:
    """What arrived in the last 14 days, newest first, of whichever jobs: a closed one's record can be amended as well.
    One query."""
    since = timezone.now() - timedelta(days=14)
    return list(
        Amendment.objects.filter(created_at__gte=since)
        .select_related(
            "by", "sign_off__phase__room__job__site", "entry__by", "entry__check_done__phase__room__job__site"
        )
        .order_by("-created_at", "-id")[:20]
    )


def failed_after_closeout() -> list[Entry]:
    """Failures that arrived in the last 14 days when their job was closed out already, newest first: what comes of them
    is a callback. One query."""
    since = timezone.now() - timedelta(days=14)
    closed = "check_done__phase__room__job__closeout__created_at__lt"
    return list(
        Entry.objects.filter(outcome=Outcome.FAILS, created_at__gte=since, **{closed: F("created_at")})
        .select_related("by", "check_done__phase__room__job__site")
        .order_by("-created_at", "-id")[:20]
    )


def _views(phases: Iterable[Phase]) -> list[PhaseView]:
    """The views of phases that come room by room, in their order."""
    views: list[PhaseView] = []
    room: UUID | None = None
    before: Phase | None = None
    covered: Phase | None = None
    late: tuple[CheckView, ...] = ()
    phases = list(phases)
    _take_amendments(phases)
    for phase in phases:
        if phase.room_id != room:
            room, before, covered, late = phase.room_id, None, None, ()
        view = _view(phase, before=before, covered=covered, late=late)
        views.append(view)
        covered = phase
        if view.signed_at is None:
            before = before or phase
        else:
            late += tuple(check for check in view.checks if check.holds)
    return views


def _view(phase: Phase, *, before: Phase | None, covered: Phase | None, late: tuple[CheckView, ...]) -> PhaseView:
    sign_off = getattr(phase, "sign_off", None)
    checks = list(phase.checks.all())
    view = PhaseView(
        phase=phase,
        name=_(phase.name),
        state="open",
        checks=check_views([check for check in checks if not hasattr(check, "said_anew")], covered),
        said_anew=tuple(
            view for check in checks if hasattr(check, "said_anew") for view in check_views([check], covered)
        ),
        before=None if sign_off else before,
        signed_at=sign_off.happened_at if sign_off else None,
        signed_by=sign_off.by if sign_off else None,
        late=() if sign_off or before else late,
    )
    if view.before:
        return replace(view, state="ahead")
    if view.holds:
        return replace(view, state="held")
    return replace(view, state="signed") if sign_off else view


def check_views(checks: Sequence[Check], covered: Phase | None) -> tuple[CheckView, ...]:
    """The views of a phase's checks: whether one counts may hang on those before it."""
    found: dict[str, CheckView] = {}
    places: dict[str, tuple[PlaceView, ...]] = {}
    texts: dict[str, str] = {}
    for check in checks:
        turn = turn_of(check, beside=checks, places=places, texts=texts, covered=covered)
        view = _check_view(check, turn)
        found[check.key], places[check.key], texts[check.key] = view, view.stands, view.text
    return tuple(found.values())


def _check_view(check: Check, turn: Turn) -> CheckView:
    entries, waivers = tuple(check.entries.all()), tuple(check.waivers.all())
    places = places_of(check, entries, waivers, turn)
    newest = deciding(places) or (entries[-1] if entries else None)
    at_odds = {entry for place in places if place.unseen for entry in (*place.unseen, place.newest)}
    # Of a rough-in sheet's item the figures stand in its text; what the shop typed is told as it stands.
    text = retold(check.text) if check.key.startswith(ITEM_KEY) else _(check.text)
    reason = reasons(check, places)
    return CheckView(
        check=check,
        text=text,
        help=_(check.help) if check.help else "",
        state=gravest([place.state for place in places]),
        stands=places,
        places=places if check.surfaces else (),
        newest=newest,
        earlier=tuple(entry for entry in entries if entry != newest),
        waivers=waivers,
        turn=turn,
        holds=f"{text}: {reason}" if reason else "",
        unseen=tuple(entry for entry in entries if entry in at_odds and entry != newest),
    )


def unproved_phases(job: Job) -> list[str]:
    """The phases of the job that still have something to prove, in words; none: they are signed, and nothing that was
    entered since holds them. At most five queries."""
    reasons = []
    for view in phases_of_job(job):
        words = {"room": view.phase.room.name, "phase": view.name}
        if view.signed_at is None:
            reasons.append(_("%(room)s: %(phase)s isn't signed") % words)
        elif view.holds:
            reasons.append(_("%(room)s: %(phase)s is signed, but since: %(hold)s") % {**words, "hold": view.holds[0]})
    return reasons


def in_the_way_of_closeout(job: Job) -> list[str]:
    """What still has to happen before the job can be closed out, in words. At most eleven queries."""
    items = PunchItem.objects.filter(job=job, done_at=None).order_by("created_at", "id")
    changes = [
        _("change order %(number)s, %(what)s: %(todo)s")
        % {"number": view.change.number, "what": view.change.what, "todo": view.closeout_text}
        for view in undecided_changes(job)
    ]
    open_items = [_("open on the punch list: %(item)s") % {"item": item.text} for item in items]
    return unproved_phases(job) + open_items + changes


def photos_to_sort(jobs: Iterable[Job]) -> dict[UUID, int]:
    """How many photos of each job wait to be sorted, by the job's key; none where none do. One query."""
    waiting = unsorted_photos().filter(job__in=[job.pk for job in jobs])
    return dict(waiting.order_by().values_list("job").annotate(count=Count("pk")))


def unsorted_photos() -> QuerySet[Photo]:
    """Photos that were taken first and that nobody has sorted yet, the first taken first."""
    return Photo.objects.filter(to_sort=True, sortings=None).order_by("happened_at", "id")


def jobs_waiting(stages: Iterable[Stage]) -> list[Job]:
    """The jobs at these stages and those that have photos to sort, each with `photos_waiting`: how many. One query."""
    count = Count("photos", filter=Q(photos__to_sort=True, photos__sortings=None))
    jobs = Job.objects.annotate(photos_waiting=count).filter(Q(stage__in=stages) | Q(photos_waiting__gt=0))
    return list(jobs.select_related("client", "site").order_by("number"))


def punch_items(job: Job) -> list[PunchItem]:
    """The items, open ones first, in the order in which they were found. One query."""
    items = PunchItem.objects.filter(job=job).select_related("room", "photo", "opened_by", "done_by")
    return sorted(items, key=lambda item: (item.done_at is not None, item.created_at, item.pk))
