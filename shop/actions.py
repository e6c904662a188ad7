"""Everything that changes the staff and the shop's settings."""

from decimal import Decimal
from functools import partial
from typing import IO, Any

from axes.utils import reset as forget_failed_logins
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from shop.access import require_owner
from shop.audit import change
from shop.images import logo_png
from shop.models import LimitChange, Role, ShopSettings, Staff
from shop.queries import newest_limit_changes, shop_limits, shop_settings
from trade.shop_limits import FIGURES, ShopLimits


class LastOwner(Refused):
    """Without an active owner nobody could set rates, staff or settings. The message is for the person."""


def create_staff(
    *,
    username: str,
    name: str,
    role: str,
    password: str | None,
    email: str = "",
    phone: str = "",
    language: str = "",
    by: Staff | None,
) -> Staff:
    """A new person who may log in; `by` is None only for the first owner. IntegrityError if the name is taken."""
    with change(by):
        return Staff.objects.create_user(
            username=username,
            password=password,
            name=name,
            role=role,
            email=email,
            phone=phone,
            language=language,
        )


def change_staff(
    *, staff: Staff, name: str, role: str, email: str = "", phone: str = "", language: str = "", by: Staff
) -> Staff:
    """Raises LastOwner where the last active owner would get another role."""
    with change(by):
        if role != Role.OWNER:
            _keep_an_owner(besides=staff)
        staff.name, staff.role, staff.email, staff.phone, staff.language = name, role, email, phone, language
        staff.save(update_fields=["name", "role", "email", "phone", "language"])
    return staff


def choose_language(*, staff: Staff, language: str) -> None:
    """What a person's own pages speak from here on: one of settings.LANGUAGES."""
    with change(staff):
        staff.language = language
        staff.save(update_fields=["language"])


def set_password(*, staff: Staff, password: str, by: Staff | None) -> None:
    """A new password: logs the person out everywhere, and lifts a lock that wrong tries put on the log-in name."""
    with change(by):
        staff.set_password(password)
        staff.save(update_fields=["password"])
        forget_failed_logins(username=staff.username)


def deactivate_staff(*, staff: Staff, by: Staff) -> Staff:
    """The person can't log in any more, and is logged out; what they did stays. Raises LastOwner."""
    with change(by):
        _keep_an_owner(besides=staff)
        staff.is_active = False
        staff.save(update_fields=["is_active"])
    return staff


def activate_staff(*, staff: Staff, by: Staff) -> Staff:
    with change(by):
        staff.is_active = True
        staff.save(update_fields=["is_active"])
    return staff


def locked_settings() -> ShopSettings:
    """The settings' row, locked until the transaction ends: whoever changes how the shop is set waits here."""
    ShopSettings.objects.get_or_create(pk=1)
    return ShopSettings.objects.select_for_update().get(pk=1)


def change_settings(
    *, by: Staff | None, logo: IO[bytes] | None = None, remove_logo: bool = False, **fields: Any
) -> ShopSettings:
    """Set the named fields of ShopSettings; `logo` is checked and stored as PNG. Raises shop.images.BadImage."""
    png = logo_png(logo) if logo else None
    with change(by):
        shop = locked_settings()
        for name, value in fields.items():
            ShopSettings._meta.get_field(name)  # a name that isn't a setting is a mistake in the caller
            setattr(shop, name, value)
        if png or remove_logo:
            storage, old = shop.logo.storage, shop.logo.name
            shop.logo = ""
            if png:
                # Another name each time: a browser that keeps the old one shows the old one.
                shop.logo.save(f"{uuid7()}.png", ContentFile(png), save=False)
            if old:
                transaction.on_commit(partial(storage.delete, old))
        shop.save()
    # The page that answers this request shows what was just saved.
    current = shop_settings()
    for field in ShopSettings._meta.concrete_fields:
        setattr(current, field.attname, getattr(shop, field.attname))
    return shop


class LimitMoved(Refused):
    """Somebody else set this limit in the meantime. The message is for the person."""


def set_limit(*, key: str, value: Decimal | None, reason: str, seen: int, by: Staff) -> LimitChange | None:
    """The limit from here on, with who, when and why; None as `value`: the source's figure again.

    `value` in the figure's unit (trade.shop_limits); `seen`: the number of the change that was in force when it was
    decided, 0 for none. What already is so changes nothing and returns what is in force. What was judged or signed
    before stays. Raises KeyError for no such limit, PermissionDenied, LimitMoved, Refused for a value that can't be.
    """
    require_owner(by)
    figure, reason = FIGURES[key], reason.strip()
    if not reason:
        raise Refused(_("Say why: whoever reads a verdict later asks."))
    if value is not None:
        value = value.quantize(Decimal("0.000001"))
        if not figure.lowest <= value <= figure.highest:
            raise Refused(_("That can’t be meant: it lies outside of what this limit can be."))
    with change(by):
        # One change of a limit at a time: two of them together mustn't put a least above its most.
        locked_settings()
        newest = newest_limit_changes().get(key)
        if (newest.value if newest else None) == value:
            return newest
        if (newest.number if newest else 0) != seen:
            raise LimitMoved(
                _("Somebody set this limit in the meantime. Look at it again, then keep yours or leave it.")
            )
        try:
            ShopLimits.of(shop_limits().own() | {key: figure.default if value is None else value})
        except ValueError as error:
            raise Refused(_("With this the least would be more than the most. Change the other one first.")) from error
        return LimitChange.objects.create(key=key, number=seen + 1, value=value, reason=reason, by=by)


def _keep_an_owner(*, besides: Staff) -> None:
    """Raise LastOwner unless an active owner is left without `besides`. Locks the owners' rows, so that two owners
    who take the role from each other at the same moment are decided one after the other."""
    owners = Staff.objects.select_for_update().filter(role=Role.OWNER, is_active=True).order_by("pk")
    keys = {owner.pk for owner in owners}
    if besides.pk in keys and keys == {besides.pk}:
        raise LastOwner(
            _("%(name)s is the only owner who can log in. Make somebody else an owner first.") % {"name": besides}
        )
