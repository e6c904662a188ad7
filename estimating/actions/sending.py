"""A proposal, or a change order, goes to the client by mail, and is brought to mind once it has lain there.

What was pressed is a row at once; its mail is in the outbox from when the PDF is ready. A row has one mail, whoever
looks for rows without one, and however many do.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Max, Q
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from base.errors import Refused
from base.keys import uuid7
from clients.models import token_hash
from documents.models import State
from estimating.actions._locks import is_dead, lock_offer, lock_proposal
from estimating.actions.proposals import LINK_OUTLIVES
from estimating.letters import attachment_of, change_letter, proposal_letter
from estimating.models import (
    ChangeLink,
    ChangeOffer,
    ChangeSent,
    Proposal,
    ProposalLink,
    ProposalSent,
    SendingKind,
)
from jobs.models import Job, Stage
from shop.audit import change
from shop.mail import mailed_token, queue_mail
from shop.models import Mail, Staff
from shop.queries import shop_settings

Offered = Proposal | ChangeOffer
Sent = ProposalSent | ChangeSent


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sort:
    """What can be sent: its table of sendings and of links, and how they name it. `opens` is what a link opens, as a
    proposal or an offer names it: None for itself."""

    sendings: type[Sent]
    links: type[ProposalLink | ChangeLink]
    field: str
    opens: str | None
    answer: str
    waits: Mapping[str, Any]
    answered: str | Promise
    letter: Callable[[Any], tuple[str, str]]

    def lock(self, pk: UUID) -> tuple[Job, Any]:
        """The job, locked, and what is sent, as it is then."""
        return lock_offer(pk) if self.opens else lock_proposal(pk)

    def last(self, offered: Offered) -> Sent | None:
        """The last sending by a link that opens it: of itself, or of a version of the same change order."""
        of = self.field if self.opens is None else f"{self.field}__{self.opens}"
        rows = self.sendings._default_manager.filter(**{of: self.opened(offered)})
        return rows.select_related("link").last()

    def opened(self, offered: Offered) -> Any:
        return getattr(offered, self.opens) if self.opens else offered


_PROPOSALS = _Sort(
    sendings=ProposalSent,
    links=ProposalLink,
    field="proposal",
    opens=None,
    answer="acceptance",
    waits={"job__stage": Stage.PROPOSED},
    answered=gettext_lazy("It was accepted already."),
    letter=proposal_letter,
)
_CHANGES = _Sort(
    sendings=ChangeSent,
    links=ChangeLink,
    field="offer",
    opens="change",
    answer="approval",
    waits={},
    answered=gettext_lazy("It was approved already."),
    letter=change_letter,
)


def _sort(offered: Offered) -> _Sort:
    return _PROPOSALS if isinstance(offered, Proposal) else _CHANGES


class CannotSend(Refused):
    """It was answered, ended or expired, or there is nobody to send it to. The message is for the person."""


def send_proposal(*, proposal: Proposal, to: str, by: Staff, words: str = "", key: UUID | None = None) -> Sent:
    """The sending; its mail, with link and PDF, goes as soon as the PDF is ready. The same `key` again sends nothing
    more. Raises CannotSend."""
    return _sent(proposal, kind=SendingKind.PROPOSAL, to=to, by=by, words=words, key=key)


def send_change(*, offer: ChangeOffer, to: str, by: Staff, words: str = "", key: UUID | None = None) -> Sent:
    """The sending of a change order, as of a proposal. Raises CannotSend."""
    return _sent(offer, kind=SendingKind.PROPOSAL, to=to, by=by, words=words, key=key)


def remind_client(*, proposal: Offered, by: Staff | None, words: str = "", key: UUID | None = None) -> Sent:
    """The reminder of a proposal, or of the offer of a change order, to where it was sent. Raises CannotSend, also for
    one that was never sent."""
    return _sent(proposal, kind=SendingKind.REMINDER, to="", by=by, words=words, key=key)


def _sent(offered: Offered, *, kind: SendingKind, to: str, by: Staff | None, words: str, key: UUID | None) -> Sent:
    key, sort = key or uuid7(), _sort(offered)
    with change(by):
        _job, offered = sort.lock(offered.pk)
        mine = sort.sendings._default_manager.filter(**{sort.field: offered})
        # By the key, or, for the shop's own reminder, by there being one.
        if earlier := mine.filter(Q(pk=key) if by else Q(by=None)).first():
            return earlier
        if why := why_not_to_send(offered):
            raise CannotSend(why)
        if kind == SendingKind.REMINDER and not mine.exists():
            raise CannotSend(_("It wasn’t sent by mail yet, so there is nothing to remind of."))
        last = sort.last(offered)
        sent = sort.sendings._default_manager.create(
            pk=key,
            kind=kind,
            to=to or (last.to if last else ""),
            words=words.strip(),
            by=by,
            **{sort.field: offered, "link": _mailed_link(sort, offered, last, by)},
        )
        if offered.document.state == State.READY:
            _queue(sort, sent, offered)
    return sent


def why_not_to_send(offered: Offered) -> str:
    """Why it isn't to be sent any more; empty where it is. The caller holds its lock, and has read it since."""
    sort = _sort(offered)
    if hasattr(offered, sort.answer):
        return str(sort.answered)
    if hasattr(offered, "end"):
        return _("It no longer stands: it was %(how)s.") % {"how": offered.end.get_kind_display()}
    if isinstance(offered, Proposal) and offered.rests:
        return _("The job is at “%(stage)s”: it waits for no answer now.") % {"stage": offered.job.get_stage_display()}
    if timezone.now() >= offered.valid_until:
        return _("It has expired.")
    return ""


def _mailed_link(sort: _Sort, offered: Offered, last: Sent | None, by: Staff | None) -> ProposalLink | ChangeLink:
    """The link that the client has, while it works, or a new one, whose token only the outbox can tell."""
    if last and not is_dead(last.link):
        return last.link
    key = uuid7()
    return sort.links._default_manager.create(
        pk=key,
        made_by=by or offered.made_by,
        token_hash=token_hash(mailed_token(key)),
        expires_at=offered.valid_until + LINK_OUTLIVES,
        **{sort.opens or sort.field: sort.opened(offered)},
    )


def _queue(sort: _Sort, sent: Sent, offered: Offered) -> None:
    subject, text = sort.letter(sent)
    queue_mail(
        key=sent.mail_key,
        to=sent.to,
        subject=subject,
        text=text,
        attachment=attachment_of(offered.document),
        link_key=sent.link_id,
    )


def address_for(offered: Offered) -> str:
    """Where the client reads mail: where it was sent last, for a change order else where the proposal was; or else the
    client's address; empty: nowhere."""
    if last := _sort(offered).last(offered):
        return last.to
    if isinstance(offered, Proposal):
        return offered.job.client.email
    return address_for(Proposal.objects.get(acceptance__job=offered.change.job_id))


def queue_sendings() -> int:
    """Puts into the outbox what waited for its PDF; returns how many. One that was answered, ended or expired
    meanwhile stays where it is, and so does one whose link was revoked."""
    return _queue_waiting(_PROPOSALS) + _queue_waiting(_CHANGES)


def _queue_waiting(sort: _Sort) -> int:
    queued = 0
    for sent in _waiting(sort):
        with change(None):
            _job, offered = sort.lock(getattr(sent, f"{sort.field}_id"))
            link = sort.links._default_manager.get(pk=sent.link_id)
            if why_not_to_send(offered) or is_dead(link) or Mail.objects.filter(key=sent.mail_key).exists():
                continue
            setattr(sent, sort.field, offered)
            _queue(sort, sent, offered)
            queued += 1
    return queued


def _waiting(sort: _Sort) -> list[Sent]:
    """Sendings of what stands and whose PDF is ready, without a mail. Two queries."""
    standing = sort.sendings._default_manager.filter(
        **{
            f"{sort.field}__document__state": State.READY,
            f"{sort.field}__end": None,
            f"{sort.field}__{sort.answer}": None,
            f"{sort.field}__valid_until__gt": timezone.now(),
            **{f"{sort.field}__{name}": value for name, value in sort.waits.items()},
        },
        link__revoked_at=None,
    )
    rows: list[Any] = list(standing)
    have = set(Mail.objects.filter(key__in=[sent.mail_key for sent in rows]).values_list("key", flat=True))
    return [sent for sent in rows if sent.mail_key not in have]


def remind_due() -> int:
    """Reminds, in the shop's working hours, of what was sent so many days ago as the shop has set, and since then
    neither answered nor brought to mind; each once. Returns how many."""
    shop, reminded = shop_settings(), 0
    now = timezone.now()
    here = now.astimezone(ZoneInfo(shop.time_zone))
    if not shop.remind_days or not shop.work_starts <= here.time() < shop.work_ends:
        return 0
    since = now - timedelta(days=shop.remind_days)
    for offered in [*_due(Proposal, _PROPOSALS, since), *_due(ChangeOffer, _CHANGES, since)]:
        try:
            remind_client(proposal=offered, by=None)
            reminded += 1
        except CannotSend:  # answered since it was looked for
            continue
    return reminded


def _due(model: type[Offered], sort: _Sort, since: datetime) -> list[Offered]:
    standing = model._default_manager.filter(
        **{sort.answer: None}, **sort.waits, end=None, valid_until__gt=timezone.now()
    )
    sent = standing.annotate(last=Max("sendings__created_at")).filter(last__lte=since)
    return list(sent.exclude(sendings__by=None).defer("content"))
