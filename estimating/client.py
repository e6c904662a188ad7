"""What a client sees behind a private link. No log-in: the token is the key, and it goes nowhere.

`strict-origin` instead of `no-referrer`: under `no-referrer` browsers send `Origin: null` with the acceptance, which
Django's CSRF check refuses. Either way no address with a token is ever sent as a referrer.
"""

import ipaddress
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from base.keys import key_from, uuid7
from documents import responses
from estimating import queries
from estimating.accept_forms import AcceptProposalForm
from estimating.access import link_of
from estimating.actions import CannotAsk, CannotDecline, ask_question, decline_proposal
from estimating.cooling_off import may_cancel_until
from estimating.forms import AskForm, DeclineForm
from estimating.models import ProposalLink
from estimating.options import picks_query
from estimating.showing import shown_letter
from shop.languages import for_clients

View = Callable[..., HttpResponseBase]


def private_link(view: View) -> View:
    """For every view behind a client's link: open without log-in, in no cache, in no index, no address passed on."""

    @login_not_required
    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        response = for_clients(view)(request, *args, **kwargs)
        response["Cache-Control"] = "private, no-store"
        response["Referrer-Policy"] = "strict-origin"
        response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        return response

    return wrapped


def dead_link(request: HttpRequest) -> HttpResponse:
    """One plain page for a link that is unknown, expired or revoked: nobody can tell which. 404."""
    return render(request, "estimating/client/gone.html", status=404)


def address_of(request: HttpRequest) -> str | None:
    """The client's address, for the acceptance: the last one that our own proxy added, where there is one; None if it
    can't be read."""
    address = request.META.get("REMOTE_ADDR", "")
    if settings.SECURE_PROXY_SSL_HEADER:
        address = request.META.get("HTTP_X_FORWARDED_FOR", address).split(",")[-1]
    try:
        return str(ipaddress.ip_address(address.strip()))
    except ValueError:
        return None


@private_link
@require_http_methods(["GET", "POST"])
def client_proposal(request: HttpRequest, token: str) -> HttpResponse:
    """The proposal as a letter; with options, as what is picked in the query makes it, or in the page's form. A POST
    keeps nothing: it is how a browser without JavaScript asks for the total and has all that is typed stand."""
    link = link_of(token)
    if link is None:
        return dead_link(request)
    return show_letter(request, token, link)


def show_letter(
    request: HttpRequest,
    token: str,
    link: ProposalLink,
    *,
    accept_form: AcceptProposalForm | None = None,
    ask_form: AskForm | None = None,
    decline_form: DeclineForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    """The client's page. `accept_form` and `problem` come from `inspections:client_accept` where it couldn't accept,
    `ask_form` and `decline_form` from a question or a reason that couldn't be taken.

    The page is one form with several buttons: whichever was pressed, what is picked and typed anywhere in it stands.
    """
    proposal = link.proposal
    typed = request.POST.dict()
    state = queries.state_of(proposal)
    shown = shown_letter(request, proposal.content, state.acceptance)
    context = {
        "proposal": proposal,
        "letter": shown.letter,
        "shown": shown,
        "state": state,
        "ready": proposal.document.state == "ready",
        "cancel_until": state.acceptance and may_cancel_until(state.acceptance),
        "token": token,
        "accept_form": accept_form or AcceptProposalForm(content=proposal.content, initial=typed),
        "ask_form": ask_form or AskForm(initial=typed),
        "decline_form": decline_form or DeclineForm(initial=typed),
        "questions": queries.questions_of(proposal),
        "key": uuid7(),
        "problem": problem or shown.problem,
    }
    return render(request, "estimating/client/proposal.html", context, status=status)


@private_link
@require_GET
def client_file(request: HttpRequest, token: str) -> HttpResponseBase:
    """The PDF that the client accepts, or accepted."""
    link = link_of(token)
    if link is None:
        return dead_link(request)
    return responses.send(link.proposal.document, download=True)


@private_link
@require_http_methods(["GET", "POST"])
def client_ask(request: HttpRequest, token: str) -> HttpResponse:
    """The client's question. What was picked and typed stands in the page again, whether it can be taken or not."""
    link = link_of(token)
    if link is None:
        return dead_link(request)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:client_proposal", token)
    form = AskForm(request.POST)
    if not form.is_valid():
        return show_letter(request, token, link, ask_form=form, status=422)
    try:
        ask_question(
            link=link,
            text=form.cleaned_data["question"],
            address=address_of(request),
            key=key_from(request.POST.get("key", "")),
        )
    except CannotAsk as error:
        form.add_error(None, str(error))
        return show_letter(request, token, link, ask_form=form, status=429)
    if any(request.POST.get(name) for name in ("typed_name", "strokes", "agree", "reason")):
        return show_letter(request, token, link, ask_form=AskForm())  # an address couldn't keep what else is typed
    page = reverse("estimating:client_proposal", args=[token])
    return redirect(f"{page}{picks_query(request.POST)}#questions")


@private_link
@require_http_methods(["GET", "POST"])
def client_decline(request: HttpRequest, token: str) -> HttpResponse:
    """The client says no; with a reason, if given."""
    link = link_of(token)
    if link is None:
        return dead_link(request)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:client_proposal", token)
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return show_letter(request, token, link, decline_form=form, status=422)
    try:
        decline_proposal(proposal=link.proposal, reason=form.cleaned_data["reason"])
    except CannotDecline as error:
        return show_letter(request, token, link, problem=str(error), status=409)
    return redirect("estimating:client_proposal", token)
