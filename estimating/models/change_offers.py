"""What a client was offered as a change order, the links that open it, and how it was answered.

An offer is frozen when it is made; whether it stands, and how it ended, is told by other rows. The job's sum is the
accepted proposal and the approved changes, and nothing else: triggers hold every offer and every approval to it.
"""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from clients.models import PrivateLink
from documents.models import Document
from estimating.models.changes import ChangeOrder, body, refuse
from estimating.models.proposals import EndKind
from estimating.models.signed import SignedRow, signed_constraints
from jobs.models import Job
from shop.models import Staff

JOB_SUM_SQL = """(
    SELECT a.total FROM estimating_acceptance a WHERE a.job_id = {job}
) + COALESCE((
    SELECT sum(o.amount) FROM estimating_changeapproval g JOIN estimating_changeoffer o ON o.id = g.offer_id
    WHERE g.job_id = {job}
), 0)"""
"""The sum of the job whose key is `{job}`, as `estimating.job_sum` adds it up; NULL before a proposal is accepted."""


def _offered_on_the_sum() -> pgtrigger.Trigger:
    return pgtrigger.Trigger(
        name="offered_on_the_sum",
        when=pgtrigger.Before,
        operation=pgtrigger.Insert,
        declare=[("ordered", "estimating_changeorder%ROWTYPE")],
        func=body(
            """
            SELECT * INTO ordered FROM estimating_changeorder WHERE id = NEW.change_id;
            PERFORM 1 FROM jobs_job WHERE id = ordered.job_id FOR UPDATE;
        """,
            refuse(
                "EXISTS (SELECT 1 FROM estimating_changeapproval WHERE change_id = NEW.change_id)",
                "this change order is approved",
                "change_offer_none_after_approval",
            ),
            refuse(
                """EXISTS (
                SELECT 1 FROM estimating_changeoffer o LEFT JOIN estimating_changeend e ON e.offer_id = o.id
                WHERE o.change_id = NEW.change_id AND e.id IS NULL
            )""",
                "another offer of this change order still stands",
                "change_offer_one_stands",
            ),
            refuse(
                f"NEW.sum_before IS DISTINCT FROM {JOB_SUM_SQL.format(job='ordered.job_id')}",
                "the sum of the job is another now",
                "change_offer_on_the_sum",
            ),
            "RETURN NEW;",
        ),
    )


class ChangeOffer(Row):
    """What was offered: frozen with its hash, and with the sum of the job that it builds on."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.PROTECT, related_name="offers")
    version = models.PositiveSmallIntegerField(_("version"))
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)
    # What it adds to the job's sum; negative for a credit, the most for time and material.
    amount = MoneyField(_("amount"))
    sum_before = MoneyField(_("sum before"))
    # The last day of work with this change; none where no day is known.
    finish = models.DateField(_("new finish"), null=True)
    valid_until = models.DateTimeField(_("holds until"))
    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="+")
    made_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-version",)
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), _offered_on_the_sum()]
        constraints = (
            models.UniqueConstraint(fields=("change", "version"), name="estimating_change_offer_version_once"),
            models.CheckConstraint(
                condition=Q(sum_before__gte=-F("amount")), name="estimating_change_offer_leaves_a_sum"
            ),
        )

    def __str__(self) -> str:
        return f"{self.change}, {self.version}"


class ChangeLink(Row, PrivateLink):
    """Opens one change order: its offer that stands, or how the last one ended."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.PROTECT, related_name="links")
    made_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = PrivateLink.triggers("change_id")

    def __str__(self) -> str:
        return f"{self.change}"


class ChangeEnd(Row):
    """An offer that no longer stands, and why. A trigger refuses the end of an approved one."""

    offer = models.OneToOneField(ChangeOffer, on_delete=models.PROTECT, related_name="end")
    kind = models.CharField(max_length=10, choices=EndKind)
    reason = models.CharField(_("reason"), max_length=300, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            *append_only(),
            pgtrigger.Trigger(
                name="approved_stands",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                func=body(
                    "PERFORM 1 FROM estimating_changeoffer WHERE id = NEW.offer_id FOR UPDATE;",
                    refuse(
                        "EXISTS (SELECT 1 FROM estimating_changeapproval WHERE offer_id = NEW.offer_id)",
                        "this change order was approved",
                        "change_end_not_of_an_approved_one",
                    ),
                    "RETURN NEW;",
                ),
            ),
        ]
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=EndKind.values), name="estimating_change_end_kind_known"),
        )

    def __str__(self) -> str:
        return f"{self.offer}: {self.get_kind_display()}"


def _approved_as_it_stands() -> pgtrigger.Trigger:
    # The clock is read at this moment, not at the transaction's start: it may have waited for the lock past the day.
    # A signed paper counts by its own date, as of a proposal.
    return pgtrigger.Trigger(
        name="approved_as_it_stands",
        when=pgtrigger.Before,
        operation=pgtrigger.Insert,
        declare=[
            ("ordered", "estimating_changeorder%ROWTYPE"),
            ("offered", "estimating_changeoffer%ROWTYPE"),
            ("paper", "documents_document%ROWTYPE"),
            ("opened", "estimating_changelink%ROWTYPE"),
        ],
        func=body(
            """
            PERFORM 1 FROM jobs_job WHERE id = NEW.job_id FOR UPDATE;
            SELECT * INTO offered FROM estimating_changeoffer WHERE id = NEW.offer_id FOR UPDATE;
            SELECT * INTO ordered FROM estimating_changeorder WHERE id = offered.change_id;
            SELECT * INTO paper FROM documents_document WHERE id = offered.document_id;
        """,
            refuse(
                "NEW.change_id <> offered.change_id OR NEW.job_id <> ordered.job_id",
                "the change order is of another job",
                "change_approval_of_its_job",
            ),
            refuse(
                "EXISTS (SELECT 1 FROM estimating_changeend WHERE offer_id = NEW.offer_id)",
                "this change order no longer stands",
                "change_approval_while_it_stands",
            ),
            refuse(
                "(NEW.signed_on IS NULL AND clock_timestamp() >= offered.valid_until) "
                "OR NEW.signed_on > (offered.valid_until AT TIME ZONE 'UTC')::date",
                "this change order expired",
                "change_approval_before_it_expires",
            ),
            refuse(
                "NEW.content_sha256 <> offered.content_sha256 OR paper.state <> 'ready' "
                "OR NEW.document_sha256 <> paper.sha256",
                "what is approved is not what was offered",
                "change_approval_of_what_was_offered",
            ),
            refuse(
                f"offered.sum_before IS DISTINCT FROM {JOB_SUM_SQL.format(job='NEW.job_id')}",
                "the sum of the job is another now",
                "change_approval_on_the_sum",
            ),
            "IF NEW.link_id IS NOT NULL THEN SELECT * INTO opened FROM estimating_changelink"
            " WHERE id = NEW.link_id FOR UPDATE;",
            refuse(
                "opened.change_id <> NEW.change_id OR opened.revoked_at IS NOT NULL "
                "OR clock_timestamp() >= opened.expires_at",
                "the link does not open this change order",
                "change_approval_by_a_live_link",
            ),
            "END IF; RETURN NEW;",
        ),
    )


class ChangeApproval(SignedRow):
    """The client's yes, kept for good: from here on the change counts in the job's sum."""

    offer = models.OneToOneField(ChangeOffer, on_delete=models.PROTECT, related_name="approval")
    change = models.OneToOneField(ChangeOrder, on_delete=models.PROTECT, related_name="approval")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="change_approvals")
    link = models.ForeignKey(ChangeLink, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), _approved_as_it_stands()]
        constraints = signed_constraints("estimating_change_approval")

    def __str__(self) -> str:
        return f"{self.change}: {self.typed_name}"
