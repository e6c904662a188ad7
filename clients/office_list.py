"""Clients from a file, for owner and office."""

from typing import cast

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from base.errors import Refused
from base.tables import Table
from clients.actions import WithKnown, take_clients
from clients.client_list import COLUMNS, fates_of
from clients.forms import WithKnownForm
from shop.access import require_office
from shop.table_files import csv_response, table_page


@require_http_methods(["GET", "POST"])
def client_list(request: HttpRequest) -> HttpResponse:
    """Buttons: read (a file), take (what was shown), page and show (of what is shown)."""
    staff = require_office(request.user)
    options = WithKnownForm(request.POST if "with_known" in request.POST or "take" in request.POST else None)

    def take(table: Table, seen: str) -> str:
        if not options.is_valid():
            raise Refused(_("Say what becomes of clients who are there already."))
        with_known = cast(WithKnown, options.cleaned_data["with_known"])
        clients, sites, known = take_clients(table=table, seen=seen, with_known=with_known, by=staff)
        said = [
            ngettext("%(count)s client taken over", "%(count)s clients taken over", clients) % {"count": clients},
            ngettext("%(count)s site", "%(count)s sites", sites) % {"count": sites},
        ]
        if known:
            there = ngettext("%(count)s was there already", "%(count)s were there already", known)
            said.append(there % {"count": known})
        return ", ".join(said) + "."

    return table_page(
        request,
        by=staff,
        purpose="clients",
        columns=COLUMNS,
        plan=fates_of,
        take=take,
        template="clients/office/client_list.html",
        onward="clients:list",
        options=options,
    )


@require_safe
def client_list_file(request: HttpRequest) -> HttpResponse:
    """The headings, to be filled in."""
    require_office(request.user)
    return csv_response([[str(column.label) for column in COLUMNS]], name="clients")
