"""What was offered to a client, the links that open it, and how it ended."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from clients.models import PrivateLink
from documents.models import Document
from jobs.models import Job, Stage
from shop.models import Staff


def _only_one_stands() -> pgtrigger.Trigger:
    return pgtrigger.Trigger(
        name="only_one_stands",
        when=pgtrigger.Before,
        operation=pgtrigger.Insert,
        func="""
            PERFORM 1 FROM jobs_job WHERE id = NEW.job_id FOR UPDATE;
            IF EXISTS (SELECT 1 FROM estimating_acceptance WHERE job_id = NEW.job_id) THEN
                RAISE EXCEPTION 'this job has an accepted proposal'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_proposal_none_after_acceptance';
            END IF;
            IF EXISTS (
                SELECT 1 FROM estimating_proposal p
                LEFT JOIN estimating_proposalend e ON e.proposal_id = p.id
                WHERE p.job_id = NEW.job_id AND e.id IS NULL
            ) THEN
                RAISE EXCEPTION 'another proposal of this job still stands'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_proposal_one_stands';
            END IF;
            RETURN NEW;
        """,
    )


class Proposal(Row):
    """What was offered: frozen with its hash when it is made. Whether it still stands is told by other rows."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="proposals")
    version = models.PositiveSmallIntegerField(_("version"))
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)
    total = MoneyField(_("total"))
    valid_until = models.DateTimeField(_("holds until"))
    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="+")
    made_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-version",)
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), _only_one_stands()]
        constraints = (
            models.UniqueConstraint(fields=("job", "version"), name="estimating_proposal_version_once"),
            models.CheckConstraint(condition=Q(total__gte=0), name="estimating_proposal_total_not_negative"),
        )

    def __str__(self) -> str:
        return f"{self.job}, {self.version}"

    @property
    def rests(self) -> bool:
        """Whether its job waits for no answer now: it wasn't taken, or is being measured or priced again. Of one that
        was accepted it says nothing."""
        return self.job.stage != Stage.PROPOSED


class ProposalLink(Row, PrivateLink):
    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="links")
    made_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = PrivateLink.triggers("proposal_id")

    def __str__(self) -> str:
        return f"{self.proposal}"


class EndKind(models.TextChoices):
    REPLACED = "replaced", _("replaced by a newer one")
    WITHDRAWN = "withdrawn", _("withdrawn")
    DECLINED = "declined", _("declined by the client")


class ProposalEnd(Row):
    """A proposal that no longer stands, and why. A trigger refuses the end of an accepted one."""

    proposal = models.OneToOneField(Proposal, on_delete=models.PROTECT, related_name="end")
    kind = models.CharField(max_length=10, choices=EndKind)
    reason = models.CharField(_("reason"), max_length=300, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            *append_only(),
            pgtrigger.Trigger(
                name="accepted_stands",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                func="""
                    PERFORM 1 FROM estimating_proposal WHERE id = NEW.proposal_id FOR UPDATE;
                    IF EXISTS (SELECT 1 FROM estimating_acceptance WHERE proposal_id = NEW.proposal_id) THEN
                        RAISE EXCEPTION 'this proposal was accepted'
                            USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_end_not_of_an_accepted_one';
                    END IF;
                    RETURN NEW;
                """,
            ),
        ]
        constraints = (models.CheckConstraint(condition=Q(kind__in=EndKind.values), name="estimating_end_kind_known"),)

    def __str__(self) -> str:
        return f"{self.proposal}: {self.get_kind_display()}"
