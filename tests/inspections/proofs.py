"""What a check needs to hold."""

import io
import re
from datetime import datetime, timedelta
from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from inspections.actions import record_entry, sign_phase
from inspections.models import Check, CheckKind, Phase, SignOff
from jobs.actions import keep_photo
from jobs.models import Photo
from shop.models import Staff


def picture(size: tuple[int, int] = (40, 30), color: str = "gray") -> bytes:
    data = io.BytesIO()
    Image.new("RGB", size, color).save(data, "JPEG")
    return data.getvalue()


def upload(color: str = "gray") -> SimpleUploadedFile:
    """What a phone sends with a form."""
    return SimpleUploadedFile("board.jpg", picture(color=color), "image/jpeg")


def key_on(response, input_id: str) -> str:
    """The key in the hidden field of a form on the page."""
    return re.search(rf'name="key" value="([^"]+)" id="{input_id}"', response.content.decode())[1]


def some_photo(
    job, by, size: tuple[int, int] = (40, 30), color: str = "gray", at: datetime | None = None, *, to_sort: bool = False
) -> Photo:
    upload = io.BytesIO(picture(size, color))
    return keep_photo(job=job, by=by, upload=upload, happened_at=at or timezone.now(), to_sort=to_sort)


def good_values(check: Check) -> list[Decimal]:
    """As many readings as the check wants, on the bound of what it allows."""
    if check.kind == CheckKind.WAIT or not check.limit:
        return []
    if check.kind == CheckKind.OHMS:
        return [Decimal(50), Decimal(50) * (1 + Decimal(check.limit["high"]) / 100)]
    bound = check.limit["low"] if check.limit["low"] is not None else check.limit["high"]
    return [Decimal(bound)] * max(check.limit["count"], 3 if check.kind == CheckKind.COVERAGE else 1)


def _covered_at(phase: Phase) -> datetime:
    """When the phase before was signed; three weeks ago where none is."""
    before = SignOff.objects.filter(phase__room=phase.room_id, phase__position__lt=phase.position)
    signed = before.order_by("-phase__position").values_list("happened_at", flat=True).first()
    return signed or timezone.now() - timedelta(days=21)


def prove(phase: Phase, *, by: Staff, but: Check | None = None) -> datetime:
    """Enters what every required check (`but` one) needs, one after another, each wait over before the next: from the
    sign-off of the phase before on. Returns when the last of it is over."""
    at = _covered_at(phase)
    for check in phase.checks.filter(required=True):
        if check == but:
            continue
        photo = some_photo(phase.room.job, by, at=at) if check.kind == CheckKind.PHOTO else None
        values = good_values(check)
        entry = record_entry(check=check, by=by, happened_at=at, ticked=True, values=values, photo=photo)
        at = entry.due_at or at
    return at


def prove_and_sign(phase: Phase, *, by: Staff) -> None:
    sign_phase(phase=phase, by=by, happened_at=prove(phase, by=by))


def come_to(check: Check, *, by: Staff) -> datetime:
    """Signs the phases before the check's own and enters the waits that come first in its own; returns when it is the
    check's turn."""
    for phase in check.phase.room.phases.filter(position__lt=check.phase.position, sign_off=None).order_by("position"):
        prove_and_sign(phase, by=by)
    at = _covered_at(check.phase)
    for first in check.phase.checks.filter(key__in=check.after):
        entry = record_entry(check=first, by=by, happened_at=come_to(first, by=by))
        at = max(at, entry.due_at)
    return at
