"""What a room is, as far as its phases and checks depend on it; and conditions over that, as data."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from decimal import Decimal
from typing import Any, Literal, get_args

from trade.rules import LARGE_EDGE_MM, Place

WET_PLACES: tuple[Place, ...] = ("shower", "tub_surround", "wet_floor")


@dataclass(frozen=True, slots=True, kw_only=True)
class Specification:
    """One room.  Lengths in Decimal mm; `pattern_offset` is the share of a side that courses are offset by, or 0;
    `warp_mm` the measured bow of the longest edge, 0 until measured (which makes limits stricter, never looser);
    `year_built` None where nobody knows, which counts as old.

    Raises ValueError, with the field's name, for a specification that describes no room.
    """

    place: Place
    has_floor: bool
    has_walls: bool
    tile_longest_edge_mm: Decimal
    tile_shortest_edge_mm: Decimal
    joint_mm: Decimal
    pattern_offset: Decimal = Decimal(0)
    warp_mm: Decimal = Decimal(0)
    rectified: bool = False
    stone: bool = False
    demolition: bool = False
    year_built: int | None = None

    def __post_init__(self) -> None:
        if self.place not in get_args(Place):
            raise ValueError(f"place: there is no {self.place!r}")
        if not (self.has_floor or self.has_walls):
            raise ValueError("has_floor, has_walls: a room has at least one of them")
        if self.place in ("wet_floor", "dry_floor") and not self.has_floor:
            raise ValueError(f"has_floor: a {self.place} has a floor")
        if self.place in ("tub_surround", "dry_wall") and not self.has_walls:
            raise ValueError(f"has_walls: a {self.place} has walls")
        sizes = (self.tile_longest_edge_mm, self.tile_shortest_edge_mm, self.joint_mm)
        if not all(size.is_finite() and size > 0 for size in sizes):
            raise ValueError("tile_longest_edge_mm, tile_shortest_edge_mm, joint_mm: must be more than 0")
        if self.tile_shortest_edge_mm > self.tile_longest_edge_mm:
            raise ValueError("tile_shortest_edge_mm: longer than tile_longest_edge_mm")
        if not (self.warp_mm.is_finite() and self.warp_mm >= 0):
            raise ValueError("warp_mm: must be 0 or more")
        if not (self.pattern_offset.is_finite() and 0 <= self.pattern_offset < 1):
            raise ValueError("pattern_offset: must be from 0 up to 1")

    def to_json(self) -> dict[str, Any]:
        """Return JSON-ready data; lengths and shares as strings, so that no double comes between."""
        return {name: str(value) if isinstance(value, Decimal) else value for name, value in asdict(self).items()}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Specification":
        """Return what `to_json` wrote; what an earlier edition didn't write has its default."""
        decimals = {each.name for each in fields(cls) if each.type is Decimal}
        known = {each.name for each in fields(cls)} & set(data)
        values: dict[str, Any] = {name: Decimal(data[name]) if name in decimals else data[name] for name in known}
        return cls(**values)

    @property
    def large_tile(self) -> bool:
        """Whether an edge is 15 in or more."""
        return self.tile_longest_edge_mm >= LARGE_EDGE_MM

    @property
    def large_offset(self) -> bool:
        """Whether courses are offset and a side is over 15 in: one rule says `or more`, the other `over`."""
        return self.pattern_offset > 0 and self.tile_longest_edge_mm > LARGE_EDGE_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """All that is given must be true; an empty condition always is.  `built_before` is true of an unknown year."""

    places: tuple[Place, ...] = ()
    surface: Literal["floor", "walls"] | None = None
    large_tile: bool | None = None
    large_offset: bool | None = None
    stone: bool | None = None
    demolition: bool | None = None
    built_before: int | None = None

    def applies(self, spec: Specification) -> bool:
        """Return whether `spec` meets this condition."""
        return all(
            (
                not self.places or spec.place in self.places,
                self.surface != "floor" or spec.has_floor,
                self.surface != "walls" or spec.has_walls,
                self.large_tile in (None, spec.large_tile),
                self.large_offset in (None, spec.large_offset),
                self.stone in (None, spec.stone),
                self.demolition in (None, spec.demolition),
                self.built_before is None or spec.year_built is None or spec.year_built < self.built_before,
            )
        )


ALWAYS = Condition()
