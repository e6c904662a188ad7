"""The room pages of owner and office; looking at a room and its sheet is also the installer's."""

import json
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from jobs.access import get_job
from layout import RoomError
from rooms import actions
from rooms.access import get_room
from rooms.chosen import chosen_room
from rooms.corners import corner_texts
from rooms.files import room_to_file
from rooms.forms import UploadForm
from rooms.materials import asked_for, other_ways, what_figures_say
from rooms.models import SheetPaper
from rooms.prints import prints_of
from rooms.queries import current_layout, is_stale, room_with_parts, sheet_prints, shop_unit, unfinished_changes
from rooms.relaid import relaid_text
from rooms.sheet import sheet_of
from rooms.sketch import opening_texts, sketch
from rooms.specification import conditions_of
from rooms.specifying import changes_of, forms_of
from rooms.tiles.box import named
from rooms.tiles.worn import tiles_of
from rooms.uploads import read_upload
from rooms.watching import watch_list
from shop.access import require_office
from shop.models import Staff
from shop.phone import keep_on_phone
from shop.queries import shop_limits, shop_settings


@require_http_methods(["GET", "POST"])
def specification(request: HttpRequest, pk: UUID) -> HttpResponse:
    """What the room is built of, and what follows: materials by class, and what the figures say of them."""
    staff = require_office(request.user)
    room = room_with_parts(get_room(staff, pk))
    unit, limits, layout = shop_unit(), shop_limits(), current_layout(room)
    conditions, tile = forms_of(room, unit=unit, data=request.POST or None)
    locked = actions.why_locked(room.job)
    if request.method == "POST" and not locked and conditions.is_valid() and tile.is_valid():
        try:
            actions.specify_room(
                room=room,
                conditions=changes_of(conditions, conditions_of(room)),
                tile=changes_of(tile, room.tile),
                by=staff,
            )
        except Refused as error:
            conditions.add_error(None, str(error))
        else:
            messages.success(request, _("The specification of %(room)s is kept.") % {"room": room})
            return redirect("rooms:specification", room.pk)
    context = {
        "job": room.job,
        "room": room,
        "conditions": conditions,
        "tile_sheet": tile,
        "locked": locked,
        "asked": asked_for(room, layout, unit=unit, limits=limits),
        "said": what_figures_say(room, layout, unit=unit, limits=limits),
        "ways": named(other_ways(room, layout, limits=limits)),
    }
    status = 422 if conditions.errors or tile.errors else 200
    return render(request, "rooms/office/specification.html", context, status=status)


@require_http_methods(["GET", "POST"])
def upload(request: HttpRequest, job_pk: UUID) -> HttpResponse:
    """A room file, from the tape's own notes or another program that writes the format."""
    staff = require_office(request.user)
    job = get_job(staff, job_pk)
    form = UploadForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            room = actions.import_room(
                job=job,
                data=read_upload(file, file.size),
                place=form.cleaned_data["place"],
                # Not ticked says nothing: the file may know.
                demolition=form.cleaned_data["demolition"] or None,
                by=staff,
            )
        except RoomError as error:
            form.add_error("place" if error.place == "place" else "file", _file_error(file.name, error))
        except Refused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _("%(room)s is kept. Now choose its layout.") % {"room": room})
            return redirect("rooms:layout", room.pk)
    context = {"job": job, "form": form, "locked": actions.why_locked(job)}
    return render(request, "rooms/office/upload.html", context)


@require_safe
@keep_on_phone
def detail(request: HttpRequest, pk: UUID) -> HttpResponse:
    """A room as measured, for everybody on the job."""
    room = room_with_parts(get_room(request.user, pk))
    base = room_to_file(room)
    layout = current_layout(room)
    stale = layout is not None and is_stale(room, layout)
    shown_in, limits = shop_unit(), shop_limits()
    sketches = [
        {
            "surface": surface,
            "svg": sketch(raw, units=base["units"], shown_in=shown_in),
            "openings": opening_texts(raw, units=base["units"], shown_in=shown_in),
        }
        for surface, raw in zip(room.surfaces.all(), base["surfaces"], strict=True)
    ]
    context = {
        "job": room.job,
        "room": room,
        "begun": unfinished_changes(room),
        "tiles": tiles_of(room),
        "sketches": sketches,
        "corners": corner_texts(base, unit=shown_in),
        "layout": layout,
        "stale": stale,
        "changes": chosen_room(layout).texts() if layout and not stale else [],
        "locked": actions.why_locked(room.job),
        "watch": watch_list(room, layout, unit=shown_in, limits=limits),
        "asked": asked_for(room, layout, unit=shown_in, limits=limits),
        "specified": hasattr(room, "conditions"),
    }
    return render(request, f"rooms/{_side(request)}/detail.html", context)


@require_safe
@keep_on_phone
def sheet(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The layout sheet: what the setter works by, on paper or phone."""
    room = room_with_parts(get_room(request.user, pk))
    layout = current_layout(room)
    context = {
        "job": room.job,
        "room": room,
        "layout": layout,
        "stale": layout is not None and is_stale(room, layout),
        "relaid": relaid_text(layout) if layout else "",
        "sheet": sheet_of(layout) if layout else None,
        "papers": SheetPaper.choices,
        "paper": shop_settings().paper,
        **prints_of(layout, sheet_prints(room)),
    }
    return render(request, f"rooms/{_side(request)}/sheet.html", context)


@require_safe
def file(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The room as a file, which any page that takes room files reads back."""
    room = room_with_parts(get_room(request.user, pk))
    text = json.dumps(room_to_file(room), ensure_ascii=False, indent=1)
    response = HttpResponse(text, content_type="application/json; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{slugify(room.name) or "room"}.json"'
    return response


def _side(request: HttpRequest) -> str:
    return "office" if isinstance(request.user, Staff) and request.user.runs_the_office else "field"


def _file_error(name: str, error: RoomError) -> str:
    return _("“%(file)s” can't be used: %(error)s. Correct it in the file, then pick the file again.") % {
        "file": name,
        "error": str(error).rstrip("."),
    }
