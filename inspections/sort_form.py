"""What is said of a photo that was taken first, turned into what `sort_photo` takes."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.models import Check
from inspections.place_form import OLD_PAGE, PlaceFields
from inspections.queries import PhaseView
from jobs.models import Job, Photo
from rooms.models import Room
from shop.phone_form import PhoneForm
from trade.lengths import Unit

WHOLE_JOB = "job"


class SortForm(PhoneForm, PlaceFields):
    """What a photo of the job shows: a room or the whole job, a check of the room, a place."""

    photo = forms.UUIDField(  # type: ignore[assignment]  # of one that is kept, in place of a new one
        error_messages={"required": gettext_lazy("Choose the photo that is to be sorted.")}
    )
    room = forms.ChoiceField(
        label=gettext_lazy("Room"),
        error_messages={
            "required": gettext_lazy("Say which room it shows, or that it shows the whole job."),
            "invalid_choice": OLD_PAGE,
        },
    )
    check = forms.ChoiceField(label=gettext_lazy("Check"), required=False, error_messages={"invalid_choice": OLD_PAGE})

    def __init__(
        self,
        data: Any = None,
        *,
        job: Job,
        rooms: Sequence[Room],
        phases: Sequence[PhaseView],
        units: Unit,
        initial: dict[str, Any] | None = None,
    ) -> None:
        super().__init__(data, initial=initial or {})
        self.job = job
        self.rooms = {str(room.pk): room for room in rooms}
        self.checks: dict[str, Check] = {str(view.check.pk): view.check for each in phases for view in each.checks}
        self.fields["room"].choices = [  # type: ignore[attr-defined]
            ("", _("Choose")),
            *((key, room.name) for key, room in self.rooms.items()),
            (WHOLE_JOB, _("The whole job, no room")),
        ]
        self.fields["check"].choices = [("", _("No check: it only shows the room")), *_by_phase(phases)]  # type: ignore[attr-defined]
        self.take_surfaces([surface for room in rooms for surface in room.surfaces.all()], units=units)

    @property
    def room_of(self) -> dict[str, str]:
        """The room of each check and each surface, all by their keys: a script offers only those of the room."""
        checks = {key: str(check.phase.room_id) for key, check in self.checks.items()}
        return checks | {key: str(surface.room_id) for key, surface in self.by_key.items()}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        photo = Photo.objects.filter(job=self.job, pk=data["photo"]).first() if data.get("photo") else None
        if data.get("photo") and photo is None:
            self.add_error("photo", _("Choose the photo that is to be sorted."))
        self.clean_place(data)
        check = self.checks.get(data.get("check") or "")
        room = self.rooms.get(data.get("room") or "")
        if check and check.phase.room_id != (room and room.pk):
            self.add_error("check", _("This check belongs to another room."))
        if self.spot and self.spot.surface.room_id != (room and room.pk):
            self.add_error("surface", _("This surface belongs to another room."))
        return data | {"photo": photo, "room": room, "check": check}


def _by_phase(phases: Sequence[PhaseView]) -> list[tuple[str, list[tuple[str, str]]]]:
    """The checks by room and phase: of each room the phase first whose turn it is, those that are signed last."""
    rank = {"open": 0, "held": 0, "ahead": 1, "signed": 2}
    rooms = list(dict.fromkeys(view.phase.room_id for view in phases))
    views = sorted(
        phases, key=lambda view: (rooms.index(view.phase.room_id), 2 if view.signed_at else rank[view.state])
    )
    return [(_name(view), [(str(each.check.pk), each.text) for each in view.checks]) for view in views]


def _name(view: PhaseView) -> str:
    words = {"room": view.phase.room.name, "phase": view.name}
    if view.signed_at:
        return _("%(room)s: %(phase)s, signed") % words
    if view.state == "ahead":
        return _("%(room)s: %(phase)s") % words
    return _("%(room)s: %(phase)s, its turn") % words
