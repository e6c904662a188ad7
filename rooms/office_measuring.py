"""An empty measure sheet for the tape and a pencil: what the entry page will ask, on one printed page."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from jobs.access import get_job
from rooms.models import SurfaceKind
from rooms.shapes import BY_KEY, SHAPES
from shop.access import not_found, require_office

_HUNG = (SurfaceKind.WALL, SurfaceKind.JAMB)
_OPENING_ROWS = range(6)


@require_safe
def measure_sheet(request: HttpRequest, job_pk: UUID) -> HttpResponse:
    """The sheet of one of the starting shapes, `?shape=`; what it says is typed in on that shape's entry page."""
    staff = require_office(request.user)
    job = get_job(staff, job_pk)
    found = BY_KEY.get(request.GET.get("shape", SHAPES[0].key)) or not_found()
    hung = [surface for surface in found.surfaces if surface["kind"] in _HUNG]
    flat = [surface for surface in found.surfaces if surface["kind"] not in _HUNG]
    corners = [(found.surfaces[left]["name"], found.surfaces[right]["name"]) for left, right, _first in found.corners]
    context = {
        "job": job,
        "shape": found,
        "hung": hung,
        "flat": flat,
        "corners": corners,
        "opening_rows": _OPENING_ROWS,
    }
    return render(request, "rooms/office/measure_sheet.html", context)
