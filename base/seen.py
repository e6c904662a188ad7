"""What somebody saw of a row, in short: by which it is known whether it was changed meanwhile."""

import hashlib
from collections.abc import Iterable
from decimal import Decimal

from django.db import models

from base.errors import ChangedMeanwhile


def seen_of(rows: Iterable[models.Model], names: Iterable[str]) -> str:
    """Of these fields of rows, which may not be saved yet."""
    names = list(names)
    stood = [[str(row.pk), *(_plain(getattr(row, name)) for name in names)] for row in rows]
    return hashlib.sha256(repr(stood).encode()).hexdigest()


def _plain(value: object) -> object:
    """A number as it is whether or not the database has kept it."""
    return value.normalize() + 0 if isinstance(value, Decimal) else value


def check_seen(now: str, seen: str | None, *, wanted: str | None = None) -> None:
    """Raises ChangedMeanwhile where what stands `now` isn't what was `seen`; None: nobody looked at a page. Whoever
    wants what stands now, sent twice, has it."""
    if seen is not None and seen != now and wanted != now:
        raise ChangedMeanwhile
