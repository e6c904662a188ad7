"""The lines of an estimate that follow from its others, kept as they follow."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.actions._open import CannotChange, write_by_unit
from estimating.actions._telling import computed, dropped, told
from estimating.catalogue import MINIMUM_TRIP
from estimating.choices import in_price
from estimating.following import FOLLOWING, as_it_stands, following_lines
from estimating.hours import Hour, hour_for
from estimating.models import Estimate, EstimateLine, Rate
from estimating.needs import areas_of
from estimating.pricing import TooMuch, converted
from estimating.terms import totals_of
from jobs.models import Job
from rooms.models import Layout, Room, Standing
from rooms.queries import current_layouts, rooms_on_offer
from shop.languages import for_clients

_COPIED = ("kind", "text", "unit", "rate", "unit_cost", "hour_how")


def settle_estimate(*, job: Job) -> None:
    """The job's estimate, once a client chose: its area and places, and what follows from other lines, are those of
    what was taken. The caller holds the lock on the job, in its transaction."""
    if estimate := Estimate.objects.filter(job=job).first():
        reckon_rooms(estimate, rooms_on_offer(job), current_layouts(job))
        bring_along(estimate)


def reckon_rooms(estimate: Estimate, rooms: Iterable[Room], layouts: Mapping[UUID, Layout]) -> None:
    """Keeps of the estimate what the rooms are that are part of the job: tiled area, places."""
    counted = [room for room in rooms if room.standing == Standing.IN and room.pk in layouts]
    estimate.area_m2 = sum((areas_of(layouts[room.pk]).all for room in counted), Decimal(0))
    estimate.places = sorted({room.place for room in counted})
    estimate.save(update_fields=["area_m2", "places"])


@for_clients
def bring_along(estimate: Estimate, *, at_rates_of_today: bool = False) -> list[str]:
    """Keeps the lines that follow from the others: each there only where it is needed, figures by hand as they are,
    with what is computed beside them. What changed, a sentence each. Raises CannotChange.

    A line keeps its rate, unless told otherwise: a newer price is taken by the next fill.
    """
    lines = in_price(EstimateLine.objects.filter(estimate=estimate).select_related("room", "rate"))
    there = {line.key: line for line in lines if line.key in FOLLOWING}
    rates = {rate.key: rate for rate in Rate.objects.in_force().filter(key__in=FOLLOWING)}
    hour = hour_for(estimate.job_id, [rates.get(MINIMUM_TRIP)])
    if not at_rates_of_today:
        rates, hour = as_it_stands(lines, rates, hour)
    needed = {line.key: line for line in _needed(estimate, lines, rates, hour)}
    said: list[str] = []
    for key in FOLLOWING:
        if key in needed:
            said += _keep(there.get(key), needed[key])
        elif line := there.get(key):
            said += _let_go(line)
    _check_total(estimate)
    return said


def _check_total(estimate: Estimate) -> None:
    """Lines that each fit may come to what no row can hold, and no page could show it."""
    lines = in_price(EstimateLine.objects.filter(estimate=estimate).select_related("room"))
    try:
        totals_of(estimate, lines)
    except TooMuch:
        raise CannotChange(_("The estimate comes to an absurd amount: check the decimal point.")) from None


def _needed(
    estimate: Estimate, lines: list[EstimateLine], rates: Mapping[str, Rate], hour: Hour | None
) -> list[EstimateLine]:
    try:
        return following_lines(estimate, lines, rates, hour)
    except TooMuch:
        raise CannotChange(
            _("Equipment, trips, or what brings labor up to the least comes to an absurd amount: check the rates.")
        ) from None


def _keep(there: EstimateLine | None, needed: EstimateLine) -> list[str]:
    line = there or needed
    before = computed(line)
    line.position, line.how, line.source = needed.position, needed.how, needed.source
    if line.override_reason:
        line.computed_quantity, line.computed_cost = _in_unit_of(line, needed), needed.cost
    else:
        for name in _COPIED:
            setattr(line, name, getattr(needed, name))
        write_by_unit(line, needed.quantity)
        line.computed_quantity, line.computed_cost = line.quantity, line.cost
    line.save()
    return told(line, before, new=there is None)


def _in_unit_of(line: EstimateLine, needed: EstimateLine) -> Decimal:
    """What was typed over stays in its own unit, and what is computed is shown beside it."""
    if line.key == MINIMUM_TRIP:
        return needed.quantity
    return converted(needed.quantity, unit=needed.unit, to=line.unit)


def _let_go(line: EstimateLine) -> list[str]:
    was_computed = line.computed_quantity is not None
    said = dropped(line)
    if not line.override_reason:
        line.delete()
    elif was_computed:
        line.save()
    else:
        return []
    return [said]
