"""What an hour costs on a job: the mean of its people, for the labor rates that follow them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet
from django.utils.translation import ngettext

from estimating.models import EstimateLine, HourlyCost, Rate
from estimating.pricing import mean_hour
from jobs.models import CrewMember
from shop.models import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """An hour of the people on a job: its `cost`, and `how` in words without names. `as_of`: the day of the oldest of
    the figures in it; None where it is read off a line that was priced by it."""

    cost: Decimal
    how: str
    as_of: date | None = None


def figures_in_force() -> QuerySet[HourlyCost]:
    """Of the people who work here, each with their person. One query."""
    return HourlyCost.objects.filter(valid_to=None, person__is_active=True).select_related("person")


def hour_of(job: UUID) -> Hour | None:
    """The mean of the job's crew; where none of them has a figure, of the installers; None where nobody has.

    One query.
    """
    on_it = CrewMember.objects.filter(job=job, left_at=None, person=OuterRef("person"))
    figures = list(figures_in_force().annotate(on_the_crew=Exists(on_it)))
    crew = [figure for figure in figures if figure.on_the_crew]
    return _crew_hour(crew) if crew else installers_hour(figures)


def hour_for(job: UUID, rates: Iterable[Rate | None]) -> Hour | None:
    """As `hour_of`; None, without a query, where none of the rates follows the people."""
    return hour_of(job) if any(rate.by_people for rate in rates if rate) else None


def installers_hour(figures: Iterable[HourlyCost]) -> Hour | None:
    """The mean of the installers among these figures in force, which come with their persons."""
    found = [figure for figure in figures if figure.person.role == Role.INSTALLER]
    said = ngettext("an hour of %(count)s installer", "an hour at the mean of %(count)s installers", len(found))
    return _mean(found, said) if found else None


def _crew_hour(crew: Sequence[HourlyCost]) -> Hour:
    said = ngettext(
        "an hour of %(count)s person on the crew", "an hour at the mean of %(count)s persons on the crew", len(crew)
    )
    return _mean(crew, said)


def _mean(figures: Sequence[HourlyCost], said: str) -> Hour:
    return Hour(
        cost=mean_hour([figure.cost for figure in figures]),
        how=said % {"count": len(figures)},
        as_of=min(figure.as_of for figure in figures),
    )


def cost_by(rate: Rate, hour: Hour | None) -> Decimal:
    """What one hour, package or unit of a rate costs where an hour of the people costs this."""
    return hour.cost if rate.by_people and hour else rate.cost


def how_by(rate: Rate | None, hour: Hour | None) -> str:
    """Whose hour prices a line of this rate; "" where it is the rate's own figure."""
    return hour.how if rate and rate.by_people and hour else ""


def hour_moved(lines: Iterable[EstimateLine], hour: Hour | None) -> bool:
    """Whether a line that a fill computes would take another hour now; a newer rate isn't told here."""
    return any(
        line.unit_cost != cost_by(line.rate, hour)
        for line in lines
        if line.rate and line.rate.by_people and not line.rate.ended and not line.override_reason
    )


def hour_kept(line: EstimateLine) -> Hour | None:
    """The people's hour that a line was priced by; None where it was its rate's own figure."""
    return Hour(cost=line.unit_cost, how=line.hour_how) if line.hour_how else None


def hour_for_changes(job: UUID, rates: Iterable[Rate | None]) -> Hour | None:
    """The people's hour of the job's estimate, as the client accepted it; where none of its lines followed the people,
    that of today. 2 queries at most; none where none of the rates follows them."""
    if not any(rate.by_people for rate in rates if rate):
        return None
    lines = EstimateLine.objects.filter(estimate__job=job, rate__by_people=True)
    # A line that was changed by hand keeps the hour of that day: what the last fill took goes before it.
    line = lines.order_by("override_reason", "position", "id").first()
    return hour_kept(line) if line else hour_of(job)
