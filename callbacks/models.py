"""Warranties, callbacks against them, and the visits that follow."""

from typing import ClassVar

import pghistory
import pgtrigger
from django.db import models
from django.db.models import F, Func, Q, Value
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from callbacks import triggers as refusals
from jobs.models import Booking, Job, Photo
from rooms.models import Room
from shop.models import Staff


class Warranty(Row):
    """From the closeout on, both days included."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="warranty")
    starts_on = models.DateField(_("from"))
    ends_on = models.DateField(_("until"))

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=Q(ends_on__gte=F("starts_on")), name="callbacks_warranty_dates_in_order"),
        )

    def __str__(self) -> str:
        return f"{self.job}"


class Symptom(models.TextChoices):
    """What the client sees. Common practice, no source: the shop's own list of what comes back."""

    HOLLOW = "hollow", _("Hollow or loose tile")
    TENTED = "tented", _("Tented floor")
    CRACKED = "cracked", _("Cracked tile")
    CORNER_GROUT = "corner_grout", _("Grout cracks in a corner")
    FIELD_GROUT = "field_grout", _("Grout cracks or powders in the field")
    COLOR = "color", _("Blotchy grout or shade")
    LIPPAGE = "lippage", _("Lippage")
    WHITE_DEPOSIT = "white_deposit", _("White deposit")
    DARK_STONE = "dark_stone", _("Stone stays dark")
    LEAK = "leak", _("Leak")
    PONDING = "ponding", _("Water stands")
    SEALANT = "sealant", _("Sealant torn or moldy")
    CHIPPED = "chipped", _("Chipped edge")
    COLD_FLOOR = "cold_floor", _("Heated floor stays cold")
    OTHER = "other", _("Something else")


@pghistory.track(exclude=["reported_by", "text", "cause", "remedy"])
class Callback(Row):
    number = models.BigIntegerField(
        _("number"),
        unique=True,
        editable=False,
        db_default=Func(Value("callbacks_callback_number"), function="nextval", output_field=models.BigIntegerField()),
    )
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="callbacks")
    room = models.ForeignKey(Room, on_delete=models.PROTECT, null=True, blank=True, related_name="callbacks")
    symptom = models.CharField(_("what it looks like"), max_length=20, choices=Symptom)
    text = models.TextField(_("in the client's words"))
    reported_by = models.CharField(_("who called"), max_length=160)
    reported_on = models.DateField(_("when"))
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, null=True, blank=True, related_name="callbacks")
    logged_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    cause = models.TextField(_("what caused it"), blank=True)
    remedy = models.TextField(_("what was done"), blank=True)
    cost = MoneyField(_("what it cost us"), null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ("-number",)
        constraints = (
            models.CheckConstraint(condition=Q(symptom__in=Symptom.values), name="callbacks_callback_symptom_known"),
            models.CheckConstraint(condition=~Q(text=""), name="callbacks_callback_has_a_text"),
            models.CheckConstraint(condition=Q(cost=None) | Q(cost__gte=0), name="callbacks_callback_cost"),
            models.CheckConstraint(
                condition=Q(closed_at=None, closed_by=None)
                | (Q(closed_at__isnull=False, closed_by__isnull=False) & ~Q(cause="") & ~Q(remedy="")),
                name="callbacks_callback_closed_with_cause_and_remedy",
            ),
        )
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            refusals.callback_only_on_a_closed_job,
            refusals.callback_closed_stays,
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.get_symptom_display()}"


@pghistory.track()
class Visit(Row):
    """A warranty visit: its time and person are the booking's."""

    callback = models.ForeignKey(Callback, on_delete=models.PROTECT, related_name="visits")
    booking = models.OneToOneField(Booking, on_delete=models.PROTECT, related_name="visit")

    class Meta:
        ordering = ("booking__during", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [refusals.visit_is_of_its_job]

    def __str__(self) -> str:
        return f"{self.callback}: {self.booking}"
