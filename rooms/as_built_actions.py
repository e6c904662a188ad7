"""What the office says was built is kept; where the room is still open, it becomes the room."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import gettext as _

from base.errors import Refused
from jobs.models import Stage
from rooms.actions import RoomChanged, change_room, choose_layout, lock_job, why_locked
from rooms.as_built import Difference, asked_still, built, differences, lay_again
from rooms.as_built_readings import readings_of
from rooms.chosen import chosen_room
from rooms.files import room_to_file
from rooms.laying import fingerprint
from rooms.models import AsBuilt, Layout, RoughInPrint
from rooms.print_once import print_once
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.reading_on_site import arrived, lock
from rooms.rough_in import RoughIn
from rooms.rough_in_paper import rough_in_input
from shop.audit import change
from shop.models import Staff


def keep_as_built(
    *, layout: Layout, measures: Sequence[Mapping[str, Any]], seen: str | None = None, by: Staff
) -> AsBuilt:
    """What the office says was built, on record beside the layout; what was read on site is answered by it. Nothing of
    room or layout is changed. `seen`: the key of the record that arrived last when it was typed (None: whichever).
    Raises Refused where another one came since."""
    with change(by):
        lock(layout.room)
        _nothing_came(layout, seen)
        return AsBuilt.objects.create(layout=layout, measures=list(measures), by=by, created_at=arrived())


def take_over_as_built(
    *,
    layout: Layout,
    measures: Sequence[Mapping[str, Any]],
    seen: str | None = None,
    accepted: bool = False,
    reason: str = "",
    by: Staff,
) -> AsBuilt:
    """What was measured becomes the room, and the layout is chosen anew for it; the record leads to that layout.

    `accepted`: also while the accepted work is under way, for a `reason`; the new layout then stands beside the
    accepted one, and the caller says the checks anew that named its figures.

    Raises RoomLocked where the job has moved on, RoomChanged where the room has another layout or other measures by
    now, Refused where nothing that was measured changes the room, or as `keep_as_built`, and layout.RoomError for a
    room that can't be laid out.
    """
    found = differences(RoughIn(layout), measures)
    if not any(each.moves for each in found):
        raise Refused(_("What was measured doesn’t change the room. Keep it on record instead."))
    reason = reason.strip()
    if accepted and not reason:
        raise Refused(_("Say why it stays as it was built: what was agreed on, and with whom."))
    again = _laid(layout, found, accepted=accepted)
    with change(by):
        job = lock_job(layout.room.job)
        under_way = accepted and job.stage == Stage.WORKING
        room = room_with_parts(layout.room)
        if current_layout(room) != layout or is_stale(room, layout):
            raise RoomChanged(_("The room or its layout was changed meanwhile. Look at its rough-in sheet again."))
        data = room_to_file(room)
        framed = built(data, chosen_room(layout).moved, found)
        room = change_room(room=room, data=framed, tile=room.tile, seen=fingerprint(data), as_built=accepted, by=by)
        _nothing_came(layout, seen)
        told = "; ".join(_told(each) for each in found if each.moves)
        why = _("as built: %(measures)s") % {"measures": told}
        chosen = choose_layout(
            room=room,
            option=again,
            why=Truncator(f"{reason}; {why}" if reason else why).chars(300),
            by=by,
            asked=asked_still(layout),
            instead_of=(layout.instead_of or layout) if under_way else None,
        )
        return AsBuilt.objects.create(
            layout=layout, measures=list(measures), led_to=chosen, by=by, created_at=arrived()
        )


def _nothing_came(layout: Layout, seen: str | None) -> None:
    if seen is not None and readings_of(layout).seen != seen:
        raise Refused(_("Something more was measured on site meanwhile. Look at it, then answer again."))


def _told(each: Difference) -> str:
    words = {"item": each.item.title, "name": each.measure.name, "built": each.text, "sheet": each.measure.text}
    return _("%(item)s, %(name)s %(built)s, not %(sheet)s") % words


def _laid(layout: Layout, found: Sequence[Difference], *, accepted: bool) -> int:
    """The option for the room as built, worked out and remembered before anything is locked."""
    if reason := why_locked(layout.room.job, as_built=accepted):
        raise Refused(reason)
    try:
        return lay_again(layout, found).laid.result.chosen
    except ValueError as error:
        raise Refused(str(error)) from None


def print_rough_in(*, layout: Layout, by: Staff) -> RoughInPrint:
    """The layout's rough-in sheet, on its way to a PDF; what was printed before and says the same is that one."""
    return print_once(
        RoughInPrint,
        layout=layout,
        kind="rough_in",
        title=_("Rough-in sheet, %(room)s") % {"room": layout.room},
        input=rough_in_input(room_with_parts(layout.room), layout),
        by=by,
    )
