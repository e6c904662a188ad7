"""What pages read about the shop's own rates, and how rates stand in a list to choose from."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from estimating.following import FOLLOWING
from estimating.hours import Hour, cost_by
from estimating.models import OwnRate, Rate
from estimating.rate_queries import RateRow
from estimating.templatetags.estimating import rate_text

MOST_OWN_RATES = 500
LONGEST_NAME = 120


def too_long_a_name() -> str:
    return _("A rate has a name, of %(most)s characters at most.") % {"most": LONGEST_NAME}


def too_many_rates(most: int) -> str:
    return _("A shop has %(most)s rates of its own at most, those put away too.") % {"most": most}


def own_rate_rows() -> list[RateRow]:
    """Those in use, by kind and name, each with its price. One query."""
    rates = Rate.objects.in_force().filter(own__isnull=False).select_related("own").order_by("kind", "name")
    return [RateRow(key=rate.key, name=rate.name, help="", rate=rate, own=rate.own) for rate in rates]


def own_rates_put_away() -> list[OwnRate]:
    """One query."""
    return list(OwnRate.objects.exclude(archived_on=None))


def latest_rate(own: OwnRate) -> Rate | None:
    """The one in force; of a rate that was put away the last one."""
    rates = Rate.objects.filter(own=own)
    return rates.in_force().first() or rates.order_by("-valid_from", "-created_at", "-id").first()


def rates_for_lines() -> list[Rate]:
    """The rates in force that a line may be priced by: not those of what follows from other lines. One query."""
    return list(Rate.objects.in_force().exclude(key__in=FOLLOWING).order_by("kind", "name", "id"))


def rate_choices(rates: Iterable[Rate], hour: Hour | None) -> list[tuple[str, str | list[tuple[str, str]]]]:
    """For a field that chooses one by its key: the shop's own before the others, which stand by their kinds. `hour`:
    what one costs on the job, where a rate follows its people."""
    own: list[tuple[str, str]] = []
    groups: dict[str, list[tuple[str, str]]] = {}
    for rate in rates:
        group = own if rate.own_id else groups.setdefault(rate.get_kind_display(), [])
        group.append((str(rate.pk), f"{rate.name}: {rate_text(rate, cost_by(rate, hour))}"))
    return [("", _("Choose a rate")), *([(_("Your own rates"), own)] if own else []), *groups.items()]
