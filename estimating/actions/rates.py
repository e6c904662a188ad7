"""What things cost the shop. A new price is a new row that ends the old one: what was priced before stays as it was."""

from collections.abc import Sequence
from typing import Unpack

from django.utils import timezone

from estimating.catalogue import RATES, Example
from estimating.models import Rate, RateKind
from estimating.rate_figures import RateFigures, figures_of, rate_of, same_rate
from shop.actions import locked_settings
from shop.audit import change
from shop.languages import for_clients
from shop.models import Staff, Units
from shop.queries import shop_settings


def set_rate(*, by: Staff, **rate: Unpack[RateFigures]) -> Rate:
    """The rate now in force for `key` (of `tile`, where key is "tile"); the one before ends today.

    The same figures again leave the rate that stands, and say that it holds today. Raises BadRate.
    """
    return set_rates([rate], by=by)[0]


def set_rates(rates: Sequence[RateFigures], *, by: Staff) -> list[Rate]:
    """As `set_rate` for each, all or none, in a number of queries that doesn't grow; a key (and tile) comes once."""
    today = timezone.localdate()
    wanted = [rate_of(figures, today) for figures in rates]
    with change(by):
        # Two people who set one rate at once take turns: on the shop's row, since a first rate has no row to lock.
        locked_settings()
        in_force = Rate.objects.filter(valid_to=None, key__in={rate.key for rate in wanted})
        standing = {(rate.key, rate.tile_id): rate for rate in in_force.select_for_update(no_key=True)}
        old = [standing.get((rate.key, rate.tile_id)) for rate in wanted]
        now = [before if before and same_rate(before, rate) else rate for rate, before in zip(wanted, old, strict=True)]
        ended = [before.pk for rate, before in zip(now, old, strict=True) if before and before is not rate]
        Rate.objects.filter(pk__in=ended).update(valid_to=today)
        holds = [rate.pk for rate, before in zip(now, old, strict=True) if rate is before and rate.as_of != today]
        Rate.objects.filter(pk__in=holds).update(checked_on=today)
        Rate.objects.bulk_create([rate for rate, before in zip(now, old, strict=True) if rate is not before])
    return now


def price_labor_by_people(*, follow: bool, by: Staff) -> int:
    """Lets an hour of every labor rate cost what the people on a job cost; without `follow`, its own figure again.

    Returns how many changed: each is a new row.
    """
    with change(by):
        locked_settings()
        others = Rate.objects.filter(kind=RateKind.LABOR, valid_to=None).exclude(by_people=follow).select_related("own")
        changed: list[RateFigures] = [{**figures_of(rate), "by_people": follow} for rate in others]
        return len(set_rates(changed, by=by))


@for_clients
def install_example_rates(*, by: Staff) -> int:
    """Example figures, marked as such, for every rate that the shop hasn't set yet; returns how many there were.

    None for a class of a material: it would count in place of the figure that the shop sets for the whole kind.
    """
    metric = shop_settings().units == Units.MM
    with change(by):
        there = set(Rate.objects.filter(valid_to=None).values_list("key", flat=True))
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
