"""The rates of the catalogue under headings, by what they are for."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from estimating.models import RateKind
from estimating.queries import RateRow


@dataclass(frozen=True, slots=True, kw_only=True)
class RateGroup:
    """`help`: what its rates are counted for."""

    name: str
    help: str
    rows: list[RateRow]


def grouped_rates(rows: Iterable[RateRow]) -> list[RateGroup]:
    """The rows of the catalogue, each kind under a heading of its own."""
    rows = list(rows)
    headings: list[tuple[RateKind, str, str]] = [
        (
            RateKind.MATERIAL,
            _("Materials"),
            _("Where a class of a material has a price of its own, that goes first in rooms that ask for the class."),
        ),
        (RateKind.LABOR, _("Labor"), _("By task: hours for one unit, and what an hour costs.")),
        (
            RateKind.EQUIPMENT,
            _("Equipment"),
            _("By the day, counted from the hours of the work that it is for. Without a rate there is no line."),
        ),
        (RateKind.DISPOSAL, _("Disposal"), _("Of rooms with demolition. Without a rate there is no line.")),
        (
            RateKind.TRAVEL,
            _("Travel"),
            _(
                "For each drive to the site: as many as the days of work and the waits ask for. Set the flat sum, the "
                "distance, or both; without a rate there is no line."
            ),
        ),
    ]
    return [
        RateGroup(name=name, help=help, rows=[row for row in rows if row.kind == kind]) for kind, name, help in headings
    ]
