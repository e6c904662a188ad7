"""How the shop makes a price of a cost: what a new estimate begins with, and what its proposals are held against."""

import pghistory
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row
from estimating.models.rates import RateKind

ROUND_TO = ((0, _("to the cent")), *((step, str(step)) for step in (1, 5, 10, 25, 50, 100)))


class OverheadBy(models.TextChoices):
    NONE = "", _("not at all: the markup pays for it")
    HOUR = "hour", _("an amount for each hour of labor")
    PERCENT = "percent", _("percent of the cost of all lines")


class TaxOn(models.TextChoices):
    COST = "cost", _("cost to the shop")
    PRICE = "price", _("part of the price")


def overhead_constraint(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(
        condition=Q(overhead_by__in=OverheadBy.values, overhead__gte=0, minimum__gte=0, round_to__gte=0), name=name
    )


@pghistory.track()
class PriceRules(models.Model):
    """One row. Overhead, minimum and rounding are copied to an estimate when it begins; the rest counts everywhere."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    overhead_by = models.CharField(
        _("overhead is recovered by"), max_length=10, choices=OverheadBy, default=OverheadBy.NONE, blank=True
    )
    # An amount an hour, or percent.
    overhead = models.DecimalField(
        _("overhead"), max_digits=10, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    minimum = MoneyField(_("least price of a job, before tax"), default=0, validators=[MinValueValidator(0)])
    round_to = models.PositiveSmallIntegerField(_("totals are rounded"), choices=ROUND_TO, default=0)
    minimum_margin = models.DecimalField(
        _("least margin, percent of the price"),
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(90)],
    )
    rate_days = models.PositiveSmallIntegerField(
        _("days after which a rate is old"), default=90, validators=[MinValueValidator(1)]
    )

    class Meta:
        constraints = (
            models.CheckConstraint(condition=Q(id=1), name="estimating_price_rules_one_row"),
            overhead_constraint("estimating_price_rules_not_negative"),
            models.CheckConstraint(
                condition=Q(minimum_margin__gte=0, minimum_margin__lt=100), name="estimating_price_rules_margin"
            ),
        )

    def __str__(self) -> str:
        return "price rules"


@pghistory.track()
class TaxRule(Row):
    """What is charged on one kind of line, in one region or, where none is named, in all that have no rule."""

    region = models.CharField(
        _("state or region"),
        max_length=60,
        blank=True,
        help_text=_("As it stands in the site’s address. Empty: everywhere that has no tax of its own here."),
    )
    kind = models.CharField(_("on"), max_length=10, choices=RateKind)
    on = models.CharField(_("counted on"), max_length=10, choices=TaxOn, default=TaxOn.COST)
    percent = models.DecimalField(
        _("percent"), max_digits=6, decimal_places=3, validators=[MinValueValidator(0), MaxValueValidator(50)]
    )

    class Meta:
        ordering = ("region", "kind", "id")
        constraints = (
            models.UniqueConstraint(fields=("region", "kind"), name="estimating_tax_rule_once_a_region"),
            models.CheckConstraint(
                condition=Q(kind__in=RateKind.values, on__in=TaxOn.values, percent__gte=0),
                name="estimating_tax_rule_known",
            ),
        )

    def __str__(self) -> str:
        return f"{self.region} {self.get_kind_display()}"
