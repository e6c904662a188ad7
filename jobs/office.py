"""Jobs, crews and bookings, for owner and office. The job's own page is home's."""

from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from base.errors import Refused
from clients.access import get_client
from clients.forms import SearchForm
from clients.queries import search_clients, sites_of
from jobs import actions
from jobs.access import get_booking, get_job_to_run, jobs_of
from jobs.forms import BookingForm, CrewForm, JobForm, JobSearchForm, NewJobForm
from jobs.models import MOVES, Job, Stage
from jobs.queries import crew_of, earlier_crew_of, past_bookings, search_jobs, upcoming_bookings, with_crew
from shop.access import not_found, require_office
from shop.queries import shop_settings

ON_A_PAGE = 25
CLIENTS_TO_CHOOSE_FROM = 12


def job_list(request: HttpRequest) -> HttpResponse:
    staff = require_office(request.user)
    search = JobSearchForm(request.GET)
    jobs = search_jobs(jobs_of(staff), words=search.words, stage=search.stage_chosen)
    page = Paginator(with_crew(jobs), ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"page": page, "words": search.words, "stage": search.stage_chosen, "stages": Stage.choices}
    return render(request, "jobs/office/list.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """First which client (a search), then the job: `?client=` says that the client is chosen."""
    staff = require_office(request.user)
    if "client" not in request.GET:
        search = SearchForm(request.GET)
        found = search_clients(search.words)[:CLIENTS_TO_CHOOSE_FROM]
        return render(request, "jobs/office/new_client.html", {"words": search.words, "clients": found})
    client = get_client(staff, _uuid(request.GET["client"]))
    sites = sites_of(client)
    form = NewJobForm(request.POST or None, client=client, initial={"site": sites[0].pk if len(sites) == 1 else None})
    if request.method == "POST" and form.is_valid():
        job = actions.create_job(client=client, **form.cleaned_data, by=staff)
        messages.success(request, _("This is job %(number)s. Next, its rooms.") % {"number": f"{job.number:04d}"})
        return redirect("home:job", job.pk)
    return render(request, "jobs/office/new.html", {"client": client, "sites": sites, "form": form})


def edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    job = get_job_to_run(request.user, pk)
    # The form gets its own copy: it writes into its instance even where it finds errors.
    form = JobForm(request.POST or None, instance=get_job_to_run(request.user, pk), client=job.client)
    if request.method == "POST" and form.is_valid():
        actions.change_job(job=job, **form.cleaned_data, by=require_office(request.user))
        messages.success(request, _("Saved."))
        return redirect("home:job", job.pk)
    context = {
        "job": job,
        "form": form,
        "may_be_lost": Stage.LOST in MOVES[Stage(job.stage)],
        "bookings_ahead": upcoming_bookings(job).count(),
    }
    return render(request, "jobs/office/edit.html", context)


def move(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: lost, measuring (taken up again). All other moves come from what is done on the job's other pages."""
    job = get_job_to_run(request.user, pk)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    to = next((stage for stage in (Stage.LOST, Stage.MEASURING) if stage.value in request.POST), None)
    # A job goes back to measuring by its rooms, never by this button.
    if to is None or (to == Stage.MEASURING and job.stage not in (Stage.LOST, Stage.MEASURING)):
        messages.error(request, _("Nothing was changed: the job moved meanwhile. Look where it stands now."))
        return redirect("home:job", job.pk)
    ahead = upcoming_bookings(job).count() if to == Stage.LOST else 0
    try:
        actions.move_job(job=job, to=to, by=require_office(request.user))
    except Refused as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _moved(job, ahead))
    return redirect("home:job", job.pk)


def _moved(job: Job, bookings_canceled: int) -> str:
    if job.stage != Stage.LOST:
        return _("The job is being measured again.")
    if bookings_canceled:
        return _("Marked as not taken. Its bookings ahead are canceled.")
    return _("Marked as not taken.")


def crew(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: put_on, take_off (with the member's key)."""
    job = get_job_to_run(request.user, pk)
    staff = require_office(request.user)
    form = CrewForm(request.POST if "put_on" in request.POST else None, job=job)
    if request.method == "POST":
        try:
            if "put_on" in request.POST and form.is_valid():
                person = form.cleaned_data["person"]
                actions.put_on_crew(job=job, person=person, by=staff)
                messages.success(request, _("%(name)s is on the crew and sees this job.") % {"name": person})
                return redirect("jobs:crew", job.pk)
            if "take_off" in request.POST:
                member = crew_of(job).filter(pk=_uuid(request.POST["take_off"])).first()
                # Taken off already, perhaps by the same button pressed twice: it's as it should be.
                if member:
                    actions.take_off_crew(job=job, person=member.person, by=staff)
                    messages.success(request, _("%(name)s is off the crew.") % {"name": member.person})
                return redirect("jobs:crew", job.pk)
        except Refused as refusal:
            messages.error(request, str(refusal))
            return redirect("jobs:crew", job.pk)
    context = {"job": job, "form": form, "members": crew_of(job), "earlier": earlier_crew_of(job)}
    return render(request, "jobs/office/crew.html", context)


def bookings(request: HttpRequest, pk: UUID) -> HttpResponse:
    """`?day=` and `?person=` fill the form in: a link from the Week."""
    job = get_job_to_run(request.user, pk)
    given = {name: request.GET[name] for name in ("day", "person") if request.GET.get(name)}
    form = BookingForm(request.POST or None, shop=shop_settings(), initial=given)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            booking = actions.book(
                job=job,
                person=typed["person"],
                kind=typed["kind"],
                what=typed["what"],
                starts=typed["starts_at"],
                ends=typed["ends_at"],
                by=require_office(request.user),
            )
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, _("%(name)s is booked.") % {"name": booking.person})
            return redirect("jobs:bookings", job.pk)
    past = Paginator(past_bookings(job).select_related("person"), ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"job": job, "form": form, "upcoming": upcoming_bookings(job).select_related("person"), "page": past}
    return render(request, "jobs/office/bookings.html", context)


def booking_cancel(request: HttpRequest, pk: UUID) -> HttpResponse:
    booking = get_booking(request.user, pk)
    if request.method != "POST":
        return HttpResponseNotAllowed(["POST"])
    actions.cancel_booking(booking=booking, by=require_office(request.user))
    messages.success(request, _("Canceled: %(name)s, %(what)s.") % {"name": booking.person, "what": booking.what})
    return redirect("jobs:bookings", booking.job_id)


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError:
        not_found()
