"""Forms of the options that a client may choose among."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from estimating.models import Option, OptionGroup
from jobs.models import Job
from rooms.forms import LengthFormField, UnitForm
from rooms.models import Room, Tile
from rooms.queries import shop_tiles


def _name(label: Any, help_text: Any = "") -> forms.CharField:
    return forms.CharField(label=label, max_length=Option._meta.get_field("name").max_length, help_text=help_text)


class CopyForm(UnitForm):
    """One more option: a copy of a room, in another tile or joint where these are said."""

    other = _name(_("Name of the new option"), _("Such as: gray large format, two niches."))
    tile = forms.ModelChoiceField(
        label=_("Its tile"), queryset=Tile.objects.none(), required=False, empty_label=_("the same tile")
    )
    joint = LengthFormField(label=_("Its joint"), required=False, help_text=_("Left empty, the same joint."))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tile"].queryset = shop_tiles()  # type: ignore[attr-defined]


class AnotherForm(CopyForm):
    """A room of the job, and another that the client may choose instead."""

    room = forms.ModelChoiceField(label=_("Room"), queryset=Room.objects.none())
    question = _name(_("What is chosen"), _("Such as: wall tile of the shower."))
    name = _name(_("Name of what is measured now"), _("It stays in the price until the client chooses another."))
    field_order = ("room", "question", "name", "other", "tile", "joint")

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = free_rooms(job)  # type: ignore[attr-defined]


class AddOnForm(forms.Form):
    room = forms.ModelChoiceField(label=_("Room"), queryset=Room.objects.none())
    text = forms.CharField(
        label=_("What the client should know of it"),
        max_length=Option._meta.get_field("text").max_length,
        required=False,
    )

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["room"].queryset = free_rooms(job)  # type: ignore[attr-defined]


class OptionForm(forms.Form):
    name = _name(_("Name"))
    text = forms.CharField(
        label=_("What the client should know of it"),
        max_length=Option._meta.get_field("text").max_length,
        required=False,
    )


class GroupForm(forms.Form):
    name = forms.CharField(label=_("What is chosen"), max_length=OptionGroup._meta.get_field("name").max_length)


def free_rooms(job: Job) -> Any:
    """The rooms of the job that are no option yet."""
    return Room.objects.filter(job=job, option=None).part_of_the_job()
