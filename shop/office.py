"""The owner's pages: staff, settings, and the limits that the shop judges by."""

from typing import cast
from uuid import UUID

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from shop import actions
from shop.access import get_staff, not_found, require_owner
from shop.forms import ROLES, NewStaffForm, PasswordForm, SettingsForm, StaffForm
from shop.limit_form import LimitForm
from shop.models import LimitChange, Role, Staff
from shop.queries import all_staff, fresh_shop_settings, limit_groups, limit_history, limit_row, shop_settings
from shop.reach import link_reach, test_address
from shop.templatetags.limits import measured
from trade.lengths import Unit
from trade.limit_figures import Figure


def staff(request: HttpRequest) -> HttpResponse:
    require_owner(request.user)
    return render(request, "shop/office/staff.html", {"people": all_staff()})


def staff_new(request: HttpRequest) -> HttpResponse:
    owner = require_owner(request.user)
    form = NewStaffForm(request.POST or None, initial={"role": Role.INSTALLER})
    if request.method == "POST" and form.is_valid():
        try:
            person = actions.create_staff(**form.cleaned_data, by=owner)
        except IntegrityError:
            form.add_error("username", _("Somebody has this log-in name already."))
        else:
            messages.success(request, _("%(name)s can log in now, as %(username)s.") % _names(person))
            return redirect("shop:staff")
    return render(request, "shop/office/staff_new.html", {"form": form, "roles": _roles()})


def staff_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: save, set_password, deactivate, activate."""
    owner = require_owner(request.user)
    person = get_staff(request.user, pk)
    saving, passing = "save" in request.POST, "set_password" in request.POST
    # Its own copy: a form writes into its instance even where it finds errors.
    form = StaffForm(request.POST if saving else None, instance=get_staff(request.user, pk))
    password_form = PasswordForm(request.POST if passing else None, staff=person)
    if request.method == "POST":
        try:
            if saving and form.is_valid():
                actions.change_staff(staff=person, **form.cleaned_data, by=owner)
                messages.success(request, _("Saved: %(name)s.") % _names(person))
                return redirect("shop:staff")
            if passing and password_form.is_valid():
                actions.set_password(staff=person, password=password_form.cleaned_data["password"], by=owner)
                if person.pk == owner.pk:
                    update_session_auth_hash(request, person)
                messages.success(request, _("%(name)s has a new password.") % _names(person))
                return redirect("shop:staff")
            if "deactivate" in request.POST:
                actions.deactivate_staff(staff=person, by=owner)
                messages.success(request, _("%(name)s can't log in any more.") % _names(person))
                return redirect("shop:staff")
            if "activate" in request.POST:
                actions.activate_staff(staff=person, by=owner)
                messages.success(request, _("%(name)s can log in again.") % _names(person))
                return redirect("shop:staff")
        except Refused as refusal:
            if saving:
                form.add_error("role", str(refusal))
            else:
                messages.error(request, str(refusal))
                return redirect("shop:staff_edit", person.pk)
    context = {"person": person, "form": form, "password_form": password_form, "roles": _roles()}
    return render(request, "shop/office/staff_edit.html", context)


def settings(request: HttpRequest) -> HttpResponse:
    """Buttons: save, test_address."""
    owner = require_owner(request.user)
    if "test_address" in request.POST:
        seen = test_address()
        (messages.success if seen.ours else messages.error)(request, seen.sentence)
        return redirect("shop:settings")
    shop = fresh_shop_settings()
    form = SettingsForm(request.POST or None, request.FILES or None, instance=shop)
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_settings(**form.cleaned_data, by=owner)
        except Refused as refusal:
            form.add_error("logo", str(refusal))
        else:
            messages.success(request, _("The settings are saved."))
            return redirect("shop:settings")
    return render(request, "shop/office/settings.html", {"form": form, "reach": link_reach()})


@require_safe
def limits(request: HttpRequest) -> HttpResponse:
    """Every limit with its source's figure and the shop's own."""
    require_owner(request.user)
    return render(request, "shop/office/limits.html", {"groups": limit_groups()})


@require_http_methods(["GET", "HEAD", "POST"])
def limit(request: HttpRequest, key: str) -> HttpResponse:
    """One limit. Buttons: save, back (to the source's figure)."""
    owner = require_owner(request.user)
    row = limit_row(key) or not_found()
    units = cast(Unit, shop_settings().units)
    form = LimitForm(request.POST or None, figure=row.figure, units=units, newest=row.change)
    if request.method == "POST" and form.is_valid():
        try:
            change = actions.set_limit(key=key, by=owner, **form.cleaned_data)
        except Refused as refusal:
            row = limit_row(key) or not_found()
            if isinstance(refusal, actions.LimitMoved):
                form.look_again(row.change)
            form.add_error("value", str(refusal))
        else:
            _say(request, row.figure, change)
            return redirect("shop:limits")
    context = {"row": row, "figure": row.figure, "form": form, "history": limit_history(key)}
    return render(request, "shop/office/limit.html", context, status=422 if form.errors else 200)


def _say(request: HttpRequest, figure: Figure, change: LimitChange | None) -> None:
    """What is in force now; a limit looser than its source in plain words."""
    source = measured(figure.default, figure.unit)
    if change is None or change.value is None:
        messages.success(request, format_html(_("{}: from now on the source’s figure, {}."), _(figure.label), source))
        return
    now, beside = measured(change.value, figure.unit), figure.beside(change.value)
    if beside == "looser":
        text = _(
            "{}: from now on {}. This is looser than its source, which has {}: the product’s written instructions and "
            "the local code still outrank it."
        )
        messages.warning(request, format_html(text, _(figure.label), now, source))
    else:
        messages.success(
            request, format_html(_("{}: from now on {}; the source has {}."), _(figure.label), now, source)
        )


def _names(person: Staff) -> dict[str, str]:
    return {"name": person.name, "username": person.username}


def _roles() -> list[tuple[str, str]]:
    return [(str(role.label), str(explained)) for role, explained in ROLES.items()]
