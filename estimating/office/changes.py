"""Change orders in the office: priced, offered, answered."""

from urllib.parse import urljoin
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from base.errors import KeyTaken, Refused
from base.keys import key_from, uuid7
from documents import responses
from documents.models import State
from estimating import access, actions, queries
from estimating.actions.change_answers import obstacles_to_offer
from estimating.actions.changes import OPEN_STAGES
from estimating.change_forms import (
    ChangeForm,
    ChangePaperForm,
    FieldLimitForm,
    NewChangeForm,
    OwnChangeLineForm,
    RateLineForm,
    SettleForm,
)
from estimating.change_queries import (
    Allowance,
    ChangeView,
    allowances_of,
    changes_of_job,
    field_limit,
    offer_of_version,
    photos_to_choose,
    rates_for_changes,
    usual_field_limit,
    view_of,
)
from estimating.forms import DeclineForm, SendForm, WithdrawForm
from estimating.hours import hour_for_changes
from estimating.job_sum import job_finish, job_sum
from estimating.models import ChangeOffer, ChangeOrder
from estimating.office.mailed import tell_mailed
from shop.access import not_found, require_office
from shop.models import Staff


@require_http_methods(["GET", "POST"])
def changes(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The change orders of a job and its sum. Buttons: new, limit (agree on a field limit), settle (the allowance of
    this line)."""
    job = access.see_price(request.user, pk)
    staff = require_office(request.user)
    new = NewChangeForm(request.POST if "new" in request.POST else None)
    limit = FieldLimitForm(request.POST if "limit" in request.POST else None, initial={"amount": usual_field_limit()})
    allowances = [(each, _settle_form(request, each)) for each in allowances_of(job)]
    try:
        for allowance, form in allowances:
            if form and form.is_bound and form.is_valid():
                change = actions.settle_allowance(line=allowance.line, by=staff, **form.cleaned_data)
                return redirect("estimating:change", change.pk)
        if new.is_bound and new.is_valid():
            change = actions.raise_change(job=job, by=staff, **new.cleaned_data)
            return redirect("estimating:change", change.pk)
        if limit.is_bound and limit.is_valid():
            actions.agree_field_limit(job=job, by=staff, **limit.cleaned_data)
            messages.success(request, _("The field limit is kept."))
            return redirect("estimating:changes", job.pk)
    except Refused as error:
        new.add_error(None, str(error))
        if isinstance(error, KeyTaken):
            new.send_again()
    context = {
        "job": job,
        "allowances": allowances,
        "changes": changes_of_job(job),
        "sum": job_sum(job),
        "finish": job_finish(job),
        "limit": field_limit(job),
        "new_form": new,
        "limit_form": limit,
        "takes_changes": job.stage in OPEN_STAGES,
    }
    refused = bool(new.errors or limit.errors or any(form and form.errors for _each, form in allowances))
    return render(request, "estimating/office/changes.html", context, status=422 if refused else 200)


def _settle_form(request: HttpRequest, allowance: Allowance) -> SettleForm | None:
    key = str(allowance.line.pk)
    return (
        None if allowance.change else SettleForm(request.POST if request.POST.get("settle") == key else None, key=key)
    )


@never_cache
@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A change order. Buttons: save, rate_line and own (a line more), remove (its key), offer, link, revoke (a link's
    key), decline, withdraw. It is approved on a page without the shop's figures (`change_signing`)."""
    change = access.get_change(request.user, pk)
    staff = require_office(request.user)
    if request.method != "POST":
        return show_change(request, view_of(change))
    view = view_of(change)
    if "link" in request.POST and view.offer:
        # Shown in this answer and never again: nothing that is stored may hold the token, so there is no redirect.
        return show_change(request, view, token=actions.make_change_link(change=change, by=staff))
    forms = _forms(request, view)
    try:
        if not _changed(request, view, forms, staff):
            return show_change(request, view, forms=forms, status=422)
    except Refused as error:
        bound = next((form for form in forms.values() if form.is_bound), None)
        if bound:
            if isinstance(error, actions.ChangedMeanwhile) and isinstance(bound, ChangeForm):
                bound.look_again(view_of(change).said)
            bound.add_error(error.field or None, str(error))
            if isinstance(error, KeyTaken):
                bound.send_again()  # type: ignore[attr-defined]  # only a form with a key raises it
            return show_change(request, view_of(change), forms=forms, status=409)
        messages.error(request, str(error))
    return redirect("estimating:change", change.pk)


def _forms(request: HttpRequest, view: ChangeView) -> dict[str, Form]:
    """Every form of the page by its button; the one that was pressed has what was typed."""

    def data(button: str) -> QueryDict | None:
        return request.POST if button in request.POST else None

    job = view.change.job
    rates = rates_for_changes(job) if view.editable else []
    hour = hour_for_changes(job.pk, rates)
    return {
        "save": ChangeForm(data("save"), view=view, photos=photos_to_choose(view.change)),
        "rate": RateLineForm(data("rate_line"), rates=rates, hour=hour),
        "own": OwnChangeLineForm(data("own"), hour=hour),
        "decline": DeclineForm(data("decline"), auto_id="id_decline_%s"),
        "withdraw": WithdrawForm(data("withdraw"), auto_id="id_withdraw_%s"),
    }


def _changed(request: HttpRequest, view: ChangeView, forms: dict[str, Form], staff: Staff) -> bool:
    """Does what the pressed button says; False where its form isn't valid. Raises Refused."""
    change, pressed = view.change, next((name for name, form in forms.items() if form.is_bound), "")
    if pressed and not forms[pressed].is_valid():
        return False
    data = forms[pressed].cleaned_data if pressed else {}
    match pressed:
        case "save":
            actions.edit_change(change=change, by=staff, **forms["save"].figures())  # type: ignore[attr-defined]
            messages.success(request, _("The change order is kept."))
        case "rate" | "own":
            actions.add_change_line(change=change, by=staff, **data)
        case "decline":
            actions.decline_change(offer=offer_read(request, change), reason=data["reason"], by=staff)
        case "withdraw":
            actions.withdraw_change(change=change, reason=data["reason"], by=staff)
        case _:
            _pressed_without_form(request, change, staff)
    return True


def _pressed_without_form(request: HttpRequest, change: ChangeOrder, staff: Staff) -> None:
    if "offer" in request.POST:
        actions.offer_change(change=change, by=staff, seen=request.POST["offer"])
        messages.success(request, _("The change order is made. Its PDF follows in a moment."))
    elif line := change.lines.filter(pk__in=_keys(request.POST.get("remove", ""))).first():
        actions.remove_change_line(line=line, by=staff)
    elif link := change.links.filter(pk__in=_keys(request.POST.get("revoke", ""))).first():
        actions.revoke_change_link(link=link, by=staff)
        messages.success(request, _("The link is revoked: it opens nothing any more."))


def _keys(text: str) -> list[UUID]:
    try:
        return [UUID(text)]
    except ValueError:
        return []


def offer_read(request: HttpRequest, change: ChangeOrder, *, version: str | None = None) -> ChangeOffer:
    """The version that was on the page when it was answered; `version`: the one that a form names."""
    found = offer_of_version(change.pk, request.POST.get("version", "") if version is None else version)
    if found is None:
        raise Refused(_("Nothing is offered yet."))
    return found


def show_change(
    request: HttpRequest,
    view: ChangeView,
    *,
    forms: dict[str, Form] | None = None,
    send_form: SendForm | None = None,
    paper_form: ChangePaperForm | None = None,
    token: str = "",
    status: int = 200,
) -> HttpResponse:
    """The office's page of a change order. `token` is of a link just made; a form that couldn't be taken comes in
    `forms`, or as `send_form` or `paper_form`."""
    change, now, job = view.change, timezone.now(), view.change.job
    newest = change.offers.select_related("document").first()
    to = actions.address_for(newest) if newest else ""
    context = {
        "job": job,
        "view": view,
        "change": change,
        "offer": newest,
        "letter": newest.content if newest else None,
        "ready": newest is not None and newest.document.state == State.READY,
        "sum": job_sum(job),
        "obstacles": obstacles_to_offer(view) if view.editable else [],
        "waits": view.standing == "open",
        "sendings": queries.sendings_of(change),
        "send_form": send_form or SendForm(initial={"to": to}),
        "paper_form": paper_form
        or ChangePaperForm(prefix="paper", initial={"version": newest.version if newest else None}),
        "key": uuid7(),
        "forms": forms or _forms(request, view),
        "takes_changes": job.stage in OPEN_STAGES,
        "state_url": reverse("estimating:change_state", args=[change.pk]),
        "file_url": reverse("estimating:change_file", args=[change.pk]),
        "links": [
            {"link": link, "live": link.revoked_at is None and link.expires_at > now}
            for link in change.links.select_related("made_by")
        ],
        "new_link": token and urljoin(settings.PUBLIC_URL + "/", reverse("estimating:client_change", args=[token])),
    }
    return render(request, "estimating/office/change.html", context, status=status)


@never_cache
@require_http_methods(["GET", "POST"])
def change_send(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: send, remind; of the offer that stands."""
    change = access.get_change(request.user, pk)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:change", pk)
    view, staff, key = view_of(change), require_office(request.user), key_from(request.POST.get("key", ""))
    form = SendForm(request.POST) if "send" in request.POST else None
    if form and not form.is_valid():
        return show_change(request, view, send_form=form, status=422)
    try:
        if view.offer is None:
            raise Refused(_("Nothing of it waits for the client now."))
        if form:
            sent = actions.send_change(offer=view.offer, by=staff, key=key, **form.cleaned_data)
            tell_mailed(request, sent, _("The change order goes to %(to)s."))
        elif "remind" in request.POST:
            sent = actions.remind_client(proposal=view.offer, by=staff, key=key)
            tell_mailed(request, sent, _("A reminder goes to %(to)s."))
    except Refused as error:
        if form:
            form.add_error(None, str(error))
            return show_change(request, view, send_form=form, status=409)
        messages.error(request, str(error))
    return redirect("estimating:change", pk)


def _document_of(change: ChangeOrder) -> ChangeOffer:
    return change.offers.select_related("document").first() or not_found()


@require_GET
def change_file(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The PDF of the newest offer."""
    change = access.get_change(request.user, pk)
    return responses.send(_document_of(change).document, download="download" in request.GET)


@require_http_methods(["GET", "POST"])
def change_state(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far the PDF is; POST tries again one that failed."""
    change = access.get_change(request.user, pk)
    return responses.send_state(
        request,
        _document_of(change).document,
        state_url=reverse("estimating:change_state", args=[change.pk]),
        file_url=reverse("estimating:change_file", args=[change.pk]),
        by=require_office(request.user),
    )
