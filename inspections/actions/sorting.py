"""Photos that were taken first: what each shows, and where. Rows are only added."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions.proving import record_entry
from inspections.models import Check, CheckKind, Entry, Outcome, SignOff, Sorting
from jobs.models import Photo, Stage
from rooms.drawn import Frame
from rooms.models import Room, Surface
from shop.audit import change
from shop.models import Staff


@dataclass(frozen=True, slots=True)
class Spot:
    """A surface, and a place on it from the lower left of the box around its outline (mm); None for no place."""

    surface: Surface
    from_left: Decimal | None = None
    from_bottom: Decimal | None = None


def sort_photo(
    *,
    photo: Photo,
    by: Staff,
    happened_at: datetime,
    room: Room | None = None,
    check: Check | None = None,
    spot: Spot | None = None,
    key: UUID | None = None,
) -> Sorting:
    """The sorting, beside those before it. Without a room the photo is of the job as a whole; `room` may be left out
    where `check` says it.

    A check that a photo proves gets the entry that it would have got on its card, under the same key, late where its
    phase is signed. Sorted away from such a check before the sign-off, what it proved there is taken back: the check
    holds its phase again. What is signed stays as it is. A phone whose clock is ahead sorts now. The same key with the
    same content returns the same row. Raises Refused for a room, check or surface that doesn't belong together with
    the photo, and for a place off the surface; KeyTaken.
    """
    room = room or (check.phase.room if check else None)
    wanted = _fields(photo=photo, room=room, check=check, spot=spot, by=by)
    happened_at = min(happened_at, timezone.now())
    with change(by):
        # One sorting of a photo at a time: the next sees what this one says.
        Photo.objects.select_for_update(no_key=True).get(pk=photo.pk)
        was = _check_of(photo)
        sorting, new = Sorting.objects.get_or_create(pk=key or uuid7(), defaults={**wanted, "happened_at": happened_at})
        if not new:
            return _same(sorting, wanted)
        sorting.refresh_from_db(fields=["late"])  # the database says it
        if _newest(photo) == sorting:
            _settle(sorting, was=was)
    return sorting


def place_photo(*, entry: Entry, spot: Spot) -> Sorting:
    """Where the photo of an entry was taken, said on the card together with the entry, under its key.

    Raises as `sort_photo`, and Refused where the entry has no photo.
    """
    if entry.photo is None:
        raise Refused(_("The place is the photo’s: take the photo as well."))
    check = entry.check_done
    wanted = _fields(photo=entry.photo, room=check.phase.room, check=check, spot=spot, by=entry.by)
    with change(entry.by):
        defaults = {**wanted, "happened_at": entry.happened_at}
        sorting, new = Sorting.objects.get_or_create(pk=entry.pk, defaults=defaults)
    return sorting if new else _same(sorting, wanted)


def _fields(*, photo: Photo, room: Room | None, check: Check | None, spot: Spot | None, by: Staff) -> dict[str, object]:
    """What the row says. Raises Refused; the trigger says the same without words."""
    if room and room.job_id != photo.job_id:
        raise Refused(_("This photo belongs to another job."))
    if check and (room is None or check.phase.room_id != room.pk):
        raise Refused(_("This check belongs to another room."))
    if spot and (room is None or spot.surface.room_id != room.pk):
        raise Refused(_("This surface belongs to another room."))
    x, y = _point(spot) if spot else (None, None)
    return {
        "photo": photo,
        "room": room,
        "check_shown": check,
        "surface": spot.surface.key if spot else "",
        "surface_name": str(spot.surface) if spot else "",
        "x": x,
        "y": y,
        "by": by,
    }


def _point(spot: Spot) -> tuple[Decimal | None, Decimal | None]:
    """The place in the surface's coordinates (mm)."""
    if spot.from_left is None and spot.from_bottom is None:
        return None, None
    if spot.from_left is None or spot.from_bottom is None:
        raise Refused(_("A place takes both: from the left and from the bottom."))
    frame = Frame.of(spot.surface)
    if not (0 <= spot.from_left <= frame.width and 0 <= spot.from_bottom <= frame.height):
        raise Refused(_("That place lies off the surface."))
    return frame.left + spot.from_left, frame.bottom + spot.from_bottom


def _same(sorting: Sorting, wanted: dict[str, object]) -> Sorting:
    if any(getattr(sorting, name) != value for name, value in wanted.items()):
        raise KeyTaken(
            _("Something else was sorted with this form before, and is kept. If this is right as well, send it again.")
        )
    return sorting


def _newest(photo: Photo) -> Sorting | None:
    """The sorting that counts: one that waited on a phone may come after it."""
    return Sorting.objects.filter(photo=photo).order_by("happened_at", "id").last()


def _check_of(photo: Photo) -> Check | None:
    """The check that the photo is of as it stands: by its newest sorting; without any, by its entry."""
    if newest := _newest(photo):
        return newest.check_shown
    entry = Entry.objects.filter(photo=photo).select_related("check_done").first()
    return entry.check_done if entry else None


def _settle(sorting: Sorting, *, was: Check | None) -> None:
    """What the photo proves by a sorting that counts, and what it proves no more; `was`: its check before."""
    check, photo, by = sorting.check_shown, sorting.photo, sorting.by
    if was and was != check:
        _take_back(was, photo, by=by, happened_at=sorting.happened_at)
    if check and check.kind == CheckKind.PHOTO and _proves_something(check, stays=was == check):
        record_entry(check=check, by=by, happened_at=sorting.happened_at, key=sorting.pk, photo=photo)


def _proves_something(check: Check, *, stays: bool) -> bool:
    """Whether a photo sorted to a check of the kind is to be entered: not once the job is closed out, and not where the
    photo was there already (`stays`) and the check holds."""
    if check.phase.room.job.stage == Stage.CLOSED:
        return False
    newest = check.entries.order_by("happened_at", "id").last()
    return not (stays and newest and newest.outcome == Outcome.HOLDS)


def _take_back(check: Check, photo: Photo, *, by: Staff, happened_at: datetime) -> None:
    """What the photo alone proved of a check isn't proved any more; signed, it stays."""
    newest = check.entries.order_by("happened_at", "id").last()
    if check.kind != CheckKind.PHOTO or newest is None or newest.photo_id != photo.pk:
        return
    if newest.outcome != Outcome.HOLDS or SignOff.objects.filter(phase=check.phase_id).exists():
        return
    note = _("Its photo was sorted elsewhere: take or sort another.")
    record_entry(check=check, by=by, happened_at=max(happened_at, newest.happened_at), skipped=True, note=note)
