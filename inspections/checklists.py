"""The owner's pages of the checklists: what the shop asks in each phase."""

from typing import Any, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from inspections.actions import ChecklistMoved, set_checklist
from inspections.checklist_forms import CatalogueForm, OwnCheckFormSet, checklist_of, initial_of
from inspections.models import ChecklistVersion
from inspections.queries import checklists_in_force
from rooms.queries import shop_unit
from shop.access import not_found, require_owner
from trade.checklists import Checklist, phase_kind
from trade.phases import PHASE_KINDS


@require_safe
def checklists(request: HttpRequest) -> HttpResponse:
    """Every phase, and what the shop changed in it last."""
    require_owner(request.user)
    versions = checklists_in_force()
    rows = []
    for kind in PHASE_KINDS:
        version = versions.get(kind.key)
        asked = Checklist.from_json(version.content).as_kept(kind) if version else kind
        rows.append({"kind": kind, "version": version, "count": len(asked.checks)})
    return render(request, "inspections/office/checklists.html", {"rows": rows})


@require_http_methods(["GET", "HEAD", "POST"])
def checklist(request: HttpRequest, phase: str) -> HttpResponse:
    """One phase's checklist. Buttons: add (one more check of the shop's own), save."""
    owner = require_owner(request.user)
    try:
        kind = phase_kind(phase)
    except KeyError:
        not_found()
    history = list(ChecklistVersion.objects.filter(phase=phase).select_related("by"))
    newest = history[0] if history else None
    now = Checklist.from_json(newest.content) if newest else Checklist(phase=phase)
    units = shop_unit()
    initial = [initial_of(each, units=units) for each in now.own]
    own_kwargs: dict[str, Any] = {"prefix": "own", "initial": initial, "form_kwargs": {"units": units}}
    if request.method == "POST":
        form = CatalogueForm(request.POST, checklist=now, number=newest.number if newest else 0)
        own = OwnCheckFormSet(request.POST, **own_kwargs)
        if form.is_valid() and own.is_valid():
            try:
                keys = {each["key"] for version in history for each in version.content["own"]}
                entered = checklist_of(form, own, phase=phase, keys=keys)
                seen = cast(int, form.cleaned_data["seen"])
                set_checklist(checklist=entered, reason=form.cleaned_data["reason"], seen=seen, by=owner)
            except Refused as error:
                form.add_error(None, str(error))
                if isinstance(error, ChecklistMoved):
                    form.look_again(newest.number if newest else 0)
            else:
                said = _("%(phase)s: the checklist counts for work that opens from now on.")
                messages.success(request, said % {"phase": _(kind.name)})
                return redirect("inspections:checklists")
        status = 422
    else:
        form = CatalogueForm(checklist=now, number=newest.number if newest else 0)
        own = OwnCheckFormSet(**own_kwargs)
        status = 200
    context = {"kind": kind, "form": form, "own": own, "history": history, "newest": newest}
    return render(request, "inspections/office/checklist.html", context, status=status)
