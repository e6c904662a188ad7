"""Rows that hold from a day on, until another takes their place."""

from datetime import date

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.models import Row


class Dated(Row):
    """New figures are a new row that ends the old one."""

    valid_from = models.DateField(_("from"))
    valid_to = models.DateField(_("until"), null=True, blank=True)
    # When it was set again to the same figures: it is no older than that.
    checked_on = models.DateField(_("found to hold on"), null=True, blank=True)

    class Meta:
        abstract = True

    def holds_from(self, day: date) -> bool:
        """Whether it holds on that day or on a later one."""
        return self.valid_to is None or self.valid_to > max(day, self.valid_from)

    @property
    def ended(self) -> bool:
        """Whether it holds no more."""
        return not self.holds_from(timezone.localdate())

    @property
    def ahead(self) -> bool:
        """Whether its day is still to come."""
        return self.valid_from > timezone.localdate()

    @property
    def as_of(self) -> date:
        """The day of which it is known to be right."""
        return self.checked_on or self.valid_from
