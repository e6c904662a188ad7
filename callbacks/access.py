"""Callbacks are the office's: owner and office see them all, nobody else any."""

from uuid import UUID

from django.contrib.auth.models import AnonymousUser

from callbacks.models import Callback, Visit
from callbacks.queries import callbacks_with_their_jobs
from shop.access import not_found, require_office
from shop.models import Staff


def get_callback(user: Staff | AnonymousUser, pk: UUID) -> Callback:
    """The callback with its job, for owner and office; else PermissionDenied, or Http404 where there is none."""
    require_office(user)
    return callbacks_with_their_jobs().filter(pk=pk).first() or not_found()


def get_visit(callback: Callback, key: str) -> Visit:
    """The callback's visit of this key; else Http404."""
    try:
        pk = UUID(key)
    except ValueError:
        not_found()
    return callback.visits.select_related("booking__person").filter(pk=pk).first() or not_found()
