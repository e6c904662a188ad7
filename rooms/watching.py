"""What to watch for in a room, in a few sentences."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from rooms.models import Layout, Room, SurfaceKind
from rooms.specification import specification_of
from shop.queries import shop_limits
from trade.lengths import Unit
from trade.watch import Concern, Known, watch_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """A sentence with its source. `stop`: people or the house suffer where it is missed."""

    text: str
    source: str
    concern: Concern

    @property
    def stop(self) -> bool:
        return self.concern in ("danger", "water")


def watch_list(room: Room, layout: Layout | None, *, unit: Unit) -> list[Watch]:
    """What a careful setter would say of the room, the gravest first, by the shop's limits; lengths in `unit`.

    Reads what `rooms.queries.with_parts` has prefetched, and the shop's limits: one query.
    """
    if not room.surfaces.all():
        return []
    found = watch_for(specification_of(room, layout), _known(room), limits=shop_limits())
    return [
        Watch(
            text=each.verdict.say(unit=unit, translate=_) if each.verdict else _(each.rule.text),
            source=each.rule.cited,
            concern=each.concern,
        )
        for each in found
    ]


def _known(room: Room) -> Known:
    floors = [surface for surface in room.surfaces.all() if surface.kind == SurfaceKind.FLOOR]
    runs = [_longest(surface.outline) for surface in floors]
    return Known(
        size_spread_mm=room.tile.size_spread,
        warp_measured=room.tile.warp is not None,
        longest_run_mm=max(runs, default=None),
    )


def _longest(outline: list[list[Decimal]]) -> Decimal:
    """The longer side of an outline's box, mm."""
    spans = [max(axis) - min(axis) for axis in zip(*outline, strict=True)]
    return max(spans)
