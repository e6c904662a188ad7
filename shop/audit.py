"""Every change of state is one transaction, and its history says who made it."""

from collections.abc import Iterator
from contextlib import contextmanager

import pghistory
from django.db import transaction

from shop.models import Staff


@contextmanager
def change(by: Staff | None) -> Iterator[None]:
    """One transaction; the history rows written in it carry `by` as their user (None: a client, or the machine)."""
    with transaction.atomic(), pghistory.context(**({"user": str(by.pk)} if by else {})):
        yield
