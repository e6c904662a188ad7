"""What follows from the other lines of a price: days of equipment, trips, the distance driven, the minimum trip.

Pure: rows in, no query. Every choice that a client has gets its own, since they follow from the hours of its lines.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from base.figures import digits
from estimating.catalogue import (
    BY_KEY,
    DEMOLITION,
    DISTANCE,
    DUST,
    MINIMUM_TRIP,
    RETURN_VISIT,
    SAW,
    SETTING,
    TRIP,
    one_unit,
    unit_name,
)
from estimating.hours import Hour, cost_by, hour_kept, how_by
from estimating.models import Estimate, EstimateLine, Rate, RateKind
from estimating.needs import NO_SOURCE
from estimating.pricing import MAN_DAY_HOURS, TooMuch, cents, converted, crew_days

JOB_LINES = 30_000
"""Position of the last line that follows from others: after the lines of all rooms, before those of one's own."""
_MOST = Decimal(10) ** 9
"""Quantities that no row can hold begin here."""


@dataclass(frozen=True, slots=True)
class _Work:
    """The lines that others follow from, of an estimate; `by_hand`: trips as a person put them."""

    estimate: Estimate
    lines: Sequence[EstimateLine]
    by_hand: Decimal | None

    def hours(self, keys: Collection[str] | None = None) -> Decimal:
        """Of all labor, or of that of some keys."""
        return sum((line.hours for line in self._at(keys) if line.hours), Decimal(0))

    def days(self, keys: Collection[str] | None = None) -> Decimal:
        """The same in 8-hour days of the crew that each line's rate has at it, a tenth at a time and up."""
        return crew_days((line.hours, line.persons) for line in self._at(keys))

    def _at(self, keys: Collection[str] | None) -> Iterable[EstimateLine]:
        return (line for line in self.lines if keys is None or line.key in keys)

    @property
    def visits(self) -> int:
        """What waits cost on top of the first trip: as a line has it, else the most that a room waits."""
        there = [line.quantity for line in self.lines if line.key == RETURN_VISIT]
        if there:
            return ceil(max(there))
        rooms = {str(line.room_id) for line in self.lines}
        return max((count for room, count in self.estimate.waits.items() if room in rooms), default=0)

    @property
    def fewest_trips(self) -> Decimal:
        """The fewest drives with which the work can be done: one for each begun day, and no fewer than waits ask for.
        Common practice, no source."""
        return Decimal(max(ceil(self.days()), 1 + self.visits)) if self.hours() else Decimal(0)


_Got = tuple[Decimal, str]
"""A quantity in the unit of its rate, and how it was got."""


def _days_of(keys: Collection[str], said: str, work: _Work) -> _Got:
    figures = {"hours": digits(work.hours(keys)), "days": digits(work.days(keys)), "day": MAN_DAY_HOURS}
    return Decimal(ceil(work.days(keys))), said % figures


def _saw(work: _Work, rate: Rate) -> _Got:
    said = _("Setting and cutting, %(hours)s h: %(days)s days of %(day)s h for the crew, a begun day counts.")
    return _days_of(SETTING, said, work)


def _dust(work: _Work, rate: Rate) -> _Got:
    said = _("Demolition, %(hours)s h: %(days)s days of %(day)s h for the crew, a begun day counts.")
    return _days_of((DEMOLITION,), said, work)


def _trip(work: _Work, rate: Rate) -> _Got:
    said = _("%(hours)s h are %(days)s days of %(day)s h for the crew: a trip for each begun day.")
    if work.visits:
        said = ngettext(
            "%(hours)s h are %(days)s days of %(day)s h for the crew, a trip for each begun day; %(visits)s wait that "
            "sends it home asks for %(least)s trips. The larger counts.",
            "%(hours)s h are %(days)s days of %(day)s h for the crew, a trip for each begun day; %(visits)s waits that "
            "send it home ask for %(least)s trips. The larger counts.",
            work.visits,
        )
    figures = {"hours": digits(work.hours()), "days": digits(work.days()), "day": MAN_DAY_HOURS}
    return work.fewest_trips, said % {**figures, "visits": work.visits, "least": 1 + work.visits}


def _distance(work: _Work, rate: Rate) -> _Got:
    way_km = work.estimate.way_km or Decimal(0)
    trips = work.fewest_trips if work.by_hand is None else work.by_hand
    said = ngettext("%(trips)s trip, %(way)s each way.", "%(trips)s trips, %(way)s each way.", ceil(trips))
    way = round(converted(way_km, unit="km", to=rate.unit), 1)
    name = one_unit(rate.unit) if way == 1 else unit_name(rate.unit)
    figures = {"trips": digits(trips), "way": f"{digits(way)} {name}"}
    return converted(2 * trips * way_km, unit="km", to=rate.unit), said % figures


def _minimum(work: _Work, rate: Rate) -> _Got:
    hours, least = work.hours(), rate.hours or Decimal(0)
    said = _("Labor of %(hours)s h is brought up to %(least)s h.")
    return max(least - hours, Decimal(0)), said % {"hours": digits(hours), "least": digits(least)}


_RULES: dict[str, Callable[[_Work, Rate], _Got]] = {
    SAW: _saw,
    DUST: _dust,
    TRIP: _trip,
    DISTANCE: _distance,
    MINIMUM_TRIP: _minimum,
}
FOLLOWING = tuple(_RULES)
"""The keys of lines that follow from others, in their order."""


def following_lines(
    estimate: Estimate, lines: Iterable[EstimateLine], rates: Mapping[str, Rate], hour: Hour | None
) -> list[EstimateLine]:
    """What follows from these lines by these rates, by key, unsaved; what comes to nothing, or has no rate, isn't
    there. `hour`: that of the people on the job, for labor that follows them.

    Of `lines`, those that follow themselves count for nothing, but for trips that a person put in: the distance goes by
    them. Raises TooMuch.
    """
    lines = list(lines)
    by_hand = (line.quantity for line in lines if line.key == TRIP and line.override_reason)
    work = _Work(estimate, [line for line in lines if line.key not in FOLLOWING], next(by_hand, None))
    if not work.lines:
        return []
    got = {key: rule(work, rates[key]) for key, rule in _RULES.items() if key in rates}
    return [_line(estimate, rates[key], hour, quantity, how) for key, (quantity, how) in got.items() if quantity]


def as_it_stands(
    lines: Iterable[EstimateLine], rates: Mapping[str, Rate], hour: Hour | None
) -> tuple[dict[str, Rate], Hour | None]:
    """The rates, by key, and the hour by which what follows stands among these lines; for what isn't there, those
    given."""
    there = {line.key: line for line in lines if line.key in FOLLOWING and line.rate}
    kept = {key: line.rate for key, line in there.items() if line.rate}
    return {**rates, **kept}, hour_kept(there[MINIMUM_TRIP]) if MINIMUM_TRIP in there else hour


def _line(estimate: Estimate, rate: Rate, hour: Hour | None, quantity: Decimal, how: str) -> EstimateLine:
    if quantity >= _MOST:
        raise TooMuch
    by_hour = rate.kind == RateKind.LABOR
    return EstimateLine(
        estimate=estimate,
        key=rate.key,
        position=JOB_LINES + 1 - len(FOLLOWING) + FOLLOWING.index(rate.key),
        kind=rate.kind,
        text=str(BY_KEY[rate.key].name),
        unit=_("hours") if by_hour else rate.unit,
        rate=rate,
        quantity=quantity,
        hours=quantity if by_hour else None,
        unit_cost=cost_by(rate, hour),
        hour_how=how_by(rate, hour),
        cost=cents(quantity * cost_by(rate, hour)),
        how=how,
        source=NO_SOURCE,
    )
