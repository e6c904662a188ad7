"""Everything that changes warranties, callbacks and visits. Locks: the job or the callback first, then the person."""

import calendar
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID
from zoneinfo import ZoneInfo

from django.utils import formats, timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from callbacks.models import Callback, Symptom, Visit, Warranty
from callbacks.queries import visits_not_begun
from inspections.actions import close_out
from jobs.actions import book, cancel_booking
from jobs.models import BookingKind, Job, Photo, Stage
from rooms.models import Room
from shop.audit import change
from shop.models import ShopSettings, Staff
from shop.queries import shop_settings


class AlreadyClosed(Refused):
    """The callback was closed, and what was found stays as it is."""


class StillBooked(Refused):
    """Somebody would set out for a callback that is closed."""


# ---------------------------------------------------------------- warranty


def close_out_job(*, job: Job, walked_with: str, note: str = "", by: Staff) -> Warranty:
    """The warranty that begins today, in the shop's time zone. The job is closed; closing twice returns the first.

    Raises Refused, with what is in the way, and WrongStage before the punch list (inspections.actions.close_out).
    """
    shop = shop_settings()
    with change(by):
        close_out(job=job, walked_with=walked_with, note=note, by=by)
        starts_on = _today(shop)
        warranty, _new = Warranty.objects.get_or_create(
            job=job, defaults={"starts_on": starts_on, "ends_on": months_later(starts_on, shop.warranty_months)}
        )
    return warranty


def _today(shop: ShopSettings) -> date:
    """Today where the shop is, also outside a request."""
    return timezone.localdate(timezone=ZoneInfo(shop.time_zone))


def months_later(day: date, months: int) -> date:
    """The same day of a later month; its last day where that month is shorter: Jan 31 and one month is Feb 28 or 29."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


# ---------------------------------------------------------------- callbacks


def log_callback(
    *,
    job: Job,
    symptom: Symptom,
    text: str,
    reported_by: str,
    reported_on: date,
    room: Room | None = None,
    photo: Photo | None = None,
    by: Staff,
    key: UUID | None = None,
) -> Callback:
    """A new callback against a closed job. A form sent twice has the same `key`: one callback.

    Raises Refused where the job isn't closed, a room or photo is another job's, or the day lies ahead; KeyTaken.
    """
    if (room and room.job_id != job.pk) or (photo and photo.job_id != job.pk):
        raise Refused(_("The room and the photo have to be this job's own."))
    if reported_on > _today(shop_settings()):
        raise Refused(_("The day lies ahead: enter the day on which the client called."))
    fields = {
        "job": job,
        "room": room,
        "symptom": symptom,
        "text": text,
        "reported_by": reported_by,
        "reported_on": reported_on,
        "photo": photo,
    }
    with change(by):
        now = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if now.stage != Stage.CLOSED:
            raise Refused(
                _("Job %(number)s isn't closed: what is wrong before that belongs on its punch list.")
                % {"number": f"{now.number:04d}"}
            )
        callback, new = Callback.objects.get_or_create(pk=key or uuid7(), defaults=fields | {"logged_by": by})
        if not new and any(getattr(callback, name) != value for name, value in fields.items()):
            raise KeyTaken(_("This form was sent before, with other words. Open a new one."))
        if new:
            callback.refresh_from_db(fields=["number"])
    return callback


def close_callback(*, callback: Callback, cause: str, remedy: str, cost: Decimal | None = None, by: Staff) -> Callback:
    """The callback, closed with what caused it, what was done and what that cost the shop.

    The same once more changes nothing. Raises AlreadyClosed where it was closed with other words, StillBooked while
    a visit lies ahead, Refused without a cause or a remedy.
    """
    cause, remedy = cause.strip(), remedy.strip()
    if not (cause and remedy):
        raise Refused(_("Say what caused it and what was done: that is what the next job learns from."))
    with change(by):
        now = _lock(callback)
        if now.closed_at:
            if (now.cause, now.remedy, now.cost) != (cause, remedy, cost):
                raise AlreadyClosed(
                    _("%(name)s closed this callback on %(day)s, with other words. They stay.")
                    % {"name": now.closed_by, "day": formats.date_format(timezone.localtime(now.closed_at))}
                )
            return now
        if ahead := visits_not_begun(now).order_by("booking__during").first():
            raise StillBooked(
                _("%(name)s is booked for %(when)s. Cancel that visit first.")
                % {
                    "name": ahead.booking.person,
                    "when": formats.date_format(timezone.localtime(ahead.booking.during.lower), "DATETIME_FORMAT"),
                }
            )
        now.cause, now.remedy, now.cost = cause, remedy, cost
        now.closed_at, now.closed_by = timezone.now(), by
        now.save(update_fields=["cause", "remedy", "cost", "closed_at", "closed_by"])
    return now


# ---------------------------------------------------------------- visits


def book_visit(*, callback: Callback, person: Staff, starts: datetime, ends: datetime, by: Staff) -> Visit:
    """A warranty visit: the person's time is booked, and they are put on the job's crew.

    The same once more returns the first. Raises AlreadyClosed, and what jobs.actions.book raises: DoubleBooked with
    the person and the clash, EndsBeforeStart, NotWorkingHere.
    """
    with change(by):
        now = _lock(callback)
        if now.closed_at:
            raise AlreadyClosed(_("This callback is closed. If something came back, log a new one."))
        booking = book(
            job=now.job,
            person=person,
            kind=BookingKind.VISIT,
            what=_("Callback %(number)s: %(symptom)s") % {"number": now.number, "symptom": now.get_symptom_display()},
            starts=starts,
            ends=ends,
            by=by,
        )
        visit, _new = Visit.objects.get_or_create(booking=booking, defaults={"callback": now})
    return visit


def cancel_visit(*, visit: Visit, by: Staff) -> Visit:
    """The visit, its time free again. Canceling it twice changes nothing."""
    with change(by):
        visit.booking = cancel_booking(booking=visit.booking, by=by)
    return visit


def _lock(callback: Callback) -> Callback:
    return Callback.objects.select_for_update(no_key=True, of=("self",)).select_related("job").get(pk=callback.pk)
