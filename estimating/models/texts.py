"""What the shop says and asks in its proposals. Rows are only added: of one key the highest `number` counts."""

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from jobs.models import Job
from shop.models import Staff


class _Version(Row):
    """A version of something, by whom."""

    number = models.PositiveIntegerField()
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class TextVersion(_Version):
    """A block of text (estimating.texts.blocks) as the shop says it; empty: it is left out."""

    key = models.CharField(max_length=60)
    text = models.TextField(_("text"), blank=True)

    class Meta:
        ordering = ("key", "-number")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("key", "number"), name="estimating_text_numbered_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="estimating_text_numbered_from_one"),
        )

    def __str__(self) -> str:
        return f"{self.key} {self.number}"


class SignedAt(models.TextChoices):
    HOME = "home", _("at the client’s home, or by the link")
    ELSEWHERE = "elsewhere", _("elsewhere, but not in our shop")
    SHOP = "shop", _("in our shop")


class PaymentPlan(_Version):
    """The steps of payment of a job, and where it is signed; or, without a job, the shop's usual ones. `steps` null: as
    usual again."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, related_name="payment_plans")
    # estimating.payments.Step.to_json
    steps = models.JSONField(null=True)
    signed_at = models.CharField(_("signed"), max_length=10, choices=SignedAt, default=SignedAt.HOME)
    # Of a job: what material on special order costs, which some places let a deposit have on top.
    special_order = MoneyField(_("material on special order"), null=True)
    special_order_words = models.CharField(_("which material"), max_length=200, blank=True)

    class Meta:
        ordering = ("-number",)
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(
                fields=("job", "number"), nulls_distinct=False, name="estimating_payment_plan_numbered_once"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="estimating_payment_plan_numbered_from_one"),
            models.CheckConstraint(
                condition=Q(signed_at__in=SignedAt.values), name="estimating_payment_plan_signed_somewhere"
            ),
            models.CheckConstraint(
                condition=Q(special_order=None, special_order_words="")
                | (Q(special_order__isnull=False, special_order__gt=0) & ~Q(special_order_words="")),
                name="estimating_payment_plan_special_order_named",
            ),
        )

    def __str__(self) -> str:
        return f"{self.job or '-'} {self.number}"


class LocalLimit(_Version):
    """What the law of a place allows, as the shop knows it: the deposit, and the days in which a client may cancel."""

    key = models.SlugField(max_length=60)
    place = models.CharField(_("place"), max_length=60)
    # As addresses have it: "CA".
    code = models.CharField(_("short form"), max_length=10, blank=True)
    # "10 %" or "1/3" of the price; empty: no share is set.
    share = models.CharField(_("deposit, share of the price"), max_length=20, blank=True)
    most = MoneyField(_("deposit, at most"), null=True)
    # Later payments: never more than what is done and delivered by then.
    by_value = models.BooleanField(_("later payments only for what is done"), default=False)
    # What material on special order costs may be asked for on top.
    special_order = models.BooleanField(_("material on special order on top"), default=False)
    cancel_days = models.PositiveSmallIntegerField(_("business days to cancel"))
    note = models.CharField(_("source and note"), max_length=300)

    class Meta:
        ordering = ("key", "-number")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("key", "number"), name="estimating_local_limit_numbered_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="estimating_local_limit_numbered_from_one"),
            models.CheckConstraint(condition=Q(most=None) | Q(most__gte=0), name="estimating_local_limit_not_negative"),
            models.CheckConstraint(condition=~Q(note=""), name="estimating_local_limit_says_where_from"),
        )

    def __str__(self) -> str:
        return f"{self.place} {self.number}"


class LetterColor(_Version):
    """The color of the shop's name and of the headings on its letters: "#1d5c63"."""

    color = models.CharField(_("color"), max_length=7)

    class Meta:
        ordering = ("-number",)
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.UniqueConstraint(fields=("number",), name="estimating_letter_color_numbered_once"),
            models.CheckConstraint(
                condition=Q(color__regex=r"^#[0-9a-f]{6}$"), name="estimating_letter_color_as_css_has_it"
            ),
        )

    def __str__(self) -> str:
        return self.color
