"""What an hour of a person costs the shop, from a day on."""

from decimal import Decimal
from typing import ClassVar

import pghistory
import pgtrigger
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from estimating.models.dated import Dated
from estimating.pricing import burdened
from shop.models import Staff


# What a person earns is in no event: the rows themselves say what it was, and the events who set it when.
@pghistory.track(exclude=["wage", "burden_percent"])
class HourlyCost(Dated):
    """A person's wage and what comes on top of it. New figures are a new row that ends the old one."""

    person = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="hourly_costs")
    wage = models.DecimalField(_("wage an hour"), max_digits=8, decimal_places=2)
    # Of the wage: payroll taxes, workers' compensation, insurance, paid time off, benefits.
    burden_percent = models.DecimalField(_("burden, percent of the wage"), max_digits=5, decimal_places=2)

    class Meta:
        ordering = ("-valid_from", "-created_at", "-id")
        constraints = (
            models.UniqueConstraint(
                fields=("person",), condition=Q(valid_to=None), name="estimating_hourly_cost_one_in_force"
            ),
            models.CheckConstraint(condition=Q(wage__gt=0), name="estimating_hourly_cost_wage_positive"),
            models.CheckConstraint(
                condition=Q(burden_percent__gte=0), name="estimating_hourly_cost_burden_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(valid_to=None) | Q(valid_to__gte=F("valid_from")),
                name="estimating_hourly_cost_dates_in_order",
            ),
        )
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            # No event would say what it was before.
            pgtrigger.Protect(
                name="figures_stay", operation=pgtrigger.UpdateOf("person_id", "wage", "burden_percent", "valid_from")
            ),
        ]

    def __str__(self) -> str:
        return f"an hour of {self.person}"

    @property
    def cost(self) -> Decimal:
        """Of one hour to the shop, to the cent."""
        return burdened(wage=self.wage, burden_percent=self.burden_percent)
