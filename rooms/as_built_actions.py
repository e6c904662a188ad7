"""What was measured against a rough-in sheet is kept; where the room is still open, it becomes the room."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from base.errors import Refused
from documents.actions import request_document
from rooms.actions import RoomChanged, change_room, choose_layout, why_locked
from rooms.as_built import Difference, built, differences, lay_again
from rooms.chosen import changes_of
from rooms.files import room_to_file
from rooms.laying import fingerprint
from rooms.models import AsBuilt, Layout, RoughInPrint
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.rough_in import RoughIn
from rooms.rough_in_paper import rough_in_input
from shop.audit import change
from shop.models import Staff


def keep_as_built(*, layout: Layout, measures: Sequence[Mapping[str, Any]], by: Staff) -> AsBuilt:
    """What was measured, on record beside the layout. Nothing of room or layout is changed."""
    with change(by):
        return AsBuilt.objects.create(layout=layout, measures=list(measures), by=by)


def take_over_as_built(*, layout: Layout, measures: Sequence[Mapping[str, Any]], by: Staff) -> AsBuilt:
    """What was measured becomes the room, and the layout is chosen anew for it; the record leads to that layout.

    Raises RoomLocked where the job has moved on, RoomChanged where the room has another layout or other measures by
    now, Refused where nothing that was measured changes the room, layout.RoomError for a room that can't be laid out.
    """
    found = differences(RoughIn(layout), measures)
    if not any(each.moves for each in found):
        raise Refused(_("What was measured doesn’t change the room. Keep it on record instead."))
    again = _laid(layout, found)
    with change(by):
        room = room_with_parts(layout.room)
        if current_layout(room) != layout or is_stale(room, layout):
            raise RoomChanged(_("The room or its layout was changed meanwhile. Look at its rough-in sheet again."))
        data = room_to_file(room)
        seen = fingerprint(data)
        room = change_room(room=room, data=built(data, changes_of(layout), found), tile=room.tile, seen=seen, by=by)
        told = "; ".join(_told(each) for each in found if each.moves)
        why = Truncator(_("as built: %(measures)s") % {"measures": told}).chars(300)
        chosen = choose_layout(room=room, option=again, why=why, by=by)
        return AsBuilt.objects.create(layout=layout, measures=list(measures), led_to=chosen, by=by)


def _told(each: Difference) -> str:
    words = {"item": each.item.title, "name": each.measure.name, "built": each.text, "sheet": each.measure.text}
    return _("%(item)s, %(name)s %(built)s, not %(sheet)s") % words


def _laid(layout: Layout, found: Sequence[Difference]) -> int:
    """The option for the room as built, worked out and remembered before anything is locked."""
    if reason := why_locked(layout.room.job):
        raise Refused(reason)
    try:
        return lay_again(layout, found).laid.result.chosen
    except ValueError as error:
        raise Refused(str(error)) from None


def print_rough_in(*, layout: Layout, by: Staff) -> RoughInPrint:
    """The layout's rough-in sheet, on its way to a PDF."""
    with change(by):
        document = request_document(
            kind="rough_in",
            title=_("Rough-in sheet, %(room)s") % {"room": layout.room},
            input=rough_in_input(layout),
            by=by,
            language=get_language() or "en-us",
        )
        return RoughInPrint.objects.create(layout=layout, document=document)
