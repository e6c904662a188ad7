"""Corrections of what is signed: new rows beside the old ones."""

from datetime import datetime
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.models import Amendment, Entry, SignOff
from shop.access import require
from shop.audit import change
from shop.models import Role, Staff


def amend(*, row: SignOff | Entry, text: str, by: Staff, happened_at: datetime, key: UUID | None = None) -> Amendment:
    """The amendment of `row`, which stays as it is.

    Owner and installers amend: who was there knows, and who answers for it. A phone whose clock is ahead amends now.
    The same key with the same content returns the same row. Raises PermissionDenied; Refused where nothing is signed
    yet, or nothing is said; KeyTaken.
    """
    require(by, Role.OWNER, Role.INSTALLER)
    text = text.strip()
    if not text:
        raise Refused(_("Say what is corrected, and why."))
    if isinstance(row, Entry) and not SignOff.objects.filter(phase__checks=row.check_done_id).exists():
        raise Refused(_("Correct it on the card instead: nothing is signed yet."))
    of = {"entry": row} if isinstance(row, Entry) else {"sign_off": row}
    defaults = {**of, "text": text, "by": by, "happened_at": min(happened_at, timezone.now())}
    with change(by):
        kept, _new = Amendment.objects.get_or_create(pk=key or uuid7(), defaults=defaults)
    if (kept.entry or kept.sign_off, kept.text, kept.by_id) != (row, text, by.pk):
        raise KeyTaken(
            _("Something else was amended with this form before, and is kept. If this is right as well, send it again.")
        )
    return kept
