"""A proposal goes to the client by mail, and is brought to mind once it has lain there.

What was pressed is a row at once; its mail is in the outbox from when the PDF is ready. A row has one mail, whoever
looks for rows without one, and however many do.
"""

from datetime import timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max, Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from clients.models import token_hash
from documents.models import State
from estimating.actions._locks import is_dead, lock_proposal
from estimating.actions.proposals import LINK_OUTLIVES
from estimating.letters import attachment_of, proposal_letter
from estimating.models import SENT, Acceptance, Proposal, ProposalEnd, ProposalLink, ProposalSent, SendingKind
from shop.audit import change
from shop.mail import mailed_token, queue_mail
from shop.models import Mail, Staff
from shop.queries import shop_settings


class CannotSend(Refused):
    """The proposal was answered, ended or expired, or there is nobody to send it to. The message is for the person."""


def send_proposal(*, proposal: Proposal, to: str, by: Staff, words: str = "", key: UUID | None = None) -> ProposalSent:
    """The sending; its mail, with link and PDF, goes as soon as the PDF is ready. The same `key` again sends nothing
    more. Raises CannotSend."""
    return _sent(proposal, kind=SendingKind.PROPOSAL, to=to, by=by, words=words, key=key)


def remind_client(*, proposal: Proposal, by: Staff | None, words: str = "", key: UUID | None = None) -> ProposalSent:
    """The reminder, to where the proposal was sent. Raises CannotSend, also for one that was never sent."""
    return _sent(proposal, kind=SendingKind.REMINDER, to="", by=by, words=words, key=key)


def _sent(
    proposal: Proposal, *, kind: SendingKind, to: str, by: Staff | None, words: str, key: UUID | None
) -> ProposalSent:
    key = key or uuid7()
    with change(by):
        _job, proposal = lock_proposal(proposal.pk)
        mine = ProposalSent.objects.filter(proposal=proposal)
        # By the key, or, for the shop's own reminder, by there being one.
        if earlier := mine.filter(Q(pk=key) if by else Q(by=None)).first():
            return earlier
        if why := why_not_to_send(proposal):
            raise CannotSend(why)
        last = mine.select_related("link").last()
        if kind == SendingKind.REMINDER and last is None:
            raise CannotSend(_("It wasn’t sent by mail yet, so there is nothing to remind of."))
        sent = ProposalSent.objects.create(
            pk=key,
            proposal=proposal,
            kind=kind,
            to=to or (last.to if last else ""),
            words=words.strip(),
            link=_mailed_link(proposal, last, by),
            by=by,
        )
        if proposal.document.state == State.READY:
            _queue(sent)
    return sent


def why_not_to_send(proposal: Proposal) -> str:
    """Why a proposal isn't to be sent any more; empty where it is. The caller holds its lock."""
    if Acceptance.objects.filter(proposal=proposal).exists():
        return _("It was accepted already.")
    if end := ProposalEnd.objects.filter(proposal=proposal).first():
        return _("It no longer stands: it was %(how)s.") % {"how": end.get_kind_display()}
    if timezone.now() >= proposal.valid_until:
        return _("It has expired.")
    return ""


def _mailed_link(proposal: Proposal, last: ProposalSent | None, by: Staff | None) -> ProposalLink:
    """The link that the client has, while it works, or a new one, whose token only the outbox can tell."""
    if last and not is_dead(last.link):
        return last.link
    key = uuid7()
    return ProposalLink.objects.create(
        pk=key,
        proposal=proposal,
        made_by=by or proposal.made_by,
        token_hash=token_hash(mailed_token(key)),
        expires_at=proposal.valid_until + LINK_OUTLIVES,
    )


def _queue(sent: ProposalSent) -> None:
    subject, text = proposal_letter(sent)
    queue_mail(
        key=sent.mail_key,
        to=sent.to,
        subject=subject,
        text=text,
        attachment=attachment_of(sent.proposal.document),
        link_key=sent.link_id,
    )


def address_for(proposal: Proposal) -> str:
    """Where the client reads mail: where the proposal was sent last, or else the client's address; empty: nowhere."""
    last = ProposalSent.objects.filter(proposal=proposal).last()
    return last.to if last else proposal.job.client.email


def queue_sendings() -> int:
    """Puts into the outbox what waited for its PDF; returns how many. One that was answered, ended or expired
    meanwhile stays where it is, and so does one whose link was revoked."""
    queued = 0
    for sent in _waiting():
        with change(None):
            _job, proposal = lock_proposal(sent.proposal_id)
            link = ProposalLink.objects.get(pk=sent.link_id)
            if why_not_to_send(proposal) or is_dead(link) or Mail.objects.filter(key=sent.mail_key).exists():
                continue
            sent.proposal = proposal
            _queue(sent)
            queued += 1
    return queued


def _waiting() -> QuerySet[ProposalSent]:
    """Sendings of proposals that stand and whose PDF is ready, without a mail. Two queries."""
    standing = ProposalSent.objects.filter(
        proposal__document__state=State.READY,
        proposal__end=None,
        proposal__acceptance=None,
        proposal__valid_until__gt=timezone.now(),
        link__revoked_at=None,
    )
    keys = {sent.mail_key: sent.pk for sent in standing}
    have = Mail.objects.filter(key__in=keys, key__startswith=SENT).values_list("key", flat=True)
    return standing.filter(pk__in=set(keys.values()) - {keys[key] for key in have})


def remind_due() -> int:
    """Reminds, in the shop's working hours, of each proposal that was sent so many days ago as the shop has set, and
    since then neither answered nor brought to mind; each once. Returns how many."""
    shop, reminded = shop_settings(), 0
    now = timezone.now()
    here = now.astimezone(ZoneInfo(shop.time_zone))
    if not shop.remind_days or not shop.work_starts <= here.time() < shop.work_ends:
        return 0
    due = (
        Proposal.objects.filter(end=None, acceptance=None, valid_until__gt=now)
        .annotate(last=Max("sendings__created_at"))
        .filter(last__lte=now - timedelta(days=shop.remind_days))
        .exclude(sendings__by=None)
    )
    for proposal in due.defer("content"):
        try:
            remind_client(proposal=proposal, by=None)
            reminded += 1
        except CannotSend:  # answered since it was looked for
            continue
    return reminded
