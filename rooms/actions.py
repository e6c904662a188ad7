"""Everything that changes rooms and chooses their layouts. Locks are taken on the job first, then on the room."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Max, ProtectedError
from django.utils.text import capfirst
from django.utils.translation import gettext as _

import layout
from base.errors import KeyTaken, Refused
from base.keys import uuid7
from jobs.actions import move_job
from jobs.models import Job, Stage
from layout.survey import SurveyResult, read_survey, survey
from rooms.files import layout_input, room_to_file, write_room
from rooms.laying import fingerprint, lay, lay_by_hand
from rooms.materials import beds_of
from rooms.models import (
    LONGEST_TEXT,
    BoxReading,
    Conditions,
    Layout,
    Room,
    SheetPaper,
    SheetPrint,
    Survey,
    SurveyKind,
    Tile,
    Unfinished,
)
from rooms.print_once import print_once
from rooms.printing import sheet_input
from rooms.queries import (
    all_ready,
    current_layout,
    room_states,
    room_with_parts,
    shop_unit,
    unfinished_changes,
    unfinished_rooms,
)
from rooms.varying import AS_MEASURED, Asked
from shop.audit import change
from shop.models import Staff
from shop.queries import shop_limits

_OPEN = (Stage.MEASURING, Stage.PRICING)


class RoomLocked(Refused):
    """The job has moved on: its rooms can't be changed, nor their layouts chosen anew."""


class RoomChanged(Refused):
    """Somebody else changed the room since the page was opened."""


class RoomUnfinished(Refused):
    """Changes to the room were begun and can't be yet."""


class HasSurveys(Refused):
    """A room that was surveyed stays, since surveys are kept for good."""


class HasBoxReadings(Refused):
    """A room whose tiles were measured out of the box stays, since readings are kept for good."""


class HasLayouts(Refused):
    """A room whose layout was chosen stays, since layouts are kept for good."""


def create_room(
    *,
    job: Job,
    data: Mapping[str, Any],
    place: str = "",
    demolition: bool | None = None,
    tile: Tile | None = None,
    key: UUID | None = None,
    by: Staff,
) -> Room:
    """A new room of the job from a room file, the last in order; a job in pricing is measured again.

    `place` and `demolition` go before the file's; `tile` is one of the shop's, else the file's is looked up or made.
    A form sent twice has the same `key`: one room. Raises layout.RoomError (its `place` names where the file is wrong)
    and RoomLocked.
    """
    with change(by):
        job = _open_job(job)
        if key and (earlier := Room.objects.filter(pk=key, job=job).first()):
            return earlier
        last = Room.objects.filter(job=job).aggregate(last=Max("position"))["last"]
        room = Room(pk=key or uuid7(), job=job, position=0 if last is None else last + 1)
        write_room(room, data, place=place, demolition=demolition, tile=tile)
        Unfinished.objects.filter(pk=room.pk, job=job).delete()
        _measure_again(job, by=by)
    return room


def import_room(
    *, job: Job, data: Mapping[str, Any], place: str = "", demolition: bool | None = None, by: Staff
) -> Room:
    """A room from a file that somebody uploaded; raises as `create_room` does."""
    return create_room(job=job, data=data, place=place, demolition=demolition, by=by)


def change_room(
    *,
    room: Room,
    data: Mapping[str, Any],
    place: str = "",
    demolition: bool | None = None,
    tile: Tile | None = None,
    seen: str = "",
    as_built: bool = False,
    by: Staff,
) -> Room:
    """The room as the file now describes it; a job in pricing whose layouts no longer fit is measured again.

    `seen`: fingerprint of the room that was being changed. `as_built`: it was built so, which accepted work may be,
    too. Raises layout.RoomError, RoomLocked, and RoomChanged where
    the room isn't that one any more.
    """
    with change(by):
        job = _open_job(room.job, as_built=as_built)
        now = _lock(room)
        if seen and fingerprint(room_to_file(now)) != seen:
            raise RoomChanged(
                _("Somebody else changed this room while you had it open. Load the page again and enter your change.")
            )
        write_room(now, data, place=place or now.place, demolition=demolition, tile=tile)
        Unfinished.objects.filter(room=now).delete()
        _move_on(job, by=by)
    return now


def keep_unfinished(
    *,
    job: Job,
    room: Room | None = None,
    key: UUID | None = None,
    name: str,
    typed: Mapping[str, str],
    lacks: Sequence[str],
    late: bool = False,
    by: Staff,
) -> Unfinished:
    """What was typed of a room that can't be yet, in the place of what was kept of it before; a job in pricing is
    measured again. `key`: the room's to be. Of a room that is there, `room`. `late`: it waited on a phone, and is kept
    whatever the job has come to. Raises RoomLocked, and RoomChanged where a new room of that key is whole by now.
    """
    with change(by):
        job = lock_job(job) if late else _open_job(job)
        key = key or uuid7()
        if room is None and Room.objects.filter(pk=key).exists():
            raise RoomChanged(_("This room was finished meanwhile. Open it from its job to change it."))
        if Unfinished.objects.filter(pk=key).exclude(job=job).exists():
            raise KeyTaken(_("This was kept for another job already."))
        # Characters that no text in the database can have.
        values = {
            "name": name.replace("\0", "").strip()[:LONGEST_TEXT],
            "typed": {field: text.replace("\0", "") for field, text in typed.items()},
            "lacks": [text.replace("\0", "") for text in lacks],
        }
        kept = Unfinished.objects.select_for_update()
        found = kept.filter(room=room).first() if room else kept.filter(pk=key, job=job).first()
        if found is None:
            found = Unfinished(pk=key, job=job, room=room)
        for field, value in values.items():
            setattr(found, field, value)
        found.save()
        _measure_again(job, by=by)
    return found


def drop_unfinished(*, unfinished: Unfinished, by: Staff) -> None:
    """What was typed is given up; of a room that is there, what it was stays."""
    with change(by):
        job = lock_job(unfinished.job)
        Unfinished.objects.filter(pk=unfinished.pk).delete()
        _move_on(job, by=by)


def specify_room(*, room: Room, conditions: Mapping[str, Any], tile: Mapping[str, Any], by: Staff) -> Room:
    """The room with what was said of it, and its tile with what its data sheet says: only the fields that are given are
    set, so that two people who say different things both have said them.

    What phases were opened by stays with them. Raises RoomLocked.
    """
    with change(by):
        _open_job(room.job)
        now = _lock(room)
        row = Conditions.objects.select_for_update().filter(room=now).first() or Conditions(room=now)
        for name, value in conditions.items():
            setattr(row, name, value)
        row.save()
        if tile:
            shared = Tile.objects.select_for_update().get(pk=now.tile_id)
            for name, value in tile.items():
                setattr(shared, name, value)
            shared.save()
    return now


def remove_room(*, room: Room, by: Staff) -> None:
    """The room is gone, with its surfaces. Raises RoomLocked, HasLayouts where a layout was ever chosen for it,
    HasSurveys where it was surveyed, HasBoxReadings where its tiles were measured out of the box, and Refused where
    photos were sorted to it."""
    with change(by):
        job = _open_job(room.job)
        now = _lock(room)
        if now.is_an_option:
            raise Refused(_("This room is one of the client’s options. Remove the option on the estimate instead."))
        if Layout.objects.filter(room=now).exists():
            raise HasLayouts(
                _("A layout was chosen for this room, and chosen layouts are kept. Change the room instead.")
            )
        if Survey.objects.filter(room=now).exists():
            raise HasSurveys(_("This room was surveyed, and surveys are kept. Change the room instead."))
        if BoxReading.objects.filter(room=now).exists():
            raise HasBoxReadings(_("Tiles of this room were measured, and readings are kept. Change the room instead."))
        try:
            now.delete()
        except ProtectedError:
            raise Refused(_("Photos were sorted to this room, and that is kept. Change the room instead.")) from None
        _move_on(job, by=by)


def why_unfinished(room: Room) -> str:
    """Why no layout can be chosen for it while changes to it wait to be finished; empty where there are none."""
    if not unfinished_changes(room):
        return ""
    return _("Changes to this room were begun and aren't finished. Finish or drop them, then choose its layout.")


def choose_layout(
    *,
    room: Room,
    option: int,
    why: str,
    by: Staff,
    seen: str = "",
    asked: Asked = AS_MEASURED,
    instead_of: Layout | None = None,
) -> Layout:
    """The chosen layout, frozen: what went in, what came out, takeoff and drawings, by which engine. `asked`: what was
    set anew on the layout page; the room itself stays as it was measured.

    When every room of a job being measured has a layout that fits, the job moves on to pricing. Choosing the same again
    for the same reason changes nothing, unless the shop's limits say something else of it by now. `seen`: fingerprint
    of the input whose options were looked at. `instead_of`: as in `Layout`, of accepted work. Raises RoomLocked,
    RoomChanged, layout.RoomError for a room that can't be
    laid out or an option that isn't there.
    """
    why = why.strip()
    units = shop_unit()
    # The engine runs before anything is locked, and the room is looked at again under the lock.
    measured = layout_input(room_with_parts(room), units=units)
    if seen and fingerprint(measured) != seen:
        raise _changed()
    data = asked.applied(measured)
    laid = lay_by_hand(data) if asked.hand else lay(data, option=option)
    if laid.result.chosen != option:
        raise layout.RoomError("option", _("there is no option %(option)s") % {"option": option})
    frozen = {
        "input": data,
        "input_sha256": fingerprint(data),
        "asked": asked.query(),
        "measured": measured if asked else {},
        "option": option,
        "title": capfirst(laid.result.option.title)[:200],
        "result": laid.result.to_json(),
        "takeoff": layout.take_off(
            laid.room, laid.result, surveys=_floors_read(room), limits=shop_limits(), bed=beds_of(room)
        ),
        "drawings": laid.drawings(),
        "rough_in": layout.rough_in(laid.room, laid.result),
        "engine_version": layout.ENGINE_VERSION,
        "why": why,
        "instead_of": instead_of,
    }
    with change(by):
        job = _open_job(room.job, as_built=instead_of is not None)
        now = _lock(room)
        if layout_input(now, units=units) != measured:
            raise _changed()
        if begun := why_unfinished(now):
            raise RoomUnfinished(begun)
        earlier = current_layout(now)
        same = ("input_sha256", "asked", "option", "engine_version", "why")
        told = laid.result.to_json()["findings"]
        if (
            earlier
            and all(getattr(earlier, name) == frozen[name] for name in same)
            and earlier.result["findings"] == told
        ):
            return earlier
        chosen = Layout.objects.create(room=now, chosen_by=by, **frozen)
        chosen.refresh_from_db(fields=["created_at"])
        _move_on(job, by=by)
    return chosen


def print_sheet(*, room: Room, paper: str, by: Staff) -> SheetPrint:
    """The sheet of the room's newest layout on its way to a PDF; what was printed before and says the same is that one.

    Raises Refused where no layout is chosen, and for a paper that isn't known.
    """
    if paper not in SheetPaper.values:
        raise Refused(_("Choose a paper size from the list."))
    now = room_with_parts(room)
    chosen = current_layout(now)
    if chosen is None:
        raise Refused(_("No layout is chosen for this room yet, so there is nothing to print. The office chooses it."))
    return print_once(
        SheetPrint,
        layout=chosen,
        paper=paper,
        kind="wall_sheet",
        title=_("Wall sheet, %(room)s, job %(number)s") % {"room": room, "number": f"{room.job.number:04d}"},
        input=sheet_input(now, chosen, paper=paper),
        by=by,
    )


def _floors_read(room: Room) -> list[SurveyResult]:
    """What each floor of the room was read as last, for its compound or its bed."""
    newest: dict[str, Survey] = {}
    for each in Survey.objects.filter(room=room, kind__in=(SurveyKind.FLOOR, SurveyKind.BED), result__isnull=False):
        newest.setdefault(each.surface, each)
    return [survey(read_survey(each.data)) for each in newest.values()]


def why_locked(job: Job, *, as_built: bool = False) -> str:
    """Why the rooms of the job can't be changed now, and what to do; empty where they can. `as_built`: to what was
    built, which goes while the work is under way as well."""
    if job.stage in _OPEN or (as_built and job.stage == Stage.WORKING):
        return ""
    if job.stage == Stage.PROPOSED:
        return _("A proposal is out for this job. Withdraw it first; then its rooms can be changed.")
    if job.stage == Stage.LOST:
        return _("This job wasn't taken. Take it up again first; then its rooms can be changed.")
    return _("The work on this job was accepted as it is. A change to it needs a change order.")


def _open_job(job: Job, *, as_built: bool = False) -> Job:
    """The job, locked, if its rooms may still be changed; else RoomLocked."""
    now = lock_job(job)
    if reason := why_locked(now, as_built=as_built):
        raise RoomLocked(reason)
    return now


def lock_job(job: Job) -> Job:
    """The job as it is now, locked: whoever changes its rooms comes one after another."""
    return Job.objects.select_for_update(no_key=True).get(pk=job.pk)


def _lock(room: Room) -> Room:
    """The room with its parts as they are now, locked."""
    Room.objects.select_for_update(no_key=True).get(pk=room.pk)
    return room_with_parts(room)


def _measure_again(job: Job, *, by: Staff) -> None:
    if job.stage == Stage.PRICING:
        move_job(job=job, to=Stage.MEASURING, by=by)


def _move_on(job: Job, *, by: Staff) -> None:
    """Measured and laid out: on to pricing. Something of it missing: back to measuring."""
    ready = all_ready(room_states(job)) and not unfinished_rooms(job).exists()
    if ready and job.stage == Stage.MEASURING:
        move_job(job=job, to=Stage.PRICING, by=by)
    elif not ready:
        _measure_again(job, by=by)


def _changed() -> RoomChanged:
    return RoomChanged(_("The room was changed while you were choosing. Look at its options again."))
