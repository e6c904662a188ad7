"""Photos of a job, for whoever may see the job: on the phone and in the office."""

from uuid import UUID

from csp.constants import UNSAFE_INLINE
from csp.decorators import csp_update
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _

from base.errors import Refused
from jobs import actions
from jobs.access import get_job, get_photo
from jobs.forms import PhotoForm
from shop.access import not_found, require_staff
from shop.phone import KEPT, happened_at, keep_on_phone, not_taken, receipt, replay_of


# Opened by itself, a picture is fitted to the screen by the browser's own viewer, which styles it inline.
@csp_update({"style-src": [UNSAFE_INLINE]})  # type: ignore[arg-type]
def photo(request: HttpRequest, pk: UUID) -> HttpResponse | FileResponse:
    """The photo's JPEG, with `?size=small` its small copy once there is one. A browser may keep it, and asks each time
    whether it may still show it; a phone keeps the small copy for the time without signal."""
    kept = get_photo(request.user, pk)
    small = request.GET.get("size") == "small" and bool(kept.thumb)
    file = kept.thumb if small else kept.file
    headers = {"ETag": f'"{kept.sha256}{"-small" if small else ""}"', "Cache-Control": "private, no-cache"}
    if small:
        headers[KEPT] = str(request.user.pk)
    if unchanged := get_conditional_response(request, etag=headers["ETag"]):
        for name, value in headers.items():
            unchanged.headers[name] = value
        return unchanged
    if not file.storage.exists(str(file.name)):
        not_found()
    picture = file.open("rb")
    return FileResponse(picture, content_type="image/jpeg", filename=f"{kept.pk}.jpg", headers=headers)


@keep_on_phone
def photo_new(request: HttpRequest, pk: UUID) -> HttpResponse:
    job = get_job(request.user, pk)
    staff = require_staff(request.user)
    form, replay = PhotoForm(request.POST or None, request.FILES or None), replay_of(request)
    if request.method == "POST" and form.is_valid():
        try:
            actions.keep_photo(
                job=job,
                by=staff,
                upload=form.cleaned_data["file"],
                happened_at=happened_at(replay),
                caption=form.cleaned_data["caption"],
                key=form.cleaned_data["key"],
                to_sort=True,
            )
        except Refused as refusal:
            form.add_error("file", str(refusal))
        else:
            messages.success(request, _("The photo is kept."))
            if replay:
                return receipt(replay)
            return redirect("home:job", job.pk)
    if replay:
        return not_taken(replay, form)
    side = "office" if staff.runs_the_office else "field"
    return render(request, f"jobs/{side}/photo_new.html", {"job": job, "form": form})
