"""The shop's own rates: a new one, and one with its price and what it was."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from estimating import access
from estimating.actions import BadRate, change_own_rate, make_own_rate, put_away_own_rate, take_up_own_rate
from estimating.models import RateKind
from estimating.office.rates import kept_text
from estimating.own_forms import KINDS, OwnRateForm
from estimating.own_rates import MOST_OWN_RATES, latest_rate
from estimating.rate_figures import typed_figures
from estimating.rate_queries import rate_history
from shop.access import not_found


@require_http_methods(["GET", "POST"])
def own_rate_new(request: HttpRequest) -> HttpResponse:
    """A rate of one's own: first of which `kind`, in the address, then its figures."""
    owner = access.change_rates(request.user)
    asked = request.GET.get("kind", "")
    if not asked:
        context = {"kinds": [(kind, kind.label, text) for kind, text in KINDS.items()], "most": MOST_OWN_RATES}
        return render(request, "estimating/office/own_rate_kind.html", context)
    kind = RateKind(asked) if asked in RateKind.values else not_found()
    form = OwnRateForm(request.POST or None, kind=kind)
    if request.method == "POST" and form.is_valid():
        try:
            own = make_own_rate(kind=kind, by=owner, **form.cleaned_data)
        except BadRate as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, kept_text(form, own))
            return redirect("estimating:rates")
    context = {"form": form, "kind": kind.label, "help": KINDS[kind]}
    return render(request, "estimating/office/own_rate.html", context, status=422 if form.errors else 200)


@require_http_methods(["GET", "POST"])
def own_rate(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One of the shop's own rates. Buttons: save, take_up (one that was put away), put_away."""
    own = access.get_own_rate(request.user, pk)
    owner = access.change_rates(request.user)
    if "put_away" in request.POST:
        put_away_own_rate(own=own, by=owner)
        messages.success(request, _("Put away: %(name)s. What was priced by it stays.") % {"name": own})
        return redirect("estimating:rates")
    latest = latest_rate(own)
    initial = {"name": own.name, **(typed_figures(latest) if latest else {})}
    form = OwnRateForm(
        request.POST or None, kind=RateKind(own.kind), unit=latest.unit if latest else "", initial=initial
    )
    if request.method == "POST" and form.is_valid():
        put = take_up_own_rate if "take_up" in request.POST else change_own_rate
        try:
            own = put(own=own, by=owner, **form.cleaned_data)
        except BadRate as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, kept_text(form, own))
            return redirect("estimating:rates")
    context = {
        "form": form,
        "own": own,
        "kind": own.get_kind_display(),
        "current": latest,
        "history": rate_history(key=own.key),
    }
    return render(request, "estimating/office/own_rate.html", context, status=422 if form.errors else 200)
