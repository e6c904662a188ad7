"""The client's yes, by the private link or in person on the shop's device. It opens the work, so it stands here."""

from collections.abc import Callable
from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from estimating.accept_forms import AcceptProposalForm, PaperForm
from estimating.access import get_proposal, link_of
from estimating.actions import CannotAccept
from estimating.client import address_of, dead_link, private_link, show_letter
from estimating.models import Acceptance, Proposal
from estimating.office.proposals import show_proposal
from inspections.actions import accept_and_open
from shop.access import require_office


@private_link
@require_http_methods(["GET", "POST"])
def accept(request: HttpRequest, token: str) -> HttpResponseBase:
    """By the link. What was typed stands in the form again where it can't be taken."""
    link = link_of(token)
    if link is None:
        return dead_link(request)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:client_proposal", token)
    form = AcceptProposalForm(request.POST, content=link.proposal.content)
    if not form.is_valid():
        return show_letter(request, token, link, accept_form=form, status=422)
    try:
        accept_and_open(
            proposal=link.proposal,
            typed_name=form.cleaned_data["typed_name"],
            choice=form.choice,
            link=link,
            strokes=form.cleaned_data["strokes"],
            address=address_of(request),
            browser=request.headers.get("User-Agent", ""),
        )
    except CannotAccept as error:
        return show_letter(request, token, link, accept_form=form, problem=str(error), status=409)
    return redirect("estimating:client_proposal", token)


@require_http_methods(["GET", "POST"])
def accept_in_person(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The client types their name on the shop's device, before a witness of the shop."""
    proposal = get_proposal(request.user, pk)
    if request.method == "GET":
        return redirect("estimating:proposal", pk)
    form = AcceptProposalForm(request.POST, content=proposal.content)
    if not form.is_valid():
        return show_proposal(request, proposal, accept_form=form, status=422)
    yes = partial(accept_and_open, choice=form.choice, strokes=form.cleaned_data["strokes"])
    return _witnessed(request, proposal, form, yes, shown_as="accept_form")


@require_http_methods(["GET", "POST"])
def accept_on_paper(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Somebody of the shop attaches the proposal that came back signed by hand."""
    proposal = get_proposal(request.user, pk)
    if request.method == "GET":
        return redirect("estimating:proposal", pk)
    form = PaperForm(request.POST, request.FILES, prefix="paper", content=proposal.content)
    if not form.is_valid():
        return show_proposal(request, proposal, paper_form=form, status=422)
    yes = partial(accept_and_open, choice=form.choice, paper=form.signed)
    return _witnessed(request, proposal, form, yes, shown_as="paper_form")


def _witnessed(
    request: HttpRequest, proposal: Proposal, form: Form, yes: Callable[..., Acceptance], *, shown_as: str
) -> HttpResponse:
    """The client's yes before whoever is logged in; where it can't be, the page with the form, which says why."""
    try:
        yes(
            proposal=proposal,
            typed_name=form.cleaned_data["typed_name"],
            witness=require_office(request.user),
            address=address_of(request),
            browser=request.headers.get("User-Agent", ""),
        )
    except CannotAccept as error:
        form.add_error(None, str(error))
        forms: dict[str, Any] = {shown_as: form}
        return show_proposal(request, proposal, status=409, **forms)
    messages.success(request, _("Accepted. The phases of every room are open."))
    return redirect("estimating:proposal", proposal.pk)
