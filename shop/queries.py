"""What pages read about the shop."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import groupby

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shop.models import LimitChange, Role, ShopSettings, Staff
from trade.limit_figures import Beside, Figure
from trade.shop_limits import DEFAULTS, FIGURES, ShopLimits

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


def owner_to_write_to() -> Staff | None:
    """The first owner with an e-mail address; None where none has one. One query."""
    return active_staff().filter(role=Role.OWNER).exclude(email="").order_by("created_at", "pk").first()


@dataclass(frozen=True, slots=True)
class Call:
    """Whom a person in the field can call: `name` as it stands on the button, `number` as a tel: link takes it."""

    name: str
    number: str


def whom_to_call(person: Staff) -> Call | None:
    """The first owner with a phone by first name, else the shop; None for an owner, or where no number is set.
    One query, for an owner none."""
    if person.is_owner:
        return None
    owner = active_staff().filter(role=Role.OWNER).exclude(phone="").order_by("created_at", "pk").first()
    name = owner.name.split()[0] if owner else _("the shop")
    number = owner.phone if owner else shop_settings().phone
    # RFC 3966: a number holds no spaces and no marks but - . ( ).
    number = "".join(sign for sign in number if sign.isdigit() or sign in "+-.()")
    return Call(name, number) if number else None


def all_staff() -> QuerySet[Staff]:
    """Those who may log in first, then by name."""
    return Staff.objects.order_by("-is_active", "name", "pk")


def newest_limit_changes(*, at: datetime | None = None) -> dict[str, LimitChange]:
    """The change of each limit that is in force, or was `at` a moment, by the limit's key. One query."""
    changes = LimitChange.objects.all() if at is None else LimitChange.objects.filter(created_at__lte=at)
    newest = changes.select_related("by").order_by("key", "-number").distinct("key")
    return {each.key: each for each in newest if each.key in FIGURES}


def shop_limits(*, at: datetime | None = None) -> ShopLimits:
    """What the shop judges by now, or judged by `at` a moment. One query."""
    own = {key: each.value for key, each in newest_limit_changes(at=at).items() if each.value is not None}
    return ShopLimits.of(own) if own else DEFAULTS


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit as the settings show it: with its newest change, if the shop ever set it."""

    figure: Figure
    change: LimitChange | None

    @property
    def own(self) -> Decimal | None:
        """The shop's own value; None where the source's figure is in force."""
        return self.change.value if self.change else None

    @property
    def beside(self) -> Beside | None:
        """How the shop's own value stands to the source's figure."""
        return None if self.own is None else self.figure.beside(self.own)


def limit_groups() -> list[tuple[str, list[LimitRow]]]:
    """Every limit of the trade, by the heading that it stands under. One query."""
    newest = newest_limit_changes()
    rows = [LimitRow(figure, newest.get(key)) for key, figure in FIGURES.items()]
    return [(name, list(group)) for name, group in groupby(rows, key=lambda row: row.figure.group)]


def limit_row(key: str) -> LimitRow | None:
    """One limit; None where there is none by that name. One query."""
    return LimitRow(FIGURES[key], limit_history(key).first()) if key in FIGURES else None


def limit_history(key: str) -> QuerySet[LimitChange]:
    """What the shop ever set of one limit, the newest first. One query."""
    return LimitChange.objects.filter(key=key).select_related("by").order_by("-number")
