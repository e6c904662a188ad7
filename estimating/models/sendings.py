"""When a proposal, or the offer of a change order, went to whom by mail."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import Row, append_only
from estimating.models.change_offers import ChangeLink, ChangeOffer
from estimating.models.proposals import Proposal, ProposalLink
from shop.models import Staff

WORDS_LENGTH = 2000


class SendingKind(models.TextChoices):
    PROPOSAL = "proposal", _("sent")
    REMINDER = "reminder", _("reminded")


class Sending(Row):
    """Something on its way to a client by mail, or the reminder of it. The mail itself is in the shop's outbox, from
    when the PDF is ready. A reminder by nobody is the shop's setting at work: once for each of them."""

    kind = models.CharField(max_length=10, choices=SendingKind)
    to = models.EmailField(_("to"))
    words = models.TextField(_("your own words"), max_length=WORDS_LENGTH, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    MAILS: ClassVar[str]

    class Meta:
        abstract = True

    @property
    def mail_key(self) -> str:
        """The key of its mail in the outbox."""
        return f"{self.MAILS}{self.pk}"


def _constraints(name: str, subject: str) -> tuple[models.BaseConstraint, ...]:
    return (
        models.CheckConstraint(condition=Q(kind__in=SendingKind.values), name=f"estimating_{name}_kind_known"),
        models.CheckConstraint(
            condition=Q(by__isnull=False) | Q(kind="reminder"), name=f"estimating_{name}_by_somebody"
        ),
        models.UniqueConstraint(fields=(subject,), condition=Q(by=None), name=f"estimating_{name}_reminded_once"),
    )


class ProposalSent(Sending):
    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="sendings")
    link = models.ForeignKey(ProposalLink, on_delete=models.PROTECT, related_name="+")

    MAILS = "proposal-sent:"

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = _constraints("sent", "proposal")

    def __str__(self) -> str:
        return f"{self.proposal}: {self.to}"


class ChangeSent(Sending):
    offer = models.ForeignKey(ChangeOffer, on_delete=models.PROTECT, related_name="sendings")
    link = models.ForeignKey(ChangeLink, on_delete=models.PROTECT, related_name="+")

    MAILS = "change-sent:"

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = _constraints("change_sent", "offer")

    def __str__(self) -> str:
        return f"{self.offer}: {self.to}"
