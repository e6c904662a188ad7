"""The punch list, for everybody on the job: installers open it on the phone, the office at the desk."""

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from base.errors import Refused
from documents.responses import send, send_state
from inspections.access import get_print, get_punch_item
from inspections.actions import (
    add_punch_item,
    finish_punch_item,
    print_punch_list,
    reopen_punch_item,
    start_punch_list,
)
from inspections.forms import PunchItemForm
from inspections.models import PunchItem, PunchListPrint
from inspections.queries import in_the_way_of_closeout, punch_items
from inspections.uploads import keep_upload
from jobs.access import get_job
from jobs.models import Job, Stage
from shop.access import require_office, require_staff
from shop.models import Staff
from shop.phone import happened_at, keep_on_phone, not_taken, receipt, replay_of, was_taken


@require_http_methods(["GET", "HEAD", "POST"])
@keep_on_phone
def punch_list(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The items; a POST adds one."""
    job = get_job(request.user, pk)
    staff = require_staff(request.user)
    if request.method != "POST":
        return _punch_page(request, job, PunchItemForm(job=job))
    form, replay = PunchItemForm(request.POST, request.FILES, job=job), replay_of(request)
    if replay and not form.is_valid():
        return not_taken(replay, form)
    if form.is_valid():
        try:
            item = _keep_item(form, job=job, by=staff, happened_at=happened_at(replay))
            if replay:
                return receipt(replay)
            return redirect(reverse("inspections:punch_list", args=[job.pk]) + f"#item-{item.pk}")
        except Refused as error:
            if replay:
                return not_taken(replay, error)
            form.come_back(error)
    return _punch_page(request, job, form)


def _keep_item(form: PunchItemForm, *, job: Job, by: Staff, happened_at: datetime) -> PunchItem:
    """The item and its photo, both or none. Raises Refused."""
    data = form.cleaned_data
    with transaction.atomic():
        photo = keep_upload(form, job=job, by=by, caption=data["text"], happened_at=happened_at)
        return add_punch_item(
            job=job, text=data["text"], room=data["room"], place=data["place"], photo=photo, by=by, key=data["key"]
        )


def _punch_page(request: HttpRequest, job: Job, form: PunchItemForm) -> HttpResponse:
    staff = require_staff(request.user)
    context = {
        "job": job,
        "items": punch_items(job),
        "form": form,
        "takes_items": job.stage in (Stage.WORKING, Stage.PUNCH_LIST),
        "in_the_way": in_the_way_of_closeout(job) if job.stage == Stage.PUNCH_LIST and staff.runs_the_office else [],
        "print": PunchListPrint.objects.filter(job=job).select_related("document").first(),
    }
    side = "office" if staff.runs_the_office else "field"
    return render(request, f"inspections/{side}/punch_list.html", context, status=422 if form.errors else 200)


@require_POST
def punch_item(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Done, or open again."""
    item, replay = get_punch_item(request.user, pk), replay_of(request)
    staff = require_staff(request.user)
    if replay and was_taken(replay):
        # Somebody may have opened it again since, or done it.
        return receipt(replay)
    try:
        if "reopen" in request.POST:
            reopen_punch_item(item=item, by=staff)
        else:
            finish_punch_item(item=item, by=staff)
        if replay:
            return receipt(replay)
    except Refused as error:
        if replay:
            return not_taken(replay, error)
        messages.error(request, str(error))
    return redirect("inspections:punch_list", item.job_id)


@require_POST
def punch_start(request: HttpRequest, pk: UUID) -> HttpResponse:
    """From work to punch list, once every phase is signed."""
    job = get_job(request.user, pk)
    try:
        start_punch_list(job=job, by=require_office(request.user))
    except Refused as error:
        messages.error(request, str(error))
    return redirect("inspections:punch_list", job.pk)


@require_POST
def punch_print(request: HttpRequest, pk: UUID) -> HttpResponse:
    job = get_job(request.user, pk)
    print_punch_list(job=job, by=require_staff(request.user))
    messages.success(request, _("The punch list is being printed."))
    return redirect("inspections:punch_list", job.pk)


def punch_state(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far the printed list is; a POST tries a failed one again."""
    the_print = get_print(request.user, pk)
    return send_state(
        request,
        the_print.document,
        state_url=reverse("inspections:punch_state", args=[pk]),
        file_url=reverse("inspections:punch_file", args=[pk]),
        by=require_staff(request.user),
    )


@require_GET
def punch_file(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    return send(get_print(request.user, pk).document)
