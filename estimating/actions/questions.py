"""A client asks on the link, somebody of the office answers."""

from datetime import timedelta
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from estimating.actions._locks import is_dead, lock_link, lock_proposal
from estimating.actions.sending import address_for
from estimating.letters import answer_letter
from estimating.models import Answer, ProposalLink, Question
from shop.audit import change
from shop.mail import mailed_token, queue_mail
from shop.models import Staff

# For one link, so that a stranger who came by it can't bury the shop. Our choice, no source: who has more to ask calls.
MOST_IN_A_DAY = 10


class CannotAsk(Refused):
    """The link is dead, or was asked through too often today. The message is for whoever asks."""


class CannotAnswer(Refused):
    """Somebody has answered meanwhile. The message is for whoever answers."""


def ask_question(*, link: ProposalLink, text: str, address: str | None = None, key: UUID | None = None) -> Question:
    """The question, waiting for an answer. The same `key` again is the same question. Raises CannotAsk."""
    key = key or uuid7()
    with change(None):
        link = lock_link(link.pk)
        if earlier := Question.objects.filter(pk=key).first():
            if earlier.link_id == link.pk:
                return earlier
            key = uuid7()  # the key of somebody else's question tells nothing of it
        _may_ask(link)
        return Question.objects.create(pk=key, proposal=link.proposal, link=link, text=text.strip(), address=address)


def _may_ask(link: ProposalLink) -> None:
    if is_dead(link):
        raise CannotAsk(_("This link no longer works. Ask the shop for a new one."))
    since = timezone.now() - timedelta(days=1)
    if Question.objects.filter(link=link, created_at__gt=since).count() >= MOST_IN_A_DAY:
        raise CannotAsk(_("Those are many questions for one day: call us, and we go through them together."))


def answer_question(*, question: Question, text: str, by: Staff) -> Answer:
    """The answer, told to the client by mail where there is an address. Raises CannotAnswer where there is one."""
    with change(by):
        _job, proposal = lock_proposal(question.proposal_id)
        if earlier := _answer_of(question):
            raise CannotAnswer(
                _("%(name)s answered meanwhile: “%(text)s”") % {"name": earlier.by, "text": earlier.text}
            )
        answer = Answer.objects.create(question=question, text=text.strip(), by=by)
        if to := address_for(proposal):
            with_link = ProposalLink.live(mailed_token(question.link_id)) is not None
            subject, words = answer_letter(answer, with_link=with_link)
            queue_mail(
                key=f"answer:{answer.pk}",
                to=to,
                subject=subject,
                text=words,
                link_key=question.link_id if with_link else None,
            )
    return answer


def _answer_of(question: Question) -> Answer | None:
    return Answer.objects.filter(question=question).select_related("by").first()
