"""What a client may choose: one of several, or something added. Each option is a room with a layout of its own."""

import pghistory
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from base.models import Row
from jobs.models import Job
from rooms.models import Room


class OptionKind(models.TextChoices):
    ONE = "one", _("the client picks one")
    ADD = "add", _("the client may add it")


@pghistory.track()
class OptionGroup(Row):
    """A question to the client. Of a group to pick one from, one option is in the price until another is picked."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="option_groups")
    name = models.CharField(_("what is chosen"), max_length=120)
    kind = models.CharField(_("kind"), max_length=10, choices=OptionKind)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ("position", "created_at", "id")
        constraints = (
            models.CheckConstraint(condition=~Q(name=""), name="estimating_optiongroup_has_a_name"),
            models.CheckConstraint(condition=Q(kind__in=OptionKind.values), name="estimating_optiongroup_kind_known"),
        )

    def __str__(self) -> str:
        return self.name


@pghistory.track()
class Option(Row):
    """One answer. What is in the price is the room that stands IN; add-ons are never in it before they are taken."""

    group = models.ForeignKey(OptionGroup, on_delete=models.CASCADE, related_name="options")
    room = models.OneToOneField(Room, on_delete=models.CASCADE, related_name="option")
    name = models.CharField(_("name"), max_length=120)
    # What the client should know of it, in the shop's words.
    text = models.CharField(_("about it"), max_length=300, blank=True)
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ("position", "created_at", "id")
        constraints = (models.CheckConstraint(condition=~Q(name=""), name="estimating_option_has_a_name"),)

    def __str__(self) -> str:
        return self.name
