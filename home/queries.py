"""What the pages show that look over several apps at once, each with a known number of queries."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from django.db.models import Count, Prefetch, Q, QuerySet
from django.utils import timezone

from callbacks.models import Callback, Warranty
from callbacks.queries import open_callbacks
from clients.cautions import Caution, cautions_for
from estimating.change_queries import ChangeView, Pending, changes_of_job, changes_pending
from estimating.job_sum import JobSum, job_sum
from estimating.models import Proposal, Question
from estimating.queries import questions_waiting
from inspections.models import Amendment, Entry, PunchItem
from inspections.queries import (
    CheckView,
    PhaseView,
    failed_after_closeout,
    jobs_waiting,
    newest_amendments,
    phases_of_job,
    phases_of_rooms,
    phases_under_way,
    photos_to_sort,
)
from jobs.access import jobs_of
from jobs.models import Booking, CrewMember, Job, Photo, Stage
from rooms.as_built_readings import Waiting, as_built_waiting
from rooms.models import Layout, Room, Standing, Unfinished
from rooms.queries import current_layouts, unfinished_rooms
from shop.mail import given_up
from shop.models import Staff


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One day of the Week and who is where on it."""

    date: date
    is_today: bool
    bookings: list[Booking]


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """Monday to Sunday in the shop's time zone, and what waits for somebody."""

    days: list[Day]
    previous: date
    following: date
    now: datetime
    held: list[PhaseView]
    disagreeing: list[CheckView]
    amendments: list[Amendment]
    after_closeout: list[Entry]
    questions: list[Question]
    unsigned: list[Proposal]
    changes: list[Pending]
    callbacks: list[Callback]
    to_measure: list[Job]
    to_price: list[Job]
    photos_to_sort: list[Job]
    as_built: list[Waiting]
    mails_given_up: int


def _midnight(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time()))


def bookings_between(start: date, end: date) -> QuerySet[Booking]:
    """Standing bookings that touch the days from `start` up to but without `end`."""
    return (
        Booking.objects.filter(canceled_at=None, during__overlap=(_midnight(start), _midnight(end)))
        .select_related("job__client", "job__site", "person", "visit__callback")
        .order_by("during", "id")
    )


def week_of(day: date) -> Week:
    """The week that `day` lies in."""
    monday = day - timedelta(days=day.weekday())
    dates = [monday + timedelta(days=n) for n in range(7)]
    bookings = list(bookings_between(monday, monday + timedelta(days=7)))
    today = timezone.localdate()
    phases = phases_under_way()
    waiting = jobs_waiting((Stage.MEASURING, Stage.PRICING))
    return Week(
        days=[
            Day(date=day, is_today=day == today, bookings=[b for b in bookings if _touches(b, day)]) for day in dates
        ],
        previous=monday - timedelta(days=7),
        following=monday + timedelta(days=7),
        now=timezone.now(),
        held=[view for view in phases if view.state == "held"],
        disagreeing=[check for view in phases for check in view.checks if check.unseen],
        amendments=newest_amendments(),
        after_closeout=failed_after_closeout(),
        questions=list(questions_waiting()),
        unsigned=list(proposals_out()),
        changes=changes_pending(),
        callbacks=list(open_callbacks()),
        to_measure=[job for job in waiting if job.stage == Stage.MEASURING],
        to_price=[job for job in waiting if job.stage == Stage.PRICING],
        photos_to_sort=[job for job in waiting if job.photos_waiting],  # type: ignore[attr-defined]  # annotated there
        as_built=as_built_waiting(),
        mails_given_up=given_up().count(),
    )


def _touches(booking: Booking, day: date) -> bool:
    return booking.during.lower < _midnight(day + timedelta(days=1)) and booking.during.upper > _midnight(day)


def proposals_out() -> QuerySet[Proposal]:
    """Proposals that wait for a signature, those that expire first coming first; expired ones are among them."""
    return (
        Proposal.objects.filter(job__stage=Stage.PROPOSED, end=None, acceptance=None)
        .select_related("job__client", "job__site", "document")
        .defer("content", "document__input")
        .order_by("valid_until")
    )


PHASES_OF_A_DAY = 3
"""Of a room. More than anybody signs in one: the waits between them last a night (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayJob:
    """A job as an installer meets it in the morning."""

    job: Job
    bookings: list[Booking]
    phases: list[PhaseView]
    photos_to_sort: int

    @property
    def next_phases(self) -> list[PhaseView]:
        """Of each room the phase whose turn it is."""
        return [view for view in self.phases if view.state in ("open", "held")]

    @property
    def phases_of_the_day(self) -> list[PhaseView]:
        """Of each room the phases that a day can come to: the one whose turn it is and the two after it."""
        coming: dict[UUID, list[PhaseView]] = {}
        for view in self.phases:
            if not view.signed_at:
                coming.setdefault(view.phase.room_id, []).append(view)
        return [view for views in coming.values() for view in views[:PHASES_OF_A_DAY]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    date: date
    booked: list[TodayJob]
    others: list[TodayJob]


def today_of(person: Staff) -> Today:
    """The person's day: jobs with a booking today, by time, then the other jobs that are being worked on."""
    day = timezone.localdate()
    mine = list(bookings_between(day, day + timedelta(days=1)).filter(person=person))
    booked_ids = list(dict.fromkeys(booking.job_id for booking in mine))
    jobs = {
        job.pk: job
        for job in jobs_of(person).prefetch_related(
            Prefetch("rooms", Room.objects.part_of_the_job().select_related("tile"))
        )
        if job.pk in booked_ids or job.stage in (Stage.WORKING, Stage.PUNCH_LIST)
    }
    rooms = [room for job in jobs.values() for room in job.rooms.all()]
    phases = phases_of_rooms(rooms)
    to_sort = photos_to_sort(jobs.values())

    def entry(job: Job) -> TodayJob:
        return TodayJob(
            job=job,
            bookings=[booking for booking in mine if booking.job_id == job.pk],
            phases=[view for view in phases if view.phase.room.job_id == job.pk],
            photos_to_sort=to_sort.get(job.pk, 0),
        )

    return Today(
        date=day,
        booked=[entry(jobs[pk]) for pk in booked_ids if pk in jobs],
        others=[entry(job) for job in jobs.values() if job.pk not in booked_ids],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """A room of the job page: what was chosen for it, and how far its phases are."""

    room: Room
    layout: Layout | None
    phases: list[PhaseView]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """`options`: rooms that are offered and not part of the job; `not_taken`: those that the client left."""

    rooms: list[RoomView]
    options: list[RoomView]
    not_taken: list[Room]
    unfinished: list[Unfinished]
    crew: list[CrewMember]
    bookings: list[Booking]
    proposals: list[Proposal]
    changes: list[ChangeView]
    sum: JobSum | None
    open_punch_items: int
    punch_items: int
    warranty: Warranty | None
    callbacks: list[Callback]
    photos: list[Photo]
    photos_to_sort: int
    cautions: list[Caution]
    as_built: list[Waiting]

    @property
    def has_rooms(self) -> bool:
        return bool(self.rooms or self.unfinished)

    @property
    def holds(self) -> list[PhaseView]:
        """The phases that are held, room by room."""
        return [view for room in self.rooms for view in room.phases if view.state == "held"]


def job_page(job: Job) -> JobPage:
    """All that the job page shows, in a number of queries that doesn't grow with rooms, phases or bookings."""
    rooms = list(Room.objects.filter(job=job).select_related("tile", "job"))
    layouts = current_layouts(job)
    phases = phases_of_job(job)

    def views(standing: Standing) -> list[RoomView]:
        return [
            RoomView(
                room=room,
                layout=layouts.get(room.pk),
                phases=[view for view in phases if view.phase.room_id == room.pk],
            )
            for room in rooms
            if room.standing == standing
        ]

    worked_on = views(Standing.IN)
    punch = PunchItem.objects.filter(job=job).aggregate(all=Count("id"), still=Count("id", filter=Q(done_at=None)))
    return JobPage(
        rooms=worked_on,
        options=views(Standing.OFFERED),
        not_taken=[room for room in rooms if room.standing == Standing.OUT],
        unfinished=list(unfinished_rooms(job)),
        crew=list(CrewMember.objects.filter(job=job, left_at=None).select_related("person")),
        bookings=list(
            Booking.objects.filter(job=job, canceled_at=None, during__endswith__gte=timezone.now())
            .select_related("person")
            .order_by("during", "id")
        ),
        proposals=list(Proposal.objects.filter(job=job).select_related("acceptance", "end", "document")),
        changes=changes_of_job(job),
        sum=job_sum(job),
        open_punch_items=punch["still"],
        punch_items=punch["all"],
        warranty=Warranty.objects.filter(job=job).first(),
        callbacks=list(Callback.objects.filter(job=job)),
        photos=list(Photo.objects.filter(job=job).order_by("-happened_at")[:12]),
        photos_to_sort=photos_to_sort([job]).get(job.pk, 0),
        cautions=cautions_for(job.site.year_built) if any(view.room.demolition for view in worked_on) else [],
        as_built=as_built_waiting(job),
    )
