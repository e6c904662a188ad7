"""What an entry says of its check, from the numbers alone; and by which limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from inspections.models import Check, CheckKind, Entry, Outcome, Phase, bare_edges
from trade.cable import off_tag_percent
from trade.limits import Limit, judge_all
from trade.phases import Specification, phases_for
from trade.shop_limits import LOOSER, OWN, ShopLimits


@dataclass(frozen=True, slots=True)
class Yardstick:
    """What readings are judged by, and where it stands."""

    limit: Limit
    source: str

    @property
    def own(self) -> bool:
        """Whether the shop set it otherwise than its source."""
        return self.source.startswith(OWN)

    @property
    def looser(self) -> bool:
        """Whether it lets more pass than its source does."""
        return self.source.startswith(LOOSER)


def yardsticks(phase: Phase, limits: ShopLimits) -> Mapping[str, Yardstick]:
    """By check key, what readings in this phase are judged by under the shop's `limits`.

    The room is the one of the phase's opening, which is frozen; only the limits are those of the moment.
    """
    specification = Specification.from_json(phase.specification)
    found = next((each for each in phases_for(specification, limits=limits) if each.key == phase.key), None)
    checks = found.checks if found else ()
    return {check.key: Yardstick(check.limit, check.rule.cited) for check in checks if check.limit}


def yardstick_of(check: Check, now: Mapping[str, Yardstick]) -> Yardstick | None:
    """The one of `yardsticks` for this check; a check that the catalogue no longer has keeps the limit of its phase's
    opening. None where nothing is measured."""
    if not check.limit:
        return None
    return now.get(check.key) or Yardstick(Limit.from_json(check.limit), check.source)


def judged_by(entry: Entry, check: Check) -> Yardstick | None:
    """What an entry was judged by when it was made; None where nothing was measured."""
    if not check.limit or entry.outcome == Outcome.SKIPPED:
        return None
    if entry.limit is None:
        return Yardstick(Limit.from_json(check.limit), check.source)
    return Yardstick(Limit.from_json(entry.limit), entry.limit_source)


def outcome_of(
    check: Check,
    *,
    limit: Limit | None = None,
    ticked: bool = False,
    values: Sequence[Decimal] = (),
    has_photo: bool = False,
    voids: Sequence[str] = (),
) -> Outcome | None:
    """The outcome of an entry; None while what was entered can't decide (two of three tiles lifted, no photo yet).

    `values` in the check's unit: mm, percent, ohms (tag, reading). `voids`: of lifted tiles, as `Entry.voids`; a bare
    corner or edge fails whatever the shares are. `limit`: what judges them, by default that of the phase's opening.
    """
    if check.kind == CheckKind.WAIT:
        return Outcome.WAITING
    if check.kind in (CheckKind.TICK, CheckKind.INSPECTION):
        return Outcome.HOLDS if ticked else Outcome.FAILS
    if check.kind == CheckKind.PHOTO:
        return Outcome.HOLDS if has_photo else None
    if not values:
        return None
    if bare_edges(voids):
        return Outcome.FAILS
    if check.kind == CheckKind.OHMS:
        tag, read = values
        values = [off_tag_percent(tag_ohms=tag, read_ohms=read)]
    said = judge_all(limit or Limit.from_json(check.limit or {}), values)
    return {"holds": Outcome.HOLDS, "fails": Outcome.FAILS, "can't tell": None}[said]


def wait_ends(limit: Limit, *, started: datetime) -> datetime:
    """When a wait that began at `started` is over: its limit says how many hours at least."""
    return started + timedelta(hours=float(limit.low or 0))
