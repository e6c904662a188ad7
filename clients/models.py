"""People and businesses, their sites, and the private links that they are sent."""

import hashlib
import secrets
from datetime import datetime
from typing import Self

import pghistory
import pgtrigger
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.models import Row
from clients.distance import distance_text


class ClientKind(models.TextChoices):
    PERSON = "person", _("Person")
    BUSINESS = "business", _("Business")


@pghistory.track(exclude=["name", "contact", "email", "phone", "note"])
class Client(Row):
    kind = models.CharField(_("kind"), max_length=10, choices=ClientKind, default=ClientKind.PERSON)
    name = models.CharField(_("name"), max_length=160)
    contact = models.CharField(_("who to ask for"), max_length=160, blank=True)
    email = models.EmailField(_("email"), blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    note = models.TextField(_("note"), blank=True)

    class Meta:
        ordering = ("name", "id")
        constraints = (
            models.CheckConstraint(condition=~models.Q(name=""), name="clients_client_has_a_name"),
            models.CheckConstraint(condition=models.Q(kind__in=ClientKind.values), name="clients_client_kind_known"),
        )

    def __str__(self) -> str:
        return self.name


@pghistory.track(exclude=["street", "city", "region", "postal_code", "access_note"])
class Site(Row):
    """Where the work is. The access note may hold a gate code: only those on the job see it."""

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="sites")
    street = models.CharField(_("street"), max_length=160)
    city = models.CharField(_("city"), max_length=80, blank=True)
    region = models.CharField(_("state or region"), max_length=60, blank=True)
    postal_code = models.CharField(_("postal code"), max_length=20, blank=True)
    access_note = models.TextField(_("how to get in"), blank=True)
    year_built = models.PositiveSmallIntegerField(
        _("year built"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1600), MaxValueValidator(2100)],
        help_text=_(
            "Before 1978, lead-safe work rules may apply; before about 1980, asbestos is presumed in old floors."
        ),
    )
    # From the shop, one way: what a price counts of the drive. Seven places keep a tenth of a mile exactly.
    distance_km = models.DecimalField(_("distance"), max_digits=11, decimal_places=7, null=True, blank=True)

    class Meta:
        ordering = ("street", "id")
        constraints = (
            models.CheckConstraint(condition=~models.Q(street=""), name="clients_site_has_a_street"),
            models.CheckConstraint(
                condition=models.Q(distance_km=None) | models.Q(distance_km__gte=0),
                name="clients_site_distance_not_negative",
            ),
        )

    def __str__(self) -> str:
        return ", ".join(part for part in (self.street, self.city) if part)

    @property
    def distance_text(self) -> str:
        """How far it is from the shop, as the shop counts; empty where nobody said."""
        return "" if self.distance_km is None else distance_text(self.distance_km)


def token_hash(token: str) -> str:
    """What the database keeps of a private link: it can't be turned back into the link."""
    return hashlib.sha256(token.encode()).hexdigest()


class PrivateLink(models.Model):
    """A link of 128 random bits, stored hashed, that expires and can be revoked. Each subject has its own subclass."""

    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True

    @staticmethod
    def triggers(subject: str) -> list[pgtrigger.Trigger]:
        """A link goes on opening what it opened, `subject` being that column; it is revoked once, and never deleted."""
        return [
            pgtrigger.Protect(
                name="opens_the_same",
                operation=pgtrigger.UpdateOf("token_hash", subject, "expires_at", "made_by_id"),
            ),
            pgtrigger.Protect(
                name="stays_revoked", operation=pgtrigger.Update, condition=pgtrigger.Q(old__revoked_at__isnull=False)
            ),
            pgtrigger.Protect(name="never_deleted", operation=pgtrigger.Delete),
        ]

    @staticmethod
    def new_token() -> str:
        return secrets.token_urlsafe(16)

    @classmethod
    def live(cls, token: str, *, at: datetime | None = None) -> Self | None:
        """The link of `token`, unless unknown, expired or revoked. One query, by the hash."""
        return (
            cls._default_manager.filter(token_hash=token_hash(token), revoked_at=None)
            .filter(expires_at__gt=at or timezone.now())
            .first()
        )
