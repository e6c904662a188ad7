"""Payment steps, for the owner: the shop's usual ones and those of a job."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from estimating import access, queries
from estimating.actions import ChangedMeanwhile, set_payment_plan
from estimating.local_limits import Local, limit_of
from estimating.models import Estimate, EstimateLine
from estimating.payments import SIGNING, BadPlan, Step, due_text, pay, step_text
from estimating.plans import Plan, plan_of
from estimating.terms import totals_of
from estimating.text_forms import PlanForm
from estimating.worth import check_local
from jobs.models import Job
from shop.access import require_owner
from shop.models import Staff
from trade.contract import most_deposit

EXAMPLE = Decimal(10_000)
"""A total to show the usual steps with: round, invented."""


@require_http_methods(["GET", "HEAD", "POST"])
def payments(request: HttpRequest) -> HttpResponse:
    """The shop's usual steps. Button: save."""
    owner = require_owner(request.user)
    plan = plan_of(None)
    form = PlanForm(request.POST or None, steps=plan.steps, seen=plan.number)
    if request.method == "POST" and form.is_valid() and _kept(form, owner=owner, job=None):
        messages.success(request, _("Kept. The next proposals ask for payment so."))
        return redirect("estimating:payments")
    return _page(request, form, plan, total=EXAMPLE, local=None, job=None)


@require_http_methods(["GET", "HEAD", "POST"])
def job_payments(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A job's steps. Buttons: save, usual (the shop's again), lower (the deposit to what is allowed)."""
    job = access.change_price(request.user, pk)
    owner = require_owner(request.user)
    plan, local, (total, lines) = plan_of(job), limit_of(job.site.region), _priced(job)
    if "usual" in request.POST or "lower" in request.POST:
        steps = None
        if "lower" in request.POST:
            most = most_deposit(local.deposit, price=total) if local.deposit and total is not None else None
            steps = plan.steps if most is None else _lowered(plan.steps, most)
        try:
            set_payment_plan(job=job, steps=steps, seen=plan.number, by=owner)
        except ChangedMeanwhile as refusal:
            messages.error(request, str(refusal))
        return redirect("estimating:job_payments", job.pk)
    form = PlanForm(request.POST or None, steps=plan.steps, seen=plan.number)
    if request.method == "POST" and form.is_valid():
        wrong = _wrong(form.cleaned_data["steps"], total=total, local=local, lines=lines)
        if wrong:
            form.add_error(None, wrong)
        elif _kept(form, owner=owner, job=job):
            messages.success(request, _("Kept. The next proposal of this job asks for payment so."))
            return redirect("estimating:job_payments", job.pk)
    return _page(request, form, plan, total=total, local=local, job=job, lines=lines)


def _kept(form: PlanForm, *, owner: Staff, job: Job | None) -> bool:
    try:
        set_payment_plan(job=job, steps=form.cleaned_data["steps"], seen=form.cleaned_data["seen"], by=owner)
    except ChangedMeanwhile as refusal:
        form.add_error(None, str(refusal))
        form.look_again(plan_of(job).number)
        return False
    return True


def _priced(job: Job) -> tuple[Decimal | None, list[EstimateLine]]:
    """What the job comes to now, and of which lines; None where it isn't priced."""
    estimate = Estimate.objects.filter(job=job).first()
    if estimate is None:
        return None, []
    lines = queries.lines_of(estimate)
    return totals_of(estimate, lines).total or None, lines


def _wrong(
    steps: tuple[Step, ...], *, total: Decimal | None, local: Local | None, lines: Sequence[EstimateLine]
) -> str:
    if total is None:
        return ""
    try:
        payments = pay(total=total, steps=steps)
        if local:
            check_local(payments, local=local, total=total, lines=lines)
    except BadPlan as error:
        return str(error)
    return ""


def _lowered(steps: Sequence[Step], most: Decimal) -> Sequence[Step]:
    """Steps with `most` at signing, and what that leaves in the rest."""
    others = [step for step in steps if step.due != SIGNING]
    if not any(step.is_rest for step in others):
        others[-1:] = [replace(others[-1], percent=None, amount=None)] if others else [Step(due="walk_through")]
    return [Step(due=SIGNING, amount=most), *others] if most else others


def _page(
    request: HttpRequest,
    form: PlanForm,
    plan: Plan,
    *,
    total: Decimal | None,
    local: Local | None,
    job: Job | None,
    lines: Sequence[EstimateLine] = (),
) -> HttpResponse:
    rows, wrong = [], _wrong(plan.steps, total=total, local=local, lines=lines)
    if total is not None and not wrong:
        rows = [
            {"due": due_text(due.step.due), "text": step_text(due.step), "amount": due.amount}
            for due in pay(total=total, steps=plan.steps)
        ]
    context = {
        "job": job,
        "form": form,
        "plan": plan,
        "total": total,
        "rows": rows,
        "wrong": wrong,
        "local": local,
        "most": most_deposit(local.deposit, price=total) if local and local.deposit and total is not None else None,
        "here": "jobs:list" if job else "shop:settings",
    }
    template = "estimating/office/job_payments.html" if job else "estimating/office/payments.html"
    return render(request, template, context, status=422 if form.errors else 200)
