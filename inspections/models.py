"""Phases that must prove themselves, what was read and ticked, and what came of it.

Entries, waivers, sign-offs and closeouts are only ever added. Whether a phase may be signed is decided by the
trigger on the sign-off's table; the actions say the same in words beforehand.
"""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, ClassVar

import pghistory
import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import LengthField, Row, append_only
from documents.models import Document
from inspections import triggers
from jobs.models import Job, Photo
from rooms.models import LONGEST_TEXT, Layout, Room, SurfaceKind, Survey
from shop.models import Staff
from trade.coverage import Lifted, bare_places


class ChecklistVersion(Row):
    """What the shop asks in a phase, for jobs whose work opens from here on.

    Rows are only added: of those of one phase the one with the highest `number` is in force.
    """

    phase = models.SlugField(max_length=30)
    number = models.PositiveIntegerField()
    # trade.checklists.Checklist
    content = models.JSONField()
    reason = models.CharField(_("why"), max_length=300)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("phase", "-number")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("phase", "number"), name="inspections_checklist_numbered_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="inspections_checklist_numbered_from_one"),
            models.CheckConstraint(condition=~Q(reason=""), name="inspections_checklist_says_why"),
        )

    def __str__(self) -> str:
        return f"{self.phase} {self.number}"


class Phase(Row):
    """A phase of one room, opened by acceptance from the specification; signed when its sign-off row exists."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="phases")
    key = models.SlugField(max_length=30)
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField()
    specification = models.JSONField()
    # The shop's checklist that it was opened by; None where the shop had none.
    checklist = models.ForeignKey(ChecklistVersion, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ("room", "position")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("room", "key"), name="inspections_phase_once_in_a_room"),
            models.UniqueConstraint(fields=("room", "position"), name="inspections_phase_position_once"),
        )

    def __str__(self) -> str:
        return self.name


class CheckKind(models.TextChoices):
    TICK = "tick", _("tick")
    READING = "reading", _("reading")
    READINGS = "readings", _("several readings")
    COVERAGE = "coverage", _("coverage")
    WAIT = "wait", _("wait")
    PHOTO = "photo", _("photo")
    OHMS = "ohms", _("ohms of a heating cable")
    INSPECTION = "inspection", _("outside inspection")


class Check(Row):
    """One thing a phase must prove, as it stood when the phase was opened. What its readings are judged by follows the
    shop's limits (inspections.judging); each entry keeps the limit that judged it."""

    phase = models.ForeignKey(Phase, on_delete=models.PROTECT, related_name="checks")
    key = models.SlugField(max_length=60)
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=300)
    help = models.CharField(max_length=300, blank=True)
    kind = models.CharField(max_length=10, choices=CheckKind)
    unit = models.CharField(max_length=12, blank=True)
    # {"compare": "at most" | "at least" | "between", "low": "…", "high": "…"}: see trade.phases.Limit
    limit = models.JSONField(null=True)
    # The surfaces on each of which it has to hold: [{"key", "name", "kind"}] as the room had them then. Empty: the
    # check is the room's, once.
    surfaces = models.JSONField(default=list)
    # When what passes counts: keys of checks of the phase that come first, and of those that a failure of this one
    # restarts (trade.checks.Check). Empty in rows from before there was an order.
    after = models.JSONField(default=list)
    restarts = models.JSONField(default=list)
    # Counts only once the phase before its own is signed.
    in_turn = models.BooleanField(default=False)
    required = models.BooleanField(default=True)
    source = models.CharField(max_length=300)
    confidence = models.CharField(max_length=20)

    class Meta:
        ordering = ("position", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), triggers.check_of_an_open_phase]
        constraints = (
            models.UniqueConstraint(fields=("phase", "key"), name="inspections_check_once_in_a_phase"),
            models.CheckConstraint(condition=Q(kind__in=CheckKind.values), name="inspections_check_kind_known"),
        )

    def __str__(self) -> str:
        return self.text

    @property
    def walls_alone(self) -> bool:
        """Whether the surfaces that it is proved on apart are walls, all of them."""
        return all(surface["kind"] == SurfaceKind.WALL for surface in self.surfaces)


class SaidAnew(Row):
    """A check isn't asked any more: the room was laid out anew as it was built, and the rough-in sheet of that layout
    says its figures otherwise, or not at all. What was entered for it stays."""

    check_gone = models.OneToOneField(Check, on_delete=models.PROTECT, related_name="said_anew")
    layout = models.ForeignKey(Layout, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        verbose_name_plural = "said anew"

    def __str__(self) -> str:
        return f"{self.check_gone}"


class Outcome(models.TextChoices):
    HOLDS = "holds", _("holds")
    FAILS = "fails", _("fails")
    WAITING = "waiting", _("waiting")
    SKIPPED = "skipped", _("couldn't check")


def bare_edges(voids: Sequence[str]) -> int:
    """At how many places of corners and edges the tiles of `Entry.voids` have no mortar."""
    return bare_places(Lifted.of(text) for text in voids if text)


class Sent:
    """What a phone may have kept for a while before it was sent."""

    happened_at: Any
    created_at: Any

    @property
    def came_later(self) -> bool:
        """Whether it waited on a phone: both times are shown."""
        return self.created_at - self.happened_at > timedelta(minutes=5)


class Entry(Sent, Row):
    """A tick, a reading, a photo or a started wait. Its key is the phone's; the newest by `happened_at` counts."""

    check_done = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="entries", verbose_name=_("check"))
    outcome = models.CharField(max_length=10, choices=Outcome)
    # Keys of those of the check's surfaces that it speaks for; empty: all of them, or the room.
    surfaces = models.JSONField(default=list)
    # Lengths in mm, slopes and coverage in percent, ohms of tag and reading: the unit is the check's.
    values = models.JSONField(default=list)
    # How a slope was read: "in" on a 2-ft level, "mm" in 1 m, "percent"; empty where nobody was asked: a rise over 1 ft
    # or 1 m.
    read_by = models.CharField(max_length=8, blank=True)
    # Of an outside inspection: {"inspector", "permit"}, as they were told.
    told = models.JSONField(default=dict, blank=True)
    # Of a lifted tile's back, for each value: 100 signs row by row, 1 where there is no mortar; empty where the share
    # was typed.
    voids = models.JSONField(default=list, blank=True)
    # What the readings, or the wait, were judged by, and where that stands: the limit of their moment. None where
    # nothing was measured, and in rows older than shops' own limits: those were judged by the check's.
    limit = models.JSONField(null=True)
    limit_source = models.CharField(max_length=400, blank=True)
    # A wait holds from here on.
    due_at = models.DateTimeField(null=True)
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, null=True, related_name="entries")
    # The PDF of an outside inspection: its name in the storage, and what its bytes come to.
    document = models.CharField(max_length=200, blank=True)
    document_sha256 = models.CharField(max_length=64, blank=True)
    # Where its first value was read off a survey.
    survey = models.ForeignKey(Survey, on_delete=models.PROTECT, null=True, related_name="entries")
    note = models.CharField(_("note"), max_length=300, blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="entries")
    helper = models.CharField(_("done by, if somebody without an account"), max_length=120, blank=True)
    happened_at = models.DateTimeField(_("done at"))
    # The last entry of the check that had arrived when the card was shown on which this one was made, or "none"; empty:
    # nobody knows. What had arrived up to it stood on the card as well.
    seen = models.CharField(max_length=36, blank=True)
    late = models.BooleanField(_("arrived after sign-off"), default=False)
    payload_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ("happened_at", "id")
        indexes = (models.Index(fields=("check_done", "-happened_at"), name="inspections_entry_newest"),)
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            *append_only(),
            triggers.entry_knows_whether_it_is_late,
            triggers.entry_names_surfaces_of_its_check,
        ]
        constraints = (
            models.CheckConstraint(condition=Q(outcome__in=Outcome.values), name="inspections_entry_outcome_known"),
            models.CheckConstraint(
                condition=~Q(outcome="waiting") | Q(due_at__isnull=False), name="inspections_entry_wait_has_an_end"
            ),
            models.CheckConstraint(
                condition=~Q(outcome="skipped") | ~Q(note=""), name="inspections_entry_skipped_says_why"
            ),
        )

    def __str__(self) -> str:
        return f"{self.check_done}: {self.outcome}"

    def speaks_for(self, surface: str) -> bool:
        """Whether it says something of the surface with this key."""
        return not self.surfaces or surface in self.surfaces

    @property
    def bare_edges(self) -> int:
        """At how many places of corners and edges a lifted tile had no mortar."""
        return bare_edges(self.voids)


class Waiver(Row):
    """The owner lets a check's hold go, with a reason, for good on record.

    It stands for what had arrived by then: a failure that arrives after it holds the phase again.
    """

    check_waived = models.ForeignKey(Check, on_delete=models.PROTECT, related_name="waivers")
    reason = models.CharField(_("reason"), max_length=300)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (models.CheckConstraint(condition=~Q(reason=""), name="inspections_waiver_has_a_reason"),)

    def __str__(self) -> str:
        return self.reason


class SignOff(Sent, Row):
    """The phase is proved and may be covered. Its key is the phone's."""

    phase = models.OneToOneField(Phase, on_delete=models.PROTECT, related_name="sign_off")
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    happened_at = models.DateTimeField(_("signed at"))

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), triggers.sign_off_only_when_proved]

    def __str__(self) -> str:
        return f"{self.phase}"


class Amendment(Sent, Row):
    """What a sign-off, or an entry of a signed phase, should say, and why. It stands beside the old row, which stays as
    it is; what holds a phase are entries alone. Its key is the phone's."""

    sign_off = models.ForeignKey(SignOff, on_delete=models.PROTECT, null=True, related_name="amendments")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, null=True, related_name="amendments")
    text = models.CharField(_("what is corrected, and why"), max_length=500)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    happened_at = models.DateTimeField(_("amended at"))

    class Meta:
        ordering = ("happened_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), triggers.amendment_of_what_is_signed]
        constraints = (
            models.CheckConstraint(
                condition=Q(sign_off__isnull=False, entry=None) | Q(sign_off=None, entry__isnull=False),
                name="inspections_amendment_of_one_row",
            ),
            models.CheckConstraint(condition=Q(text__regex=r"\S"), name="inspections_amendment_says_something"),
        )

    def __str__(self) -> str:
        return self.text

    @property
    def phase(self) -> Phase:
        """The signed phase that it is about."""
        return self.sign_off.phase if self.sign_off else self.entry.check_done.phase  # type: ignore[union-attr]


class Sorting(Sent, Row):
    """What a photo shows, and where. To sort it again is a new row beside the old: of a photo's sortings the newest by
    `happened_at` counts. Its key is the phone's; the entry that it made, or came with, has the same.

    Without a room the photo is of the job as a whole; without a check, of the room.
    """

    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="sortings")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, null=True, related_name="+")
    check_shown = models.ForeignKey(Check, on_delete=models.PROTECT, null=True, related_name="sortings")
    # Key and name that the surface had then, and a place in its coordinates (mm).
    surface = models.CharField(max_length=LONGEST_TEXT, blank=True)
    surface_name = models.CharField(max_length=LONGEST_TEXT, blank=True)
    x = LengthField(null=True)
    y = LengthField(null=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    happened_at = models.DateTimeField(_("sorted at"))
    late = models.BooleanField(_("sorted after sign-off"), default=False)

    class Meta:
        ordering = ("happened_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), triggers.sorting_within_its_job]
        constraints = (
            models.CheckConstraint(
                condition=Q(x=None, y=None) | (Q(x__isnull=False, y__isnull=False) & ~Q(surface="")),
                name="inspections_sorting_place_on_a_surface",
            ),
        )

    def __str__(self) -> str:
        return f"{self.photo}: {self.surface_name or self.room or self.photo.job}"


@pghistory.track(exclude=["text", "place"])
class PunchItem(Row):
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="punch_items")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, null=True, blank=True, related_name="punch_items")
    text = models.CharField(_("what is to do"), max_length=300)
    place = models.CharField(_("where"), max_length=120, blank=True)
    # On a surface of the room's drawing, where it was pointed out.
    surface_key = models.SlugField(max_length=40, blank=True)
    x = LengthField(null=True, blank=True)
    y = LengthField(null=True, blank=True)
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, null=True, blank=True, related_name="punch_items")
    opened_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ("created_at", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            triggers.punch_list_ends_with_the_closeout,
            triggers.punch_item_stays,
        ]
        constraints = (
            models.CheckConstraint(condition=~Q(text=""), name="inspections_punch_item_has_a_text"),
            models.CheckConstraint(
                condition=Q(done_at=None, done_by=None) | Q(done_at__isnull=False, done_by__isnull=False),
                name="inspections_punch_item_done_by_somebody",
            ),
        )

    def __str__(self) -> str:
        return self.text


class PunchListPrint(Row):
    """A PDF of the punch list as it stood."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="punch_list_prints")
    document = models.OneToOneField(Document, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at",)

    def __str__(self) -> str:
        return f"{self.document}"


class Closeout(Row):
    """The job is finished: every phase signed, every punch item done. A trigger refuses it otherwise."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="closeout")
    walked_with = models.CharField(_("walked through with"), max_length=160)
    note = models.TextField(_("note"), blank=True)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = [*append_only(), triggers.closeout_only_when_done]

    def __str__(self) -> str:
        return f"{self.job}"
