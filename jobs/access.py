"""Which jobs a person may see, and what belongs to them."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import Exists, OuterRef, QuerySet

from jobs.models import Booking, CrewMember, Job, Photo
from shop.access import not_found, require_office, require_staff
from shop.models import Staff


def jobs_of(user: Staff | AnonymousUser) -> QuerySet[Job]:
    """Every job for owner and office; for an installer those with a crew membership that hasn't ended."""
    staff = require_staff(user)
    jobs = Job.objects.select_related("client", "site")
    if staff.runs_the_office:
        return jobs
    return jobs.filter(Exists(CrewMember.objects.filter(job=OuterRef("pk"), person=staff, left_at=None)))


def get_job(user: Staff | AnonymousUser, pk: UUID) -> Job:
    """The job, if it is this person's to see; else Http404."""
    return jobs_of(user).filter(pk=pk).first() or not_found()


def get_job_to_run(user: Staff | AnonymousUser, pk: UUID) -> Job:
    """The job, for owner and office; else PermissionDenied, or Http404 where there is none."""
    require_office(user)
    return get_job(user, pk)


def get_booking(user: Staff | AnonymousUser, pk: UUID) -> Booking:
    """The booking with its job and person, for owner and office; else PermissionDenied, or Http404."""
    require_office(user)
    return Booking.objects.select_related("job", "person").filter(pk=pk).first() or not_found()


def get_photo(user: Staff | AnonymousUser, pk: UUID) -> Photo:
    """The photo, if its job is this person's to see; else Http404."""
    return Photo.objects.filter(pk=pk, job__in=jobs_of(user)).first() or not_found()
