"""Change orders: what is added to or taken off an accepted job, worked on until it is offered."""

from typing import ClassVar

import pghistory
import pgtrigger
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import MoneyField, Row, append_only
from estimating.models.estimates import EstimateLine
from estimating.models.rates import Rate, RateKind
from jobs.models import Job, Photo
from shop.models import Staff


def body(*statements: str) -> str:
    """The statements of a trigger, one after the other."""
    return "\n".join(statements)


def refuse(condition: str, sentence: str, name: str) -> str:
    """A statement of a trigger: where `condition` holds, the row is refused as by the check constraint `name`."""
    return f"""
        IF {condition} THEN
            RAISE EXCEPTION '{sentence}' USING ERRCODE = 'check_violation', CONSTRAINT = 'estimating_{name}';
        END IF;
    """


@pghistory.track(exclude=["what", "why", "directed_by", "word_of", "dropped_reason"])
class ChangeOrder(Row):
    """What changes on a job and why. Its key is the phone's where it was raised on site."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="change_orders")
    number = models.PositiveSmallIntegerField(_("number"))
    what = models.CharField(_("what changes"), max_length=160)
    why = models.CharField(_("why"), max_length=600, blank=True)
    raised_by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")
    raised_at = models.DateTimeField(_("raised"))
    on_site = models.BooleanField(_("raised on site"), default=False)
    directed_by = models.CharField(_("directed by"), max_length=160, blank=True)
    # Who of the client's said "go ahead" on site, and the field limit that stood then.
    word_of = models.CharField(_("who said yes on site"), max_length=160, blank=True)
    word_limit = MoneyField(_("field limit then"), null=True, blank=True)
    # Working days; fewer than 0 are taken off.
    days = models.SmallIntegerField(_("days added"), default=0)
    # Time and material up to this; none for a fixed price.
    not_to_exceed = MoneyField(_("not to exceed"), null=True, blank=True)
    photos = models.ManyToManyField(Photo, related_name="+", blank=True)
    # Set where it was given up before anything was offered.
    dropped_reason = models.CharField(max_length=300, blank=True)
    # The allowance of the accepted estimate whose cost it puts in the place of the amount.
    settles = models.ForeignKey(
        EstimateLine, on_delete=models.PROTECT, null=True, blank=True, related_name="settled_by"
    )

    class Meta:
        ordering = ("number",)
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Protect(name="never_deleted", operation=pgtrigger.Delete),
            pgtrigger.Protect(
                name="raised_as_it_was",
                operation=pgtrigger.UpdateOf(
                    "job_id", "number", "raised_by_id", "raised_at", "on_site", "word_of", "word_limit", "settles_id"
                ),
            ),
            pgtrigger.Trigger(
                name="of_accepted_work",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                func=body(
                    refuse(
                        "NOT EXISTS (SELECT 1 FROM estimating_acceptance WHERE job_id = NEW.job_id)",
                        "nothing was accepted for this job that could be changed",
                        "change_of_accepted_work",
                    ),
                    "RETURN NEW;",
                ),
            ),
        ]
        constraints = (
            models.UniqueConstraint(fields=("job", "number"), name="estimating_change_number_once"),
            models.CheckConstraint(condition=~Q(what=""), name="estimating_change_says_what"),
            models.CheckConstraint(condition=Q(days__gte=-250, days__lte=250), name="estimating_change_days"),
            models.CheckConstraint(
                condition=Q(not_to_exceed=None) | Q(not_to_exceed__gt=0), name="estimating_change_most_is_something"
            ),
            models.CheckConstraint(
                condition=Q(word_of="", word_limit=None) | (~Q(word_of="") & Q(word_limit__gt=0)),
                name="estimating_change_word_within_a_limit",
            ),
        )

    def __str__(self) -> str:
        return f"{self.number}: {self.what}"


@pghistory.track(exclude=["text"])
class ChangeLine(Row):
    """One line of a change order, priced by a rate or by hand. A credit takes its cost off."""

    change = models.ForeignKey(ChangeOrder, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(_("kind"), max_length=10, choices=RateKind)
    text = models.CharField(_("what"), max_length=200)
    rate = models.ForeignKey(Rate, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    quantity = models.DecimalField(_("quantity"), max_digits=12, decimal_places=3)
    unit = models.CharField(_("unit"), max_length=20)
    packages = models.PositiveIntegerField(_("packages"), null=True, blank=True)
    hours = models.DecimalField(_("hours"), max_digits=10, decimal_places=2, null=True, blank=True)
    unit_cost = models.DecimalField(_("cost per unit"), max_digits=12, decimal_places=4)
    cost = MoneyField(_("cost"))
    credit = models.BooleanField(_("credit"), default=False)

    class Meta:
        ordering = ("position", "id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Trigger(
                name="approved_lines_stay",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert | pgtrigger.Update | pgtrigger.Delete,
                func=body(
                    "IF TG_OP = 'DELETE' THEN touched := OLD; ELSE touched := NEW; END IF;",
                    refuse(
                        "EXISTS (SELECT 1 FROM estimating_changeapproval WHERE change_id = touched.change_id)",
                        "this change order is approved: its lines stay",
                        "change_approved_lines_stay",
                    ),
                    "RETURN touched;",
                ),
                declare=[("touched", "estimating_changeline%ROWTYPE")],
            ),
        ]
        constraints = (
            models.CheckConstraint(condition=Q(kind__in=RateKind.values), name="estimating_change_line_kind_known"),
            models.CheckConstraint(
                condition=Q(quantity__gte=0, unit_cost__gte=0, cost__gte=0), name="estimating_change_line_not_negative"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="estimating_change_line_has_a_text"),
        )

    def __str__(self) -> str:
        return self.text


class FieldLimit(Row):
    """Up to what amount a change raised on site may start on the client's word, as agreed beforehand.

    Rows are only added: the newest of a job is in force; without an amount, none is.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="field_limits")
    amount = MoneyField(_("field limit"), null=True)
    agreed_with = models.CharField(_("agreed with"), max_length=160)
    by = models.ForeignKey(Staff, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("-created_at", "-id")
        triggers: ClassVar[list[pgtrigger.Trigger]] = append_only()
        constraints = (
            models.CheckConstraint(condition=Q(amount=None) | Q(amount__gt=0), name="estimating_field_limit_something"),
            models.CheckConstraint(condition=~Q(agreed_with=""), name="estimating_field_limit_agreed_with_somebody"),
        )

    def __str__(self) -> str:
        return f"{self.job}: {self.amount}"
