"""The estimate filled from layouts and rates, and what a fill would change."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from estimating.actions._following import bring_along, reckon_rooms
from estimating.actions._open import CannotChange, estimate_of, open_job, price_at, write
from estimating.actions._telling import computed, dropped, told
from estimating.actions.newer_prices import take_newer_prices
from estimating.catalogue import BY_KEY, TILE
from estimating.choices import in_price
from estimating.filling import needs_of
from estimating.following import FOLLOWING
from estimating.hours import Hour, hour_for
from estimating.models import Estimate, EstimateLine, Rate, RateKind
from estimating.needs import Need
from estimating.pricing import Price, Priced, Totals, converted, dimension, price_line
from estimating.terms import taxes_in, totals_of
from estimating.working import long_waits, phases_of
from jobs.models import Job
from rooms.queries import current_layouts, rooms_on_offer
from shop.audit import change
from shop.languages import for_clients
from shop.models import Staff
from shop.queries import shop_limits


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """The estimate, and what the fill changed in it, a sentence each; nothing on the `first` fill."""

    estimate: Estimate
    changes: list[str]
    first: bool


@for_clients
def fill_estimate(*, job: Job, by: Staff) -> Filled:
    """The estimate with its lines computed from the current layouts, those of options too, and the rates in force.

    Figures that a person put in stay; what was computed for them is kept beside them. Own lines stay, at the newer
    price where a rate prices them. A line without rate costs nothing and stands in the way of a proposal. Raises
    CannotChange where no layout is chosen.
    """
    with change(by):
        job = open_job(job)
        rooms = list(rooms_on_offer(job))
        layouts = current_layouts(job)
        if not layouts:
            raise CannotChange(_("No room of this job has a chosen layout yet: choose one, then fill the estimate."))
        estimate, fresh = estimate_of(job)
        rates = _rates_in_force()
        hour = hour_for(job.pk, rates.values())
        old = {_identity(line): line for line in _lines(estimate) if line.key and line.key not in FOLLOWING}
        before = {line.pk: _written(line) for line in old.values()}
        said: list[str] = []
        made: list[EstimateLine] = []
        kept = list(old.values())
        limits = shop_limits()
        phases = phases_of(rooms, layouts, limits=limits)
        needs = needs_of(job=job, rooms=rooms, layouts=layouts, phases=phases, limits=limits)
        for position, need in enumerate(_to_price(needs, rates), start=1):
            line = old.pop(need.identity, None)
            if line is None:
                line = EstimateLine(estimate=estimate, room=need.room, key=need.key)
                made.append(line)
            said += _put(line, need, rates, hour, position, new=line.pk not in before)
        said += [dropped(line) for line in old.values()]
        gone = {line.pk for line in old.values() if not line.override_reason}
        EstimateLine.objects.filter(pk__in=gone).delete()
        EstimateLine.objects.bulk_create(made)
        changed = [line for line in kept if line.pk not in gone and _written(line) != before[line.pk]]
        EstimateLine.objects.bulk_update(changed, _WRITTEN)
        said += take_newer_prices(estimate, rates, hour)
        estimate.filled_from = sorted(layout.pk for layout in layouts.values())
        estimate.taxes = taxes_in(job.site.region)
        estimate.waits = {str(room.pk): count for room, count in long_waits(rooms, phases).items()}
        estimate.way_km = job.site.distance_km
        estimate.save(update_fields=["filled_from", "taxes", "waits", "way_km"])
        reckon_rooms(estimate, rooms, layouts)
        said += bring_along(estimate, at_rates_of_today=True)
    return Filled(estimate=estimate, changes=[] if fresh else said, first=fresh)


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """A line that a fill would change: as it is, and as it would be; None where it isn't there."""

    before: EstimateLine | None
    after: EstimateLine | None

    @property
    def line(self) -> EstimateLine:
        line = self.after or self.before
        assert line is not None
        return line

    @property
    def difference(self) -> Decimal:
        before, after = (each.cost if each else Decimal(0) for each in (self.before, self.after))
        return after - before


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a fill would do. `before` is None where nothing is filled yet."""

    changed: list[Changed]
    before: Totals | None
    after: Totals

    @property
    def difference(self) -> Decimal:
        return self.after.total - (self.before.total if self.before else 0)


def preview_fill(*, job: Job, by: Staff) -> Preview:
    """What `fill_estimate` would do now, done and taken back. Raises CannotChange as that does."""
    with transaction.atomic():
        estimate = Estimate.objects.filter(job=job).first()
        old = {line.pk: line for line in _lines(estimate)} if estimate else {}
        before = totals_of(estimate, in_price(old.values())) if estimate else None
        filled = fill_estimate(job=job, by=by).estimate
        new = {line.pk: line for line in _lines(filled)}
        after = totals_of(filled, in_price(new.values()))
        transaction.set_rollback(True)
    pairs = [(old.get(key), new.get(key)) for key in {**new, **old}]
    changed = [Changed(before=one, after=other) for one, other in pairs if _differ(one, other)]
    return Preview(changed=changed, before=before, after=after)


_SHOWN = ("text", "quantity", "unit", "packages", "hours", "unit_cost", "cost", "computed_quantity", "computed_cost")


def _differ(one: EstimateLine | None, other: EstimateLine | None) -> bool:
    return one is None or other is None or any(getattr(one, name) != getattr(other, name) for name in _SHOWN)


def _lines(estimate: Estimate) -> QuerySet[EstimateLine]:
    return EstimateLine.objects.filter(estimate=estimate).select_related("room", "rate")


def _rates_in_force() -> dict[tuple[str, UUID | None], Rate]:
    return {(rate.key, rate.tile_id): rate for rate in Rate.objects.in_force()}


def _to_price(needs: Iterable[Need], rates: dict[tuple[str, UUID | None], Rate]) -> list[Need]:
    """Without those that the shop has no rate for and needs none: it doesn't count them apart."""
    return [need for need in needs if need.key not in BY_KEY or BY_KEY[need.key].needed or (need.key, None) in rates]


def _identity(line: EstimateLine) -> tuple[UUID | None, str, str]:
    return (line.room_id, line.key, line.text if line.key == TILE else "")


# What a fill writes of a line.
_WRITTEN = (
    *("position", "kind", "text", "quantity", "unit", "rate", "packages", "hours", "low_hours", "high_hours"),
    *("unit_cost", "hour_how", "cost", "computed_quantity", "computed_cost", "how", "source"),
)


def _written(line: EstimateLine) -> list[object]:
    return [line.rate_id if name == "rate" else getattr(line, name) for name in _WRITTEN]


def _put(
    line: EstimateLine,
    need: Need,
    rates: dict[tuple[str, UUID | None], Rate],
    hour: Hour | None,
    position: int,
    *,
    new: bool,
) -> list[str]:
    """Makes a line what is needed, unsaved; what changed, in words."""
    before = computed(line)
    rate = _rate_for(need, rates)
    priced = _priced(need, rate, hour)
    line.position, line.how, line.source = position, need.how, need.source
    line.computed_quantity = priced.quantity
    line.computed_cost = priced.cost if rate else None
    if not line.override_reason:
        line.text = need.text
        line.kind = rate.kind if rate else _kind(need.key)
        line.unit = rate.unit if rate else need.unit
        line.rate = rate
        write(line, priced, hour)
    elif rate and rate.unit != line.unit:
        # What was typed over stays in its own unit, and what is computed is shown beside it.
        line.computed_quantity = converted(need.quantity, unit=need.unit, to=line.unit)
    return told(line, before, new=new)


def _rate_for(need: Need, rates: dict[tuple[str, UUID | None], Rate]) -> Rate | None:
    """The rate in force, if there is one that measures what is needed: an unknown tile has none."""
    tile = need.tile.pk if need.tile else None
    rate = rates.get((need.by_class, None)) or rates.get((need.key, tile)) if tile or need.key != TILE else None
    try:
        return rate if rate and dimension(need.unit) == dimension(rate.unit) else None
    except ValueError:
        return None


def _priced(need: Need, rate: Rate | None, hour: Hour | None) -> Priced:
    """The need at its rate; at nothing where there is none, or none that measures the same."""
    if rate is None:
        return price_line(quantity=round(need.quantity, 3), price=Price(cost=Decimal(0)))
    quantity = converted(need.quantity, unit=need.unit, to=rate.unit)
    return price_at(quantity, rate, hour)


def _kind(key: str) -> RateKind:
    return BY_KEY[key].kind if key in BY_KEY else RateKind.MATERIAL
