"""What the entry page holds becomes the room; or it is kept as it was typed, with what it lacks."""

from collections.abc import Callable
from uuid import UUID

from django.db import transaction
from django.forms import BoundField
from django.http import QueryDict
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from jobs.models import Job
from layout import RoomError
from rooms import actions
from rooms.entry.filing import Filed, file_entry
from rooms.entry.page import RoomEntry
from rooms.entry.state import state_of_room
from rooms.files import room_to_file
from rooms.laying import fingerprint
from rooms.models import Room, Unfinished
from rooms.queries import room_with_parts, unfinished_changes
from shop.models import Staff

_NOT_TYPED = {"csrfmiddlewaretoken", "save", "add", "remove", "ask", "drop", "remove_room", "key", "after"}
"""Of a request, what isn't a field of the room."""

MOST_TOLD = 12
"""Fields that somebody else changed, told one by one."""


def typed_in(post: QueryDict) -> dict[str, str]:
    """What of a request is kept as typed."""
    return {name: str(post[name]) for name in post if name not in _NOT_TYPED}


def save_new(entry: RoomEntry, post: QueryDict, *, job: Job, key: UUID, by: Staff) -> Room | Unfinished | None:
    """The new room of that key; unfinished where it can't be one yet; None where neither may be, and the entry says
    why."""

    def create(filed: Filed) -> Room:
        return actions.create_room(job=job, data=filed.data, tile=filed.tile, key=key, by=by)

    return _saved(entry, create) or _kept(entry, post, job=job, key=key, room=None, by=by)


def save_again(entry: RoomEntry, post: QueryDict, *, room: Room, by: Staff) -> Room | Unfinished | None:
    """The room that this form of a new one made before, where it says the same again. Else what it says now is kept as
    unfinished changes of the room: somebody may have changed that since. None as `save_new`."""
    with transaction.atomic():
        made = save_new(entry, post, job=room.job, key=uuid7(), by=by)
        is_same = isinstance(made, Room) and room_to_file(room_with_parts(made)) == room_to_file(room_with_parts(room))
        # It was only tried.
        transaction.set_rollback(True)
    if is_same or made is None:
        return room if is_same else None
    if unfinished_changes(room):
        entry.general.append(_("Other unfinished changes of it wait already: see to those first."))
        return None
    entry.general.append(_("The room was kept before this was typed. Save it once more to put this into the room."))
    return _kept(entry, post, job=room.job, key=None, room=room, by=by)


def save_changes(entry: RoomEntry, post: QueryDict, *, room: Room, seen: str, by: Staff) -> Room | Unfinished | None:
    """The room as the page has it, or the changes kept unfinished; None as `save_new`. `seen`: its `fingerprints`."""

    def change(filed: Filed) -> Room:
        return actions.change_room(room=room, data=filed.data, tile=filed.tile, seen=_of_room(seen), by=by)

    return _saved(entry, change) or _kept(entry, post, job=room.job, key=None, room=room, by=by)


def fingerprints(room: Room | None, begun: Unfinished | None) -> str:
    """How a room and the changes begun to it stand, or an unfinished room: two fingerprints with a dot between them.
    What a page has seen is as much."""
    return (fingerprint(room_to_file(room)) if room else "") + (f".{fingerprint(begun.typed)}" if begun else "")


def changed_since(begun: Unfinished, room: Room) -> bool:
    """Whether the room was changed after the page was made on which `begun` was typed."""
    return _of_room(begun.typed.get("seen", "")) not in ("", fingerprint(room_to_file(room)))


def others_changes(entry: RoomEntry, room: Room) -> list[str]:
    """What the room has by now, field by field, where something else was typed."""
    base = room_to_file(room)
    now = RoomEntry(state_of_room(room, base, unit=entry.unit), unit=entry.unit, base=base, room_tile=room.tile)
    stands = {bound.html_name: bound for _part, form in now.named_forms for bound in form}
    found = []
    for part, form in entry.named_forms:
        for bound in form:
            other = stands.get(bound.html_name)
            if other is None or bound.is_hidden or _text(bound) == _text(other):
                continue
            label = f"{part}: {bound.label}" if part else bound.label
            words = {"field": label, "now": _text(other) or "–", "typed": _text(bound) or "–"}
            found.append(_("%(field)s: %(now)s in the room, %(typed)s typed.") % words)
    return found[:MOST_TOLD]


def _text(bound: BoundField) -> str:
    """What stands in a field, as one reads it."""
    value = bound.value()
    if isinstance(value, bool):
        return _("yes") if value else ""
    labels = {str(key): str(label) for key, label in getattr(bound.field, "choices", ())}
    return labels.get(str(value), str(value or ""))


def _of_room(seen: str) -> str:
    return seen.partition(".")[0]


def _saved(entry: RoomEntry, write: Callable[[Filed], Room]) -> Room | None:
    """The room, where it can be one; else the entry says beside its fields why not."""
    if not entry.is_valid():
        return None
    try:
        return write(file_entry(entry))
    except RoomError as error:
        entry.say(error)
    except Refused as error:
        entry.refused = True
        entry.general.append(str(error))
    return None


def _kept(
    entry: RoomEntry, post: QueryDict, *, job: Job, key: UUID | None, room: Room | None, by: Staff
) -> Unfinished | None:
    """What was typed, kept with what it lacks; None where nothing may be kept, and why is said."""
    if entry.refused:
        return None
    typed = typed_in(post)
    lacks = entry.lacks()
    try:
        name = typed.get("room-name", "")
        return actions.keep_unfinished(job=job, room=room, key=key, name=name, typed=typed, lacks=lacks, by=by)
    except Refused as error:
        entry.general.append(str(error))
    return None
