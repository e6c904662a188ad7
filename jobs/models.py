"""The job and its stage, its crew, its bookings and its photos."""

from typing import ClassVar

import pghistory
import pgtrigger
from django.contrib.postgres.constraints import ExclusionConstraint
from django.contrib.postgres.fields import DateTimeRangeField, RangeOperators
from django.db import models
from django.db.models import Func, Q, Value
from django.utils.translation import gettext_lazy as _

from base.models import Row
from clients.models import Client, Site
from shop.models import Staff


class Stage(models.TextChoices):
    MEASURING = "measuring", _("Measuring")
    PRICING = "pricing", _("Pricing")
    PROPOSED = "proposed", _("Proposal out")
    WORKING = "working", _("Work")
    PUNCH_LIST = "punch_list", _("Punch list")
    CLOSED = "closed", _("Closed, in warranty")
    LOST = "lost", _("Not taken")


# From where to where a job may move. `jobs.actions.move_job` reads it, and so does the trigger.
MOVES: dict[Stage, tuple[Stage, ...]] = {
    Stage.MEASURING: (Stage.PRICING, Stage.LOST),
    Stage.PRICING: (Stage.MEASURING, Stage.PROPOSED, Stage.LOST),
    Stage.PROPOSED: (Stage.PRICING, Stage.WORKING, Stage.LOST),
    Stage.WORKING: (Stage.PUNCH_LIST,),
    Stage.PUNCH_LIST: (Stage.WORKING, Stage.CLOSED),
    Stage.CLOSED: (),
    Stage.LOST: (Stage.MEASURING,),
}


def _moves_sql() -> str:
    pairs = [f"('{start}', '{end}')" for start, ends in MOVES.items() for end in ends]
    return ", ".join(pairs)


@pghistory.track(exclude=["title", "note"])
class Job(Row):
    number = models.BigIntegerField(
        _("number"),
        unique=True,
        editable=False,
        db_default=Func(Value("jobs_job_number"), function="nextval", output_field=models.BigIntegerField()),
    )
    title = models.CharField(_("what"), max_length=160)
    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="jobs")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="jobs")
    stage = models.CharField(_("stage"), max_length=20, choices=Stage, default=Stage.MEASURING, editable=False)
    stage_since = models.DateTimeField(_("in this stage since"), db_default=models.functions.Now(), editable=False)
    note = models.TextField(_("note"), blank=True)
    crew = models.ManyToManyField(Staff, through="CrewMember", related_name="jobs")

    class Meta:
        ordering = ("-number",)
        constraints = (
            models.CheckConstraint(condition=~Q(title=""), name="jobs_job_has_a_title"),
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="jobs_job_stage_known"),
        )
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Trigger(
                name="stage_moves",
                when=pgtrigger.Before,
                operation=pgtrigger.UpdateOf("stage"),
                condition=pgtrigger.Q(old__stage__df=pgtrigger.F("new__stage")),
                func=f"""
                    IF (OLD.stage, NEW.stage) NOT IN ({_moves_sql()}) THEN
                        RAISE EXCEPTION 'job % can not move from % to %', OLD.number, OLD.stage, NEW.stage
                            USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_stage_moves';
                    END IF;
                    NEW.stage_since := now();
                    RETURN NEW;
                """,
            ),
            pgtrigger.Trigger(
                name="starts_measuring",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                condition=~pgtrigger.Q(new__stage="measuring"),
                func="""
                    RAISE EXCEPTION 'a job begins by measuring, not as %', NEW.stage
                        USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_starts_measuring';
                """,
            ),
            pgtrigger.Protect(name="number_stays", operation=pgtrigger.UpdateOf("number")),
            pgtrigger.Trigger(
                name="site_of_client",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert | pgtrigger.UpdateOf("client_id", "site_id"),
                func="""
                    IF NOT EXISTS (
                        SELECT 1 FROM clients_site WHERE id = NEW.site_id AND client_id = NEW.client_id
                    ) THEN
                        RAISE EXCEPTION 'the site is not one of the client''s'
                            USING ERRCODE = 'check_violation', CONSTRAINT = 'jobs_job_site_of_client';
                    END IF;
                    RETURN NEW;
                """,
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number:04d} {self.title}"


@pghistory.track()
class CrewMember(Row):
    """An installer is on the job from `created_at` until `left_at`; only then is it theirs to see."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="crew_members")
    person = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="crew_memberships")
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("job", "person"), condition=Q(left_at=None), name="jobs_crew_member_once_at_a_time"
            ),
        )

    def __str__(self) -> str:
        return f"{self.person} on {self.job}"


class BookingKind(models.TextChoices):
    PHASE = "phase", _("Work")
    VISIT = "visit", _("Visit")


@pghistory.track(exclude=["what"])
class Booking(Row):
    """A person's time on a job. Two bookings of one person never overlap: the database refuses the second."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bookings")
    person = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="bookings")
    kind = models.CharField(_("kind"), max_length=10, choices=BookingKind, default=BookingKind.PHASE)
    what = models.CharField(_("what for"), max_length=120)
    during = DateTimeRangeField(_("from and to"))
    canceled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("during", "id")
        constraints = (
            ExclusionConstraint(
                name="jobs_booking_one_place_at_a_time",
                expressions=[("person", RangeOperators.EQUAL), ("during", RangeOperators.OVERLAPS)],
                condition=Q(canceled_at=None),
            ),
            models.CheckConstraint(
                condition=Q(during__isempty=False, during__lower_inf=False, during__upper_inf=False),
                name="jobs_booking_has_a_start_and_an_end",
            ),
            models.CheckConstraint(condition=Q(kind__in=BookingKind.values), name="jobs_booking_kind_known"),
        )

    def __str__(self) -> str:
        return f"{self.person}: {self.what}"


@pghistory.track(exclude=["caption"])
class Photo(Row):
    """A photo as evidence. The key is the phone's; the file was checked and encoded anew by the server.

    `sha256` is of the file that is kept; `upload_sha256` of what the phone sent, to know it again.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photos")
    file = models.FileField(upload_to="photos/%Y/%m/", max_length=200)
    # A small copy for lists and cards, made by a worker; empty until then, the file itself where none can be made.
    thumb = models.FileField(max_length=200, blank=True)
    sha256 = models.CharField(max_length=64)
    upload_sha256 = models.CharField(max_length=64, blank=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    caption = models.CharField(_("caption"), max_length=200, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="photos")
    happened_at = models.DateTimeField(_("taken"))
    # Taken first: what it shows is said later (inspections.models.Sorting).
    to_sort = models.BooleanField(_("to be sorted"), default=False)

    class Meta:
        ordering = ("happened_at", "id")
        indexes = (models.Index(fields=("job",), condition=Q(to_sort=True), name="jobs_photo_to_sort"),)
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Protect(
                name="evidence_stays",
                operation=pgtrigger.UpdateOf(
                    "job_id", "file", "sha256", "upload_sha256", "width", "height", "by_id", "happened_at", "to_sort"
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.caption or str(self.id)
