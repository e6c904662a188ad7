"""When a proposal went to whom by mail."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import Row, append_only
from estimating.models.proposals import Proposal, ProposalLink
from shop.models import Staff

WORDS_LENGTH = 2000


class SendingKind(models.TextChoices):
    PROPOSAL = "proposal", _("sent")
    REMINDER = "reminder", _("reminded")


class ProposalSent(Row):
    """A proposal on its way to a client by mail, or the reminder of one. The mail itself is in the shop's outbox, from
    when the PDF is ready. A reminder by nobody is the shop's setting at work: once for each proposal."""

    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="sendings")
    kind = models.CharField(max_length=10, choices=SendingKind)
    to = models.EmailField(_("to"))
    words = models.TextField(_("your own words"), max_length=WORDS_LENGTH, blank=True)
    link = models.ForeignKey(ProposalLink, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=SendingKind.values), name="estimating_sent_kind_known"),
            models.CheckConstraint(
                condition=Q(by__isnull=False) | Q(kind="reminder"), name="estimating_sent_by_somebody"
            ),
            models.UniqueConstraint(fields=("proposal",), condition=Q(by=None), name="estimating_sent_reminded_once"),
        )

    def __str__(self) -> str:
        return f"{self.proposal}: {self.to}"

    @property
    def mail_key(self) -> str:
        """The key of its mail in the outbox."""
        return f"{SENT}{self.pk}"


SENT = "proposal-sent:"
