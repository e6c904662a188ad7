"""What an entry says of its check, from the numbers alone."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal

from inspections.models import Check, CheckKind, Outcome
from trade.limits import Limit, judge_all


def outcome_of(
    check: Check, *, ticked: bool = False, values: Sequence[Decimal] = (), has_photo: bool = False
) -> Outcome | None:
    """The outcome of an entry; None while what was entered can't decide (two of three tiles lifted, no photo yet).

    `values` in the check's unit: mm, percent.
    """
    if check.kind == CheckKind.WAIT:
        return Outcome.WAITING
    if check.kind == CheckKind.TICK:
        return Outcome.HOLDS if ticked else Outcome.FAILS
    if check.kind == CheckKind.PHOTO:
        return Outcome.HOLDS if has_photo else None
    limit = Limit.from_json(check.limit or {})
    return (
        {"holds": Outcome.HOLDS, "fails": Outcome.FAILS, "can't tell": None}[judge_all(limit, values)]
        if values
        else None
    )


def wait_ends(check: Check, *, started: datetime) -> datetime:
    """When a wait that began at `started` is over: its limit says how many hours at least."""
    hours = Limit.from_json(check.limit or {}).low or 0
    return started + timedelta(hours=float(hours))
