"""What a phase has proved: entries, waivers, sign-offs. Rows are only added."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from documents.files import kept
from inspections.judging import outcome_of, wait_ends, yardstick_of, yardsticks
from inspections.models import Check, CheckKind, Entry, Outcome, Phase, SignOff, Waiver
from inspections.queries import phase_view
from jobs.models import Job, Photo
from rooms.models import Survey
from shop.access import require_owner
from shop.audit import change
from shop.models import Staff
from shop.queries import shop_limits
from trade.limits import Limit


class NotProved(Refused):
    """The phase can't be signed. `holds` are the reasons, in words."""

    def __init__(self, holds: Sequence[str]) -> None:
        super().__init__(_("Held by: %(holds)s") % {"holds": " · ".join(holds)})
        self.holds = tuple(holds)


def record_entry(
    *,
    check: Check,
    by: Staff,
    happened_at: datetime,
    key: UUID | None = None,
    ticked: bool = False,
    values: Sequence[Decimal] = (),
    voids: Sequence[str] = (),
    photo: Photo | None = None,
    note: str = "",
    skipped: bool = False,
    helper: str = "",
    seen: str = "",
    told: Mapping[str, str] | None = None,
    survey: Survey | None = None,
    surfaces: Sequence[str] = (),
    read_by: str = "",
    document: bytes | None = None,
) -> Entry:
    """The entry, kept beside the earlier ones: the newest by `happened_at` counts.

    `values` in the check's unit (mm, percent, ohms), `voids` beside them as in `Entry.voids`, `told` of an outside
    inspection as in `Entry.told`, `survey` where they were read off one, `read_by` as in `Entry.read_by`. `surfaces`:
    the keys of those that it speaks for, where the check is proved on each apart; none: all of them, and a reading is
    the worst of them. Readings are judged by the shop's limit at `happened_at`, which the entry keeps: a reading made
    without signal before a limit changed is judged as its installer judged it. What comes before its turn is kept as
    well, and doesn't count (`standing.turn_of`).
    `skipped`: it couldn't be checked, because of what `note` says. `document`: a PDF's bytes, checked before.
    A phone whose clock is ahead enters it now. `seen`: as in `Entry.seen`.
    The same key with the same content returns the same row. An entry that comes after the sign-off is kept as late.
    Raises Refused where what was entered can't decide or names a surface that the check isn't about, KeyTaken.
    """
    happened_at = min(happened_at, timezone.now())
    named = _named(check, surfaces)
    now = yardsticks(check.phase, shop_limits(at=happened_at)) if check.limit and not skipped else {}
    by_what = None if skipped else yardstick_of(check, now)
    limit = by_what.limit if by_what else None
    outcome = _outcome(
        check, limit=limit, ticked=ticked, values=values, voids=voids, photo=photo, note=note, skipped=skipped
    )
    payload: dict[str, Any] = {
        "check": str(check.pk),
        "outcome": outcome,
        "values": [str(value) for value in values],
        "photo": str(photo.pk) if photo else None,
        "note": note,
        "helper": helper,
        **({"voids": list(voids)} if any(voids) else {}),
        **({"told": dict(told)} if told else {}),
        **({"survey": str(survey.pk)} if survey else {}),
        **({"surfaces": named} if named else {}),
        **({"read_by": read_by} if read_by else {}),
    }
    entry = Entry(
        pk=key or uuid7(),
        check_done=check,
        outcome=outcome,
        surfaces=named,
        values=payload["values"],
        voids=list(voids) if any(voids) else [],
        told=dict(told or {}),
        read_by=read_by,
        limit=limit.to_json() if limit else None,
        limit_source=by_what.source if by_what else "",
        due_at=wait_ends(limit, started=happened_at) if limit and outcome == Outcome.WAITING else None,
        photo=photo,
        survey=survey,
        note=note,
        by=by,
        helper=helper,
        seen=seen,
        happened_at=happened_at,
    )
    with kept(document, folder="reports") as report, change(by):
        if report.file:
            payload["document"] = report.sha256
        entry.document, entry.document_sha256 = report.file, report.sha256
        entry.payload_sha256 = _fingerprint(payload)
        Entry.objects.bulk_create([entry], ignore_conflicts=True)
        found = Entry.objects.select_related("photo", "by").get(pk=entry.pk)
    if found.document != report.file:
        # Sent again: the first one's file is there.
        report.forget()
    if check.limit and {found.outcome, outcome} == {Outcome.HOLDS, Outcome.FAILS}:
        # Sent again after a limit changed, the same readings are still the same entry, with the verdict that it got.
        payload["outcome"] = found.outcome
    if found.by_id != by.pk or found.payload_sha256 != _fingerprint(payload):
        raise KeyTaken(
            _("Something else was entered with this form before, and is kept. If this is right as well, send it again.")
        )
    return found


def _fingerprint(payload: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(payload, sort_keys=True).encode()).hexdigest()


def _named(check: Check, surfaces: Sequence[str]) -> list[str]:
    """The surfaces in the check's order; empty where all are named. Raises Refused."""
    keys = [surface["key"] for surface in check.surfaces]
    if unknown := set(surfaces) - set(keys):
        raise Refused(_("This check isn't about %(surface)s.") % {"surface": ", ".join(sorted(unknown))})
    return [key for key in keys if key in surfaces] if set(surfaces) != set(keys) else []


def _outcome(
    check: Check,
    *,
    limit: Limit | None,
    ticked: bool,
    values: Sequence[Decimal],
    voids: Sequence[str],
    photo: Photo | None,
    note: str,
    skipped: bool,
) -> Outcome:
    if photo and photo.job_id != check.phase.room.job_id:
        raise Refused(_("This photo belongs to another job."))
    if skipped:
        if not note:
            raise Refused(_("Say why it couldn't be checked."))
        return Outcome.SKIPPED
    outcome = outcome_of(check, limit=limit, ticked=ticked, values=values, voids=voids, has_photo=photo is not None)
    if outcome is None:
        raise Refused(_what_is_missing(check))
    return outcome


def _what_is_missing(check: Check) -> str:
    if check.kind == CheckKind.PHOTO:
        return _("Take the photo first: this check is proved by it.")
    if check.kind == CheckKind.OHMS:
        return _("Enter both: what the tag says, and what was read.")
    count = (check.limit or {}).get("count", 1)
    if count > 1:
        return _("Enter at least %(count)s readings.") % {"count": count}
    return _("Enter the reading.")


def waive_check(*, check: Check, reason: str, by: Staff) -> Waiver:
    """The waiver: what had arrived of the check by now holds nothing, and the reason stands in the record for good.

    Only the owner waives, and only what holds; a failure that arrives later holds again, and may be waived anew. A
    second waiver of the same returns the first. Raises PermissionDenied, Refused.
    """
    require_owner(by)
    reason = reason.strip()
    if not reason:
        raise Refused(_("A waiver needs a reason."))
    with change(by):
        # Who waives it at the same moment waits here, and gets the first waiver. (The app may not lock what it may only
        # add to, such as the check.)
        Job.objects.select_for_update(no_key=True).get(pk=check.phase.room.job_id)
        view = next(view for view in phase_view(check.phase).checks if view.check.pk == check.pk)
        if view.waivers and view.state == "waived":
            return view.waivers[-1]
        if not view.holds:
            raise Refused(_("This check holds nothing: there is nothing to waive."))
        return Waiver.objects.create(check_waived=check, reason=reason, by=by)


def sign_phase(*, phase: Phase, by: Staff, happened_at: datetime, key: UUID | None = None) -> SignOff:
    """The sign-off: the phase is proved and may be covered. Signing twice returns the first one.

    A phone whose clock is ahead signs now. Raises NotProved with the reasons. The database decides: what is read here
    only puts it into words.
    """
    happened_at = min(happened_at, timezone.now())
    with change(by):
        view = phase_view(phase)
        if view.may_be_signed:
            try:
                with transaction.atomic():
                    return SignOff.objects.create(pk=key or uuid7(), phase=phase, by=by, happened_at=happened_at)
            except IntegrityError:
                view = phase_view(phase)
        # Signed before, or by somebody who was faster at any moment since; or held by what was entered meanwhile.
        if earlier := SignOff.objects.filter(phase=phase).first():
            return earlier
        raise NotProved(view.unproved or [_("something changed while you were signing; look again")])
