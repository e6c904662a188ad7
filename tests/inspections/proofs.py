"""What a check needs to hold."""

import io
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone
from PIL import Image

from inspections.actions import record_entry, sign_phase
from inspections.models import Check, CheckKind, Phase
from jobs.actions import keep_photo
from jobs.models import Photo
from shop.models import Staff


def some_photo(job, by) -> Photo:
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(data, "JPEG")
    return keep_photo(job=job, by=by, upload=data, happened_at=timezone.now())


def good_values(check: Check) -> list[Decimal]:
    """As many readings as the check wants, on the bound of what it allows."""
    if check.kind == CheckKind.WAIT or not check.limit:
        return []
    bound = check.limit["low"] if check.limit["low"] is not None else check.limit["high"]
    return [Decimal(bound)] * max(check.limit["count"], 3 if check.kind == CheckKind.COVERAGE else 1)


def prove_and_sign(phase: Phase, *, by: Staff) -> None:
    """Enters what every required check needs, as of four days ago, so that the waits are over, and signs."""
    then = timezone.now() - timedelta(days=4)
    for check in phase.checks.filter(required=True):
        photo = some_photo(phase.room.job, by) if check.kind == CheckKind.PHOTO else None
        record_entry(check=check, by=by, happened_at=then, ticked=True, values=good_values(check), photo=photo)
    sign_phase(phase=phase, by=by, happened_at=timezone.now())
