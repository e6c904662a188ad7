"""What pages read about callbacks, warranties and visits."""

from dataclasses import dataclass
from typing import Literal

from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from callbacks.models import Callback, Visit
from estimating.change_queries import Allowance, ChangeView, allowances_of, undecided_changes
from inspections.models import PunchItem
from inspections.queries import CheckView, PhaseView, phases_of_job, punch_items
from jobs.models import Job
from trade.callbacks import Lesson, cautions_of, lessons_of
from trade.sources import Rule

Show = Literal["open", "closed", "all"]


def callbacks_with_their_jobs() -> QuerySet[Callback]:
    """Callbacks with job, client, site, warranty and room in one query."""
    return Callback.objects.select_related("job__client", "job__site", "job__warranty", "room")


def open_callbacks() -> QuerySet[Callback]:
    """Those that nobody has closed, the oldest first: somebody has waited longest."""
    return callbacks_with_their_jobs().filter(closed_at=None).order_by("reported_on", "number")


def callbacks_to_show(show: Show) -> QuerySet[Callback]:
    """For the list: the open ones first, as they wait; then the closed ones, the last closed first."""
    if show == "open":
        return open_callbacks()
    closed_last = callbacks_with_their_jobs().order_by(F("closed_at").desc(nulls_first=True), "reported_on", "number")
    return closed_last.filter(closed_at__isnull=False) if show == "closed" else closed_last


def within_warranty(callback: Callback) -> bool:
    """Whether it was reported by the last day of the job's warranty; never where the job has none."""
    warranty = getattr(callback.job, "warranty", None)
    return warranty is not None and callback.reported_on <= warranty.ends_on


def visits_of(callback: Callback) -> list[Visit]:
    """The visits in the order of their time, canceled ones among them."""
    return list(callback.visits.select_related("booking__person").order_by("booking__during", "id"))


def visits_not_begun(callback: Callback) -> QuerySet[Visit]:
    """Visits that somebody would still set out for."""
    return callback.visits.select_related("booking__person").filter(
        booking__canceled_at=None, booking__during__startswith__gt=timezone.now()
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """A check on this job that is about the symptom, and the phase that it belongs to."""

    phase: PhaseView
    check: CheckView


@dataclass(frozen=True, slots=True, kw_only=True)
class LessonView:
    """One way in which the symptom comes about, in the reader's language, and what this job's checks say of it."""

    seen: str
    causes: str
    caught_by: str
    proofs: list[Proof]


@dataclass(frozen=True, slots=True, kw_only=True)
class Help:
    """What to look at first. Common practice, no source; cautions have theirs."""

    lessons: list[LessonView]
    cautions: tuple[Rule, ...]
    phases: list[PhaseView]


def help_for(callback: Callback) -> Help:
    """The likely causes, and how the checks about them stood in the callback's room, or in all rooms of the job."""
    phases = [
        view
        for view in phases_of_job(callback.job)
        if callback.room_id is None or view.phase.room_id == callback.room_id
    ]
    return Help(
        lessons=[_lesson(lesson, phases) for lesson in lessons_of(callback.symptom)],
        cautions=cautions_of(callback.symptom),
        phases=phases,
    )


def _lesson(lesson: Lesson, phases: list[PhaseView]) -> LessonView:
    return LessonView(
        seen=_(lesson.seen),
        causes=_(lesson.causes),
        caught_by=_(lesson.caught_by),
        proofs=[
            Proof(phase=phase, check=check)
            for phase in phases
            for check in phase.checks
            if check.check.key in lesson.checks
        ],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """What stands in the way of closing a job out."""

    phases: list[PhaseView]
    items: list[PunchItem]
    changes: list[ChangeView]
    # Told, and in nobody's way: one that cost what it allows needs no change order.
    allowances: list[Allowance]

    def __bool__(self) -> bool:
        return bool(self.phases or self.items or self.changes)


def unfinished(job: Job) -> Unfinished:
    """The phases that aren't signed, the punch items that are open and the change orders without an answer; and the
    allowances that aren't settled."""
    return Unfinished(
        phases=[view for view in phases_of_job(job) if view.state != "signed"],
        items=[item for item in punch_items(job) if item.done_at is None],
        changes=undecided_changes(job),
        allowances=[each for each in allowances_of(job) if not each.change],
    )
