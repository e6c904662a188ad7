"""Which language a page speaks: its reader's, in the shop's region. What a client reads is English so far."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest
from django.utils import translation

from shop.models import ShopSettings, Staff
from shop.queries import shop_settings

P = ParamSpec("P")
R = TypeVar("R")


def in_region(language: str, shop: ShopSettings) -> str:
    """A locale of `language` ("en", "es"; empty: the shop's own): the shop's where it speaks that, else that of the
    United States, whose dates and numbers `config.formats` has."""
    return shop.locale if shop.locale.startswith(language) else f"{language}-us"


def language_of(request: HttpRequest, shop: ShopSettings) -> str:
    """The locale of an answer: as its person chose; before the log-in, as the browser asks."""
    user: Staff | AnonymousUser = request.user
    if isinstance(user, Staff):
        return in_region(user.language, shop)
    asked = "Accept-Language" in request.headers
    return in_region(translation.get_language_from_request(request)[:2] if asked else "", shop)


def client_locale(shop: ShopSettings) -> str:
    """The locale of what a client reads."""
    return in_region("en", shop)


def for_clients(function: Callable[P, R]) -> Callable[P, R]:
    """Marks what writes texts that a client reads: they are in the client's language, whoever presses the button."""

    @wraps(function)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> R:
        with translation.override(client_locale(shop_settings())):
            return function(*args, **kwargs)

    return wrapped
