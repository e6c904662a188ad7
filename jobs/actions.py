"""Everything that changes jobs, crews, bookings and photos. Locks are taken on the job first, then on the person."""

import hashlib
import logging
from datetime import UTC, datetime
from typing import IO
from uuid import UUID

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import formats, timezone
from django.utils.translation import gettext as _
from psycopg.types.range import TimestamptzRange

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from clients.models import Client, Site
from jobs.models import MOVES, Booking, BookingKind, CrewMember, Job, Photo, Stage
from jobs.queries import upcoming_bookings
from shop.audit import change
from shop.images import SMALL_SIDE, BadImage, photo_jpeg
from shop.models import Staff
from shop.queries import shop_settings

log = logging.getLogger(__name__)


class WrongStage(Refused):
    """A job can't move from where it stands to where it was sent, or can't take this in its present stage."""


class NotWorkingHere(Refused):
    """The person's log-in is closed."""


class StillBooked(Refused):
    """The person has bookings on the job that are still ahead."""


class DoubleBooked(Refused):
    """The person is booked elsewhere at that time. `clash` is that booking, None if it went away meanwhile."""

    def __init__(self, message: str, *, person: Staff, clash: Booking | None) -> None:
        super().__init__(message)
        self.person, self.clash = person, clash


class EndsBeforeStart(Refused):
    """A booking's end isn't after its start."""


# ---------------------------------------------------------------- the job


def create_job(*, client: Client, site: Site, title: str, note: str = "", by: Staff, key: UUID | None = None) -> Job:
    """A new job at a site of the client, measuring. A form sent twice has the same `key`: one job, one number.

    Raises Refused where the site isn't the client's.
    """
    _check_site(client=client, site=site)
    with change(by):
        fields = {"client": client, "site": site, "title": title, "note": note}
        job, new = Job.objects.get_or_create(pk=key or uuid7(), defaults=fields)
        if new:
            job.refresh_from_db(fields=["number", "stage_since", "created_at"])
    return job


def change_job(*, job: Job, title: str, note: str, site: Site, by: Staff) -> Job:
    """Raises Refused where the site isn't the client's."""
    _check_site(client=job.client, site=site)
    with change(by):
        job.title, job.note, job.site = title, note, site
        job.save(update_fields=["title", "note", "site"])
    return job


def move_job(*, job: Job, to: Stage, by: Staff | None) -> Job:
    """The job in its new stage; moving it to where it stands changes nothing. Raises WrongStage.

    `by` is None where a client moved it, by accepting. A job that isn't taken loses its upcoming bookings:
    nobody is sent there.
    """
    with change(by):
        now = _lock(job)
        if now.stage != to:
            if to not in MOVES[Stage(now.stage)]:
                raise WrongStage(
                    _("Job %(number)s is at “%(stage)s” and can't move from there to “%(to)s”.")
                    % {"number": f"{now.number:04d}", "stage": now.get_stage_display(), "to": Stage(to).label}
                )
            now.stage = to
            now.save(update_fields=["stage"])
            now.refresh_from_db(fields=["stage_since"])
            if to == Stage.LOST:
                upcoming_bookings(now).update(canceled_at=timezone.now())
    job.stage, job.stage_since = now.stage, now.stage_since
    return job


def _lock(job: Job) -> Job:
    return Job.objects.select_for_update(no_key=True).get(pk=job.pk)


def _lock_person(person: Staff) -> Staff:
    """The person, locked against other bookings and crews; raises NotWorkingHere."""
    now = Staff.objects.select_for_update(no_key=True).get(pk=person.pk)
    if not now.is_active:
        raise NotWorkingHere(_("%(name)s's log-in is closed.") % {"name": now})
    return now


def _check_site(*, client: Client, site: Site) -> None:
    if site.client_id != client.pk:
        raise Refused(_("%(site)s isn't a site of %(client)s.") % {"site": site, "client": client})


# ---------------------------------------------------------------- the crew


def put_on_crew(*, job: Job, person: Staff, by: Staff) -> CrewMember:
    """The person's membership: from now on the job is theirs to see. Raises NotWorkingHere."""
    with change(by):
        _lock(job)
        _lock_person(person)
        return CrewMember.objects.get_or_create(job=job, person=person, left_at=None)[0]


def take_off_crew(*, job: Job, person: Staff, by: Staff) -> None:
    """From now on the job isn't theirs to see; who isn't on the crew stays off it.

    Raises StillBooked while the person has bookings ahead on the job: they would be sent where they can't look.
    """
    with change(by):
        _lock(job)
        ahead = upcoming_bookings(job).filter(person=person).order_by("during").first()
        if ahead:
            raise StillBooked(
                _("%(name)s is booked on this job (%(when)s). Cancel that first.")
                % {"name": person, "when": _span(ahead)}
            )
        CrewMember.objects.filter(job=job, person=person, left_at=None).update(left_at=timezone.now())


# ---------------------------------------------------------------- bookings


def book(
    *, job: Job, person: Staff, kind: BookingKind, what: str, starts: datetime, ends: datetime, by: Staff
) -> Booking:
    """The person's time on the job, from `starts` until just before `ends` (both aware). The person is put on the crew.

    The same booking once more (a form sent twice) returns the first one. Raises DoubleBooked, EndsBeforeStart,
    NotWorkingHere, and WrongStage where the job wasn't taken.
    """
    # In UTC: two times of one zone are compared by their wall clocks, which run backward once a year.
    starts, ends = starts.astimezone(UTC), ends.astimezone(UTC)
    if ends <= starts:
        raise EndsBeforeStart(_("The end has to be after the start."))
    during = TimestamptzRange(starts, ends)
    with change(by):
        now = _lock(job)
        if now.stage == Stage.LOST:
            raise WrongStage(_("Job %(number)s wasn't taken: nobody can be booked on it.") % {"number": now.number})
        person = _lock_person(person)
        same = Booking.objects.filter(
            job=job, person=person, kind=kind, what=what, during=during, canceled_at=None
        ).first()
        if same:
            return same
        try:
            with transaction.atomic():
                booking = Booking.objects.create(job=job, person=person, kind=kind, what=what, during=during)
        except IntegrityError as error:
            if _constraint(error) != "jobs_booking_one_place_at_a_time":
                raise
            raise _double_booked(person=person, during=during) from error
        CrewMember.objects.get_or_create(job=job, person=person, left_at=None)
    return booking


def cancel_booking(*, booking: Booking, by: Staff) -> Booking:
    """The booking, canceled: its time is free again. Canceling it twice changes nothing."""
    with change(by):
        Booking.objects.filter(pk=booking.pk, canceled_at=None).update(canceled_at=timezone.now())
        booking.refresh_from_db(fields=["canceled_at"])
    return booking


def _constraint(error: IntegrityError) -> str | None:
    """The name of the constraint that refused a row."""
    diagnosis = getattr(error.__cause__, "diag", None)
    return getattr(diagnosis, "constraint_name", None)


def _double_booked(*, person: Staff, during: TimestamptzRange) -> DoubleBooked:
    clash = (
        Booking.objects.filter(person=person, canceled_at=None, during__overlap=during).select_related("job").first()
    )
    if clash is None:
        return DoubleBooked(_("%(name)s is already booked at that time.") % {"name": person}, person=person, clash=None)
    message = _("%(name)s is already booked then: job %(number)s, %(what)s (%(when)s).") % {
        "name": person,
        "when": _span(clash),
        "number": f"{clash.job.number:04d}",
        "what": clash.what,
    }
    return DoubleBooked(message, person=person, clash=clash)


def _span(booking: Booking) -> str:
    """When, in the current time zone: "Nov. 24, 2026, 7:30 a.m. to 4 p.m."."""
    starts, ends = timezone.localtime(booking.during.lower), timezone.localtime(booking.during.upper)
    last = formats.time_format(ends) if starts.date() == ends.date() else formats.date_format(ends, "DATETIME_FORMAT")
    return _("%(start)s to %(end)s") % {"start": formats.date_format(starts, "DATETIME_FORMAT"), "end": last}


# ---------------------------------------------------------------- photos


def keep_photo(
    *,
    job: Job,
    by: Staff | None,
    upload: IO[bytes],
    happened_at: datetime,
    caption: str = "",
    key: UUID | None = None,
    to_sort: bool = False,
) -> Photo:
    """The photo, kept: turned upright, encoded anew as JPEG without metadata, its longest side at most 2400 px. Where
    the shop wants it, the position at which it was taken stays in the file; nothing else does.

    `to_sort`: what it shows is said later. The same key from the same person with the same content returns the same
    photo; otherwise it raises KeyTaken. Raises shop.images.BadImage. Where a caller's own transaction is rolled back
    later, the file stays behind unused.
    """
    key = key or uuid7()
    upload.seek(0)
    upload_sha256 = hashlib.file_digest(upload, "sha256").hexdigest()  # type: ignore[arg-type]
    if earlier := Photo.objects.filter(pk=key).first():
        return _same_photo(earlier, job=job, by=by, upload_sha256=upload_sha256)
    jpeg, width, height = photo_jpeg(upload, keep_place=shop_settings().keep_photo_place)
    folder = timezone.now().strftime("photos/%Y/%m")
    file = default_storage.save(f"{folder}/{key}.jpg", ContentFile(jpeg))
    photo = Photo(
        pk=key,
        job=job,
        by=by,
        file=file,
        sha256=hashlib.sha256(jpeg).hexdigest(),
        upload_sha256=upload_sha256,
        width=width,
        height=height,
        caption=caption,
        happened_at=happened_at,
        to_sort=to_sort,
    )
    try:
        with change(by):
            photo.save(force_insert=True)
    except IntegrityError:
        default_storage.delete(file)
        # The phone sent it twice at once, and the other request was first.
        earlier = Photo.objects.filter(pk=key).first()
        if earlier is None:
            raise
        return _same_photo(earlier, job=job, by=by, upload_sha256=upload_sha256)
    except BaseException:
        default_storage.delete(file)
        raise
    return photo


def make_thumbnails(*, most: int = 50) -> int:
    """A small copy of each photo that has none yet, the newest first; how many were made.

    Two workers at once share the work. A photo whose file is gone or can't be read counts as its own small copy.
    """
    made = 0
    for _number in range(most):
        with transaction.atomic():
            waiting = Photo.objects.select_for_update(skip_locked=True, of=("self",)).filter(thumb="")
            photo = waiting.order_by("-created_at").first()
            if photo is None:
                break
            photo.thumb.name = _small_copy(photo) or photo.file.name
            photo.save(update_fields=["thumb"])
            made += 1
    return made


def _small_copy(photo: Photo) -> str:
    """The name of a new small copy's file; empty where none can be made."""
    name = f"{str(photo.file.name).removesuffix('.jpg')}-small.jpg"
    try:
        with photo.file.open("rb") as file:
            jpeg, _width, _height = photo_jpeg(file, longest_side=SMALL_SIDE)
    except (BadImage, OSError) as error:
        log.warning("photo %s has no small copy: %r", photo.pk, error)
        return ""
    # What a worker left that was killed before the row knew of it.
    default_storage.delete(name)
    return default_storage.save(name, ContentFile(jpeg))


def _same_photo(earlier: Photo, *, job: Job, by: Staff | None, upload_sha256: str) -> Photo:
    same_content = not earlier.upload_sha256 or earlier.upload_sha256 == upload_sha256
    if earlier.job_id != job.pk or earlier.by_id != (by.pk if by else None) or not same_content:
        raise KeyTaken(
            _("A photo with this key was sent before: by somebody else, for another job, or another picture.")
        )
    return earlier
