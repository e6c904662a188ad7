"""What pages read about a job's options: each with its room's layout, its lines and what it makes of the total."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from estimating.choice_content import difference
from estimating.choices import Offer, count_choices, lines_in
from estimating.models import EstimateLine, Option, OptionGroup
from estimating.terms import totals_of
from rooms.models import Layout, Standing
from rooms.queries import current_layouts
from rooms.tiles.worn import tiles_of


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionView:
    """`total`: what the client pays with it, the rest as it is in the price; None before it is priced."""

    option: Option
    layout: Layout | None
    lines: list[EstimateLine]
    total: Decimal | None
    difference: dict[str, str] | None

    @property
    def in_price(self) -> bool:
        return self.option.room.standing == Standing.IN

    @property
    def tiles(self) -> list[str]:
        return [tile.name for _use, tile in tiles_of(self.option.room)]

    @property
    def smallest_cut(self) -> str:
        if self.layout is None:
            return ""
        chosen: dict[str, Any] = self.layout.result["options"][self.layout.option - 1]
        return str((chosen.get("least_cut") or {}).get("text", ""))

    @property
    def cost(self) -> Decimal:
        return sum((line.cost for line in self.lines), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupView:
    group: OptionGroup
    options: list[OptionView]


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionsPage:
    groups: list[GroupView]
    choices: int


def options_page(offer: Offer) -> OptionsPage:
    """Every group of the offer. One query, for the layouts; none where there is no option."""
    if not offer.groups:
        return OptionsPage(groups=[], choices=1)
    layouts = current_layouts(offer.groups[0].job)
    standing = offer.standing()
    now = totals_of(offer.estimate, offer.lines_in(standing)).total

    def view(option: Option) -> OptionView:
        lines = lines_in([line for line in offer.lines if line.room_id], {option.room_id})
        total = totals_of(offer.estimate, offer.lines_in(standing.with_option(option))).total if lines else None
        return OptionView(
            option=option,
            layout=layouts.get(option.room_id),
            lines=lines,
            total=total,
            difference=None if total is None else difference(total - now),
        )

    return OptionsPage(
        groups=[
            GroupView(group=group, options=[view(option) for option in group.options.all()]) for group in offer.groups
        ],
        choices=count_choices(offer.groups),
    )
