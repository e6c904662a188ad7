"""What a client may choose of a job, and the lines of the price that each choice has. Pure: rows in, no query."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import product
from math import prod
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.catalogue import BY_KEY, MINIMUM_TRIP
from estimating.hours import Hour, cost_by, hour_kept, how_by
from estimating.models import Estimate, EstimateLine, Option, OptionGroup, OptionKind, Rate
from estimating.options import key_of
from estimating.pricing import cents
from rooms.models import Standing

MOST_CHOICES = 64
"""Of a job: each is computed and frozen with its proposal."""
RETURN_VISIT = "labor_return_visit"
JOB_LINES = 30_000
"""Position of what belongs to no room: after the lines of all rooms."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One option of each group to pick one from, and any of those that may be added."""

    options: tuple[Option, ...]

    @property
    def key(self) -> str:
        """The keys of its options, sorted, a comma between: however they were picked, the same choice has the same."""
        return key_of(str(option.pk) for option in self.options)

    @property
    def name(self) -> str:
        return ", ".join(option.name for option in self.options) or _("nothing added")

    def with_option(self, option: Option) -> "Choice":
        """This choice with one more option; one to pick takes the place of its sibling."""
        others = [each for each in self.options if each.pk != option.pk]
        if option.group.kind == OptionKind.ONE:
            others = [each for each in others if each.group_id != option.group_id]
        return Choice((*others, option))


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A job as it is offered: its option groups with their options read along, the lines of all rooms on offer, the
    rate of the minimum trip in force, and the hour of the people on the job where a rate follows them."""

    estimate: Estimate
    lines: Sequence[EstimateLine]
    rooms: Sequence[UUID]
    groups: Sequence[OptionGroup] = field(default=())
    minimum: Rate | None = None
    hour: Hour | None = None

    @property
    def options(self) -> list[Option]:
        return [option for group in self.groups for option in group.options.all()]

    def standing(self) -> Choice:
        """What is in the price until the client chooses."""
        picked = [each for each in self.options if each.group.kind == OptionKind.ONE]
        return Choice(tuple(each for each in picked if each.room.standing == Standing.IN))

    def choices(self) -> list[Choice]:
        """Every choice there is, the standing one first."""
        if not self.groups:
            return [Choice(())]
        parts = [_parts(group) for group in self.groups]
        all_of_them = [Choice(tuple(each for part in parts for each in part)) for parts in product(*parts)]
        standing = self.standing().key
        return sorted(all_of_them, key=lambda choice: choice.key != standing)

    def rooms_in(self, choice: Choice) -> list[UUID]:
        """The rooms of a choice, in the order of the job."""
        left = {each.room_id for each in self.options} - {each.room_id for each in choice.options}
        return [room for room in self.rooms if room not in left]

    def lines_in(self, choice: Choice) -> list[EstimateLine]:
        """The lines of a choice, with those of no room; what brings labor up to the minimum trip is computed anew."""
        found = lines_in(self.lines, self.rooms_in(choice))
        stored = next((line for line in self.lines if line.key == MINIMUM_TRIP), None)
        if choice.key == self.standing().key or (stored and stored.override_reason):
            return found
        rest = [line for line in found if line.key != MINIMUM_TRIP]
        if stored and stored.rate:
            added = minimum_line(self.estimate, rest, stored.rate, hour_kept(stored))
        else:
            added = minimum_line(self.estimate, rest, self.minimum, self.hour)
        return sorted([*rest, added], key=lambda line: line.position) if added else rest


def _parts(group: OptionGroup) -> list[tuple[Option, ...]]:
    """What may be picked of a group: one of its options, or any of them."""
    options = list(group.options.all())
    if group.kind == OptionKind.ONE:
        return [(option,) for option in options]
    return [tuple(each for each in picked if each) for picked in product(*[(None, option) for option in options])]


def count_choices(groups: Iterable[OptionGroup]) -> int:
    """How many choices groups make, their options read along; nothing is listed for it."""
    sizes = [(group.kind, len(group.options.all())) for group in groups]
    return prod(size if kind == OptionKind.ONE else 2**size for kind, size in sizes)


def in_price(lines: Iterable[EstimateLine]) -> list[EstimateLine]:
    """The lines that are in the price until the client chooses: those of no room and of the job's rooms."""
    lines = list(lines)
    return lines_in(lines, {line.room_id for line in lines if line.room_id and line.of_the_job})


def lines_in(lines: Iterable[EstimateLine], rooms: Collection[UUID | None]) -> list[EstimateLine]:
    """The lines of no room and of these; of visits that waits cost the most, since rooms share visits."""
    found = [line for line in lines if line.room_id is None or line.room_id in rooms]
    visits = [line for line in found if line.key == RETURN_VISIT]
    most = max(visits, key=lambda line: line.quantity, default=None)
    return [line for line in found if line.key != RETURN_VISIT or line is most]


def minimum_line(
    estimate: Estimate, lines: Sequence[EstimateLine], rate: Rate | None, hour: Hour | None
) -> EstimateLine | None:
    """The line that brings these lines' labor up to the shop's minimum trip, unsaved; None where it isn't needed, or
    there is no line. Raises TooMuch."""
    hours = sum((line.hours for line in lines if line.hours), Decimal(0))
    least = rate.hours if rate and rate.hours else Decimal(0)
    missing = max(least - hours, Decimal(0))
    if rate is None or not missing or not lines:
        return None
    how = {"hours": f"{hours.normalize():f}", "least": f"{least.normalize():f}"}
    return EstimateLine(
        estimate=estimate,
        key=MINIMUM_TRIP,
        position=JOB_LINES,
        kind=rate.kind,
        text=str(BY_KEY[MINIMUM_TRIP].name),
        unit=_("hours"),
        rate=rate,
        quantity=missing,
        hours=missing,
        unit_cost=cost_by(rate, hour),
        hour_how=how_by(rate, hour),
        cost=cents(missing * cost_by(rate, hour)),
        how=_("Labor of %(hours)s h is brought up to %(least)s h.") % how,
    )
