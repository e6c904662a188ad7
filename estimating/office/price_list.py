"""The price list as a file: taken over, and handed out to be filled in."""

from django.http import HttpRequest, HttpResponse
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from base.tables import Table
from estimating import access
from estimating.actions import take_price_list
from estimating.price_list import COLUMNS, fates_of
from estimating.price_list import price_list as rates_as_list
from shop.table_files import csv_response, table_page


@require_http_methods(["GET", "POST"])
def price_list(request: HttpRequest) -> HttpResponse:
    """Buttons: read (a file), take (what was shown), page and show (of what is shown)."""
    owner = access.change_rates(request.user)

    def take(table: Table, seen: str) -> str:
        count = take_price_list(table=table, seen=seen, by=owner)
        return ngettext("%(count)s rate taken over.", "%(count)s rates taken over.", count) % {"count": count}

    return table_page(
        request,
        by=owner,
        purpose="rates",
        columns=COLUMNS,
        plan=fates_of,
        take=take,
        template="estimating/office/price_list.html",
        onward="estimating:rates",
    )


@require_safe
def price_list_file(request: HttpRequest) -> HttpResponse:
    access.change_rates(request.user)
    return csv_response(rates_as_list(), name="price-list")
