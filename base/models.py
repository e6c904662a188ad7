"""What the models of every app are made of: keys, lengths, money, rows that are only ever added."""

from typing import Any

import pgtrigger
from django.db import models
from django.db.models.functions import Now

from base.keys import uuid7


class Row(models.Model):
    """A row with a UUIDv7 key and the server's time of its insertion."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)
    created_at = models.DateTimeField(db_default=Now(), editable=False)

    class Meta:
        abstract = True


class LengthField(models.DecimalField):
    """A length in millimetres with 6 places, so that 1/64 in (0.396875 mm) is stored exactly."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["max_digits"] = 14
        kwargs["decimal_places"] = 6
        super().__init__(*args, **kwargs)


class MoneyField(models.DecimalField):
    """An amount in the shop's currency with 2 places. Never a float."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["max_digits"] = 12
        kwargs["decimal_places"] = 2
        super().__init__(*args, **kwargs)


def append_only() -> list[pgtrigger.Trigger]:
    """Triggers of a table to which rows are only ever added: a correction is a new row that points at the old one."""
    return [
        pgtrigger.Protect(name="append_only", operation=pgtrigger.Update | pgtrigger.Delete),
        pgtrigger.Trigger(
            name="never_emptied",
            level=pgtrigger.Statement,
            when=pgtrigger.Before,
            operation=pgtrigger.Truncate,
            func="RAISE EXCEPTION 'pgtrigger: Cannot truncate rows from % table', TG_TABLE_NAME;",
        ),
    ]
