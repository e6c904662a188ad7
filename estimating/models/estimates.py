"""The owner's sum for a job, line by line."""

import pghistory
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row
from estimating.models.rates import Rate, RateKind
from estimating.models.terms import ROUND_TO, OverheadBy, overhead_constraint
from jobs.models import Job
from rooms.models import Room, Standing


@pghistory.track(exclude=["note"])
class Estimate(Row):
    """The owner's sum for a job, worked on until a proposal freezes it."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="estimate")
    markup_percent = models.DecimalField(_("markup, percent"), max_digits=6, decimal_places=2)
    tax_percent = models.DecimalField(_("tax on materials, percent"), max_digits=6, decimal_places=3)
    # How a total is made of the cost, from the shop's rules when the estimate began.
    overhead_by = models.CharField(_("overhead by"), max_length=10, choices=OverheadBy, default="", blank=True)
    overhead = models.DecimalField(_("overhead"), max_digits=10, decimal_places=2, default=0)
    minimum = MoneyField(_("least price before tax"), default=0)
    round_to = models.PositiveSmallIntegerField(_("total rounded"), choices=ROUND_TO, default=0)
    discount_percent = models.DecimalField(_("discount, percent"), max_digits=5, decimal_places=2, default=0)
    discount_amount = MoneyField(_("discount"), default=0)
    discount_reason = models.CharField(_("why the discount"), max_length=200, blank=True)
    # Of the shop's table, for the region of the site, as it was at the last fill: [{"kind", "on", "percent"}]. Empty:
    # `tax_percent` of the cost of materials.
    taxes = models.JSONField(default=list, blank=True)
    # Why it may be offered below the shop's least margin, and the margin that this was said of.
    thin_reason = models.CharField(_("why below the least margin"), max_length=200, blank=True)
    thin_margin = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    # Keys of the layouts that the lines were last computed from: another choice since then asks for a new fill.
    filled_from = ArrayField(models.UUIDField(), default=list, blank=True, editable=False)
    # What the rooms were then, by which like jobs are found: tiled area, and what kinds of rooms, each once and sorted.
    area_m2 = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True, editable=False)
    places = ArrayField(models.CharField(max_length=20), default=list, blank=True, editable=False)
    # What trips follow from, as it was then: of each room how many waits send the crew home, by its key; and the way
    # from the shop to the site in km, None where the site doesn't have it.
    waits = models.JSONField(default=dict, blank=True, editable=False)
    way_km = models.DecimalField(max_digits=11, decimal_places=7, null=True, blank=True, editable=False)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                condition=Q(markup_percent__gte=0, tax_percent__gte=0), name="estimating_estimate_percents"
            ),
            overhead_constraint("estimating_estimate_terms_not_negative"),
            models.CheckConstraint(
                condition=Q(discount_percent=0, discount_amount=0)
                | (
                    Q(discount_percent__gte=0, discount_percent__lte=100, discount_amount__gte=0)
                    & (Q(discount_percent=0) | Q(discount_amount=0))
                    & ~Q(discount_reason="")
                ),
                name="estimating_estimate_discount_has_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(thin_reason="", thin_margin=None) | (~Q(thin_reason="") & Q(thin_margin__isnull=False)),
                name="estimating_estimate_thin_margin_has_a_reason",
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
    # What `hours` may turn out to be; both or neither.
    low_hours = models.DecimalField(_("hours at best"), max_digits=10, decimal_places=2, null=True, blank=True)
    high_hours = models.DecimalField(_("hours at worst"), max_digits=10, decimal_places=2, null=True, blank=True)
    # Of one package, one hour or one unit, as the rate has it.
    unit_cost = models.DecimalField(_("cost per unit"), max_digits=12, decimal_places=4)
    # Where an hour costs what the people on the job cost: whose mean it is, in words without names.
    hour_how = models.CharField(_("whose hour"), max_length=120, blank=True, default="")
    cost = MoneyField(_("cost"))
    # What the layout and the rate give, kept beside what a person put in its place; none for a line of one's own.
    computed_quantity = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    computed_cost = MoneyField(null=True, blank=True)
    how = models.TextField(_("how it was got"), blank=True)
    source = models.CharField(max_length=300, blank=True)
    # Set where a person typed over what was computed, with the reason.
    override_reason = models.CharField(_("why changed by hand"), max_length=200, blank=True)
    # Not chosen yet: the client agrees to an amount, and what it cost is settled by a change order.
    allowance = models.BooleanField(_("allowance"), default=False)

    class Meta:
        ordering = ("position", "id")
        constraints = (
            models.CheckConstraint(
                condition=Q(allowance=False) | ~Q(kind="labor"), name="estimating_line_labor_is_no_allowance"
            ),
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_line_kind_known"),
            models.CheckConstraint(
                condition=Q(quantity__gte=0, unit_cost__gte=0, cost__gte=0), name="estimating_line_not_negative"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="estimating_line_has_a_text"),
            models.CheckConstraint(
                condition=Q(low_hours=None, high_hours=None)
                | Q(low_hours__gte=0, low_hours__lte=F("hours"), high_hours__gte=F("hours")),
                name="estimating_line_hours_in_order",
            ),
        )

    def __str__(self) -> str:
        return self.text

    @property
    def of_the_job(self) -> bool:
        """Not of a room that is only offered as an option, or wasn't taken."""
        return self.room is None or self.room.standing == Standing.IN

    @property
    def full_text(self) -> str:
        """With its room, as it is named outside the room's own lines."""
        return f"{self.room.name}, {self.text}" if self.room else self.text

    @property
    def unpriced(self) -> bool:
        """Computed, but without a rate: only a person can say what it costs."""
        return bool(self.key) and self.rate_id is None

    @property
    def lacks_rate(self) -> bool:
        """Computed, but the shop has no rate for it, and nobody priced it by hand."""
        return self.unpriced and not self.override_reason

    @property
    def follows_rate(self) -> bool:
        """A line of one's own that a rate prices: it takes a newer price with the next fill."""
        return not self.key and self.rate_id is not None

    @property
    def persons(self) -> int:
        """Who are at it together."""
        return self.rate.crew if self.rate else 1


@pghistory.track(exclude=["text"])
class Contingency(Row):
    """What may be found behind the wall, at a price for each unit: offered beside the total, never in it."""

    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="contingencies")
    text = models.CharField(_("what may be found"), max_length=200)
    unit = models.CharField(_("unit"), max_length=20)
    # Of one unit, to the shop.
    unit_cost = models.DecimalField(_("cost of one unit"), max_digits=12, decimal_places=4)
    # Of labor in one unit, which its overhead is counted on.
    hours = models.DecimalField(_("hours of labor in one"), max_digits=8, decimal_places=2, default=0)

    class Meta:
        ordering = ("created_at", "id")
        verbose_name_plural = "contingencies"
        constraints = (
            models.CheckConstraint(
                condition=Q(unit_cost__gte=0, hours__gte=0), name="estimating_contingency_not_negative"
            ),
            models.CheckConstraint(
                condition=~Q(text="") & ~Q(unit=""), name="estimating_contingency_has_a_text_and_unit"
            ),
        )

    def __str__(self) -> str:
        return self.text
