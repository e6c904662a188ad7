"""Everything that changes the staff and the shop's settings."""

from functools import partial
from typing import IO, Any

from axes.utils import reset as forget_failed_logins
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _

from base.errors import Refused
from base.keys import uuid7
from shop.audit import change
from shop.images import logo_png
from shop.models import Role, ShopSettings, Staff
from shop.queries import shop_settings


class LastOwner(Refused):
    """Without an active owner nobody could set rates, staff or settings. The message is for the person."""


def create_staff(
    *, username: str, name: str, role: str, password: str | None, email: str = "", phone: str = "", by: Staff | None
) -> Staff:
    """A new person who may log in; `by` is None only for the first owner. IntegrityError if the name is taken."""
    with change(by):
        return Staff.objects.create_user(
            username=username, password=password, name=name, role=role, email=email, phone=phone
        )


def change_staff(*, staff: Staff, name: str, role: str, email: str = "", phone: str = "", by: Staff) -> Staff:
    """Raises LastOwner where the last active owner would get another role."""
    with change(by):
        if role != Role.OWNER:
            _keep_an_owner(besides=staff)
        staff.name, staff.role, staff.email, staff.phone = name, role, email, phone
        staff.save(update_fields=["name", "role", "email", "phone"])
    return staff


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


def change_settings(
    *, by: Staff | None, logo: IO[bytes] | None = None, remove_logo: bool = False, **fields: Any
) -> ShopSettings:
    """Set the named fields of ShopSettings; `logo` is checked and stored as PNG. Raises shop.images.BadImage."""
    png = logo_png(logo) if logo else None
    with change(by):
        ShopSettings.objects.get_or_create(pk=1)
        shop = ShopSettings.objects.select_for_update().get(pk=1)
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


def _keep_an_owner(*, besides: Staff) -> None:
    """Raise LastOwner unless an active owner is left without `besides`. Locks the owners' rows, so that two owners
    who take the role from each other at the same moment are decided one after the other."""
    owners = Staff.objects.select_for_update().filter(role=Role.OWNER, is_active=True).order_by("pk")
    keys = {owner.pk for owner in owners}
    if besides.pk in keys and keys == {besides.pk}:
        raise LastOwner(
            _("%(name)s is the only owner who can log in. Make somebody else an owner first.") % {"name": besides}
        )
