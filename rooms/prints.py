"""The sheet as a PDF: asked for by whoever is on the job, made by a worker, fetched from the room's sheet."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from base.errors import Refused
from documents.responses import send, send_state
from rooms.access import get_room, get_sheet_print
from rooms.actions import print_sheet
from rooms.models import Layout, SheetPrint
from shop.access import require_staff


def prints_of(layout: Layout | None, prints: Iterable[SheetPrint]) -> dict[str, Any]:
    """For the sheet's page: `prints` of the layout that counts, the newest of each paper, and `replaced` ones."""
    newest: dict[str, SheetPrint] = {}
    replaced = []
    for each in prints:
        if layout is None or each.layout_id != layout.pk:
            replaced.append(each)
        else:
            newest.setdefault(each.paper, each)
    return {"prints": list(newest.values()), "replaced": replaced}


@require_POST
def ask(request: HttpRequest, pk: UUID) -> HttpResponse:
    room = get_room(request.user, pk)
    try:
        print_sheet(room=room, paper=request.POST.get("paper", ""), by=require_staff(request.user))
    except Refused as error:
        messages.error(request, str(error))
    else:
        messages.success(request, _("The wall sheet is on its way. Its PDF appears on this page."))
    return redirect("rooms:sheet", room.pk)


def state(request: HttpRequest, pk: UUID) -> HttpResponse:
    """How far the PDF is; a POST tries a failed one again."""
    printed = get_sheet_print(request.user, pk)
    return send_state(
        request,
        printed.document,
        state_url=reverse("rooms:sheet_state", args=[pk]),
        file_url=reverse("rooms:sheet_file", args=[pk]),
        by=require_staff(request.user),
    )


@require_GET
def file(request: HttpRequest, pk: UUID) -> HttpResponseBase:
    return send(get_sheet_print(request.user, pk).document)
