"""The mails that a client gets about a proposal or a change order: subject and text, in the client's language."""

from datetime import date
from typing import Any
from urllib.parse import urljoin

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _

from documents.models import Document
from estimating.cooling_off import may_cancel_until
from estimating.models import Acceptance, Answer, ChangeApproval, ChangeSent, ProposalSent, SendingKind
from estimating.options import picked_names, total_of
from shop.languages import for_clients
from shop.mail import HIDDEN, Attachment


def hidden_address(page: str = "client_proposal") -> str:
    """The client's page, with the sign that the outbox writes the token for."""
    path = reverse(f"estimating:{page}", args=["TOKEN"]).replace("TOKEN", HIDDEN)
    return urljoin(settings.PUBLIC_URL + "/", path)


def attachment_of(document: Document) -> Attachment:
    """The PDF of a document that is ready, under the name that a download has."""
    return Attachment(
        file=document.file.name or "", name=f"{slugify(document.title) or document.pk}.pdf", sha256=document.sha256
    )


@for_clients
def proposal_letter(sent: ProposalSent) -> tuple[str, str]:
    """Subject and text that the proposal, or its reminder, goes out with."""
    letter = sent.proposal.content
    about = {"title": letter["job"]["title"], "day": letter["valid_until"]["shown"]}
    if sent.kind == SendingKind.REMINDER:
        subject = _("Our proposal: %(title)s, holds until %(day)s") % about
        begin = _("We sent you a proposal that you haven’t answered yet. It holds until %(day)s.") % about
    else:
        subject = _("Proposal: %(title)s") % about
        begin = _("Here is our proposal. It holds until %(day)s.") % about
    ask = [
        _("Read it, ask us about it, and accept or decline it on your own page:"),
        "",
        hidden_address(),
        "",
        _("Whoever has this link can read the page: don’t pass it on. The proposal is attached as a PDF, too."),
    ]
    return subject, _sent_text(letter, sent.words, begin, ask)


@for_clients
def change_letter(sent: ChangeSent) -> tuple[str, str]:
    """Subject and text that the offer of a change order, or its reminder, goes out with."""
    letter = sent.offer.content
    about = {"number": letter["number"], "what": letter["what"], "day": letter["valid_until"]["shown"]}
    if sent.kind == SendingKind.REMINDER:
        subject = _("Our change order %(number)s: %(what)s, holds until %(day)s") % about
        begin = _("We sent you a change order that you haven’t answered yet. It holds until %(day)s.") % about
    else:
        subject = _("Change order %(number)s: %(what)s") % about
        begin = _("Here is a change order to your job. It holds until %(day)s.") % about
    if letter["version"] > 1:
        begin += " " + _("It is version %(version)s, and takes the place of the one before.") % letter
    ask = [
        letter["sentence"],
        "",
        _("Read it, and approve or decline it on your own page:"),
        "",
        hidden_address("client_change"),
        "",
        _("Whoever has this link can read the page: don’t pass it on. The change order is attached as a PDF, too."),
    ]
    return subject, _sent_text(letter, sent.words, begin, ask)


def _sent_text(letter: dict[str, Any], words: str, begin: str, ask: list[str]) -> str:
    return "\n".join([_greeting(letter), "", *([words, ""] if words else []), begin, *ask, *_from(letter)]) + "\n"


@for_clients
def answer_letter(answer: Answer, *, with_link: bool) -> tuple[str, str]:
    """Subject and text that tell the client an answer."""
    question = answer.question
    subject = _("Your question about our proposal: %(title)s") % {"title": question.proposal.content["job"]["title"]}
    lines = [
        _greeting(question.proposal.content),
        "",
        _("You asked:"),
        question.text,
        "",
        _("Our answer:"),
        answer.text,
        "",
        _("It stands on the page of your proposal, too."),
        *(["", hidden_address()] if with_link else []),
        *_from(question.proposal.content),
    ]
    return subject, "\n".join(lines) + "\n"


@for_clients
def acceptance_letter(acceptance: Acceptance) -> tuple[str, str]:
    """Subject and text that the accepted PDF goes back to the client with."""
    letter = acceptance.proposal.content
    facts = {
        "number": f"{letter['number']}-{letter['version']}",
        "total": total_of(letter, acceptance.choice)["shown"],
    }
    lines = [
        _("Proposal %(number)s for %(total)s was accepted. Thank you.") % facts,
        *[_("Chosen: %(what)s") % {"what": name} for name in picked_names(letter, acceptance.choice)],
    ]
    if until := may_cancel_until(acceptance):
        lines += ["", _may_cancel(acceptance, until)]
    subject = _("Accepted: %(title)s") % {"title": letter["job"]["title"]}
    attached = _("The PDF attached here is, byte for byte, what was accepted. Its SHA-256 is")
    return subject, _answered_text(letter, acceptance, lines, attached)


def _may_cancel(acceptance: Acceptance, until: date) -> str:
    return _(
        "Signed on %(day)s: as we read the rules for your place, you may cancel until midnight of %(until)s. Local law "
        "applies and may give you more."
    ) % {"day": date_format(acceptance.signed_day, "DATE_FORMAT"), "until": date_format(until, "DATE_FORMAT")}


@for_clients
def approval_letter(approval: ChangeApproval) -> tuple[str, str]:
    """Subject and text that the approved change order goes back to the client with."""
    letter = approval.offer.content
    lines = [_("Change order %(number)s, version %(version)s, was approved. Thank you.") % letter, letter["sentence"]]
    subject = _("Approved: change order %(number)s, %(what)s") % letter
    attached = _("The PDF attached here is, byte for byte, what was approved. Its SHA-256 is")
    return subject, _answered_text(letter, approval, lines, attached)


def _how(yes: Acceptance | ChangeApproval) -> str:
    if yes.signed_on:
        day = date_format(yes.signed_on, "DATE_FORMAT")
        return _("on paper, dated %(day)s, attached to our file by %(who)s") % {"day": day, "who": yes.witness}
    way = _("in person, before %(who)s") % {"who": yes.witness} if yes.witness else _("by your private link")
    mark = _("with a drawn signature") if yes.strokes else _("with the typed name as signature")
    return f"{way}, {mark}"


def _answered_text(letter: dict[str, Any], yes: Acceptance | ChangeApproval, begin: list[str], attached: str) -> str:
    when = date_format(timezone.localtime(yes.created_at), _("D, M j, Y, g:i a"))
    lines = [
        _greeting(letter),
        "",
        *begin,
        "",
        _("By: %(name)s") % {"name": yes.typed_name},
        _("When: %(when)s") % {"when": when},
        _("How: %(how)s") % {"how": _how(yes)},
        "",
        attached,
        yes.document_sha256,
        "",
        _("If you know nothing of this, call us at once."),
        *_from(letter),
    ]
    return "\n".join(lines) + "\n"


def _greeting(letter: dict[str, Any]) -> str:
    client = letter["client"]
    return _("Hello %(name)s,") % {"name": client["contact"] or client["name"]}


def _from(letter: dict[str, Any]) -> list[str]:
    shop = letter["shop"]
    return ["", *[line for line in (shop["name"], shop["phone"], shop["email"]) if line]]
