"""The client's answer to a proposal: yes, kept for good, or no."""

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from documents.models import State
from estimating.actions._locks import lock_proposal
from estimating.models import Acceptance, EndKind, Proposal, ProposalEnd, ProposalLink
from jobs.actions import move_job
from jobs.models import Job, Stage
from shop.audit import change
from shop.models import Staff


class CannotAccept(Refused):
    """The proposal can't be accepted as things stand. The message is for whoever tried."""


class CannotDecline(Refused):
    """The proposal was answered already, or no longer stands."""


def accept_proposal(
    *,
    proposal: Proposal,
    typed_name: str,
    link: ProposalLink | None = None,
    witness: Staff | None = None,
    address: str | None = None,
    browser: str = "",
) -> Acceptance:
    """The acceptance, with the hashes of what was accepted; the job moves on to the work.

    By `link`, or in person before `witness`, never both. Accepting a second time, by anybody, changes nothing and
    returns the first acceptance. Raises CannotAccept for one that expired, was replaced, withdrawn or declined,
    whose PDF isn't ready, by a link that is dead, or without a name.
    """
    with change(witness):
        job, proposal = lock_proposal(proposal.pk)
        if earlier := Acceptance.objects.filter(proposal=proposal).first():
            return earlier
        name = " ".join(typed_name.split())
        _check(job=job, proposal=proposal, name=name, link=link, witness=witness)
        acceptance = Acceptance.objects.create(
            proposal=proposal,
            job=job,
            typed_name=name,
            link=link,
            witness=witness,
            address=address,
            browser=browser[:300],
            content_sha256=proposal.content_sha256,
            document_sha256=proposal.document.sha256,
        )
        acceptance.refresh_from_db(fields=["created_at"])
        move_job(job=job, to=Stage.WORKING, by=witness)
    return acceptance


def _check(*, job: Job, proposal: Proposal, name: str, link: ProposalLink | None, witness: Staff | None) -> None:
    """Says in words what the trigger on the table refuses without them."""
    if not name:
        raise CannotAccept(_("Type your full name: it stands for your signature."))
    if len(name) > (Acceptance._meta.get_field("typed_name").max_length or 0):
        raise CannotAccept(_("That name is too long: type it as you sign."))
    if (link is None) == (witness is None):
        raise ValueError("a proposal is accepted by a link or before a witness")
    if end := ProposalEnd.objects.filter(proposal=proposal).first():
        raise CannotAccept(
            _("This proposal can't be accepted any more: it was %(how)s.") % {"how": end.get_kind_display()}
        )
    if timezone.now() >= proposal.valid_until:
        raise CannotAccept(_("This proposal has expired. Ask us for a new one: prices may have changed."))
    if proposal.document.state != State.READY:
        raise CannotAccept(_("The PDF of this proposal is still being made. Try again in a minute."))
    if job.stage != Stage.PROPOSED:
        raise CannotAccept(_("This job isn't waiting for an answer now. Ask the shop."))
    if link is not None:
        now = ProposalLink.objects.select_for_update(no_key=True).get(pk=link.pk)
        dead = now.revoked_at is not None or timezone.now() >= now.expires_at
        if dead or now.proposal_id != proposal.pk:
            raise CannotAccept(_("This link no longer works. Ask the shop for a new one."))


def decline_proposal(*, proposal: Proposal, reason: str, by: Staff | None = None) -> ProposalEnd:
    """The end of the proposal, as the client wished it; the job goes back to pricing, for the shop to decide.

    `by` is None where the client did it through the link. Declining twice returns the first. Raises CannotDecline.
    """
    with change(by):
        job, proposal = lock_proposal(proposal.pk)
        end = ProposalEnd.objects.filter(proposal=proposal).first()
        if end and end.kind == EndKind.DECLINED:
            return end
        if end:
            raise CannotDecline(_("This proposal no longer stands: it was %(how)s.") % {"how": end.get_kind_display()})
        if Acceptance.objects.filter(proposal=proposal).exists():
            raise CannotDecline(_("This proposal was accepted. Call the shop if something has to change."))
        end = ProposalEnd.objects.create(
            proposal=proposal, kind=EndKind.DECLINED, reason=" ".join(reason.split())[:300], by=by
        )
        if job.stage == Stage.PROPOSED:
            move_job(job=job, to=Stage.PRICING, by=by)
    return end
