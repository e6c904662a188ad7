"""The owner's sum for a job: filled from layouts and rates, corrected by hand, worked on until it is offered."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Max
from django.utils.translation import gettext as _

from base.errors import Refused
from estimating.actions._locks import lock_job
from estimating.catalogue import BY_KEY, MINIMUM_TRIP, TILE, unit_name
from estimating.filling import Need, needs_of
from estimating.models import Estimate, EstimateLine, Rate, RateKind
from estimating.pricing import Price, Priced, TooMuch, cents, converted, dimension, price_line
from jobs.models import Job, Stage
from rooms.models import Room
from rooms.queries import current_layouts
from shop.audit import change
from shop.languages import for_clients
from shop.models import Staff
from shop.queries import shop_settings

OPEN_STAGES = (Stage.MEASURING, Stage.PRICING, Stage.PROPOSED)
_JOB_LINES = 30_000  # position: after those of all rooms
_MOST_OWN = 500


class CannotChange(Refused):
    """The estimate can't be worked on as things stand. The message is for whoever tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """The estimate, and what the fill changed in it, a sentence each; nothing on the `first` fill."""

    estimate: Estimate
    changes: list[str]
    first: bool


@for_clients
def fill_estimate(*, job: Job, by: Staff) -> Filled:
    """The estimate with its lines computed from the current layouts and the rates in force.

    Figures that a person put in stay, and so do own lines; what was computed for them is kept beside them. A line
    without rate costs nothing and stands in the way of a proposal. Raises CannotChange where no layout is chosen.
    """
    with change(by):
        job = _open_job(job)
        rooms = list(Room.objects.filter(job=job).select_related("tile"))
        layouts = current_layouts(job)
        if not layouts:
            raise CannotChange(_("No room of this job has a chosen layout yet: choose one, then fill the estimate."))
        estimate, fresh = _estimate_of(job)
        rates = _rates_in_force()
        old = {_identity(line): line for line in _lines(estimate) if line.key and line.key != MINIMUM_TRIP}
        told: list[str] = []
        for position, need in enumerate(needs_of(rooms=rooms, layouts=layouts), start=1):
            line = old.pop(need.identity, None)
            told += _put(estimate, line, need, rates, position)
        told += [_drop(line) for line in old.values()]
        estimate.filled_from = sorted(layout.pk for layout in layouts.values())
        estimate.save(update_fields=["filled_from"])
        _bring_up_to_minimum(estimate)
    return Filled(estimate=estimate, changes=[] if fresh else told, first=fresh)


def _open_job(job: Job) -> Job:
    """The job, locked. Raises CannotChange where its price is settled or no longer wanted."""
    job = lock_job(job.pk)
    if job.stage not in OPEN_STAGES:
        raise CannotChange(
            _("This job is at “%(stage)s”: its estimate can't be changed.") % {"stage": job.get_stage_display()}
        )
    return job


def _estimate_of(job: Job) -> tuple[Estimate, bool]:
    shop = shop_settings()
    return Estimate.objects.get_or_create(
        job=job, defaults={"markup_percent": shop.markup_percent, "tax_percent": shop.tax_percent}
    )


def _lines(estimate: Estimate) -> Iterable[EstimateLine]:
    return EstimateLine.objects.filter(estimate=estimate).select_related("room", "rate")


def _rates_in_force() -> dict[tuple[str, UUID | None], Rate]:
    return {(rate.key, rate.tile_id): rate for rate in Rate.objects.filter(valid_to=None)}


def _identity(line: EstimateLine) -> tuple[UUID | None, str, str]:
    return (line.room_id, line.key, line.text if line.key == TILE else "")


def _put(
    estimate: Estimate,
    line: EstimateLine | None,
    need: Need,
    rates: dict[tuple[str, UUID | None], Rate],
    position: int,
) -> list[str]:
    """Writes one computed line, new or there before; what changed, in words."""
    new = line is None
    line = line or EstimateLine(estimate=estimate, room=need.room, key=need.key)
    before = (line.computed_quantity, line.computed_cost)
    rate = _rate_for(need, rates)
    priced = _priced(need, rate)
    line.position, line.how, line.source = position, need.how, need.source
    line.computed_quantity = priced.quantity
    line.computed_cost = priced.cost if rate else None
    if not line.override_reason:
        line.text = need.text
        line.kind = rate.kind if rate else _kind(need.key)
        line.unit = rate.unit if rate else need.unit
        line.rate = rate
        _write(line, priced)
    elif rate and rate.unit != line.unit:
        # What was typed over stays in its own unit, and what is computed is shown beside it.
        line.computed_quantity = converted(need.quantity, unit=need.unit, to=line.unit)
    line.save(force_insert=new)
    if new:
        return [_("%(line)s: new.") % {"line": _named(line)}]
    if before == (line.computed_quantity, line.computed_cost):
        return []
    figures = {
        "line": _named(line),
        "before": _amount(before[0], line.unit),
        "now": _amount(line.computed_quantity, line.unit),
    }
    if line.override_reason:
        return [_("%(line)s: computed %(now)s instead of %(before)s. Your own figure stays.") % figures]
    if before[0] == line.computed_quantity:
        return [_("%(line)s: another price.") % figures]
    return [_("%(line)s: %(now)s instead of %(before)s.") % figures]


def _rate_for(need: Need, rates: dict[tuple[str, UUID | None], Rate]) -> Rate | None:
    """The rate in force, if there is one that measures what is needed: an unknown tile has none."""
    tile = need.tile.pk if need.tile else None
    rate = rates.get((need.key, tile)) if tile or need.key != TILE else None
    try:
        return rate if rate and dimension(need.unit) == dimension(rate.unit) else None
    except ValueError:
        return None


def _priced(need: Need, rate: Rate | None) -> Priced:
    """The need at its rate; at nothing where there is none, or none that measures the same."""
    if rate is None:
        return price_line(quantity=round(need.quantity, 3), price=Price(cost=Decimal(0)))
    quantity = converted(need.quantity, unit=need.unit, to=rate.unit)
    return _price(quantity, rate)


def _price(quantity: Decimal, rate: Rate) -> Priced:
    """Raises CannotChange for an amount that no row can hold."""
    try:
        return price_line(quantity=quantity, price=Price(cost=rate.cost, package=rate.package, hours=rate.hours))
    except TooMuch:
        raise CannotChange(_("%(rate)s comes to an absurd amount: check its rate.") % {"rate": rate}) from None


def _write(line: EstimateLine, priced: Priced) -> None:
    line.quantity, line.packages, line.hours = priced.quantity, priced.packages, priced.hours
    line.unit_cost, line.cost = priced.unit_cost, priced.cost


def _kind(key: str) -> RateKind:
    return BY_KEY[key].kind if key in BY_KEY else RateKind.MATERIAL


def _named(line: EstimateLine) -> str:
    return f"{line.room.name}, {line.text}" if line.room else line.text


def _amount(quantity: Decimal | None, unit: str) -> str:
    return f"{quantity.normalize():f} {unit_name(unit)}" if quantity is not None else _("nothing")


def _drop(line: EstimateLine) -> str:
    """A computed line that isn't needed any more: gone, unless a person had put a figure in."""
    if line.override_reason:
        line.computed_quantity = line.computed_cost = None
        line.save(update_fields=["computed_quantity", "computed_cost"])
        return _("%(line)s: no longer computed. Your own figure stays.") % {"line": _named(line)}
    line.delete()
    return _("%(line)s: not needed any more, removed.") % {"line": _named(line)}


def _bring_up_to_minimum(estimate: Estimate) -> None:
    """Keeps one line that brings labor up to the shop's minimum trip: there only where it is needed."""
    rate = Rate.objects.filter(key=MINIMUM_TRIP, valid_to=None).first()
    there = EstimateLine.objects.filter(estimate=estimate, key=MINIMUM_TRIP).first()
    if there and there.override_reason:
        return
    others = EstimateLine.objects.filter(estimate=estimate).exclude(key=MINIMUM_TRIP)
    hours = sum((line.hours for line in others if line.hours), Decimal(0))
    least = rate.hours if rate and rate.hours else Decimal(0)
    missing = max(least - hours, Decimal(0))
    if not rate or not missing or not others:
        if there:
            there.delete()
        return
    line = there or EstimateLine(estimate=estimate, key=MINIMUM_TRIP)
    line.kind, line.text, line.unit, line.rate = rate.kind, str(BY_KEY[MINIMUM_TRIP].name), _("hours"), rate
    line.unit_cost = rate.cost
    _by_unit(line, missing)
    line.position = _JOB_LINES
    line.how = _("Labor of %(hours)s h is brought up to %(least)s h.") % {
        "hours": f"{hours.normalize():f}",
        "least": f"{least.normalize():f}",
    }
    line.computed_quantity, line.computed_cost = line.quantity, line.cost
    line.save()


def _by_unit(line: EstimateLine, quantity: Decimal) -> None:
    """Prices a line that no rate of the engine prices: so many units, or so many hours, at so much."""
    counts_hours = line.kind == RateKind.LABOR and line.key in ("", MINIMUM_TRIP)
    line.quantity, line.packages = quantity, None
    line.hours = quantity if counts_hours else None
    line.cost = _cost(quantity * line.unit_cost)


# ---------------------------------------------------------------- by hand


def change_estimate(*, job: Job, markup_percent: Decimal, tax_percent: Decimal, by: Staff) -> Estimate:
    """The estimate with its markup and tax. Raises CannotChange."""
    with change(by):
        estimate, _fresh = _estimate_of(_open_job(job))
        estimate.markup_percent, estimate.tax_percent = markup_percent, tax_percent
        estimate.save(update_fields=["markup_percent", "tax_percent"])
    return estimate


def _open_line(line: EstimateLine) -> EstimateLine:
    _open_job(line.estimate.job)
    now = EstimateLine.objects.select_related("estimate__job", "room", "rate").filter(pk=line.pk).first()
    if now is None:
        raise CannotChange(_("This line was removed meanwhile."))
    return now


@for_clients
def change_line(
    *, line: EstimateLine, quantity: Decimal, by: Staff, cost: Decimal | None = None, reason: str = ""
) -> EstimateLine:
    """The line with another quantity, priced as before; or with another `cost`, whatever the quantity gives.

    A computed line takes a reason, and keeps what was computed beside it. Raises CannotChange.
    """
    reason = " ".join(reason.split())[:200]
    with change(by):
        line = _open_line(line)
        if line.key and not reason:
            raise CannotChange(_("Say why this figure is changed by hand: the next fill will keep it."))
        if line.rate and line.key != MINIMUM_TRIP:
            _write(line, _price(quantity, line.rate))
        else:
            _by_unit(line, quantity)
        if cost is not None:
            line.cost = _cost(cost)
        line.override_reason = reason
        line.save()
        _bring_up_to_minimum(line.estimate)
    return line


@for_clients
def restore_line(*, line: EstimateLine, by: Staff) -> EstimateLine:
    """The line as it was computed last, the figure by hand forgotten. Raises CannotChange for a line of one's own."""
    with change(by):
        line = _open_line(line)
        if line.computed_quantity is None:
            raise CannotChange(_("Nothing was computed for this line: change it, or remove it."))
        line.override_reason = ""
        if line.rate and line.key != MINIMUM_TRIP:
            rate = Rate.objects.filter(key=line.key, tile=line.rate.tile_id, valid_to=None).first() or line.rate
            quantity = converted(line.computed_quantity, unit=line.unit, to=rate.unit)
            line.rate, line.unit = rate, rate.unit
            _write(line, _price(quantity, rate))
            line.computed_quantity, line.computed_cost = line.quantity, line.cost
        else:
            _by_unit(line, line.computed_quantity)
        line.save()
        _bring_up_to_minimum(line.estimate)
    return line


def _cost(amount: Decimal) -> Decimal:
    try:
        return cents(amount)
    except TooMuch:
        raise CannotChange(_("That comes to an absurd amount: check the decimal point.")) from None


@for_clients
def add_line(
    *,
    job: Job,
    kind: RateKind,
    text: str,
    quantity: Decimal,
    unit: str,
    unit_cost: Decimal,
    by: Staff,
    room: Room | None = None,
) -> EstimateLine:
    """A line of one's own. For labor the quantity is in hours. Raises CannotChange."""
    with change(by):
        job = _open_job(job)
        if room is not None and room.job_id != job.pk:
            raise CannotChange(_("That room is of another job."))
        estimate, _fresh = _estimate_of(job)
        last = estimate.lines.aggregate(last=Max("position"))["last"] or 0
        if estimate.lines.filter(key="").count() >= _MOST_OWN:
            raise CannotChange(_("An estimate holds %(most)s lines of your own.") % {"most": _MOST_OWN})
        line = EstimateLine(
            estimate=estimate,
            room=room,
            position=max(last, _JOB_LINES) + 1,
            kind=kind,
            text=text,
            unit=_("hours") if kind == RateKind.LABOR else unit,
            unit_cost=unit_cost,
        )
        _by_unit(line, quantity)
        line.save()
        _bring_up_to_minimum(estimate)
    return line


def remove_line(*, line: EstimateLine, by: Staff) -> None:
    """Removes a line of one's own. Raises CannotChange for a computed one, which the next fill would bring back."""
    with change(by):
        line = _open_line(line)
        if line.computed_quantity is not None or line.lacks_rate:
            raise CannotChange(_("A computed line would come back: set its quantity to 0 instead, and say why."))
        estimate = line.estimate
        line.delete()
        _bring_up_to_minimum(estimate)
