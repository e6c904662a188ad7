"""The owner's sum for a job, line by line."""

import pghistory
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row
from estimating.models.rates import Rate, RateKind
from jobs.models import Job
from rooms.models import Room


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
