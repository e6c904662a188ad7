"""The installer's page: a change that turns up on site, raised before anybody works on it. It shows no price."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from estimating.actions import raise_change
from estimating.actions.changes import OPEN_STAGES
from estimating.change_queries import changes_of_job, field_limit
from estimating.field_form import RaiseForm
from estimating.models import ChangeOrder, FieldLimit
from jobs.access import get_job
from jobs.actions import keep_photo
from jobs.models import Job
from shop.access import require_staff
from shop.models import Staff
from shop.phone import happened_at, keep_on_phone, not_taken, receipt, replay_of


@require_http_methods(["GET", "POST"])
@keep_on_phone
def raise_on_site(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What changes on the job and whether it may start; a POST raises one more."""
    job = get_job(request.user, pk)
    staff, limit = require_staff(request.user), field_limit(job)
    if request.method != "POST":
        return _page(request, job, RaiseForm(limit=limit), limit)
    form, replay = RaiseForm(request.POST, request.FILES, limit=limit), replay_of(request)
    if not form.is_valid():
        return not_taken(replay, form) if replay else _page(request, job, form, limit)
    try:
        change = _keep(form, job=job, by=staff, happened_at=happened_at(replay))
    except Refused as error:
        if replay:
            return not_taken(replay, error)
        form.come_back(error)
        return _page(request, job, form, limit)
    if replay:
        return receipt(replay)
    return redirect(reverse("estimating:change_raise", args=[job.pk]) + f"#change-{change.pk}")


def _keep(form: RaiseForm, *, job: Job, by: Staff, happened_at: datetime) -> ChangeOrder:
    """The change order and its photo, both or none. Raises Refused."""
    data, photo = form.cleaned_data, None
    with transaction.atomic():
        if data["photo"]:
            photo = keep_photo(
                job=job, by=by, upload=data["photo"], happened_at=happened_at, caption=data["what"], key=data["key"]
            )
        return raise_change(
            job=job,
            what=data["what"],
            why=data["why"],
            word_of=data["word_of"],
            photo=photo,
            key=data["key"],
            on_site=True,
            happened_at=happened_at,
            by=by,
        )


def _page(request: HttpRequest, job: Job, form: RaiseForm, limit: FieldLimit | None) -> HttpResponse:
    context = {
        "job": job,
        "form": form,
        "limit": limit,
        "changes": changes_of_job(job),
        "takes_changes": job.stage in OPEN_STAGES,
    }
    return render(request, "estimating/field/changes.html", context, status=422 if form.errors else 200)
