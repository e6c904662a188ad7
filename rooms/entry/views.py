"""The pages that a room is measured into, for owner and office: new, unfinished, or to be changed."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from base.errors import Refused
from base.keys import key_from, uuid7
from jobs.access import get_job
from jobs.models import Job
from rooms import actions
from rooms.access import get_room, get_unfinished
from rooms.entry.drawing import Drawing, drawings
from rooms.entry.late import clash, give_up, job_of_gone, save_late
from rooms.entry.page import BLANK, RoomEntry
from rooms.entry.saving import changed_since, fingerprints, others_changes, save_again, save_changes, save_new
from rooms.entry.state import (
    fits_the_page,
    grown,
    says_nothing,
    shrunk,
    state_of_post,
    state_of_room,
    state_of_shape,
)
from rooms.files import room_to_file
from rooms.models import Room, SurfaceKind, Unfinished
from rooms.queries import (
    current_layout,
    room_with_parts,
    shop_unit,
    surveys_of_room,
    unfinished_changes,
)
from rooms.shapes import BY_KEY, SHAPES
from shop.access import require_office
from shop.models import Staff
from shop.phone import keep_on_phone, not_taken, receipt, replay_of, was_taken
from trade.lengths import Unit


@require_http_methods(["GET", "POST"])
@keep_on_phone
def new(request: HttpRequest, job_pk: UUID) -> HttpResponse:
    """Choose what the room is like, then measure it into the form. What can't be a room yet is kept unfinished."""
    staff = require_office(request.user)
    job = get_job(staff, job_pk)
    unit = shop_unit()
    context: dict[str, Any] = {"job": job, "locked": actions.why_locked(job), "shapes": SHAPES}
    if request.method == "POST":
        replay = replay_of(request)
        if replay and was_taken(replay):
            # It may have been changed since, or removed.
            return receipt(replay)
        key = replay.key if replay else key_from(request.POST.get("key", "")) or uuid7()
        entry = _entry_from_post(request.POST, unit=unit, saves=replay is not None)
        context["posted"] = True
        if replay:
            saved = save_new(entry, request.POST, job=job, key=key, by=staff)
            return receipt(replay) if saved else not_taken(replay, " ".join(entry.general))
        if "save" in request.POST:
            earlier = Room.objects.filter(pk=key, job=job).first()
            if earlier and (answer := _save_again(request, entry, earlier, by=staff)):
                return answer
            saved = None if earlier else save_new(entry, request.POST, job=job, key=key, by=staff)
            if isinstance(saved, Room):
                return _to_layout(request, saved)
            context["kept"] = saved
        # What only adds or removes something gets the same page back, which the phone keeps as it did.
        then = "" if "save" in request.POST else _after()
        return _page(request, entry, {**context, "key": key, "then": then})
    shape = BY_KEY.get(request.GET.get("shape", ""))
    if shape is None or context["locked"]:
        return render(request, "rooms/office/new.html", context)
    context |= {"key": uuid7(), "then": _after()}
    return _page(request, RoomEntry(state_of_shape(shape, unit=unit), unit=unit), context)


@require_http_methods(["GET", "POST"])
@keep_on_phone
def unfinished(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A room as far as it was typed in, with what it lacks; it goes on to the layout when it is whole."""
    staff = require_office(request.user)
    unit, replay = shop_unit(), replay_of(request)
    if replay and (job := _job_of(Unfinished, pk, staff)):
        entry = _entry_from_post(request.POST, unit=unit, saves=True)
        save = partial(save_new, entry, request.POST, job=job, key=pk, by=staff)
        return save_late(replay, entry, request.POST, job=job, about=pk, save=save, by=staff)
    if found := Room.objects.filter(pk=pk).first():
        room = get_room(staff, found.pk)
        if "save" in request.POST:
            entry = _entry_from_post(request.POST, unit=unit)
            answer = _save_again(request, entry, room, by=staff)
            more = {"job": room.job, "locked": actions.why_locked(room.job), "posted": True, "key": pk}
            return answer or _page(request, entry, more)
        if unfinished_changes(room):
            return redirect("rooms:edit", room.pk)
        # A phone comes here when what it sent became the room.
        return _to_layout(request, room) if current_layout(room) is None else _as_it_is_now(request, room)
    if kept := _kept_elsewhere(request, pk):
        return kept
    begun = get_unfinished(staff, pk)
    if begun.room:
        return redirect("rooms:edit", begun.room_id)
    job = begun.job
    context: dict[str, Any] = {"job": job, "locked": actions.why_locked(job), "kept": begun, "droppable": True}
    if "drop" in request.POST:
        return _drop(request, begun, by=staff)
    seen, posted = fingerprints(None, begun), "surfaces" in request.POST
    if posted:
        entry = _entry_from_post(request.POST, unit=unit)
        if "save" in request.POST and not _clashes(entry, request.POST, None, begun, by=staff):
            saved = save_new(entry, request.POST, job=job, key=begun.pk, by=staff)
            if isinstance(saved, Room):
                return _to_layout(request, saved)
            context["kept"] = saved or begun
            seen = fingerprints(None, saved or begun)
        elif "save" not in request.POST:
            seen = request.POST.get("seen", seen)
    else:
        entry = _entry_as_kept(begun, unit=unit)
        entry.asks = request.POST.get("ask", "")
    more = {"key": begun.pk, "seen": seen, "then": request.path, "stays": True, "posted": posted}
    return _page(request, entry, {**context, **more})


@require_http_methods(["GET", "POST"])
@keep_on_phone
def edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The same form for a room that is there; what came with its file and has no field stays as it is."""
    staff = require_office(request.user)
    unit, replay = shop_unit(), replay_of(request)
    if replay and not Room.objects.filter(pk=pk).exists() and (job := _job_of(Room, pk, staff)):
        entry = _entry_from_post(request.POST, unit=unit, saves=True)
        return save_late(replay, entry, request.POST, job=job, about=pk, save=lambda: None, by=staff)
    if kept := _kept_elsewhere(request, pk):
        return kept
    room = room_with_parts(get_room(staff, pk))
    base = room_to_file(room)
    begun = unfinished_changes(room)
    seen = fingerprints(room, begun)
    now = state_of_room(room, base, unit=unit)
    locked = actions.why_locked(room.job)
    fits, posted = fits_the_page(now), "surfaces" in request.POST
    if not fits:
        locked = locked or _(
            "This room has more surfaces and openings than a form takes. Upload its changed file instead."
        )
    if "remove_room" in request.POST:
        return _remove(request, room, by=staff)
    if begun and "drop" in request.POST:
        return _drop(request, begun, by=staff)
    if replay or posted:
        entry = _entry_from_post(request.POST, unit=unit, room=room, base=base, saves=replay is not None)
        if replay:
            save = partial(save_changes, entry, request.POST, room=room, seen="", by=staff)
            return save_late(replay, entry, request.POST, job=room.job, about=room.pk, save=save, by=staff)
        if "save" not in request.POST:
            seen = request.POST.get("seen", seen)
        elif not locked and not _clashes(entry, request.POST, room, begun, by=staff):
            saved = save_changes(entry, request.POST, room=room, seen=seen, by=staff)
            if isinstance(saved, Room):
                return _as_it_is_now(request, room)
            begun = saved or begun
            seen = fingerprints(room, begun)
    elif begun:
        entry = _entry_as_kept(begun, unit=unit, room=room, base=base)
    else:
        entry = RoomEntry(now, unit=unit, base=base, room_tile=room.tile)
    if not posted:
        entry.asks = request.POST.get("ask", "")
    context = {
        "job": room.job,
        "room": room,
        "key": key_from(request.POST.get("key", "")) if posted else begun.pk if begun else uuid7(),
        "seen": seen,
        # A page too large to come back whole shows nothing of what was sent.
        "posted": posted and fits,
        "then": reverse("rooms:unfinished", args=[room.pk]),
        "stays": True,
        "locked": locked,
        "kept": begun,
        "late": others_changes(entry, room) if locked and begun else (),
        "droppable": begun is not None,
        "removable": not locked and current_layout(room) is None and not surveys_of_room(room).exists(),
    }
    return _page(request, entry, context)


@require_POST
def drawn(request: HttpRequest, job_pk: UUID) -> HttpResponse:
    """The drawings of what is being typed of a new room."""
    get_job(require_office(request.user), job_pk)
    return _drawn(request, RoomEntry(state_of_post(request.POST), unit=shop_unit(), bound=True))


@require_POST
def drawn_anew(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The drawings of a room with the changes that are being typed."""
    room = room_with_parts(get_room(require_office(request.user), pk))
    entry = RoomEntry(
        state_of_post(request.POST), unit=shop_unit(), base=room_to_file(room), room_tile=room.tile, bound=True
    )
    return _drawn(request, entry)


def _after() -> str:
    """The page after a new room was sent, with the zero key in the place of the one that the phone makes for it."""
    return reverse("rooms:unfinished", args=[UUID(int=0)])


def _drawn(request: HttpRequest, entry: RoomEntry) -> HttpResponse:
    entry.is_valid()
    return render(request, "rooms/office/_drawn.html", {"drawings": drawings(entry), "oob": True})


def _page(request: HttpRequest, entry: RoomEntry, context: Mapping[str, Any]) -> HttpResponse:
    room = context.get("room")
    back = reverse("rooms:detail", args=[room.pk]) if room else reverse("home:job", args=[context["job"].pk])
    drawn_at = reverse("rooms:drawn_anew", args=[room.pk]) if room else reverse("rooms:drawn", args=[context["job"].pk])
    parts = list(zip(entry.surfaces, drawings(entry.checked()), strict=True))
    after = request.POST.get("after", "")
    more = {"entry": entry, "parts": parts, "drawn_at": drawn_at, "back": back, "unit": entry.unit, "after": after}
    more |= _blanks(entry)
    return render(request, "rooms/office/entry.html", {**context, **more})


def _blanks(entry: RoomEntry) -> dict[str, Any]:
    """What the page adds by itself while there is no signal."""
    surfaces = [entry.blank_surface(kind) for kind in (SurfaceKind.WALL, SurfaceKind.FLOOR)]
    opening, leg = surfaces[0].openings[0], surfaces[0].legs[0]
    nothing = Drawing(BLANK, "", (), ())
    bare = [(replace(part, openings=[], legs=[]), nothing) for part in surfaces]
    return {"blank_surfaces": bare, "blank_opening": opening, "blank_leg": leg, "blank_corner": entry.blank_corner()}


def _entry_from_post(
    post: QueryDict, *, unit: Unit, room: Room | None = None, base: Any = None, saves: bool = False
) -> RoomEntry:
    state, focus, asks = state_of_post(post), "", post.get("ask", "")
    if "add" in post:
        state, focus = grown(state, post.get("add", ""), unit=unit)
    elif "remove" in post:
        state = shrunk(state, post.get("remove", ""))
    elif says_nothing(state, asks, base=base or {}):
        state, asks = shrunk(state, asks), ""
    tile = room.tile if room else None
    bound = saves or "save" in post
    return RoomEntry(state, unit=unit, base=base, room_tile=tile, bound=bound, focus=focus, asks=asks)


def _entry_as_kept(begun: Unfinished, *, unit: Unit, room: Room | None = None, base: Any = None) -> RoomEntry:
    """What was typed, checked as when it was saved."""
    tile = room.tile if room else None
    entry = RoomEntry(state_of_post(begun.typed), unit=unit, base=base, room_tile=tile, bound=True)
    if room and changed_since(begun, room):
        entry.is_valid()
        _tell_changes(entry, room)
    elif entry.is_valid():
        # The engine had something to say of it, or why it was kept beside the room.
        entry.general += begun.lacks
    return entry


def _clashes(entry: RoomEntry, post: QueryDict, room: Room | None, begun: Unfinished | None, *, by: Staff) -> bool:
    """Whether somebody else changed what the page has seen: then the entry says so, and what saving would replace."""
    why = clash(post, room, begun, by=by) if "seen" in post else ""
    if not why:
        return False
    entry.is_valid()
    entry.general.append(why)
    _tell_changes(entry, room)
    return True


def _tell_changes(entry: RoomEntry, room: Room | None) -> None:
    entry.general.append(
        _("Somebody else changed this since. Below stands what you typed; saving it now replaces theirs.")
    )
    entry.general += others_changes(entry, room) if room else ()


def _job_of(model: type[Room] | type[Unfinished], pk: UUID, staff: Staff) -> Job:
    """The job of what is there, or was; Http404 where it is none of this person's."""
    found = model.objects.filter(pk=pk).first() or Room.objects.filter(pk=pk).first()
    return get_job(staff, found.job_id if found else job_of_gone(model, pk) or pk)


def _kept_elsewhere(request: HttpRequest, pk: UUID) -> HttpResponse | None:
    """What a phone sent of a room that was gone by then is an unfinished room of that item's key: the way there."""
    key = key_from(request.POST.get("key", ""))
    found = request.method == "POST" and key != pk and Unfinished.objects.filter(pk=key, room=None).exists()
    return redirect("rooms:unfinished", key) if found else None


def _as_it_is_now(request: HttpRequest, room: Room) -> HttpResponse:
    messages.success(request, _("%(room)s is kept as it is now.") % {"room": room})
    return redirect("rooms:layout", room.pk)


def _to_layout(request: HttpRequest, room: Room) -> HttpResponse:
    messages.success(request, _("%(room)s is kept. Now choose its layout.") % {"room": room})
    return redirect("rooms:layout", room.pk)


def _save_again(request: HttpRequest, entry: RoomEntry, room: Room, *, by: Staff) -> HttpResponse | None:
    """Where a new room's form leads that comes once more; None where nothing may be kept, and the entry says why."""
    saved = save_again(entry, request.POST, room=room, by=by)
    if isinstance(saved, Unfinished):
        return redirect("rooms:edit", room.pk)
    return _to_layout(request, saved) if saved else None


def _remove(request: HttpRequest, room: Room, *, by: Staff) -> HttpResponse:
    try:
        give_up(request.POST, partial(actions.remove_room, room=room, by=by), job=room.job, about=room.pk, by=by)
    except Refused as error:
        messages.error(request, str(error))
        return redirect("rooms:edit", room.pk)
    messages.success(request, _("%(room)s is removed.") % {"room": room})
    return redirect("home:job", room.job_id)


def _drop(request: HttpRequest, begun: Unfinished, *, by: Staff) -> HttpResponse:
    drop = partial(actions.drop_unfinished, unfinished=begun, by=by)
    try:
        give_up(request.POST, drop, job=begun.job, about=begun.room_id or begun.pk, by=by)
    except Refused as error:
        messages.error(request, str(error))
        return redirect(request.path)
    messages.success(request, _("What was typed of %(room)s is dropped.") % {"room": begun})
    return redirect("rooms:detail", begun.room_id) if begun.room_id else redirect("home:job", begun.job_id)
