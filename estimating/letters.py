"""The mails that a client gets about a proposal: subject and text, in the client's language."""

from urllib.parse import urljoin

from django.conf import settings
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import slugify
from django.utils.translation import gettext as _

from documents.models import Document
from estimating.models import Acceptance, Answer, Proposal, ProposalSent, SendingKind
from shop.languages import for_clients
from shop.mail import HIDDEN, Attachment


def hidden_address() -> str:
    """The client's page, with the sign that the outbox writes the token for."""
    path = reverse("estimating:client_proposal", args=["TOKEN"]).replace("TOKEN", HIDDEN)
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
    lines = [
        _greeting(sent.proposal),
        "",
        *([sent.words, ""] if sent.words else []),
        begin,
        _("Read it, ask us about it, and accept or decline it on your own page:"),
        "",
        hidden_address(),
        "",
        _("Whoever has this link can read the page: don’t pass it on. The proposal is attached as a PDF, too."),
        *_from(sent.proposal),
    ]
    return subject, "\n".join(lines) + "\n"


@for_clients
def answer_letter(answer: Answer, *, with_link: bool) -> tuple[str, str]:
    """Subject and text that tell the client an answer."""
    question = answer.question
    subject = _("Your question about our proposal: %(title)s") % {"title": question.proposal.content["job"]["title"]}
    lines = [
        _greeting(question.proposal),
        "",
        _("You asked:"),
        question.text,
        "",
        _("Our answer:"),
        answer.text,
        "",
        _("It stands on the page of your proposal, too."),
        *(["", hidden_address()] if with_link else []),
        *_from(question.proposal),
    ]
    return subject, "\n".join(lines) + "\n"


@for_clients
def acceptance_letter(acceptance: Acceptance) -> tuple[str, str]:
    """Subject and text that the accepted PDF goes back to the client with."""
    letter = acceptance.proposal.content
    facts = {
        "name": acceptance.typed_name,
        "when": date_format(timezone.localtime(acceptance.created_at), _("D, M j, Y, g:i a")),
        "number": f"{letter['number']}-{letter['version']}",
        "total": letter["total"]["shown"],
        "hash": acceptance.document_sha256,
    }
    if acceptance.signed_on:
        day = date_format(acceptance.signed_on, "DATE_FORMAT")
        how = _("on paper, dated %(day)s, attached to our file by %(who)s") % {"day": day, "who": acceptance.witness}
    else:
        way = _("by your private link") if acceptance.link_id else _("in person, before %(who)s")
        mark = _("with a drawn signature") if acceptance.strokes else _("with the typed name as signature")
        how = f"{way % {'who': acceptance.witness} if acceptance.witness else way}, {mark}"
    lines = [
        _greeting(acceptance.proposal),
        "",
        _("Proposal %(number)s for %(total)s was accepted. Thank you.") % facts,
        "",
        _("By: %(name)s") % facts,
        _("When: %(when)s") % facts,
        _("How: %(how)s") % {"how": how},
        "",
        _("The PDF attached here is, byte for byte, what was accepted. Its SHA-256 is"),
        acceptance.document_sha256,
        "",
        _("If you know nothing of this, call us at once."),
        *_from(acceptance.proposal),
    ]
    return _("Accepted: %(title)s") % {"title": letter["job"]["title"]}, "\n".join(lines) + "\n"


def _greeting(proposal: Proposal) -> str:
    client = proposal.content["client"]
    return _("Hello %(name)s,") % {"name": client["contact"] or client["name"]}


def _from(proposal: Proposal) -> list[str]:
    shop = proposal.content["shop"]
    return ["", *[line for line in (shop["name"], shop["phone"], shop["email"]) if line]]
