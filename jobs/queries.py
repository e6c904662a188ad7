"""What pages read about jobs, crews, bookings and photos."""

from datetime import datetime

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from jobs.models import Booking, CrewMember, Job, Photo
from shop.models import Staff


def upcoming_bookings(job: Job, *, at: datetime | None = None) -> QuerySet[Booking]:
    """The job's bookings that haven't ended and aren't canceled, the next one first."""
    return Booking.objects.filter(job=job, canceled_at=None, during__endswith__gt=at or timezone.now())


def past_bookings(job: Job, *, at: datetime | None = None) -> QuerySet[Booking]:
    """The job's bookings that have ended and those that were canceled, the latest first."""
    over = Q(during__endswith__lte=at or timezone.now()) | Q(canceled_at__isnull=False)
    return Booking.objects.filter(over, job=job).order_by("-during", "-id")


def search_jobs(jobs: QuerySet[Job], *, words: str = "", stage: str = "") -> QuerySet[Job]:
    """Of `jobs` those whose number is `words`, or whose title, client or site contains it; and in `stage`, if given."""
    if stage:
        jobs = jobs.filter(stage=stage)
    if words:
        found = Q(title__icontains=words) | Q(client__name__icontains=words) | Q(site__street__icontains=words)
        number = words.removeprefix("#")
        if number.isascii() and number.isdigit() and len(number) < 19:
            found |= Q(number=int(number))
        jobs = jobs.filter(found)
    return jobs


def crew_of(job: Job) -> QuerySet[CrewMember]:
    """Who is on the crew now."""
    return CrewMember.objects.filter(job=job, left_at=None).select_related("person").order_by("person__name", "id")


def earlier_crew_of(job: Job) -> QuerySet[CrewMember]:
    """Memberships that ended, the latest first."""
    return CrewMember.objects.filter(job=job, left_at__isnull=False).select_related("person").order_by("-left_at")


def photos_of_job(job: Job) -> QuerySet[Photo]:
    """The job's photos with who sent them, the latest first."""
    return Photo.objects.filter(job=job).select_related("by").order_by("-happened_at", "-id")


def with_crew(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """`jobs`, each with `crew_now`: its members' names, in one further query."""
    members = CrewMember.objects.filter(left_at=None).select_related("person").order_by("person__name", "id")
    return jobs.prefetch_related(Prefetch("crew_members", queryset=members, to_attr="crew_now"))


def people_to_book() -> QuerySet[Staff]:
    return Staff.objects.filter(is_active=True)


def people_not_on_crew(job: Job) -> QuerySet[Staff]:
    """Who could be put on the crew."""
    members = CrewMember.objects.filter(job=job, left_at=None).values("person")
    return people_to_book().exclude(pk__in=members)
