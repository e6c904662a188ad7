"""The shop's own rates: made, priced anew, renamed, put away and taken up again."""

from collections.abc import Iterable, Sequence
from typing import Unpack

from django.db.models import Value
from django.db.models.functions import Greatest
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _

from estimating.actions.rates import set_rate, set_rates
from estimating.catalogue import RATES
from estimating.models import OWN, OwnRate, Rate, RateKind
from estimating.own_rates import LONGEST_NAME, MOST_OWN_RATES, latest_rate, too_long_a_name, too_many_rates
from estimating.pricing import dimension
from estimating.rate_figures import BadRate, Figures, NewRate, RateFigures
from shop.actions import locked_settings
from shop.audit import change
from shop.models import Staff

_LONGEST_SLUG = 40


def make_own_rate(*, name: str, kind: RateKind, by: Staff, **figures: Unpack[Figures]) -> OwnRate:
    """A new rate of the shop's own, with its first price. Raises BadRate for a name that is taken, whatever its
    capitals, for figures that make no sense, and beyond `MOST_OWN_RATES`."""
    return make_own_rates([NewRate(name, kind, figures)], by=by)[0]


def make_own_rates(wanted: Sequence[NewRate], *, by: Staff) -> list[OwnRate]:
    """As `make_own_rate` for each, all or none, in a number of queries that doesn't grow."""
    if not wanted:
        return []
    with change(by):
        # Two who make one name at once take turns: there is no row of it to lock yet.
        locked_settings()
        there = list(OwnRate.objects.all())
        made: list[OwnRate] = []
        for new in wanted:
            name = _free_name(new.name, [*there, *made])
            key = _free_key(name, [*there, *made])
            made.append(OwnRate(key=key, kind=new.kind, name=name))
        if len(there) + len(made) > MOST_OWN_RATES:
            raise BadRate(too_many_rates(MOST_OWN_RATES))
        OwnRate.objects.bulk_create(made)
        set_rates([_of(own, new.figures) for own, new in zip(made, wanted, strict=True)], by=by)
    return made


def change_own_rate(*, own: OwnRate, name: str, by: Staff, **figures: Unpack[Figures]) -> OwnRate:
    """The rate by another name, or at another price from today on. What was priced keeps its text and its price.

    Raises BadRate, also for a unit that measures something else, and for a rate that was put away.
    """
    with change(by):
        own = _locked(own)
        if own.archived_on:
            raise BadRate(_("Somebody put this rate away meanwhile. Take it up again first."))
        _rename(own, name)
        _price(own, figures, by)
    return own


def put_away_own_rate(*, own: OwnRate, by: Staff) -> OwnRate:
    """Its price ends today, and nothing new is priced by it; what it priced stays. Doing it twice changes nothing."""
    with change(by):
        own = _locked(own)
        if own.archived_on is None:
            own.archived_on = timezone.localdate()
            own.save(update_fields=["archived_on"])
            rates = Rate.objects.not_ended().filter(own=own)
            rates.update(valid_to=Greatest("valid_from", Value(own.archived_on)))
    return own


def take_up_own_rate(*, own: OwnRate, name: str, by: Staff, **figures: Unpack[Figures]) -> OwnRate:
    """A rate that was put away is in use again, at this price from today on. Raises BadRate."""
    with change(by):
        own = _locked(own)
        if own.archived_on is not None:
            own.archived_on = None
            own.save(update_fields=["archived_on"])
        _rename(own, name)
        _price(own, figures, by)
    return own


def _locked(own: OwnRate) -> OwnRate:
    """As it is now, nobody else changing a rate until the transaction ends."""
    locked_settings()
    return OwnRate.objects.get(pk=own.pk)


def _rename(own: OwnRate, name: str) -> None:
    name = _free_name(name, OwnRate.objects.exclude(pk=own.pk))
    if name != own.name:
        own.name = name
        own.save(update_fields=["name"])
        Rate.objects.not_ended().filter(own=own).update(name=name)


def _price(own: OwnRate, figures: Figures, by: Staff) -> None:
    before = latest_rate(own)
    rate = _of(own, figures)
    set_rate(by=by, **rate)
    # After it, so that an unknown unit was refused in words.
    if before and dimension(before.unit) != dimension(rate["unit"]):
        raise BadRate(
            _("It was priced by another measure, and lines count in that. Put this rate away and make a new one.")
        )


def _of(own: OwnRate, figures: Figures) -> RateFigures:
    return RateFigures(key=own.key, own=own, **figures)


def _free_name(name: str, others: Iterable[OwnRate]) -> str:
    """Without spaces to spare. Raises BadRate."""
    name = " ".join(name.split())
    if not 0 < len(name) <= LONGEST_NAME:
        raise BadRate(too_long_a_name())
    if name.casefold() in {taken.casefold() for rate in RATES for taken in (str(rate.name), rate.key)}:
        raise BadRate(_("“%(name)s” is one of the rates that are there already: set its price there.") % {"name": name})
    same = next((own for own in others if own.name.casefold() == name.casefold()), None)
    if same and same.archived_on:
        raise BadRate(_("“%(name)s” is there, put away: take it up again.") % {"name": same.name})
    if same:
        raise BadRate(_("There is a rate of your own by this name: “%(name)s”.") % {"name": same.name})
    return name


def _free_key(name: str, others: Iterable[OwnRate]) -> str:
    """Stable from now on, also where the name changes."""
    taken = {own.key for own in others}
    first = f"{OWN}{slugify(name)[:_LONGEST_SLUG].strip('-') or 'rate'}"
    numbered = (f"{first}-{number}" for number in range(2, MOST_OWN_RATES + 2))
    return next(key for key in (first, *numbered) if key not in taken)
