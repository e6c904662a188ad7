"""What a client's yes is kept with, to a proposal as to a change order."""

from datetime import date

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.models import Row
from shop.models import Staff


class SignedRow(Row):
    """By whom, how, and of what bytes. A subclass adds what was signed, and the `link` by which."""

    typed_name = models.CharField(_("name"), max_length=160)
    # The strokes of a drawn signature, as `estimating.signing` reads them; None where the typed name stands for it.
    strokes = models.JSONField(null=True)
    # The paper that was signed by hand: its date, and the file as it was attached by the witness.
    signed_on = models.DateField(_("date on the paper"), null=True)
    paper = models.CharField(max_length=200, blank=True)
    paper_sha256 = models.CharField(max_length=64, blank=True)
    # In person: whose device it was.
    witness = models.ForeignKey(Staff, on_delete=models.PROTECT, null=True, related_name="+")
    address = models.GenericIPAddressField(null=True)
    browser = models.CharField(max_length=300, blank=True)
    content_sha256 = models.CharField(max_length=64)
    document_sha256 = models.CharField(max_length=64)

    class Meta:
        abstract = True

    @property
    def signed_day(self) -> date:
        """The date beside the signature; without a paper, the day of the yes in the shop's zone."""
        return self.signed_on or timezone.localdate(self.created_at)


def signed_constraints(name: str) -> tuple[models.CheckConstraint, ...]:
    """A name, by a link or before a witness, and a paper whole or not at all; `name` begins those of a table."""
    return (
        models.CheckConstraint(condition=~Q(typed_name=""), name=f"{name}_has_a_name"),
        models.CheckConstraint(
            condition=Q(link=None, witness__isnull=False) | Q(link__isnull=False, witness=None),
            name=f"{name}_by_link_or_in_person",
        ),
        models.CheckConstraint(
            condition=Q(signed_on=None, paper="", paper_sha256="")
            | (Q(signed_on__isnull=False, witness__isnull=False, strokes=None) & ~Q(paper="") & ~Q(paper_sha256="")),
            name=f"{name}_paper_whole",
        ),
    )
