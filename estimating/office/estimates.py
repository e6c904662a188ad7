from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from base.errors import KeyTaken
from estimating import access, queries
from estimating.actions import (
    CannotChange,
    CannotPropose,
    ChangedMeanwhile,
    add_contingency,
    add_line,
    add_rate_line,
    change_estimate,
    change_line,
    cost_by_hand,
    fill_estimate,
    make_proposal,
    preview_fill,
    remove_contingency,
    remove_line,
    restore_line,
    set_allowance,
)
from estimating.actions.fills import Filled
from estimating.forms import ContingencyForm, EstimateForm, LineForm, OwnLineForm
from estimating.hours import hour_of
from estimating.models import RateKind
from estimating.own_forms import LineByRateForm
from estimating.own_rates import rates_for_lines
from jobs.models import Job
from shop.access import require_office, require_owner
from shop.models import Staff

_MOST_TOLD = 12


@require_http_methods(["GET", "POST"])
def estimate(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The estimate of a job. Buttons: fill, save (how the price is made), propose."""
    if request.method == "POST":
        job = access.change_price(request.user, pk)
        return _changed(request, job, require_owner(request.user))
    job = access.see_price(request.user, pk)
    return _page(request, job)


def _asks_for_totals(request: HttpRequest) -> bool:
    """htmx names its target with the element before it: "section#totals"."""
    return request.headers.get("HX-Target", "").endswith("#totals")


def _page(request: HttpRequest, job: Job, form: EstimateForm | None = None, status: int = 200) -> HttpResponse:
    page = queries.estimate_page(job)
    if form is None and page.estimate:
        form = EstimateForm(initial=EstimateForm.initial_of(page.estimate))
    context = {
        "job": job,
        "page": page,
        "form": form,
        "proposals": queries.proposals_of_job(job),
        "may_change": require_office(request.user).is_owner,
        "lines_seen": page.lines_seen,
    }
    template = "estimating/office/estimate.html"
    if _asks_for_totals(request):
        # The lines stay on the page as they were.
        context["lines_seen"] = request.POST.get("lines", page.lines_seen)
        template = "estimating/office/_totals.html"
        context["obstacles_too"] = True
    return render(request, template, context, status=status)


def _changed(request: HttpRequest, job: Job, owner: Staff) -> HttpResponse:
    try:
        if "fill" in request.POST:
            _tell(request, fill_estimate(job=job, by=owner))
        elif "propose" in request.POST:
            proposal = make_proposal(job=job, by=owner, seen=request.POST.get("seen") or None)
            messages.success(request, _("The proposal is made. Its PDF follows in a moment."))
            return redirect("estimating:proposal", proposal.pk)
        else:
            form = EstimateForm(request.POST)
            if not form.is_valid():
                return _page(request, job, form, status=422)
            try:
                change_estimate(job=job, by=owner, **form.cleaned_data)
            except ChangedMeanwhile as error:
                form.add_error(None, str(error))
                form.look_again(EstimateForm(initial=EstimateForm.initial_of(job.estimate)))
                return _page(request, job, form, status=422)
            if _asks_for_totals(request):
                return _page(request, job)
            messages.success(request, _("The price is made so from now on."))
    except CannotPropose as error:
        for obstacle in error.obstacles:
            messages.error(request, obstacle)
    except (CannotChange, ChangedMeanwhile) as error:
        messages.error(request, str(error))
    return redirect("estimating:estimate", job.pk)


def _tell(request: HttpRequest, filled: Filled) -> None:
    changes = filled.changes
    for change in changes[:_MOST_TOLD]:
        messages.info(request, change)
    if len(changes) > _MOST_TOLD:
        messages.info(request, _("And %(count)s more changes.") % {"count": len(changes) - _MOST_TOLD})
    if changes or filled.first:
        messages.success(request, _("The estimate is filled from the layouts."))
    else:
        messages.success(request, _("The estimate is filled; nothing changed."))


@require_safe
def fill(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What a fill of the estimate would change, line by line; its button posts to the estimate."""
    job = access.change_price(request.user, pk)
    try:
        preview = preview_fill(job=job, by=require_owner(request.user))
    except CannotChange as error:
        messages.error(request, str(error))
        return redirect("estimating:estimate", job.pk)
    return render(request, "estimating/office/fill.html", {"job": job, "preview": preview})


@require_http_methods(["GET", "POST"])
def contingency_new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A price for each of what may be found behind the wall."""
    job = access.change_price(request.user, pk)
    form = ContingencyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            add_contingency(job=job, by=require_owner(request.user), **form.cleaned_data)
        except KeyTaken as error:
            form.add_error(None, str(error))
            form.send_again()
        except CannotChange as error:
            form.add_error(None, str(error))
        else:
            return redirect("estimating:estimate", job.pk)
    return render(request, "estimating/office/contingency_new.html", {"job": job, "form": form})


@require_POST
def contingency(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Removes a price of what may be found."""
    found = access.change_contingency_of(request.user, pk)
    try:
        remove_contingency(contingency=found, by=require_owner(request.user))
    except CannotChange as error:
        messages.error(request, str(error))
    return redirect("estimating:estimate", found.estimate.job_id)


@require_http_methods(["GET", "POST"])
def line(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One line of an estimate. Buttons: save, restore (what was computed), remove (one's own), allowance (yes, no)."""
    line = access.change_line_of(request.user, pk)
    owner = require_owner(request.user)
    job = line.estimate.job
    form = LineForm(
        request.POST if "save" in request.POST else None,
        line=line,
        initial=LineForm.initial_of(line, cost=cost_by_hand(line)),
    )
    if request.method == "POST":
        try:
            if "restore" in request.POST:
                restore_line(line=line, by=owner)
                return redirect("estimating:estimate", job.pk)
            if "remove" in request.POST:
                remove_line(line=line, by=owner)
                return redirect("estimating:estimate", job.pk)
            if "allowance" in request.POST:
                set_allowance(line=line, allowance=request.POST["allowance"] == "yes", by=owner)
                return redirect("estimating:estimate", job.pk)
            if form.is_valid():
                change_line(line=line, by=owner, **form.figures())
                return redirect("estimating:estimate", job.pk)
        except ChangedMeanwhile as error:
            form.add_error(None, str(error))
            line = access.change_line_of(request.user, pk)
            form.look_again(LineForm(line=line, initial=LineForm.initial_of(line, cost=cost_by_hand(line))))
        except CannotChange as error:
            if form.is_bound:
                form.add_error(error.field or None, str(error))
            else:
                messages.error(request, str(error))
                return redirect("estimating:line", line.pk)
    context = {
        "job": job,
        "line": line,
        "form": form,
        "own": line.computed_quantity is None,
    }
    return render(request, "estimating/office/line.html", context)


@require_http_methods(["GET", "POST"])
def line_new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A line of one's own on the estimate of a job. Buttons: by_rate (at one of the rates), own (at its own price)."""
    job = access.change_price(request.user, pk)
    owner = require_owner(request.user)
    at_a_rate, hour = "by_rate" in request.POST, hour_of(job.pk)
    by_rate = LineByRateForm(request.POST if at_a_rate else None, job=job, rates=rates_for_lines(), hour=hour)
    form = OwnLineForm(None if at_a_rate else request.POST or None, job=job, hour=hour)
    pressed = by_rate if at_a_rate else form
    try:
        if by_rate.is_bound and by_rate.is_valid():
            add_rate_line(job=job, by=owner, **by_rate.cleaned_data)
            return redirect("estimating:estimate", job.pk)
        if form.is_bound and form.is_valid():
            figures = form.cleaned_data
            figures["kind"] = RateKind(figures["kind"])
            add_line(job=job, by=owner, **figures)
            return redirect("estimating:estimate", job.pk)
    except KeyTaken as error:
        pressed.add_error(None, str(error))
        pressed.send_again()
    except CannotChange as error:
        pressed.add_error(error.field or None, str(error))
    context = {"job": job, "form": form, "by_rate": by_rate}
    return render(request, "estimating/office/line_new.html", context)
