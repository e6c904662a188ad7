"""The rough-in sheet of a chosen layout, as page, paper and checks read it: what was frozen with the layout."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy

import layout as engine
from layout.rough_in_drawing import rough_in_svg
from rooms.chosen import chosen_room
from rooms.laying import lay
from rooms.models import Layout

KINDS = {
    "niche": gettext_lazy("Niche"),
    "bench": gettext_lazy("Bench"),
    "curb": gettext_lazy("Curb"),
    "valve": gettext_lazy("Valve"),
    "drain": gettext_lazy("Drain"),
    "blocking": gettext_lazy("Blocking"),
    "furring": gettext_lazy("Furring"),
    "pipe": gettext_lazy("Pipe"),
    "window": gettext_lazy("Window"),
    "door": gettext_lazy("Door"),
    "fixture": gettext_lazy("Fixture"),
}

_NOT_FRAMED = ("finished width", "finished height", "finished top")
_OFF = "off the joints"
"""Of measures that a tape can't read off the framing."""


@dataclass(frozen=True, slots=True)
class Measure:
    """`key` names its field; `framed`: a tape can read it off what was built."""

    key: str
    name: str
    origin: str
    how: str
    mm: float
    text: str
    framed: bool

    @property
    def set_by(self) -> bool:
        """Whether somebody frames or checks by it."""
        return not self.name.endswith(_OFF)


@dataclass(frozen=True, slots=True)
class Item:
    """An item of the sheet. `number` is counted over the whole room, `mark` what the room's file has of it."""

    number: int
    surface: str
    kind: str
    name: str
    mark: Mapping[str, Any]
    measures: tuple[Measure, ...]

    @property
    def title(self) -> str:
        """What it is: "Blocking, grab bar"; an opening's own name only where it says more than its kind."""
        kind = str(KINDS[self.kind])
        plain = self.kind in ("bench", "curb", "furring") or self.name.lower() == self.kind
        return kind if plain else f"{kind}, {self.name}"

    @property
    def said(self) -> Mapping[str, str]:
        """Its measures by their names."""
        return {each.name: each.text for each in self.measures}


@dataclass(frozen=True, slots=True)
class SheetSurface:
    id: str
    name: str
    svg: SafeString
    items: tuple[Item, ...]


class RoughIn:
    """What framer and plumber need of a layout. Raises layout.RoomError of one that is older than rough-in sheets and
    can't be laid out again."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.raw = layout.rough_in if layout.rough_in is not None else _worked_out(layout)

    @cached_property
    def items(self) -> tuple[Item, ...]:
        return tuple(_item(number, raw) for number, raw in enumerate(self.raw["items"], 1))

    @cached_property
    def surfaces(self) -> tuple[SheetSurface, ...]:
        """Those with an item, in the room's order."""
        room = chosen_room(self.layout).room
        numbered = list(enumerate(self.raw["items"], 1))
        found = []
        for surface in room.surfaces:
            if items := tuple(each for each in self.items if each.surface == surface.id):
                own = [pair for pair in numbered if pair[1]["surface"] == surface.id]
                svg = mark_safe(rough_in_svg(surface, own, units=room.units))  # noqa: S308  the engine's
                found.append(SheetSurface(surface.id, surface.name, svg, items))
        return tuple(found)

    @property
    def assumed(self) -> Sequence[str]:
        return self.raw["assumed"]

    @property
    def cautions(self) -> Sequence[Mapping[str, str]]:
        return self.raw["findings"]


def _worked_out(layout: Layout) -> dict[str, Any]:
    laid = lay(layout.input, option=layout.option)
    return engine.rough_in(laid.room, laid.result)


def _item(number: int, raw: Mapping[str, Any]) -> Item:
    measures = tuple(_measure(number, place, each) for place, each in enumerate(raw["measures"]))
    return Item(number, raw["surface"], raw["kind"], raw["id"], raw.get("mark", {}), measures)


def _measure(number: int, place: int, raw: Mapping[str, Any]) -> Measure:
    name = raw["name"]
    framed = name not in _NOT_FRAMED and not name.endswith(_OFF)
    return Measure(f"m{number}_{place}", name, raw["from"], raw["how"], raw["mm"], raw["text"], framed)
