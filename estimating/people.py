"""What the owner's pages read about what an hour of each person costs."""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from estimating.hours import Hour, figures_in_force, installers_hour
from estimating.models import HourlyCost, PriceRules, Rate, RateKind
from estimating.terms import price_rules
from estimating.weighing import not_older_than
from shop.models import Role, Staff


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """Somebody who works here: `figure` is what is in force, `old` that it is older than the shop's limit."""

    person: Staff
    figure: HourlyCost | None
    old: bool

    @property
    def installs(self) -> bool:
        return self.person.role == Role.INSTALLER


@dataclass(frozen=True, slots=True, kw_only=True)
class PeoplePage:
    """`hour`: the mean of the installers. `following` and `own`: how many labor rates follow the people, and how many
    have a figure of their own."""

    rows: list[PersonRow]
    hour: Hour | None
    following: int
    own: int
    rules: PriceRules

    @property
    def none_set(self) -> bool:
        return not any(row.figure for row in self.rows)


def people_page() -> PeoplePage:
    """Everybody who works here, the installers first. 4 queries."""
    figures, rules = {figure.person_id: figure for figure in figures_in_force()}, price_rules()
    before = not_older_than(rules)
    rows = []
    for person in Staff.objects.filter(is_active=True):
        figure = figures.get(person.pk)
        rows.append(PersonRow(person=person, figure=figure, old=bool(figure and figure.as_of < before)))
    rows.sort(key=lambda row: not row.installs)
    following = Count("pk", filter=Q(by_people=True))
    labor = Rate.objects.in_force().filter(kind=RateKind.LABOR).aggregate(all=Count("pk"), following=following)
    return PeoplePage(
        rows=rows,
        hour=installers_hour(figures.values()),
        following=labor["following"],
        own=labor["all"] - labor["following"],
        rules=rules,
    )


def history_of(person: Staff) -> QuerySet[HourlyCost]:
    """All figures there ever were for a person, the newest first."""
    return HourlyCost.objects.filter(person=person)
