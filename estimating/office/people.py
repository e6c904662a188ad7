"""What an hour of each person costs the shop: the owner's alone."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from base.figures import trimmed
from estimating import access
from estimating.actions import price_labor_by_people, set_hourly_cost
from estimating.people import history_of, people_page
from estimating.people_forms import HourlyCostForm


@require_http_methods(["GET", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    """Everybody's hour. Buttons: follow (all labor rates follow the people), own (each has its own figure again)."""
    owner = access.change_wages(request.user)
    if "follow" in request.POST or "own" in request.POST:
        follow = "follow" in request.POST
        count = price_labor_by_people(follow=follow, by=owner)
        if follow:
            said = ngettext(
                "%(count)s labor rate follows the people from now on.",
                "%(count)s labor rates follow the people from now on.",
                count,
            )
        else:
            said = ngettext(
                "%(count)s labor rate has its own cost of an hour again.",
                "%(count)s labor rates have their own cost of an hour again.",
                count,
            )
        messages.success(request, said % {"count": count})
        return redirect("estimating:rate_people")
    return render(request, "estimating/office/people.html", {"page": people_page()})


@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What an hour of one person costs, and what it was."""
    person = access.get_person(request.user, pk)
    owner = access.change_wages(request.user)
    history = history_of(person)
    current = history.filter(valid_to=None).first()
    initial = {}
    if current:
        initial = {name: trimmed(getattr(current, name)) for name in ("wage", "burden_percent")}
    form = HourlyCostForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        kept = set_hourly_cost(person=person, by=owner, **form.cleaned_data)
        messages.success(request, _("Kept for %(name)s.") % {"name": kept.person})
        return redirect("estimating:rate_people")
    context = {"person": person, "form": form, "current": current, "history": history}
    return render(request, "estimating/office/person.html", context)
