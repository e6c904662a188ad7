"""What the tape reads on site against a rough-in sheet is kept, and waits for the office's answer."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from rooms.models import AsBuilt, Layout, Room
from rooms.queries import current_layout
from rooms.rough_in import RoughIn
from shop.audit import change
from shop.models import Staff


def read_on_site(
    *, room: Room, sheet: Layout, measures: Sequence[Mapping[str, Any]], read_at: datetime, key: UUID, by: Staff
) -> AsBuilt:
    """What the tape read on site, beside the room's layout; the office answers it. Nothing of the room is changed.

    `measures` are of `sheet`'s items: where another layout was chosen meanwhile, they stand on its sheet. A form sent
    twice has the same `key`: one record. Raises KeyTaken, and Refused where the sheet of now lacks something of it.
    """
    with change(by):
        lock(room)
        if earlier := AsBuilt.objects.filter(pk=key).select_related("layout").first():
            if (earlier.layout.room_id, earlier.by_id) != (room.pk, by.pk):
                raise KeyTaken(_("This was kept already, with other readings. Enter it again."))
            return earlier
        layout = current_layout(room) or sheet
        carried = _carried(measures, sheet, layout)
        if carried is None:
            raise Refused(another_layout())
        return AsBuilt.objects.create(
            pk=key, layout=layout, measures=carried, read_at=min(read_at, timezone.now()), by=by, created_at=arrived()
        )


def another_layout() -> str:
    """What is said to who measured against a sheet that doesn't count any more."""
    return _("Another layout was chosen meanwhile. Hold what you typed against its sheet again.")


def _carried(measures: Sequence[Mapping[str, Any]], sheet: Layout, now: Layout) -> list[dict[str, Any]] | None:
    """Measures of a sheet as another one numbers its items; None where it has no such item, or measures it from
    elsewhere, or has two of it. A tape reads off the framing, whatever layout was chosen."""
    if sheet == now:
        return [dict(each) for each in measures]
    places = _places(RoughIn(now))
    own = {(number, place[3]): place for place, numbers in _places(RoughIn(sheet)).items() for number in numbers}
    found = []
    for each in measures:
        numbers = places.get(own[each["item"], each["name"]], [])
        if len(numbers) != 1:
            return None
        found.append({**each, "item": numbers[0]})
    return found


def _places(sheet: RoughIn) -> dict[tuple[str, str, str, str, str], list[int]]:
    """What a sheet measures, by surface, kind, item, measure and where that starts: the numbers of such items."""
    found: dict[tuple[str, str, str, str, str], list[int]] = {}
    for item in sheet.items:
        for measure in item.measures:
            place = item.surface, item.kind, item.name, measure.name, measure.origin
            found.setdefault(place, []).append(item.number)
    return found


def lock(room: Room) -> None:
    """One after another: what is kept answers all that arrived before it."""
    Room.objects.select_for_update(no_key=True).get(pk=room.pk)


def arrived() -> datetime:
    """Now, under the room's lock: the time at which a transaction began doesn't tell the order."""
    return timezone.now()
