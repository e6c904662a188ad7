"""Callbacks, their visits, and the closeout that starts a warranty: for owner and office."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from base.errors import Refused
from callbacks import actions, queries
from callbacks.access import get_callback, get_visit
from callbacks.forms import CloseCallbackForm, CloseoutForm, NewCallbackForm, VisitForm
from callbacks.models import Callback
from clients.cautions import cautions_for
from jobs.access import get_job_to_run
from jobs.actions import keep_photo
from jobs.models import Job, Stage
from shop.access import require_office
from shop.images import BadImage
from shop.models import Staff
from shop.queries import shop_settings

ON_A_PAGE = 25


def callback_list(request: HttpRequest) -> HttpResponse:
    require_office(request.user)
    asked = request.GET.get("show")
    show: queries.Show = "closed" if asked == "closed" else "all" if asked == "all" else "open"
    page = Paginator(queries.callbacks_to_show(show), ON_A_PAGE).get_page(request.GET.get("page"))
    rows = [(callback, queries.within_warranty(callback)) for callback in page]
    return render(request, "callbacks/office/list.html", {"page": page, "rows": rows, "show": show})


def new(request: HttpRequest, pk: UUID) -> HttpResponse:
    job = get_job_to_run(request.user, pk)
    staff = require_office(request.user)
    form = NewCallbackForm(request.POST or None, request.FILES or None, job=job)
    if request.method == "POST" and form.is_valid() and (callback := _log(form, job, staff)):
        if queries.within_warranty(callback):
            messages.success(request, _("Logged, within warranty. Next, book a visit."))
        else:
            messages.success(request, _("Logged, but not within warranty: agree on the cost before you book a visit."))
        return redirect("callbacks:detail", callback.pk)
    warranty = getattr(job, "warranty", None)
    context = {
        "job": job,
        "form": form,
        "is_closed": job.stage == Stage.CLOSED,
        "warranty": warranty,
        "in_warranty": bool(warranty and timezone.localdate() <= warranty.ends_on),
    }
    return render(request, "callbacks/office/new.html", context)


def _log(form: NewCallbackForm, job: Job, staff: Staff) -> Callback | None:
    """The callback, or None with the reason on the form."""
    typed = form.cleaned_data
    photo = None
    try:
        if typed["photo"] and job.stage == Stage.CLOSED:
            photo = keep_photo(
                job=job,
                by=staff,
                upload=typed["photo"],
                happened_at=timezone.now(),
                caption=typed["text"][:200],
                key=typed["photo_key"],
            )
        return actions.log_callback(
            job=job,
            room=typed["room"],
            symptom=typed["symptom"],
            text=typed["text"],
            reported_by=typed["reported_by"],
            reported_on=typed["reported_on"],
            photo=photo,
            by=staff,
            key=typed["key"],
        )
    except BadImage as refusal:
        form.add_error("photo", str(refusal))
    except Refused as refusal:
        form.add_error(None, str(refusal))
    return None


def detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: book_visit, cancel_visit (with the visit's key), close."""
    callback = get_callback(request.user, pk)
    staff = require_office(request.user)
    visit_form = VisitForm(request.POST if "book_visit" in request.POST else None, shop=shop_settings())
    close_form = CloseCallbackForm(request.POST if "close" in request.POST else None)
    if request.method == "POST" and _done(request, callback, staff, visit_form, close_form):
        return redirect("callbacks:detail", callback.pk)
    context = {
        "callback": callback,
        "job": callback.job,
        "warranty": getattr(callback.job, "warranty", None),
        "in_warranty": queries.within_warranty(callback),
        "visits": queries.visits_of(callback),
        "help": queries.help_for(callback),
        "old_building": cautions_for(callback.job.site.year_built),
        "visit_form": visit_form,
        "close_form": close_form,
        "now": timezone.now(),
    }
    return render(request, "callbacks/office/detail.html", context)


def _done(
    request: HttpRequest, callback: Callback, staff: Staff, visit_form: VisitForm, close_form: CloseCallbackForm
) -> bool:
    """Whether the button's work is done; if not, the reason is on its form."""
    form: Form | None = None
    try:
        if "book_visit" in request.POST:
            form = visit_form
            if not form.is_valid():
                return False
            typed = form.cleaned_data
            visit = actions.book_visit(
                callback=callback,
                person=typed["person"],
                starts=typed["starts_at"],
                ends=typed["ends_at"],
                by=staff,
            )
            messages.success(request, _("%(name)s is booked.") % {"name": visit.booking.person})
        elif "cancel_visit" in request.POST:
            visit = actions.cancel_visit(visit=get_visit(callback, request.POST["cancel_visit"]), by=staff)
            messages.success(request, _("The visit of %(name)s is canceled.") % {"name": visit.booking.person})
        elif "close" in request.POST:
            form = close_form
            if not form.is_valid():
                return False
            actions.close_callback(callback=callback, **form.cleaned_data, by=staff)
            messages.success(request, _("Closed."))
    except Refused as refusal:
        if form is None:
            messages.error(request, str(refusal))
            return True
        form.add_error(None, str(refusal))
        return False
    return True


def close_out(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What stands in the way, and the form that ends the job and starts its warranty."""
    job = get_job_to_run(request.user, pk)
    form = CloseoutForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            warranty = actions.close_out_job(job=job, **form.cleaned_data, by=require_office(request.user))
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            last_day = date_format(warranty.ends_on, "j M Y")
            messages.success(request, _("Closed out. The warranty runs until %(day)s.") % {"day": last_day})
            return redirect("home:job", job.pk)
    context = {
        "here": "jobs:list",
        "job": job,
        "form": form,
        "unfinished": queries.unfinished(job),
        "warranty": getattr(job, "warranty", None),
        "months": shop_settings().warranty_months,
    }
    return render(request, "callbacks/office/close_out.html", context)
