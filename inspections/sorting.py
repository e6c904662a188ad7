"""Photos to sort, for everybody on the job: what each shows, and where."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from base.errors import Refused
from base.keys import key_from
from inspections.actions import sort_photo
from inspections.queries import phases_of_job, unsorted_photos
from inspections.sort_form import SortForm
from jobs.access import get_job
from jobs.models import Job, Photo
from rooms.drawn import drawn_surfaces
from rooms.queries import rooms_of_job, shop_unit
from shop.access import require_staff
from shop.phone import happened_at, keep_on_phone, not_taken, receipt, replay_of


@require_http_methods(["GET", "HEAD", "POST"])
@keep_on_phone
def sort(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The job's photos to sort; a POST sorts one. `?photo=`: one that was sorted before stands among them."""
    job = get_job(request.user, pk)
    staff, replay = require_staff(request.user), replay_of(request)
    rooms, again = list(rooms_of_job(job)), _asked_for(request, job)
    form = SortForm(
        request.POST if request.method == "POST" else None,
        job=job,
        rooms=rooms,
        phases=phases_of_job(job),
        units=shop_unit(),
        initial=_initial(rooms, again),
    )
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        words = {"photo": data["photo"], "room": data["room"], "check": data["check"], "spot": form.spot}
        try:
            sort_photo(**words, by=staff, happened_at=happened_at(replay), key=data["key"])
        except Refused as refusal:
            form.come_back(refusal)
            if replay:
                return not_taken(replay, refusal)
        else:
            return receipt(replay) if replay else redirect(_back(data["photo"], again))
    if replay:
        return not_taken(replay, form)
    return _page(request, job, form, rooms, again)


def _asked_for(request: HttpRequest, job: Job) -> Photo | None:
    key = key_from(request.GET.get("photo", ""))
    return Photo.objects.filter(job=job, pk=key).select_related("by").first() if "photo" in request.GET else None


def _initial(rooms: list[Any], again: Photo | None) -> dict[str, str]:
    alone = {"room": str(rooms[0].pk)} if len(rooms) == 1 else {}
    return alone | ({"photo": str(again.pk)} if again else {})


def _back(photo: Photo, again: Photo | None) -> str:
    """To the card that shows a photo sorted again; else the next one is sorted."""
    newest = photo.sortings.order_by("happened_at", "id").last()
    if again and newest and newest.check_shown:
        return reverse("inspections:phase", args=[newest.check_shown.phase_id]) + f"#check-{newest.check_shown_id}"
    return reverse("inspections:sort", args=[photo.job_id])


def _page(request: HttpRequest, job: Job, form: SortForm, rooms: list[Any], again: Photo | None) -> HttpResponse:
    photos = list(unsorted_photos().filter(job=job).select_related("by"))
    if again and again not in photos:
        photos.insert(0, again)
    names = {room.name: str(room.pk) for room in rooms}
    units = shop_unit()
    context = {
        "job": job,
        "form": form,
        # A photo taken on a room's page is called by the room.
        "photos": [(photo, names.get(photo.caption, "")) for photo in photos],
        "again": again,
        "units": units,
        "drawings": [drawn for room in rooms for drawn in drawn_surfaces(room, shown_in=units)],
    }
    side = "office" if require_staff(request.user).runs_the_office else "field"
    return render(request, f"inspections/{side}/sort.html", context, status=422 if form.errors else 200)
