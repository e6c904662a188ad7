from typing import Any
from urllib.parse import urljoin
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from base.keys import uuid7
from documents import responses
from estimating import access, queries
from estimating.accept_forms import AcceptProposalForm, PaperForm
from estimating.actions import CannotWithdraw, make_link, revoke_link, withdraw_proposal
from estimating.cooling_off import may_cancel_until
from estimating.forms import AnswerForm, SendForm, WithdrawForm
from estimating.models import Acceptance, Proposal
from estimating.showing import shown_letter
from shop.access import not_found, require_office, require_owner


@never_cache
@require_http_methods(["GET", "POST"])
def proposal(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A proposal: its PDF, its links, its answer. Buttons: link, revoke (a link's key), withdraw, show (the total of
    what is picked, for a browser without JavaScript)."""
    proposal = access.get_proposal(request.user, pk)
    staff = require_office(request.user)
    if request.method != "POST":
        return show_proposal(request, proposal)
    if "withdraw" in request.POST:
        return _withdraw(request, access.own_proposal(request.user, pk))
    if "show" in request.POST:
        typed = AcceptProposalForm(content=proposal.content, initial=request.POST.dict())
        return show_proposal(request, proposal, accept_form=typed)
    if "link" in request.POST and queries.state_of(proposal).standing in ("open", "accepted"):
        token = make_link(proposal=proposal, by=staff)
        # Shown in this answer and never again: nothing that is stored may hold the token, so there is no redirect.
        return show_proposal(request, proposal, token=token)
    if "revoke" in request.POST:
        link = proposal.links.filter(pk__in=_keys(request.POST["revoke"])).first()
        if link:
            revoke_link(link=link, by=staff)
            messages.success(request, _("The link is revoked: it opens nothing any more."))
    return redirect("estimating:proposal", proposal.pk)


def _keys(text: str) -> list[UUID]:
    try:
        return [UUID(text)]
    except ValueError:
        return []


def _withdraw(request: HttpRequest, proposal: Proposal) -> HttpResponse:
    form = WithdrawForm(request.POST)
    if not form.is_valid():
        return show_proposal(request, proposal, withdraw_form=form, status=422)
    try:
        withdraw_proposal(proposal=proposal, by=require_owner(request.user), reason=form.cleaned_data["reason"])
        messages.success(request, _("The proposal is withdrawn. The job is at pricing again."))
    except CannotWithdraw as error:
        messages.error(request, str(error))
    return redirect("estimating:proposal", proposal.pk)


def show_proposal(
    request: HttpRequest,
    proposal: Proposal,
    *,
    token: str = "",
    status: int = 200,
    answer_form: AnswerForm | None = None,
    answering: UUID | None = None,
    **forms: Any,
) -> HttpResponse:
    """The office's page of a proposal. `token` is of a link just made; a form that couldn't be taken comes as
    `accept_form`, `paper_form`, `withdraw_form`, `send_form`, or `answer_form` with `answering`, its question's key."""
    state = queries.state_of(proposal)
    shown = shown_letter(request, proposal.content, state.acceptance)
    now = timezone.now()
    sendings = queries.sendings_of(proposal)
    to = sendings[-1].sent.to if sendings else proposal.job.client.email
    context = {
        "job": proposal.job,
        "proposal": proposal,
        "letter": shown.letter,
        "shown": shown,
        "state": state,
        "state_url": reverse("estimating:proposal_state", args=[proposal.pk]),
        "file_url": reverse("estimating:proposal_file", args=[proposal.pk]),
        "links": [
            {"link": link, "live": link.revoked_at is None and link.expires_at > now}
            for link in proposal.links.select_related("made_by")
        ],
        "new_link": token and urljoin(settings.PUBLIC_URL + "/", reverse("estimating:client_proposal", args=[token])),
        "sendings": sendings,
        "questions": [
            (each, answer_form if each.pk == answering else AnswerForm(question=each))
            for each in queries.questions_of(proposal)
        ],
        "answer_form": answer_form,
        "accept_form": AcceptProposalForm(content=proposal.content),
        # No two fields on the page have one id.
        "paper_form": PaperForm(prefix="paper", content=proposal.content),
        "withdraw_form": WithdrawForm(),
        "send_form": SendForm(initial={"to": to}),
        "key": uuid7(),
        "may_link": state.standing in ("open", "accepted"),
        "cancel_until": state.acceptance and may_cancel_until(state.acceptance),
        "is_owner": require_office(request.user).is_owner,
        **forms,
    }
    return render(request, "estimating/office/proposal.html", context, status=status)


@require_GET
def proposal_file(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The PDF."""
    proposal = access.get_proposal(request.user, pk)
    return responses.send(proposal.document, download="download" in request.GET)


@require_http_methods(["GET", "POST"])
def proposal_state(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far the PDF is; POST tries again one that failed."""
    proposal = access.get_proposal(request.user, pk)
    return responses.send_state(
        request,
        proposal.document,
        state_url=reverse("estimating:proposal_state", args=[proposal.pk]),
        file_url=reverse("estimating:proposal_file", args=[proposal.pk]),
        by=require_office(request.user),
    )


@require_GET
def signed_paper(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    """The paper that was signed by hand, as it was attached."""
    proposal = access.get_proposal(request.user, pk)
    acceptance = Acceptance.objects.filter(proposal=proposal).exclude(paper="").first() or not_found()
    return responses.send_upload(acceptance.paper)
