"""The client's answer to a proposal: yes, kept for good, or no."""

from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.actions._locks import is_dead, lock_link, lock_proposal
from estimating.actions._yes import check_date, check_pdf, checked_name, day_of_yes, is_same, kept_paper
from estimating.actions.sending import address_for
from estimating.letters import acceptance_letter, attachment_of
from estimating.models import Acceptance, EndKind, Proposal, ProposalEnd, ProposalLink
from estimating.options import BadChoice, default_choice, picked_names, total_of
from estimating.signing import Paper, Strokes
from jobs.actions import move_job
from jobs.models import Job, Stage
from shop.audit import change
from shop.mail import queue_mail
from shop.models import Staff


class CannotAccept(Refused):
    """The proposal can't be accepted as things stand. The message is for whoever tried."""


class CannotDecline(Refused):
    """The proposal was answered already, or no longer stands."""


def accept_proposal(
    *,
    proposal: Proposal,
    typed_name: str,
    choice: str | None = None,
    link: ProposalLink | None = None,
    witness: Staff | None = None,
    address: str | None = None,
    browser: str = "",
    strokes: Strokes | None = None,
    paper: Paper | None = None,
) -> Acceptance:
    """The acceptance, with the hashes of what was accepted; the job moves on to the work, and the client gets the same
    PDF by mail, where there is an address.

    `choice` is a key of `estimating.options`, None for what the proposal has in its price; the total is the choice's.
    By `link`, or in person before `witness`, never both. `strokes` is a drawn signature; a `paper` signed by hand is
    attached by the witness, and counts by its own date. The same yes sent again changes nothing and returns the first
    acceptance. Raises CannotAccept for one that was accepted otherwise, that expired, was replaced, withdrawn or
    declined, whose PDF isn't ready, for a choice that it doesn't offer, by a link that is dead, without a name, or by a
    paper with another date than can be.
    """
    with kept_paper(paper) as file, change(witness):
        job, proposal = lock_proposal(proposal.pk)
        chosen = default_choice(proposal.content) if choice is None else choice
        if earlier := Acceptance.objects.filter(proposal=proposal).first():
            if earlier.choice != chosen or not is_same(
                earlier, typed_name=typed_name, link=link, paper=paper, now=file
            ):
                raise CannotAccept(_accepted_already(proposal, earlier, paper))
            file.forget()
            return earlier
        name = checked_name(typed_name, CannotAccept)
        _check(job=job, proposal=proposal, link=link, witness=witness, paper=paper)
        acceptance = Acceptance.objects.create(
            proposal=proposal,
            job=job,
            choice=chosen,
            total=_total(proposal, chosen),
            typed_name=name,
            link=link,
            witness=witness,
            address=address,
            browser=browser[:300],
            strokes=strokes,
            signed_on=paper.signed_on if paper else None,
            paper=file.file,
            paper_sha256=file.sha256,
            content_sha256=proposal.content_sha256,
            document_sha256=proposal.document.sha256,
        )
        acceptance.refresh_from_db(fields=["created_at"])
        move_job(job=job, to=Stage.WORKING, by=witness)
        if to := address_for(proposal):
            subject, text = acceptance_letter(acceptance)
            attachment = attachment_of(proposal.document)
            queue_mail(key=f"accepted:{acceptance.pk}", to=to, subject=subject, text=text, attachment=attachment)
    return acceptance


def _accepted_already(proposal: Proposal, earlier: Acceptance, paper: Paper | None) -> str:
    """By whom, when, with what and for how much; and that what came now is nowhere."""
    told = {
        "name": earlier.typed_name,
        "day": day_of_yes(earlier),
        "total": total_of(proposal.content, earlier.choice)["shown"],
        "choice": "; ".join(picked_names(proposal.content, earlier.choice)),
    }
    said = (
        _("It was accepted already by %(name)s on %(day)s, for %(total)s, with this choice: %(choice)s.")
        if told["choice"]
        else _("It was accepted already by %(name)s on %(day)s, for %(total)s.")
    ) % told
    return f"{said} " + (
        _("Nothing was attached: keep the paper, and speak with the client.")
        if paper
        else _("Nothing was changed: if something else was meant, let us speak about it.")
    )


def _total(proposal: Proposal, choice: str) -> Decimal:
    try:
        return Decimal(total_of(proposal.content, choice)["amount"])
    except BadChoice as error:
        raise CannotAccept(str(error)) from error


def _check(
    *,
    job: Job,
    proposal: Proposal,
    link: ProposalLink | None,
    witness: Staff | None,
    paper: Paper | None = None,
) -> None:
    """Says in words what the trigger on the table refuses without them."""
    if (link is None) == (witness is None):
        raise ValueError("a proposal is accepted by a link or before a witness")
    if end := ProposalEnd.objects.filter(proposal=proposal).first():
        raise CannotAccept(
            _("This proposal can't be accepted any more: it was %(how)s.") % {"how": end.get_kind_display()}
        )
    if paper:
        check_date(paper, made=proposal.created_at, until=proposal.valid_until, refusal=CannotAccept)
    elif timezone.now() >= proposal.valid_until:
        raise CannotAccept(_("This proposal has expired. Ask us for a new one: prices may have changed."))
    check_pdf(proposal.document, CannotAccept)
    if job.stage != Stage.PROPOSED:
        raise CannotAccept(_("This job isn't waiting for an answer now. Ask the shop."))
    if link is not None:
        now = lock_link(link.pk)
        if is_dead(now) or now.proposal_id != proposal.pk:
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
