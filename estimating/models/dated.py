"""Rows that hold from a day on, until another takes their place."""

from datetime import date

from django.db import models
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

    @property
    def as_of(self) -> date:
        """The day of which it is known to be right."""
        return self.checked_on or self.valid_from
