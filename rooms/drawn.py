"""The surfaces of a room with their sketches: to point at a place on one, and to show places on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.safestring import SafeString

from rooms.files import room_to_file
from rooms.models import Room, Surface
from rooms.outlines import box_of
from rooms.sketch import Dot, scale_of, sketch
from trade.lengths import Unit


@dataclass(frozen=True, slots=True)
class Frame:
    """The box around a surface's outline, in its coordinates (mm)."""

    left: Decimal
    bottom: Decimal
    width: Decimal
    height: Decimal

    @classmethod
    def of(cls, surface: Surface) -> "Frame":
        left, bottom, right, top = box_of([(x, y) for x, y in surface.outline])
        return cls(left, bottom, right - left, top - bottom)

    @property
    def scale(self) -> Decimal:
        """Units of the sketch for a mm."""
        return scale_of(self.width, self.height)


@dataclass(frozen=True, slots=True)
class DrawnSurface:
    surface: Surface
    frame: Frame
    svg: SafeString


def drawn_surfaces(
    room: Room, *, shown_in: Unit, dots: Mapping[str, Sequence[Dot]] | None = None
) -> list[DrawnSurface]:
    """The surfaces of a room read with its parts (`rooms.queries.with_parts`), as measured, lengths in `shown_in`; with
    `dots`, by the surface's key, only those that have some, each with its own."""
    base = room_to_file(room)
    pairs = zip(room.surfaces.all(), base["surfaces"], strict=True)
    return [
        DrawnSurface(
            surface=surface,
            frame=Frame.of(surface),
            svg=sketch(raw, units=base["units"], shown_in=shown_in, dots=(dots or {}).get(surface.key, ())),
        )
        for surface, raw in pairs
        if dots is None or surface.key in dots
    ]
