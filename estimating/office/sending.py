"""What is done with a proposal once it is made: sent, brought to mind, renewed; and the client's questions answered."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from base.keys import key_from
from estimating import access
from estimating.actions import answer_question, remind_client, renew_proposal, send_proposal
from estimating.forms import AnswerForm, SendForm
from estimating.models import Proposal
from estimating.office.mailed import tell_mailed
from estimating.office.proposals import show_proposal
from shop.access import require_office, require_owner


@never_cache
@require_http_methods(["GET", "POST"])
def send(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Buttons: send, remind, renew."""
    proposal = access.own_proposal(request.user, pk)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("estimating:proposal", pk)
    try:
        if "send" in request.POST:
            return _send(request, proposal)
        if "remind" in request.POST:
            key = key_from(request.POST.get("key", ""))
            sent = remind_client(proposal=proposal, by=require_owner(request.user), key=key)
            tell_mailed(request, sent, _("A reminder goes to %(to)s."))
        elif "renew" in request.POST:
            proposal = renew_proposal(proposal=proposal, by=require_owner(request.user))
            messages.success(request, _("Renewed: this is the new version. Send it when you have looked at it."))
    except Refused as error:
        messages.error(request, str(error))
    return redirect("estimating:proposal", proposal.pk)


def _send(request: HttpRequest, proposal: Proposal) -> HttpResponse:
    form = SendForm(request.POST)
    if not form.is_valid():
        return show_proposal(request, proposal, send_form=form, status=422)
    try:
        sent = send_proposal(
            proposal=proposal,
            to=form.cleaned_data["to"],
            words=form.cleaned_data["words"],
            by=require_owner(request.user),
            key=key_from(request.POST.get("key", "")),
        )
    except Refused as error:
        form.add_error(None, str(error))
        return show_proposal(request, proposal, send_form=form, status=409)
    tell_mailed(request, sent, _("The proposal goes to %(to)s."))
    return redirect("estimating:proposal", proposal.pk)


@never_cache
@require_http_methods(["GET", "POST"])
def answer(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A client's question, answered on the proposal's page."""
    question = access.get_question(request.user, pk)
    if request.method == "GET":
        return redirect("estimating:proposal", question.proposal_id)
    form, status = AnswerForm(request.POST, question=question), 422
    if form.is_valid():
        try:
            answer_question(question=question, text=form.cleaned_data["answer"], by=require_office(request.user))
            messages.success(request, _("Answered. The client reads it on the link."))
            return redirect("estimating:proposal", question.proposal_id)
        except Refused as error:
            form.add_error(None, str(error))
            status = 409
    return show_proposal(request, question.proposal, answer_form=form, answering=question.pk, status=status)
