"""What things cost the shop. A new price is a new row that ends the old one: what was priced before stays as it was."""

from collections.abc import Iterable, Sequence
from typing import Unpack

from django.db.models import Q
from django.utils import timezone

from estimating.catalogue import RATES, Example
from estimating.models import Rate, RateKind
from estimating.rate_days import Standing, standing_rates
from estimating.rate_figures import RateFigures, figures_of, rate_of
from shop.actions import locked_settings
from shop.audit import change
from shop.languages import for_clients
from shop.models import Staff, Units
from shop.queries import shop_settings


def set_rate(*, by: Staff, **rate: Unpack[RateFigures]) -> Rate:
    """The rate for `key` (of `tile`, where key is "tile") from its day on, today's where none is given; the one before
    ends on that day.

    Of a later day, what stands holds until then; of an earlier one, it takes the place of what stands. Prices of days
    still to come stay. The same figures again leave the rate that stands, and say that it holds. What was priced stays
    as it was. Raises BadRate.
    """
    return set_rates([rate], by=by)[0]


def set_rates(rates: Sequence[RateFigures], *, by: Staff) -> list[Rate]:
    """As `set_rate` for each, all or none, in a number of queries that doesn't grow; a key (and tile) comes once."""
    today = timezone.localdate()
    wanted = [rate_of(figures, figures.get("valid_from") or today) for figures in rates]
    first = min((rate.valid_from for rate in wanted), default=today)
    with change(by):
        # Two people who set one rate at once take turns: on the shop's row, since a first rate has no row to lock.
        locked_settings()
        rows = Rate.objects.filter(Q(valid_to=None) | Q(valid_to__gt=min(first, today)))
        found = list(rows.filter(key__in={rate.key for rate in wanted}).select_for_update(no_key=True))
        standing = standing_rates(rate for rate in found if rate.holds_from(today))
        now: list[Rate] = []
        changed: list[Rate] = []
        for rate in wanted:
            stands = standing.get((rate.key, rate.tile_id), Standing())
            if same := stands.same(rate, today=today):
                if (day := min(rate.valid_from, today)) > same.as_of:
                    same.checked_on = day
                    changed.append(same)
            else:
                rate.valid_to = stands.until(rate, today=today)
                changed += _ended_by(rate, found)
            now.append(same or rate)
        Rate.objects.bulk_update(changed, ["valid_to", "checked_on"])
        Rate.objects.bulk_create([rate for rate, wants in zip(now, wanted, strict=True) if rate is wants])
    return now


def _ended_by(rate: Rate, rows: Iterable[Rate]) -> list[Rate]:
    """The rows, of any rates, that reach into the days of this one, ended where it begins; one that begins within them
    never held."""
    reach = [
        each
        for each in rows
        if (each.key, each.tile_id) == (rate.key, rate.tile_id)
        and (each.valid_to is None or each.valid_to > rate.valid_from)
        and (rate.valid_to is None or each.valid_from < rate.valid_to)
    ]
    for each in reach:
        each.valid_to = max(each.valid_from, rate.valid_from)
    return reach


def price_labor_by_people(*, follow: bool, by: Staff) -> int:
    """Lets an hour of every labor rate cost what the people on a job cost; without `follow`, its own figure again.

    Returns how many changed: each is a new row.
    """
    today = timezone.localdate()
    with change(by):
        locked_settings()
        labor = Rate.objects.not_ended().filter(kind=RateKind.LABOR).exclude(by_people=follow).select_related("own")
        others = list(labor.order_by("valid_from"))
        ahead = [rate for rate in others if rate.valid_from > today]
        changed: list[RateFigures] = [{**figures_of(rate), "by_people": follow} for rate in others if rate not in ahead]
        count = len(set_rates(changed, by=by))
        for rate in ahead:
            again: RateFigures = {**figures_of(rate), "by_people": follow, "valid_from": rate.valid_from}
            set_rates([again], by=by)
    return count + len(ahead)


@for_clients
def install_example_rates(*, by: Staff) -> int:
    """Example figures, marked as such, for every rate that the shop hasn't set yet; returns how many there were.

    None for a class of a material: it would count in place of the figure that the shop sets for the whole kind.
    """
    metric = shop_settings().units == Units.MM
    with change(by):
        there = set(Rate.objects.not_ended().values_list("key", flat=True))
        missing = [
            (wanted.key, wanted.example(metric=metric))
            for wanted in RATES
            if wanted.key not in there and not wanted.class_of
        ]
        set_rates([_example(key, figures) for key, figures in missing], by=by)
    return len(missing)


def _example(key: str, figures: Example) -> RateFigures:
    return {
        "key": key,
        "cost": figures.cost,
        "unit": figures.unit,
        "package": figures.package,
        "hours": figures.hours,
        "hours_low": figures.hours_low,
        "hours_high": figures.hours_high,
        "example": True,
    }
