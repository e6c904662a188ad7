"""What the phone's own scripts ask for: the worker that answers without signal, who is logged in, the day's pages,
and what of theirs the server has. The pages themselves are the apps' own."""

import hashlib
import json
from functools import lru_cache
from uuid import UUID

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from home.queries import today_of
from inspections.surveying import addresses as addresses_for_checks
from jobs.access import jobs_of
from jobs.models import Stage
from rooms.models import Room
from rooms.queries import rooms_laid_out, with_parts
from rooms.shapes import SHAPES
from rooms.surveys.offline import survey_addresses
from rooms.tiles.views import addresses as tile_addresses
from shop.access import require_staff
from shop.phone import keep_on_phone, keys_taken

MOST_ASKED = 2000
"""Keys that a phone asks about at a time."""

MOST_TO_MEASURE = 10
"""Jobs, the newest, whose pages for new rooms the office's phones take along."""


@lru_cache
def _worker() -> str:
    """The service worker with the addresses of the files that every page needs; another build is another version."""
    folder = settings.BASE_DIR / "static"
    files = sorted(
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.suffix in (".js", ".css", ".woff2", ".svg") and path.name != "worker.js"
    )
    addresses = [static(file) for file in files if "ext-" not in file]
    source = (folder / "js/phone/worker.js").read_text(encoding="utf-8")
    version = hashlib.sha256((source + "".join(addresses)).encode()).hexdigest()[:12]
    return f"const VERSION = {json.dumps(version)};\nconst FILES = {json.dumps(addresses)};\n{source}"


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """At the root, since a worker answers only for addresses below its own."""
    return HttpResponse(_worker(), content_type="text/javascript", headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """What a phone needs to put Gaugerod on its home screen."""
    icon = {"src": static("img/icon.svg"), "sizes": "any", "type": "image/svg+xml"}
    data = {
        "name": "Gaugerod",
        "short_name": "Gaugerod",
        "start_url": reverse("home:today"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#ffffff",
        "theme_color": "#ffffff",
        "icons": [icon],
    }
    return JsonResponse(data, content_type="application/manifest+json")


@never_cache
@require_safe
def me(request: HttpRequest) -> JsonResponse:
    """Who is logged in, and the token that a form needs: asked before anything kept on the phone is sent."""
    staff = require_staff(request.user)
    return JsonResponse({"user": str(staff.pk), "name": staff.name, "csrf": get_token(request)})


@never_cache
@require_safe
def day(request: HttpRequest) -> JsonResponse:
    """The pages of the person's jobs, and of rooms to measure, to be kept on the phone before the van leaves; `later`,
    when those are, the pages of surveys, of tiles and of rooms to change, which are many. A known number of queries."""
    staff = require_staff(request.user)
    today = today_of(staff)
    entries = today.booked + today.others
    laid_out = rooms_laid_out(entry.job for entry in entries)
    rooms = with_parts(Room.objects.filter(job__in=[entry.job.pk for entry in entries]).part_of_the_job()).in_bulk()
    pages = [reverse("home:today"), reverse("home:pin"), reverse("home:phone_waiting")]
    for entry in entries:
        job = entry.job
        pages += [reverse(name, args=[job.pk]) for name in ("home:job", "jobs:photo_new", "inspections:sort")]
        if job.stage in (Stage.WORKING, Stage.PUNCH_LIST):
            pages += [reverse(name, args=[job.pk]) for name in ("inspections:punch_list", "estimating:change_raise")]
        for room in job.rooms.all():
            pages += [reverse("inspections:room", args=[room.pk]), reverse("rooms:detail", args=[room.pk])]
            if room.pk in laid_out:
                pages += [reverse(name, args=[room.pk]) for name in ("rooms:sheet", "rooms:rough_in")]
        pages += [reverse("inspections:phase", args=[view.phase.pk]) for view in entry.phases]
    measured, changes = dict[UUID, Room](), list[str]()
    if staff.runs_the_office:
        measuring = jobs_of(staff).filter(stage=Stage.MEASURING).order_by("-number")
        for job in measuring.prefetch_related("rooms", "unfinished_rooms")[:MOST_TO_MEASURE]:
            new = reverse("rooms:new", args=[job.pk])
            pages += [reverse("home:job", args=[job.pk]), new, *(f"{new}?shape={shape.key}" for shape in SHAPES)]
            measured |= {room.pk: room for room in job.rooms.all()}
            changes += [reverse("rooms:edit", args=[room.pk]) for room in job.rooms.all()]
            begun = [each.pk for each in job.unfinished_rooms.all() if each.room_id is None]
            changes += [reverse("rooms:unfinished", args=[pk]) for pk in begun]
    surveys = [
        address
        for entry in entries
        for view in entry.phases_of_the_day
        for address in addresses_for_checks(view, rooms[view.phase.room_id])
    ]
    later = surveys + survey_addresses(rooms.values()) + tile_addresses({**rooms, **measured}.values()) + changes
    return JsonResponse({"user": str(staff.pk), "pages": pages, "later": later})


@require_POST
def known(request: HttpRequest) -> HttpResponse:
    """Of which keys that a phone was given receipts for none is here: the server's data came back from a backup."""
    require_staff(request.user)
    try:
        keys = {UUID(key) for key in json.loads(request.body)["keys"]}
    except (ValueError, TypeError, KeyError, AttributeError):
        return HttpResponseBadRequest(_("Send the keys as JSON."))
    if len(keys) > MOST_ASKED:
        return HttpResponseBadRequest(_("Too many keys at a time."))
    return JsonResponse({"missing": sorted(str(key) for key in keys - keys_taken(keys))})


@login_not_required
@require_safe
@keep_on_phone
def waiting(request: HttpRequest) -> HttpResponse:
    """What waits on this phone. The list is the phone's own: the server knows nothing of it yet."""
    return render(request, "home/phone/waiting.html")


@require_safe
@keep_on_phone
def pin(request: HttpRequest) -> HttpResponse:
    """Where a person gives this phone a PIN. It never comes here: docs/decisions/0018."""
    require_staff(request.user)
    return render(request, "home/phone/pin.html")


@login_not_required
@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """What stands in the place of a page that isn't on the phone while there is no signal: the worker brings it along
    with the files of the look."""
    return render(request, "home/phone/offline.html")
