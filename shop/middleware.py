"""Every request is answered in the shop's own time zone and language."""

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

import pghistory.middleware
from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation

from shop.queries import one_reading_of_settings


class ShopMiddleware:
    """Puts the settings on `request.shop` and turns its time zone and language on."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with one_reading_of_settings() as shop:
            request.shop = shop  # type: ignore[attr-defined]
            with translation.override(shop.locale), timezone.override(ZoneInfo(shop.time_zone)):
                return self.get_response(request)


class HistoryMiddleware(pghistory.middleware.HistoryMiddleware):
    """Who did it goes into the history; the address doesn't, since a client's link is a secret."""

    def get_context(self, request: HttpRequest) -> dict[str, Any]:
        user = getattr(request, "user", None)
        return {"user": str(user.pk) if user and user.is_authenticated else None, "method": request.method}
