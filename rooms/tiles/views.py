"""The shop's tiles, for owner and office; a room's tiles and their boxes, for everybody on the job."""

from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.db.models import Count
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from base.keys import key_from, uuid7
from layout import RoomError
from rooms.access import get_room
from rooms.actions import why_locked
from rooms.models import BoxReading, Room, Tile
from rooms.queries import room_with_parts, shop_unit
from rooms.surveys.entering import framed
from rooms.tiles import keeping
from rooms.tiles.box import BoxForm, advise, named, sample_of, tile_in
from rooms.tiles.forms import ROLES, RoomTileForm, ShopTileForm, joint_of
from rooms.tiles.worn import tiles_of
from shop.access import require_office, require_staff
from shop.models import Staff
from shop.phone import is_phone, keep_on_phone, not_taken, receipt, replay_of
from shop.queries import shop_limits

# ---------------------------------------------------------------- the shop's list


@require_safe
def shop_list(request: HttpRequest) -> HttpResponse:
    """The tiles that this shop offers for its rooms, and the archived ones."""
    require_office(request.user)
    tiles = list(Tile.objects.annotate(used=Count("rooms")))
    context = {
        "tiles": [tile for tile in tiles if not tile.archived],
        "archived": [tile for tile in tiles if tile.archived],
    }
    return render(request, "rooms/tiles/shop_list.html", context)


@require_http_methods(["GET", "POST"])
def shop_new(request: HttpRequest) -> HttpResponse:
    """A tile for the shop's list; from the page of a room that is to wear it, the way leads back there."""
    staff = require_office(request.user)
    room = get_room(staff, key_from(request.GET["room"])) if "room" in request.GET else None
    return _shop_tile(request, staff, Tile(), room=room)


@require_http_methods(["GET", "POST"])
def shop_tile(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One of the shop's tiles, to be changed, archived, or offered again."""
    staff = require_office(request.user)
    tile = get_object_or_404(Tile, pk=pk)
    if request.method == "POST" and "remove" in request.POST:
        gone = keeping.remove_tile(tile=tile, by=staff)
        told = _("%(tile)s is removed.") if gone else _("%(tile)s is archived: rooms and rates that have it keep it.")
        messages.success(request, told % {"tile": tile})
        return redirect("rooms:tiles")
    if request.method == "POST" and "offer" in request.POST:
        keeping.offer_tile(tile=tile, by=staff)
        messages.success(request, _("%(tile)s is offered again.") % {"tile": tile})
        return redirect("rooms:tiles")
    return _shop_tile(request, staff, tile)


def _shop_tile(request: HttpRequest, staff: Staff, tile: Tile, *, room: Room | None = None) -> HttpResponse:
    known = None if tile._state.adding else tile
    form = ShopTileForm(request.POST or None, unit=shop_unit(), tile=known)
    if request.method == "POST" and form.is_valid():
        kept = keeping.save_tile(tile=tile, values=form.values(), by=staff)
        messages.success(request, _("%(tile)s is kept.") % {"tile": kept})
        back = reverse("rooms:room_tile", args=[room.pk]) + f"?pick={kept.pk}" if room else reverse("rooms:tiles")
        return redirect(back)
    context = {"form": form, "tile": known, "used": known.rooms.count() if known else 0}
    return render(request, "rooms/tiles/shop_tile.html", context, status=422 if form.errors else 200)


# ---------------------------------------------------------------- a room's tiles


@require_safe
@keep_on_phone
def of_room(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The room's tiles by what they are for, what wears them, and what was measured out of their boxes."""
    room = room_with_parts(get_room(request.user, pk))
    locked, office, readings = why_locked(room.job), _runs_the_office(request), _readings(room)
    context = {
        "locked": locked,
        "office": office,
        "changes": office and not locked,
        "tiles": [_shown(room, name, tile, readings) for name, tile in tiles_of(room)],
    }
    return render(request, "rooms/tiles/of_room.html", framed(request, room, context))


@require_http_methods(["GET", "POST"])
def of_room_edit(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One more tile of the room, or one that it has: what wears it, and how it is laid."""
    staff = require_office(request.user)
    room = room_with_parts(get_room(staff, pk))
    was = _name_asked(request, room)
    locked = why_locked(room.job)
    form = RoomTileForm(None, unit=shop_unit(), room=room, was=was, picked=request.GET.get("pick", ""))
    if request.method == "POST":
        form = RoomTileForm(request.POST, unit=shop_unit(), room=room, was=was)
        told = _tile_posted(request, room, was, form, staff)
        if told:
            messages.success(request, told)
            return redirect("rooms:room_tiles", room.pk)
    context = {
        "job": room.job,
        "room": room,
        "form": form,
        "was": was,
        "roles": ROLES,
        "locked": locked,
        "tile": tile_in(room, was) if was else None,
    }
    return render(request, "rooms/tiles/of_room_edit.html", context, status=422 if form.errors else 200)


def _tile_posted(request: HttpRequest, room: Room, was: str, form: RoomTileForm, staff: Staff) -> str:
    """What was done, in words; empty where the form says why not."""
    try:
        if "refresh" in request.POST:
            keeping.as_the_shop_says(room=room, by=staff)
            return _("%(room)s has its tile as the shop’s list has it.") % {"room": room}
        if was and "remove" in request.POST:
            keeping.undress(room=room, name=was, by=staff)
            return _("The tile for %(name)s is taken out of %(room)s.") % {"name": was, "room": room}
        if not form.is_valid():
            return ""
        said = form.cleaned_data
        keeping.dress(
            room=room,
            name=said["name"],
            tile=said["tile"],
            laid=form.laid(),
            was=was,
            by=staff,
        )
    except RoomError as error:
        form.add_error(None, str(error))
    except Refused as error:
        form.add_error("name" if isinstance(error, keeping.TileTaken) else None, str(error))
    else:
        return _("The tiles of %(room)s are kept.") % {"room": room}
    return ""


@require_http_methods(["GET", "POST"])
@keep_on_phone
def box(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Five tiles out of the box, and what they say at once; kept, and taken over into the room's tile. What a phone
    kept without signal is the same form."""
    room = room_with_parts(get_room(request.user, pk))
    staff = require_staff(request.user)
    unit, replay = shop_unit(), replay_of(request)
    name = request.POST.get("of", request.GET.get("tile", ""))
    if replay and name not in _names(room):
        return not_taken(replay, _("The room has no tile for %(name)s any more.") % {"name": name})
    _known_or_404(room, name)
    if "take" in request.POST or "reading" in request.POST:
        require_office(staff)
    if "reading" in request.POST:
        reading = get_object_or_404(BoxReading, pk=key_from(request.POST["reading"]), room=room)
        _take(request, reading, staff)
        return redirect("rooms:room_tiles", room.pk)
    keeps = replay is not None or "keep" in request.POST or "take" in request.POST
    key = replay.key if replay else key_from(request.POST.get("key", ""))
    here = _address("rooms:box", room, name)
    form = BoxForm(request.POST or None, tile=tile_in(room, name), unit=unit, address=here, strict=keeps)
    form.is_valid()
    if keeps:
        refused = _keep(request, form, room, name, key, staff)
        if replay:
            return not_taken(replay, refused) if refused else receipt(replay)
        if not refused:
            return redirect("rooms:room_tiles", room.pk)
    readings = _readings(room).get(name, [])
    pieces = form.pieces if form.is_bound else [piece for each in readings[:1] for piece in each["sample"].pieces]
    context = {
        "form": form,
        "name": name,
        "here": here,
        "tile": tile_in(room, name),
        "key": key if request.method == "POST" else uuid7(),
        "locked": why_locked(room.job),
        "office": _runs_the_office(request),
        "complains": keeps,
        "advice": _worded(advise(pieces, room=room, name=name, unit=unit, limits=shop_limits())),
        "readings": readings,
    }
    status = 422 if keeps and form.errors else 200
    return render(request, "rooms/tiles/box.html", framed(request, room, context), status=status)


def _keep(
    request: HttpRequest, form: BoxForm, room: Room, name: str, key: UUID, staff: Staff
) -> BoxForm | Refused | None:
    """Keeps what was read, and takes it over where that is asked for and this key wasn't kept before. None, or what was
    wrong, which the form has as well."""
    if not form.is_valid():
        return form
    with transaction.atomic():
        known = BoxReading.objects.filter(pk=key).exists()
        try:
            reading = keeping.keep_box(room=room, name=name, pieces=form.pieces, key=key, by=staff)
        except Refused as error:
            form.add_error(None, str(error))
            return error
        if "take" in request.POST and not known:
            _take(request, reading, staff)
    if "keep" in request.POST and not is_phone(request):
        messages.success(request, _("The readings of %(tile)s are kept.") % {"tile": reading})
    return None


def _take(request: HttpRequest, reading: BoxReading, staff: Staff) -> None:
    """Takes a reading over into the room, or says why not: the reading is kept either way."""
    try:
        keeping.take_box(reading=reading, by=staff)
    except (Refused, RoomError) as error:
        told = _("The readings are kept, but the room stays as it is: %(error)s") % {"error": error}
        messages.error(request, told)
    else:
        messages.success(request, _("%(room)s has the size, spread and bow as measured.") % {"room": reading.room})


# ---------------------------------------------------------------- inside


def _shown(room: Room, name: str, tile: Tile, readings: Mapping[str, list[Any]]) -> dict[str, Any]:
    """One tile of a room, for the page."""
    wearing = [each for each in room.surfaces.all() if each.more.get("tile", "") == name]
    return {
        "name": name,
        "tile": tile,
        "surfaces": [{"surface": each, "joint": joint_of(each)} for each in wearing],
        "readings": readings.get(name, []),
        "box": _address("rooms:box", room, name),
        "edit": _address("rooms:room_tile", room, name),
        "differs": not name and tile is not room.tile,
    }


def _address(page: str, room: Room, name: str) -> str:
    """A page about one of the room's tiles."""
    return reverse(page, args=[room.pk]) + (f"?{urlencode({'tile': name})}" if name else "")


def _readings(room: Room) -> dict[str, list[dict[str, Any]]]:
    """What was measured out of boxes, the newest first, by the name of the tile. One query."""
    found: dict[str, list[dict[str, Any]]] = {}
    for reading in BoxReading.objects.filter(room=room).select_related("by"):
        found.setdefault(reading.tile, []).append({"reading": reading, "sample": sample_of(reading)})
    return found


def _name_asked(request: HttpRequest, room: Room) -> str:
    """The name of one of the room's further tiles that the address asks for; empty for none. Http404 for another."""
    name = request.GET.get("tile", "")
    _known_or_404(room, name)
    return name


def _known_or_404(room: Room, name: str) -> None:
    if name not in _names(room):
        raise Http404


def _names(room: Room) -> list[str]:
    """Of the room's tiles; empty for its own."""
    return ["", *room.more.get("tiles", {})]


def addresses(rooms: Iterable[Room]) -> list[str]:
    """The pages of the rooms' tiles that a phone takes along for the day. No query."""
    pages = list[str]()
    for room in rooms:
        pages.append(reverse("rooms:room_tiles", args=[room.pk]))
        pages += [_address("rooms:box", room, name) for name in _names(room)]
    return pages


def _worded(advice: Any) -> Any:
    return advice and {"is": advice, "ways": named(advice.ways)}


def _runs_the_office(request: HttpRequest) -> bool:
    return isinstance(request.user, Staff) and request.user.runs_the_office
