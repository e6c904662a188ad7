"""The options of a job, for its owner: made, named, ordered, taken into the price, removed."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from estimating import access, actions
from estimating.models import Option, OptionGroup, OptionKind
from estimating.option_forms import AddOnForm, AnotherForm, CopyForm, GroupForm, OptionForm, free_rooms
from jobs.models import Job
from rooms.queries import current_layout, shop_unit
from shop.access import require_owner


@require_http_methods(["GET", "POST"])
def options_new(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A room to choose another instead of, or to add. Buttons: another, add_on."""
    job = access.change_price(request.user, pk)
    owner = require_owner(request.user)
    unit = shop_unit()
    another = AnotherForm(request.POST if "another" in request.POST else None, job=job, unit=unit)
    add_on = AddOnForm(request.POST if "add_on" in request.POST else None, job=job, prefix="add")
    form = another if another.is_bound else add_on
    if request.method == "POST" and form.is_valid():
        try:
            if form is another:
                _tell(request, actions.offer_another(**another.cleaned_data, by=owner))
            else:
                actions.offer_add_on(**add_on.cleaned_data, by=owner)
        except Refused as error:
            form.add_error(None, str(error))
        else:
            return _back(job)
    context = {"job": job, "another": another, "add_on": add_on, "rooms": free_rooms(job), "unit": unit}
    status = 422 if another.errors or add_on.errors else 200
    return render(request, "estimating/office/options_new.html", context, status=status)


@require_http_methods(["GET", "POST"])
def option(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One option. Buttons: save, copy (another beside it), price (takes it into the price), up, remove."""
    found = access.change_option(request.user, pk)
    owner, job = require_owner(request.user), found.group.job
    form = OptionForm(
        request.POST if "save" in request.POST else None, initial={"name": found.name, "text": found.text}
    )
    copy = CopyForm(request.POST if "copy" in request.POST else None, unit=shop_unit(), prefix="copy")
    if request.method == "POST":
        bound = next((each for each in (form, copy) if each.is_bound), None)
        try:
            if bound is None:
                return _pressed(request, found)
            if bound.is_valid():
                if bound is form:
                    actions.name_option(option=found, **form.cleaned_data, by=owner)
                else:
                    said = {"name": copy.cleaned_data.pop("other"), **copy.cleaned_data}
                    _tell(request, actions.add_option(option=found, **said, by=owner))
                return _back(job)
        except Refused as error:
            if bound is None:
                messages.error(request, str(error))
                return _back(job)
            bound.add_error(None, str(error))
    context = {
        "job": job,
        "option": found,
        "form": form,
        "copy": copy if found.group.kind == OptionKind.ONE else None,
        "unit": shop_unit(),
    }
    return render(request, "estimating/office/option.html", context, status=422 if form.errors or copy.errors else 200)


def _pressed(request: HttpRequest, found: Option) -> HttpResponse:
    owner = require_owner(request.user)
    if "price" in request.POST:
        actions.take_into_price(option=found, by=owner)
        messages.success(request, _("%(option)s is in the price now.") % {"option": found})
    elif "up" in request.POST:
        actions.move_up(row=found, by=owner)
    elif "remove" in request.POST:
        actions.remove_option(option=found, by=owner)
        messages.success(request, _("%(option)s is no option any more.") % {"option": found})
    return _back(found.group.job)


@require_http_methods(["GET", "POST"])
def option_group(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What is chosen among some options. Buttons: save, up, remove."""
    found = access.change_option_group(request.user, pk)
    owner = require_owner(request.user)
    form = GroupForm(request.POST if "save" in request.POST else None, initial={"name": found.name})
    if request.method == "POST":
        try:
            if not form.is_bound:
                _pressed_group(request, found)
                return _back(found.job)
            if form.is_valid():
                actions.name_group(group=found, **form.cleaned_data, by=owner)
                return _back(found.job)
        except Refused as error:
            if not form.is_bound:
                messages.error(request, str(error))
                return _back(found.job)
            form.add_error(None, str(error))
    context = {"job": found.job, "group": found, "form": form}
    return render(request, "estimating/office/option_group.html", context, status=422 if form.errors else 200)


def _pressed_group(request: HttpRequest, found: OptionGroup) -> None:
    owner = require_owner(request.user)
    if "up" in request.POST:
        actions.move_up(row=found, by=owner)
    elif "remove" in request.POST:
        actions.remove_group(group=found, by=owner)
        messages.success(request, _("There is nothing to choose of “%(group)s” any more.") % {"group": found})


def _tell(request: HttpRequest, made: Option) -> None:
    if current_layout(made.room):
        text = _("%(room)s is there, with the recommended layout. Fill the estimate again to price it.")
        messages.success(request, text % {"room": made.room})
    else:
        text = _("%(room)s is there, but can’t be laid out as it is. Open its layout to see why.")
        messages.warning(request, text % {"room": made.room})


def _back(job: Job) -> HttpResponse:
    return redirect(reverse("estimating:estimate", args=[job.pk]) + "#options")
