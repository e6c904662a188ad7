"""What pages read about rooms, each in a number of queries that doesn't grow with rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast
from uuid import UUID

from django.db.models import QuerySet

from jobs.models import Job
from rooms.files import layout_input, same_measures
from rooms.models import Layout, Room, SheetPrint, Standing, Survey, Tile, Unfinished
from shop.queries import shop_settings
from trade.lengths import Unit

_LONG = ("input", "measured", "result", "takeoff", "drawings")


def with_parts(rooms: QuerySet[Room]) -> QuerySet[Room]:
    """The rooms with tile, conditions, site, surfaces, openings and corners read along: 4 queries, however many there
    are."""
    return rooms.select_related("tile", "conditions", "job__site", "job__client").prefetch_related(
        "surfaces__openings", "corners"
    )


def room_with_parts(room: Room) -> Room:
    """The room as the database has it now, with everything that a file or a drawing of it needs: 4 queries."""
    return with_parts(Room.objects.filter(pk=room.pk)).get()


def rooms_of_job(job: Job) -> QuerySet[Room]:
    """The rooms that are part of the job, with their parts."""
    return with_parts(Room.objects.filter(job=job).part_of_the_job())


def rooms_on_offer(job: Job) -> QuerySet[Room]:
    """The rooms that are part of the job and those that are offered as options, with their parts."""
    return with_parts(Room.objects.filter(job=job).in_the_offer())


def current_layout(room: Room) -> Layout | None:
    """The layout that was chosen last, whole, with the accepted one that it stands for; None where none was. One
    query."""
    layouts = Layout.objects.filter(room=room).select_related("instead_of")
    return layouts.defer(*(f"instead_of__{name}" for name in (*_LONG, "rough_in"))).first()


def earlier_layouts(room: Room) -> QuerySet[Layout]:
    """Every layout chosen for the room with who chose it, the newest first, without the long JSON. One query."""
    return Layout.objects.filter(room=room).select_related("chosen_by").defer(*_LONG)


def current_layouts(job: Job) -> dict[UUID, Layout]:
    """The layout chosen last of each room of the job or on offer that has one, by the room's key. One query."""
    rooms = Layout.objects.filter(room__job=job).exclude(room__standing=Standing.OUT)
    newest = rooms.order_by("room_id", "-created_at", "-id").distinct("room_id")
    return {layout.room_id: layout for layout in newest}


def rooms_laid_out(jobs: Iterable[Job]) -> set[UUID]:
    """The keys of those rooms of the jobs that have a chosen layout. One query."""
    return set(Layout.objects.filter(room__job__in=list(jobs)).values_list("room_id", flat=True).distinct().order_by())


@dataclass(frozen=True, slots=True)
class RoomState:
    """A room and where its layout stands: `layout` without its long JSON (result, takeoff, drawings are deferred)."""

    room: Room
    layout: Layout | None
    stale: bool
    """The room was measured anew since its layout was chosen."""

    @property
    def ready(self) -> bool:
        return self.layout is not None and not self.stale


def room_states(job: Job) -> list[RoomState]:
    """The rooms of the job and its options in order, each with the state of its layout. 5 queries."""
    newest = (
        Layout.objects.filter(room__job=job)
        .order_by("room_id", "-created_at", "-id")
        .distinct("room_id")
        .defer("result", "takeoff", "drawings")
    )
    layouts = {layout.room_id: layout for layout in newest}
    return [_state(room, layouts.get(room.pk)) for room in rooms_on_offer(job)]


def is_stale(room: Room, layout: Layout) -> bool:
    """Whether the room was measured anew since the layout was chosen. Reads what `with_parts` prefetches."""
    return not same_measures(layout.measured or layout.input, layout_input(room, units="mm"))


def _state(room: Room, layout: Layout | None) -> RoomState:
    return RoomState(room=room, layout=layout, stale=layout is not None and is_stale(room, layout))


def all_ready(states: Iterable[RoomState]) -> bool:
    """Whether there is a room, and every room has a layout that fits what was measured."""
    states = list(states)
    return bool(states) and all(state.ready for state in states)


def unfinished_rooms(job: Job) -> QuerySet[Unfinished]:
    """What was measured on the job and can't be laid out yet, in order. One query."""
    return Unfinished.objects.filter(job=job).select_related("room")


def unfinished_changes(room: Room) -> Unfinished | None:
    """Changes to a room that can't be yet. One query."""
    return Unfinished.objects.filter(room=room).first()


def shop_unit() -> Unit:
    """The unit that the shop reads and types lengths in."""
    return cast(Unit, shop_settings().units)


def shop_tiles() -> QuerySet[Tile]:
    """The tiles that this shop offers for its rooms."""
    return Tile.objects.filter(archived=False)


def surveys_of_room(room: Room) -> QuerySet[Survey]:
    """The room's surveys with who read them, the newest first, without their long JSON. One query."""
    return Survey.objects.filter(room=room).select_related("by").defer("data", "result", "drawings")


MOST_PRINTS = 12
"""Printed sheets that a page tells of."""


def sheet_prints(room: Room) -> list[SheetPrint]:
    """The newest PDFs of the room's sheets, each with its layout's day and its document, without their long JSON. One
    query."""
    heavy = ("input", "result", "takeoff", "drawings")
    prints = SheetPrint.objects.filter(layout__room=room).select_related("layout", "document")
    return list(prints.defer("document__input", *(f"layout__{name}" for name in heavy))[:MOST_PRINTS])
