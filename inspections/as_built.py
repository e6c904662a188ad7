"""Taking over what was built while the accepted work is under way: its phases hang on it, so it stands here."""

from functools import partial
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from inspections.actions import lay_anew_as_built
from rooms.access import get_room
from rooms.office_rough_in import office_page
from shop.access import require_office


@require_http_methods(["GET", "POST"])
def take_over(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The rough-in sheet's button. What was typed stands on the sheet's page again where it can't be taken."""
    staff = require_office(request.user)
    room = get_room(staff, pk)
    if request.method == "GET":  # the address of a refused form, opened once more
        return redirect("rooms:rough_in", room.pk)
    reason = request.POST.get("reason", "")
    return office_page(request, room, by=staff, take_over=partial(lay_anew_as_built, reason=reason))
