"""What a client sees of a change order behind a private link, by the same rules as a proposal."""

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from documents import responses
from documents.models import State
from estimating.access import change_link_of
from estimating.actions import CannotChangeOrder, approve_change, decline_change
from estimating.change_forms import ApproveForm
from estimating.change_queries import offer_of_version, view_of
from estimating.client import address_of, dead_link, private_link
from estimating.forms import DeclineForm
from estimating.models import ChangeLink, ChangeOffer


@private_link
@require_GET
def client_change(request: HttpRequest, token: str) -> HttpResponse:
    """The change order as a letter."""
    link = change_link_of(token)
    return _page(request, token, link) if link else dead_link(request)


def _newest(link: ChangeLink) -> ChangeOffer | None:
    return ChangeOffer.objects.select_related("document").filter(change=link.change_id).first()


def _page(
    request: HttpRequest,
    token: str,
    link: ChangeLink,
    *,
    form: ApproveForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    view, offer = view_of(link.change), _newest(link)
    if offer is None:
        return dead_link(request)
    context = {
        "view": view,
        "offer": offer,
        "letter": offer.content,
        "ready": offer.document.state == State.READY,
        "token": token,
        "form": form or ApproveForm(),
        "decline_form": DeclineForm(),
        "problem": problem,
    }
    return render(request, "estimating/client/change.html", context, status=status)


@private_link
@require_GET
def client_change_file(request: HttpRequest, token: str) -> HttpResponseBase:
    """The PDF that the client approves, or approved."""
    link = change_link_of(token)
    offer = _newest(link) if link else None
    return responses.send(offer.document, download=True) if offer else dead_link(request)


@private_link
@require_http_methods(["GET", "POST"])
def client_change_approve(request: HttpRequest, token: str) -> HttpResponse:
    """What was typed stands in the form again where it can't be taken."""
    link = change_link_of(token)
    if link is None:
        return dead_link(request)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:client_change", token)
    form, offer = ApproveForm(request.POST), offer_of_version(link.change_id, request.POST.get("version", ""))
    if not form.is_valid() or offer is None:
        return _page(request, token, link, form=form, status=422)
    try:
        approve_change(
            offer=offer,
            typed_name=form.cleaned_data["typed_name"],
            strokes=form.cleaned_data["strokes"],
            link=link,
            address=address_of(request),
            browser=request.headers.get("User-Agent", ""),
        )
    except CannotChangeOrder as error:
        return _page(request, token, link, form=form, problem=str(error), status=409)
    return redirect("estimating:client_change", token)


@private_link
@require_http_methods(["GET", "POST"])
def client_change_decline(request: HttpRequest, token: str) -> HttpResponse:
    """The client says no; with a reason, if given."""
    link = change_link_of(token)
    if link is None:
        return dead_link(request)
    offer = offer_of_version(link.change_id, request.POST["version"]) if "version" in request.POST else None
    if offer is None:
        return redirect("estimating:client_change", token)
    form = DeclineForm(request.POST)
    reason = form.cleaned_data["reason"] if form.is_valid() else request.POST.get("reason", "")[:300]
    try:
        decline_change(offer=offer, reason=reason)
    except CannotChangeOrder as error:
        return _page(request, token, link, problem=str(error), status=409)
    return redirect("estimating:client_change", token)
