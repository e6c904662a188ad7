"""What a client may choose of a job, and the lines of the price that each choice has. Pure: rows in, no query."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod
from uuid import UUID

from django.utils.translation import gettext as _

from estimating.catalogue import RETURN_VISIT
from estimating.following import FOLLOWING, as_it_stands, following_lines
from estimating.hours import Hour
from estimating.models import Estimate, EstimateLine, Option, OptionGroup, OptionKind, Rate
from estimating.options import key_of
from rooms.models import Standing

MOST_CHOICES = 64
"""Of a job: each is computed and frozen with its proposal."""


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
    `rates` in force, by key, of what follows from other lines, and the hour of the people on the job where a rate
    follows them."""

    estimate: Estimate
    lines: Sequence[EstimateLine]
    rooms: Sequence[UUID]
    groups: Sequence[OptionGroup] = field(default=())
    rates: Mapping[str, Rate] = field(default_factory=dict)
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
        """The lines of a choice, with those of no room. What follows from the others is computed anew, at the rate
        that the price has it by; but for what a person put in."""
        found = lines_in(self.lines, self.rooms_in(choice))
        if choice.key == self.standing().key:
            return found
        kept = [line for line in found if line.key not in FOLLOWING or line.override_reason]
        stays = {line.key for line in kept}
        rates, hour = as_it_stands(found, self.rates, self.hour)
        anew = [line for line in following_lines(self.estimate, kept, rates, hour) if line.key not in stays]
        return sorted([*kept, *anew], key=lambda line: line.position)


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
    wanted = {None, *rooms}
    found = [line for line in lines if line.room_id in wanted]
    visits = [line for line in found if line.key == RETURN_VISIT]
    most = max(visits, key=lambda line: line.quantity, default=None)
    return [line for line in found if line.key != RETURN_VISIT or line is most]
