"""Who may do what: a view's first line calls one of the access functions of its app; they rest on these."""

from typing import NoReturn
from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.utils.translation import gettext as _

from shop.models import Role, Staff


def require(user: Staff | AnonymousUser, *roles: Role) -> Staff:
    """The user, if logged in, active and of one of `roles`; else PermissionDenied."""
    if not isinstance(user, Staff) or not user.is_active or user.role not in roles:
        raise PermissionDenied(_("Your role in the shop doesn't open this page."))
    return user


def require_owner(user: Staff | AnonymousUser) -> Staff:
    return require(user, Role.OWNER)


def require_office(user: Staff | AnonymousUser) -> Staff:
    """Owner or office."""
    return require(user, Role.OWNER, Role.OFFICE)


def require_staff(user: Staff | AnonymousUser) -> Staff:
    """Anyone who works here."""
    return require(user, *Role)


def get_staff(user: Staff | AnonymousUser, pk: UUID) -> Staff:
    """The person, for the owner; else PermissionDenied, or Http404 where there is none."""
    require_owner(user)
    return Staff.objects.filter(pk=pk).first() or not_found()


def not_found() -> NoReturn:
    """For a row that isn't there, and for one that isn't yours: nobody can tell the two apart."""
    raise Http404
