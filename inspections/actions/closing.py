"""The end of the work."""

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from base.errors import Refused
from inspections.models import Closeout
from inspections.queries import in_the_way_of_closeout
from jobs.actions import WrongStage, move_job
from jobs.models import Job, Stage
from shop.audit import change
from shop.models import Staff


def close_out(*, job: Job, walked_with: str, note: str = "", by: Staff) -> Closeout:
    """The closeout, and the job closed with it. Closing twice returns the first.

    Raises Refused, with what is in the way, while a phase has something to prove, a punch item is open or a change
    order has no answer; WrongStage before the punch list.
    """
    with change(by):
        now = Job.objects.select_for_update().get(pk=job.pk)
        if earlier := Closeout.objects.filter(job=job).first():
            return earlier
        if now.stage != Stage.PUNCH_LIST:
            raise WrongStage(_("A job is closed out from its punch list."))
        if reasons := in_the_way_of_closeout(job):
            raise Refused(" · ".join(reasons))
        try:
            with transaction.atomic():
                closeout = Closeout.objects.create(job=job, walked_with=walked_with, note=note, by=by)
        except IntegrityError as error:
            raise Refused(_("Something was opened while you were closing out; look again.")) from error
        move_job(job=job, to=Stage.CLOSED, by=by)
    return closeout
