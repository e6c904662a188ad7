"""One queue of files to render, one record each, with frozen input and the hash of what came out."""

from typing import ClassVar

import pgtrigger
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import Row

LONGEST_TITLE = 200


class State(models.TextChoices):
    WAITING = "waiting", _("waiting for a worker")
    WORKING = "working", _("being made")
    READY = "ready", _("ready")
    FAILED = "failed", _("failed")


def template_of(kind: str) -> str:
    """The name of the template that documents of this kind are made with."""
    return f"documents/{kind}.html"


class Document(Row):
    """A PDF: made from `input` through the template `documents/<kind>.html`, and kept as bytes once ready.

    A worker claims it (`claim`, `claimed_at`) under the document's lock (`documents.locks`); what a dead worker left
    is taken over by the next, and only the claim that still stands may finish. Once ready it never changes.
    """

    kind = models.SlugField(max_length=40)
    title = models.CharField(max_length=LONGEST_TITLE)
    language = models.CharField(max_length=12, default="en-us")
    input = models.JSONField()
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    requested_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(db_default=models.functions.Now())
    claim = models.UUIDField(null=True)
    claimed_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)
    file = models.FileField(upload_to="documents/%Y/%m/", max_length=200, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    bytes = models.PositiveIntegerField(default=0)
    ready_at = models.DateTimeField(null=True)

    class Meta:
        indexes = (
            models.Index(fields=("next_try_at",), condition=Q(state="waiting"), name="documents_waiting"),
            models.Index(fields=("claimed_at",), condition=Q(state="working"), name="documents_working"),
        )
        constraints = (
            models.CheckConstraint(condition=Q(state__in=State.values), name="documents_state_known"),
            models.CheckConstraint(
                condition=~Q(state="ready") | (~Q(file="") & ~Q(sha256="") & Q(bytes__gt=0, ready_at__isnull=False)),
                name="documents_ready_has_a_file",
            ),
            models.CheckConstraint(
                condition=~Q(state="working") | Q(claim__isnull=False, claimed_at__isnull=False),
                name="documents_working_has_a_claim",
            ),
        )
        triggers: ClassVar[list[pgtrigger.Trigger]] = [
            pgtrigger.Protect(
                name="ready_stays",
                operation=pgtrigger.Update,
                condition=pgtrigger.Q(old__state="ready"),
            ),
            pgtrigger.Protect(name="input_stays", operation=pgtrigger.UpdateOf("input", "kind", "language")),
            pgtrigger.Protect(name="never_deleted", operation=pgtrigger.Delete),
        ]

    def __str__(self) -> str:
        return self.title
