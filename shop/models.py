"""The shop itself: who works in it and how it is set."""

from datetime import time
from typing import Any, ClassVar, Literal

import pghistory
import pgtrigger
from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.postgres.fields import ArrayField
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from base.models import Row, append_only


class Role(models.TextChoices):
    OWNER = "owner", _("Owner")
    OFFICE = "office", _("Office")
    INSTALLER = "installer", _("Installer")


class StaffManager(BaseUserManager["Staff"]):
    def create_user(self, *, username: str, password: str | None, **fields: Any) -> "Staff":
        staff = self.model(username=self.model.normalize_username(username).lower(), **fields)
        staff.set_password(password)
        staff.save()
        return staff

    def get_by_natural_key(self, username: str | None) -> "Staff":
        return self.get(username=(username or "").lower())


@pghistory.track(exclude=["password", "username", "name", "email", "phone", "language", "last_login"])
class Staff(Row, AbstractBaseUser):
    """A person of the shop who logs in."""

    username = models.CharField(_("log-in name"), max_length=60, unique=True)
    name = models.CharField(_("name"), max_length=120)
    role = models.CharField(_("role"), max_length=20, choices=Role)
    email = models.EmailField(_("email"), blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    # Empty: as the shop is set.
    language = models.CharField(_("language"), max_length=2, choices=settings.LANGUAGES, blank=True)
    is_active = models.BooleanField(_("may log in"), default=True)

    objects: ClassVar[StaffManager] = StaffManager()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]

    class Meta:
        ordering = ("name",)
        constraints = (
            models.CheckConstraint(
                condition=models.Q(username=Lower("username")), name="shop_staff_username_in_small_letters"
            ),
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="shop_staff_role_known"),
            models.CheckConstraint(condition=~models.Q(name=""), name="shop_staff_has_a_name"),
            models.CheckConstraint(
                condition=models.Q(language__in=["", *dict(settings.LANGUAGES)]), name="shop_staff_language_known"
            ),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def is_owner(self) -> bool:
        return self.role == Role.OWNER

    @property
    def runs_the_office(self) -> bool:
        """Owner and office see every job; an installer sees the assigned ones."""
        return self.role in (Role.OWNER, Role.OFFICE)


class Units(models.TextChoices):
    INCH = "in", _("feet and inches")
    MM = "mm", _("millimeters")


class Paper(models.TextChoices):
    LETTER = "letter", _("Letter")
    A4 = "a4", _("A4")


@pghistory.track(exclude=["phone", "email", "address"])
class ShopSettings(models.Model):
    """One row: how the shop is set. Read it through `shop.queries.shop_settings()`."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(_("name of the shop"), max_length=120, default="")
    logo = models.FileField(_("logo"), upload_to="logo/", blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    email = models.EmailField(_("email"), blank=True)
    address = models.TextField(_("address"), blank=True)
    license_line = models.CharField(_("license or registration, as it should print"), max_length=120, blank=True)
    units = models.CharField(_("units"), max_length=2, choices=Units, default=Units.INCH)
    paper = models.CharField(_("paper"), max_length=10, choices=Paper, default=Paper.LETTER)
    currency = models.CharField(_("currency"), max_length=3, default="USD")
    time_zone = models.CharField(_("time zone"), max_length=60, default="America/New_York")
    locale = models.CharField(_("language and region"), max_length=12, default="en-us")
    tax_percent = models.DecimalField(
        _("sales tax on materials, percent"),
        max_digits=6,
        decimal_places=3,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )
    markup_percent = models.DecimalField(
        _("usual markup, percent"), max_digits=6, decimal_places=2, default=35, validators=[MinValueValidator(0)]
    )
    proposal_days = models.PositiveSmallIntegerField(_("days a proposal holds"), default=30)
    remind_days = models.PositiveSmallIntegerField(_("days until a proposal is brought to mind"), default=0)
    warranty_months = models.PositiveSmallIntegerField(_("months of warranty on workmanship"), default=24)
    work_starts = models.TimeField(_("work starts"), default=time(7, 30))
    work_ends = models.TimeField(_("work ends"), default=time(16, 0))
    keep_photo_place = models.BooleanField(_("keep in each photo where it was taken"), default=False)
    work_days = ArrayField(
        models.PositiveSmallIntegerField(), verbose_name=_("working days (1 is Monday)"), default=list, blank=True
    )
    demo = models.BooleanField(default=False, editable=False)

    class Meta:
        constraints = (
            models.CheckConstraint(condition=models.Q(id=1), name="shop_settings_one_row"),
            models.CheckConstraint(condition=models.Q(units__in=Units.values), name="shop_settings_units_known"),
            models.CheckConstraint(condition=models.Q(paper__in=Paper.values), name="shop_settings_paper_known"),
            models.CheckConstraint(
                condition=models.Q(work_starts__lt=models.F("work_ends")), name="shop_settings_day_has_length"
            ),
            models.CheckConstraint(condition=models.Q(tax_percent__gte=0), name="shop_settings_tax_not_negative"),
            models.CheckConstraint(condition=models.Q(markup_percent__gte=0), name="shop_settings_markup_not_negative"),
        )

    def __str__(self) -> str:
        return self.name or "Gaugerod"


class LimitChange(Row):
    """A limit of the trade as this shop sets it from here on; without a value, the source's figure again.

    Rows are only added: of those with one `key` (trade.shop_limits) the one with the highest `number` is in force.
    """

    key = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    # mm, percent, hours or a plain number: the unit is the figure's.
    value = models.DecimalField(max_digits=14, decimal_places=6, null=True)
    reason = models.CharField(_("why"), max_length=300)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("key", "-number")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("key", "number"), name="shop_limit_change_numbered_once"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="shop_limit_change_numbered_from_one"),
            models.CheckConstraint(
                condition=models.Q(value=None) | models.Q(value__gt=0), name="shop_limit_change_more_than_nothing"
            ),
            models.CheckConstraint(condition=~models.Q(reason=""), name="shop_limit_change_says_why"),
        )

    def __str__(self) -> str:
        return f"{self.key}: {self.value}"


MAIL_CONTENT = (
    "key",
    "to",
    "subject",
    "text",
    "link_key",
    "attachment",
    "attachment_name",
    "attachment_sha256",
)


class Mail(Row):
    """A mail of the outbox (shop/mail.py). What it says never changes, and once sent nothing of it does.

    Sent when `sent_at` is there; else tried at `next_try_at`, and no more after `give_up_at`. `error` is of the last
    try that failed.
    """

    # What the mail is about, so that the same one is never queued twice: "wait-over:<entry>".
    key = models.CharField(max_length=120, unique=True)
    to = models.EmailField(_("to"))
    subject = models.CharField(_("subject"), max_length=300)
    text = models.TextField(_("text"))
    # A private link's key: its token, which stands in no table, takes the place of HIDDEN in the text as it is sent.
    link_key = models.UUIDField(null=True)
    # A file of the storage that goes along, under `attachment_name`, while it has this hash.
    attachment = models.CharField(max_length=200, blank=True)
    attachment_name = models.CharField(max_length=200, blank=True)
    attachment_sha256 = models.CharField(max_length=64, blank=True)
    sent_at = models.DateTimeField(_("sent at"), null=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(db_default=models.functions.Now())
    give_up_at = models.DateTimeField()
    error = models.TextField(blank=True)

    class Meta:
        ordering = ("-created_at", "-id")
        indexes = (
            models.Index(fields=("next_try_at",), condition=models.Q(sent_at=None), name="shop_mail_unsent"),
            models.Index(fields=("-created_at", "-id"), name="shop_mail_newest"),
        )
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Protect(
                name="sent_stays", operation=pgtrigger.Update, condition=pgtrigger.Q(old__sent_at__isnull=False)
            ),
            pgtrigger.Protect(name="content_stays", operation=pgtrigger.UpdateOf(*MAIL_CONTENT)),
            pgtrigger.Protect(name="never_deleted", operation=pgtrigger.Delete),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def state(self) -> Literal["sent", "waiting", "failing", "given up"]:
        """`waiting` was never tried; `failing` is tried again."""
        if self.sent_at:
            return "sent"
        if self.give_up_at <= timezone.now():
            return "given up"
        return "failing" if self.attempts else "waiting"


class Receipt(Row):
    """That an item of a phone was taken (shop/phone.py): its key is the item's. Whether the server still has an item is
    read here alone, whatever the item made of itself."""

    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()

    def __str__(self) -> str:
        return str(self.pk)
