"""Rates, estimates, proposals and what the client said to them. Money is Decimal, in the shop's currency."""

from typing import ClassVar

import pghistory
import pgtrigger
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from clients.models import PrivateLink
from documents.models import Document
from jobs.models import Job
from rooms.models import Room, Tile
from shop.models import Staff


class RateKind(models.TextChoices):
    MATERIAL = "material", _("Material")
    LABOR = "labor", _("Labor")
    OTHER = "other", _("Other")


@pghistory.track()
class Rate(Row):
    """What one unit costs the shop from a day on. A new price is a new row that ends the old one."""

    key = models.SlugField(_("key"), max_length=60)
    kind = models.CharField(_("kind"), max_length=10, choices=RateKind)
    name = models.CharField(_("name"), max_length=120)
    tile = models.ForeignKey(Tile, on_delete=models.PROTECT, null=True, blank=True, related_name="rates")
    unit = models.CharField(_("unit"), max_length=20)
    # Of one unit; of one package where `package` is given; for labor of one hour, with all that it costs the shop.
    cost = models.DecimalField(_("cost"), max_digits=12, decimal_places=4)
    # Sold in whole packages of so many units (a 25 lb bag, a box of 8); empty where any quantity can be had.
    package = models.DecimalField(_("units in a package"), max_digits=10, decimal_places=3, null=True, blank=True)
    # For labor: hours for one unit.
    hours = models.DecimalField(_("hours per unit"), max_digits=8, decimal_places=4, null=True, blank=True)
    # Invented, to be replaced by the shop's own figure: pages say so beside it.
    example = models.BooleanField(_("example figure"), default=False)
    valid_from = models.DateField(_("from"))
    valid_to = models.DateField(_("until"), null=True, blank=True)

    class Meta:
        ordering = ("kind", "name", "-valid_from")
        constraints = (
            models.UniqueConstraint(
                fields=("key", "tile"),
                condition=Q(valid_to=None),
                name="estimating_rate_one_in_force",
                nulls_distinct=False,
            ),
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_rate_kind_known"),
            models.CheckConstraint(
                condition=Q(key="tile", tile__isnull=False) | (~Q(key="tile") & Q(tile=None)),
                name="estimating_rate_tile_has_its_tile",
            ),
            models.CheckConstraint(condition=Q(cost__gte=0), name="estimating_rate_cost_not_negative"),
            models.CheckConstraint(condition=Q(package=None) | Q(package__gt=0), name="estimating_rate_package"),
            models.CheckConstraint(
                condition=Q(kind="labor", hours__gt=0) | (~Q(kind="labor") & Q(hours=None)),
                name="estimating_rate_labor_has_hours",
            ),
            models.CheckConstraint(
                condition=Q(valid_to=None) | Q(valid_to__gte=F("valid_from")), name="estimating_rate_dates_in_order"
            ),
        )

    def __str__(self) -> str:
        return self.name


@pghistory.track(exclude=["note"])
class Estimate(Row):
    """The owner's sum for a job, worked on until a proposal freezes it."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="estimate")
    markup_percent = models.DecimalField(_("markup, percent"), max_digits=6, decimal_places=2)
    tax_percent = models.DecimalField(_("tax on materials, percent"), max_digits=6, decimal_places=3)
    # Keys of the layouts that the lines were last computed from: another choice since then asks for a new fill.
    filled_from = ArrayField(models.UUIDField(), default=list, blank=True, editable=False)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(markup_percent__gte=0, tax_percent__gte=0), name="estimating_estimate_percents"
            ),
        )

    def __str__(self) -> str:
        return f"{self.job}"


@pghistory.track(exclude=["text"])
class EstimateLine(Row):
    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="lines")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, null=True, blank=True, related_name="estimate_lines")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(_("kind"), max_length=10, choices=RateKind)
    key = models.SlugField(max_length=60, blank=True)
    text = models.CharField(_("what"), max_length=200)
    quantity = models.DecimalField(_("quantity"), max_digits=12, decimal_places=3)
    unit = models.CharField(_("unit"), max_length=20)
    # The rate that priced it; none for a line of one's own, and for a computed one that has no rate yet.
    rate = models.ForeignKey(Rate, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    packages = models.PositiveIntegerField(_("packages"), null=True, blank=True)
    hours = models.DecimalField(_("hours"), max_digits=10, decimal_places=2, null=True, blank=True)
    # Of one package, one hour or one unit, as the rate has it.
    unit_cost = models.DecimalField(_("cost per unit"), max_digits=12, decimal_places=4)
    cost = MoneyField(_("cost"))
    # What the layout and the rate give, kept beside what a person put in its place; none for a line of one's own.
    computed_quantity = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    computed_cost = MoneyField(null=True, blank=True)
    how = models.TextField(_("how it was got"), blank=True)
    source = models.CharField(max_length=300, blank=True)
    # Set where a person typed over what was computed, with the reason.
    override_reason = models.CharField(_("why changed by hand"), max_length=200, blank=True)

    class Meta:
        ordering = ("position", "id")
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_line_kind_known"),
            models.CheckConstraint(
                condition=Q(quantity__gte=0, unit_cost__gte=0, cost__gte=0), name="estimating_line_not_negative"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="estimating_line_has_a_text"),
        )

    def __str__(self) -> str:
        return self.text

    @property
    def lacks_rate(self) -> bool:
        """Computed, but the shop has no rate for it, and nobody priced it by hand."""
        return bool(self.key) and self.rate_id is None and not self.override_reason


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


class ProposalLink(Row, PrivateLink):
    proposal = models.ForeignKey(Proposal, on_delete=models.PROTECT, related_name="links")
    made_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Protect(
                name="opens_the_same",
                operation=pgtrigger.UpdateOf("token_hash", "proposal_id", "expires_at", "made_by_id"),
            ),
            pgtrigger.Protect(
                name="stays_revoked", operation=pgtrigger.Update, condition=pgtrigger.Q(old__revoked_at__isnull=False)
            ),
            pgtrigger.Protect(name="never_deleted", operation=pgtrigger.Delete),
        ]

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


def _accepted_as_it_stands() -> pgtrigger.Trigger:
    # The clock is read at this moment, not at the transaction's start: it may have waited for the lock past the day.
    return pgtrigger.Trigger(
        name="accepted_as_it_stands",
        when=pgtrigger.Before,
        operation=pgtrigger.Insert,
        declare=[
            ("offered", "estimating_proposal%ROWTYPE"),
            ("paper", "documents_document%ROWTYPE"),
            ("opened", "estimating_proposallink%ROWTYPE"),
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
            IF clock_timestamp() >= offered.valid_until THEN
                RAISE EXCEPTION 'this proposal expired'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_before_it_expires';
            END IF;
            IF NEW.content_sha256 <> offered.content_sha256 OR paper.state <> 'ready'
                OR NEW.document_sha256 <> paper.sha256 THEN
                RAISE EXCEPTION 'what is accepted is not what was offered'
                    USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_acceptance_of_what_was_offered';
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


class Acceptance(Row):
    """The client's yes, kept for good. A trigger refuses it for a proposal that expired or no longer stands."""

    proposal = models.OneToOneField(Proposal, on_delete=models.PROTECT, related_name="acceptance")
    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="acceptance")
    typed_name = models.CharField(_("name"), max_length=160)
    link = models.ForeignKey(ProposalLink, on_delete=models.PROTECT, null=True, related_name="+")
    # In person: whose device it was.
    witness = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    address = models.GenericIPAddressField(null=True)
    browser = models.CharField(max_length=300, blank=True)
    content_sha256 = models.CharField(max_length=64)
    document_sha256 = models.CharField(max_length=64)

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), _accepted_as_it_stands()]
        constraints = (
            models.CheckConstraint(condition=~Q(typed_name=""), name="estimating_acceptance_has_a_name"),
            models.CheckConstraint(
                condition=Q(link=None, witness__isnull=False) | Q(link__isnull=False, witness=None),
                name="estimating_acceptance_by_link_or_in_person",
            ),
        )

    def __str__(self) -> str:
        return f"{self.proposal}: {self.typed_name}"
