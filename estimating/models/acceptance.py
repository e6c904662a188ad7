"""The client's yes."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, append_only
from estimating.models.proposals import Proposal, ProposalLink
from estimating.models.signed import SignedRow, signed_constraints
from jobs.models import Job


def _accepted_as_it_stands() -> pgtrigger.Trigger:
    # The clock is read at this moment, not at the transaction's start: it may have waited for the lock past the day.
    # A signed paper counts by its own date; the day's end in the shop's zone is the action's to judge.
    return pgtrigger.Trigger(
        name="accepted_as_it_stands",
        when=pgtrigger.Before,
        operation=pgtrigger.Insert,
        declare=[
            ("offered", "estimating_proposal%ROWTYPE"),
            ("paper", "documents_document%ROWTYPE"),
            ("opened", "estimating_proposallink%ROWTYPE"),
            ("agreed", "numeric"),
        ],
        func="""
            SELECT * INTO offered FROM estimating_proposal WHERE id = NEW.proposal_id FOR UPDATE;
            SELECT * INTO paper FROM documents_document WHERE id = offered.document_id;
            IF NEW.job_id <> offered.job_id THEN
                RAISE EXCEPTION 'the proposal is of another job'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_of_its_job';
            END IF;
            IF EXISTS (SELECT 1 FROM estimating_proposalend WHERE proposal_id = NEW.proposal_id) THEN
                RAISE EXCEPTION 'this proposal no longer stands'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_while_it_stands';
            END IF;
            IF (NEW.signed_on IS NULL AND clock_timestamp() >= offered.valid_until)
                OR NEW.signed_on > (offered.valid_until AT TIME ZONE 'UTC')::date THEN
                RAISE EXCEPTION 'this proposal expired'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_before_it_expires';
            END IF;
            IF NEW.content_sha256 <> offered.content_sha256 OR paper.state <> 'ready'
                OR NEW.document_sha256 <> paper.sha256 THEN
                RAISE EXCEPTION 'what is accepted is not what was offered'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_of_what_was_offered';
            END IF;
            -- The total of the choice, as it was frozen; NULL for a choice that isn't offered.
            agreed := CASE
                WHEN NOT offered.content ? 'options' THEN CASE WHEN NEW.choice = '' THEN offered.total END
                WHEN offered.content->'choices' ? NEW.choice OR offered.content->>'chosen' = NEW.choice THEN
                    COALESCE((offered.content->'choices'->NEW.choice->'total'->>'amount')::numeric, offered.total)
                END;
            IF NEW.total IS DISTINCT FROM agreed THEN
                RAISE EXCEPTION 'what was chosen is not offered at this total'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_of_a_choice_offered';
            END IF;
            IF NEW.link_id IS NOT NULL THEN
                SELECT * INTO opened FROM estimating_proposallink WHERE id = NEW.link_id FOR UPDATE;
                IF opened.proposal_id <> NEW.proposal_id OR opened.revoked_at IS NOT NULL
                    OR clock_timestamp() >= opened.expires_at THEN
                    RAISE EXCEPTION 'the link does not open this proposal'
                        USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_by_a_live_link';
                END IF;
            END IF;
            RETURN NEW;
        """,
    )


class Acceptance(SignedRow):
    """The client's yes, kept for good. A trigger refuses it for a proposal that expired or no longer stands."""

    proposal = models.OneToOneField(Proposal, on_delete=models.PROTECT, related_name="acceptance")
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="acceptance")
    # What was chosen, by the key that `estimating.options` gives it; empty where the proposal left no choice.
    choice = models.TextField(blank=True, default="")
    # What it comes to: that choice's total, as the proposal has it.
    total = MoneyField(_("total"))
    link = models.ForeignKey(ProposalLink, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), _accepted_as_it_stands()]
        constraints = signed_constraints("estimating_acceptance")

    def __str__(self) -> str:
        return f"{self.proposal}: {self.typed_name}"
