from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from estimating import access
from estimating.comparing import differences
from estimating.content import say_the_same
from estimating.models import Proposal


@require_safe
def proposal_changes(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A proposal beside the version before it, for owner and office."""
    proposal = access.get_proposal(request.user, pk)
    before = Proposal.objects.filter(job=proposal.job, version__lt=proposal.version).order_by("-version").first()
    context = {
        "job": proposal.job,
        "proposal": proposal,
        "letter": proposal.content,
        "before": before,
        "groups": differences(before.content, proposal.content) if before else [],
        "same": before is not None and say_the_same(before.content, proposal.content),
    }
    return render(request, "estimating/office/proposal_changes.html", context)
