"""What pages read about the shop."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.db.models import QuerySet

from shop.models import Role, ShopSettings, Staff

# A page asks for units and currency at every figure it prints. Within a request it's the same row each time.
_of_this_request: ContextVar[ShopSettings | None] = ContextVar("shop settings of this request", default=None)


def shop_settings() -> ShopSettings:
    """The shop's settings; the defaults, unsaved, where none were saved yet. One query, within a request none."""
    return _of_this_request.get() or fresh_shop_settings()


def fresh_shop_settings() -> ShopSettings:
    """The settings as the database has them now. One query."""
    return ShopSettings.objects.filter(pk=1).first() or ShopSettings()


@contextmanager
def one_reading_of_settings() -> Iterator[ShopSettings]:
    """Within this context `shop_settings()` gives what was read at its start. For the middleware."""
    shop = fresh_shop_settings()
    token = _of_this_request.set(shop)
    try:
        yield shop
    finally:
        _of_this_request.reset(token)


def active_staff() -> QuerySet[Staff]:
    return Staff.objects.filter(is_active=True)


def installers() -> QuerySet[Staff]:
    return active_staff().filter(role=Role.INSTALLER)


def all_staff() -> QuerySet[Staff]:
    """Those who may log in first, then by name."""
    return Staff.objects.order_by("-is_active", "name", "pk")
