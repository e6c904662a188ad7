"""Payment steps, for the owner: the shop's usual ones and those of a job."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from estimating import access
from estimating.actions import ChangedMeanwhile, set_payment_plan
from estimating.local_limits import Local, limit_of
from estimating.models import Estimate
from estimating.payments import SIGNING, BadPlan, Step, due_text, pay, step_text
from estimating.places import place_of
from estimating.plans import Plan, plan_of
from estimating.priced_choices import PhasesByRoom, Priced, priced_choices, wrong_payments
from estimating.queries import offer_of, phases_of
from estimating.text_forms import PlanForm
from jobs.models import Job
from rooms.queries import all_ready, room_states
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
    form = PlanForm(request.POST or None, plan=plan, of_a_job=False)
    if request.method == "POST" and form.is_valid() and _kept(form, owner=owner, job=None):
        messages.success(request, _("Kept. The next proposals ask for payment so."))
        return redirect("estimating:payments")
    return _page(request, form, plan, job=None, total=EXAMPLE)


@require_http_methods(["GET", "HEAD", "POST"])
def job_payments(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A job's steps. Buttons: save, usual (the shop's again), lower (the deposit to what is allowed)."""
    job = access.change_price(request.user, pk)
    owner = require_owner(request.user)
    plan, at = plan_of(job), _asked_at(job)
    if "usual" in request.POST or "lower" in request.POST:
        steps, kept = None, {}
        if "lower" in request.POST:
            most = at.most(plan.special_order)
            steps = plan.steps if most is None else _lowered(plan.steps, most)
            kept = {name: getattr(plan, name) for name in ("signed_at", "special_order", "special_order_words")}
        try:
            set_payment_plan(job=job, steps=steps, seen=plan.number, by=owner, **kept)
        except ChangedMeanwhile as refusal:
            messages.error(request, str(refusal))
        return redirect("estimating:job_payments", job.pk)
    form = PlanForm(request.POST or None, plan=plan, of_a_job=True)
    if request.method == "POST" and form.is_valid():
        wrong = at.wrong(form.cleaned_data["steps"], form.cleaned_data["special_order"])
        for sentence in wrong:
            form.add_error(None, sentence)
        if not wrong and _kept(form, owner=owner, job=job):
            messages.success(request, _("Kept. The next proposal of this job asks for payment so."))
            return redirect("estimating:job_payments", job.pk)
    return _page(request, form, plan, job=job, total=at.total, at=at)


def _kept(form: PlanForm, *, owner: Staff, job: Job | None) -> bool:
    try:
        set_payment_plan(job=job, by=owner, **form.kept())
    except ChangedMeanwhile as refusal:
        form.add_error(None, str(refusal))
        form.look_again(plan_of(job).number)
        return False
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class _AskedAt:
    """What a job's steps are held to: the `local` limits, and each of the client's `choices` priced, with the `phases`
    of its rooms; no choices where it isn't priced."""

    local: Local
    choices: Sequence[Priced]
    phases: PhasesByRoom | None

    @property
    def total(self) -> Decimal | None:
        return self.choices[0].totals.total if self.choices else None

    def most(self, special_order: Decimal | None) -> Decimal | None:
        """The most that may be asked for at signing whatever the client chooses, with that much on special order; None
        for no limit."""
        rule = self.local.deposit
        if rule is None:
            return None
        ordered = special_order or Decimal(0)
        return min(
            (most_deposit(rule, price=each.totals.total, special_order=ordered) for each in self.choices), default=None
        )

    def wrong(self, steps: Sequence[Step], special_order: Decimal | None) -> list[str]:
        return wrong_payments(
            self.choices, steps=steps, local=self.local, phases=self.phases, special_order=special_order
        )


def _asked_at(job: Job) -> _AskedAt:
    """13 queries at most, however many choices there are."""
    estimate = Estimate.objects.filter(job=job).first()
    choices = priced_choices(offer_of(estimate)) if estimate else []
    if not choices or not choices[0].totals.total:
        return _AskedAt(local=limit_of(job.site.region), choices=[], phases=None)
    states = room_states(job)
    phases = phases_of(states) if all_ready(states) else None
    return _AskedAt(local=limit_of(job.site.region), choices=choices, phases=phases)


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
    job: Job | None,
    total: Decimal | None,
    at: _AskedAt | None = None,
) -> HttpResponse:
    rows, wrong = _rows(plan, total)
    context = {
        "job": job,
        "form": form,
        "plan": plan,
        "total": total,
        "rows": rows,
        "wrong": at.wrong(plan.steps, plan.special_order) if at else wrong,
        "local": at and at.local,
        "most": at and at.most(plan.special_order),
        "unknown": job.site.region if job and not place_of(job.site.region).name else "",
        "several": at and len(at.choices) > 1,
        "here": "jobs:list" if job else "shop:settings",
    }
    template = "estimating/office/job_payments.html" if job else "estimating/office/payments.html"
    return render(request, template, context, status=422 if form.errors else 200)


def _rows(plan: Plan, total: Decimal | None) -> tuple[list[dict[str, Any]], list[str]]:
    """The steps with what they come to of a total; or what is wrong with them."""
    if total is None:
        return [], []
    try:
        dues = pay(total=total, steps=plan.steps)
    except BadPlan as error:
        return [], [str(error)]
    return [{"due": due_text(due.step.due), "text": step_text(due.step), "amount": due.amount} for due in dues], []
