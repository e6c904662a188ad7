"""What a client asks about a proposal on its link, and what the shop answers."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import Row, append_only
from estimating.models.proposals import Proposal, ProposalLink
from shop.models import Staff

QUESTION_LENGTH = 1000
ANSWER_LENGTH = 2000


class Question(Row):
    """A client's question, as it was asked. `address` is where it came from, if that can be told."""

    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="questions")
    link = models.ForeignKey(ProposalLink, on_delete=models.PROTECT, related_name="questions")
    text = models.TextField(_("question"), max_length=QUESTION_LENGTH)
    address = models.GenericIPAddressField(null=True)

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (models.CheckConstraint(condition=~Q(text=""), name="estimating_question_asks"),)

    def __str__(self) -> str:
        return self.text


class Answer(Row):
    question = models.OneToOneField(Question, on_delete=models.PROTECT, related_name="answer")
    text = models.TextField(_("answer"), max_length=ANSWER_LENGTH)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (models.CheckConstraint(condition=~Q(text=""), name="estimating_answer_says"),)

    def __str__(self) -> str:
        return self.text
