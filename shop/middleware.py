"""Every request is answered in the shop's own time zone and its reader's language."""

from collections.abc import Callable
from typing import Any, cast
from zoneinfo import ZoneInfo

import pghistory.middleware
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.languages import language_of
from shop.models import Staff
from shop.phone import is_phone, not_taken, replay_of, unknown_version
from shop.queries import one_reading_of_settings
from shop.sessions import keep_logged_in


class ShopMiddleware:
    """Puts the settings on `request.shop` and turns its time zone and the reader's language on."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with one_reading_of_settings() as shop:
            request.shop = shop  # type: ignore[attr-defined]
            with translation.override(language_of(request, shop)), timezone.override(ZoneInfo(shop.time_zone)):
                return self.get_response(request)


class HistoryMiddleware(pghistory.middleware.HistoryMiddleware):
    """Who did it goes into the history; the address doesn't, since a client's link is a secret."""

    def get_context(self, request: HttpRequest) -> dict[str, Any]:
        user = getattr(request, "user", None)
        return {"user": str(user.pk) if user and user.is_authenticated else None, "method": request.method}


class LogInMiddleware(LoginRequiredMiddleware):
    """Every page asks for a log-in unless it says otherwise. The phone's own questions get 401 as JSON: a redirect,
    followed to the log-in page, would look like success and lose what was sent."""

    def process_view(self, request: HttpRequest, view_func: Any, view_args: Any, view_kwargs: Any) -> Any:
        if answer := super().process_view(request, view_func, view_args, view_kwargs):
            return answer
        if getattr(view_func, "login_required", True):
            keep_logged_in(request, cast(Staff, request.user))
        return None

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> HttpResponseBase:  # type: ignore[override]
        if is_phone(request):
            return JsonResponse({"kept": False, "log_in": True}, status=401)
        return super().handle_no_permission(request, view_func)


class PhoneMiddleware:
    """What a phone's queue sends is taken in one transaction with its receipt, whichever view takes it. The last of the
    middlewares: it calls the view."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        replay = replay_of(request)
        if replay is None:
            return None
        if why := unknown_version(request):
            return not_taken(replay, why)
        try:
            with transaction.atomic():
                return view(request, *args, **kwargs)
        except PermissionDenied as refused:
            return not_taken(replay, str(refused) or _("Your role in the shop doesn't open this page."), status=403)
