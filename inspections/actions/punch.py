"""The punch list: what is left to do at the end, with place and photo."""

from uuid import UUID

from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from documents.actions import request_document
from inspections.models import Closeout, PunchItem, PunchListPrint
from inspections.printing import punch_list_input
from inspections.queries import unproved_phases
from jobs.actions import move_job
from jobs.models import Job, Photo, Stage
from rooms.models import Room
from shop.audit import change
from shop.models import Staff


def start_punch_list(*, job: Job, by: Staff) -> Job:
    """The job at its punch list. Raises Refused while a phase has something to prove, WrongStage from elsewhere than
    work."""
    with change(by):
        if reasons := unproved_phases(job):
            raise Refused(_("Not yet. %(reasons)s.") % {"reasons": " · ".join(reasons[:3])})
        return move_job(job=job, to=Stage.PUNCH_LIST, by=by)


def add_punch_item(
    *,
    job: Job,
    text: str,
    by: Staff,
    room: Room | None = None,
    place: str = "",
    photo: Photo | None = None,
    key: UUID | None = None,
) -> PunchItem:
    """An open item; the same `key` with the same content returns the same item.

    Items are taken while the job is worked on and while its punch list stands. Raises Refused, KeyTaken.
    """
    _refuse_other_jobs(job, room=room, photo=photo)
    with change(by):
        _lock_open_job(job)
        fields = {"job": job, "room": room, "text": text, "place": place, "photo": photo, "opened_by": by}
        item, _new = PunchItem.objects.get_or_create(pk=key or uuid7(), defaults=fields)
    if any(getattr(item, name) != value for name, value in fields.items()):
        raise KeyTaken(
            _("Another item was added with this form before, and is kept. If this is one more, send it again.")
        )
    return item


def finish_punch_item(*, item: PunchItem, by: Staff) -> PunchItem:
    """The item, done now and by whom; done twice, it stays as it was."""
    with change(by):
        _lock_open_job(item.job)
        PunchItem.objects.filter(pk=item.pk, done_at=None).update(done_at=timezone.now(), done_by=by)
    item.refresh_from_db()
    return item


def reopen_punch_item(*, item: PunchItem, by: Staff) -> PunchItem:
    """The item, open again. Raises Refused once the job is closed out."""
    with change(by):
        _lock_open_job(item.job)
        PunchItem.objects.filter(pk=item.pk).update(done_at=None, done_by=None)
    item.refresh_from_db()
    return item


def print_punch_list(*, job: Job, by: Staff) -> PunchListPrint:
    """The punch list as it stands now, on its way to a PDF."""
    with change(by):
        document = request_document(
            kind="punch_list",
            title=_("Punch list, job %(number)s") % {"number": f"{job.number:04d}"},
            input=punch_list_input(job),
            by=by,
            language=get_language() or "en-us",
        )
        return PunchListPrint.objects.create(job=job, document=document)


def _lock_open_job(job: Job) -> None:
    """Locks the job. Raises Refused unless it is worked on or at its punch list."""
    stage = Job.objects.select_for_update(no_key=True).values_list("stage", flat=True).get(pk=job.pk)
    if stage not in (Stage.WORKING, Stage.PUNCH_LIST):
        raise Refused(
            _("The job is closed out: what comes now is a callback.")
            if Closeout.objects.filter(job=job).exists()
            else _("The punch list begins with the work.")
        )


def _refuse_other_jobs(job: Job, *, room: Room | None, photo: Photo | None) -> None:
    if (room and room.job_id != job.pk) or (photo and photo.job_id != job.pk):
        raise Refused(_("Room and photo have to be of this job."))
