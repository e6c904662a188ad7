"""What a room is, as far as its phases, checks and materials depend on it; and conditions over that, as data."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from decimal import Decimal
from typing import Any, Literal, get_args

from trade.rules import LARGE_EDGE_MM, Place

WET_PLACES: tuple[Place, ...] = ("shower", "tub_surround", "wet_floor")

Substrate = Literal[
    "cement board",
    "mortar bed",
    "concrete",
    "plywood",
    "foam board",
    "gypsum board",
    "gypsum plaster",
    "existing tile",
]
Membrane = Literal["none", "liquid", "sheet", "liner"]
"""`liner`: under a mortar bed, so that no tile touches it."""
UNDER_TILE: tuple[Membrane, ...] = ("liquid", "sheet")
"""Membranes that tile is set on."""
ClimateZone = Literal["1", "2", "3", "4", "marine 4", "5", "6", "7", "8"]
"""Of the energy code; a room's where a tiled wall is an outside wall."""
Steam = Literal["", "sometimes", "all day"]

PANEL_MM2 = Decimal(1_000_000)
"""A tile of 1 m² or more is a panel: ANSI A137.3, as reported in ceramictilefoundation.org/blog."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Specification:
    """One room.  Lengths in Decimal mm; `pattern_offset` is the share of a side that courses are offset by, or 0;
    `warp_mm` the measured bow of the longest edge, 0 until measured (which makes limits stricter, never looser);
    `year_built` None where nobody knows, which counts as old.

    `substrate` and `membrane` are "" where nobody has said; `absorption_percent` is the water that the tile takes up,
    by mass, None where nobody knows; `coldest_f` the coldest that it gets while things cure, None for a heated room.
    `flats`: niche, bench, sill or shelf.  Raises ValueError, with the field's name, for what describes no room.
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
    has_ceiling: bool = False
    curb: bool = False
    flats: bool = False
    glass: bool = False
    mosaic: bool = False
    moisture_sensitive: bool = False
    face_scratches: bool = False
    absorption_percent: Decimal | None = None
    substrate: Substrate | Literal[""] = ""
    membrane: Membrane | Literal[""] = ""
    retarder_behind: bool = False
    climate_zone: ClimateZone | Literal[""] = ""
    heated: bool = False
    steam: Steam = ""
    under_water: bool = False
    freezes: bool = False
    sun: bool = False
    slab_above_ground: bool = False
    grazing_light: bool = False
    stains: bool = False
    even_color: bool = False
    accessible: bool = False
    permit: bool = False
    rapid_mortar: bool = False
    rapid_leveler: bool = False
    epoxy_grout: bool = False
    coldest_f: Decimal | None = None

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
        for name, known in (
            ("substrate", Substrate),
            ("membrane", Membrane),
            ("climate_zone", ClimateZone),
            ("steam", Steam),
        ):
            if getattr(self, name) not in ("", *get_args(known)):
                raise ValueError(f"{name}: there is no {getattr(self, name)!r}")
        if self.absorption_percent is not None and not 0 <= self.absorption_percent <= 100:
            raise ValueError("absorption_percent: must be from 0 to 100")

    def to_json(self) -> dict[str, Any]:
        """Return JSON-ready data; lengths and shares as strings, so that no double comes between."""
        return {name: str(value) if isinstance(value, Decimal) else value for name, value in asdict(self).items()}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Specification":
        """Return what `to_json` wrote; what an earlier edition didn't write has its default."""
        decimals = {each.name for each in fields(cls) if Decimal in (each.type, *get_args(each.type))}
        known = {each.name for each in fields(cls)} & set(data)
        values: dict[str, Any] = {
            name: Decimal(data[name]) if name in decimals and data[name] is not None else data[name] for name in known
        }
        return cls(**values)

    @property
    def large_tile(self) -> bool:
        """Whether an edge is 15 in or more."""
        return self.tile_longest_edge_mm >= LARGE_EDGE_MM

    @property
    def large_offset(self) -> bool:
        """Whether courses are offset and a side is over 15 in: one rule says `or more`, the other `over`."""
        return self.pattern_offset > 0 and self.tile_longest_edge_mm > LARGE_EDGE_MM

    @property
    def panel(self) -> bool:
        """Whether a tile is 1 m² or more."""
        return self.tile_longest_edge_mm * self.tile_shortest_edge_mm >= PANEL_MM2


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """All that is given must be true; an empty condition always is.  `built_before` is true of an unknown year; the
    rest are the specification's fields and properties of the same names."""

    places: tuple[Place, ...] = ()
    surface: Literal["floor", "walls", "ceiling"] | None = None
    built_before: int | None = None
    large_tile: bool | None = None
    large_offset: bool | None = None
    panel: bool | None = None
    stone: bool | None = None
    mosaic: bool | None = None
    demolition: bool | None = None
    curb: bool | None = None
    accessible: bool | None = None
    flats: bool | None = None
    heated: bool | None = None
    permit: bool | None = None
    steam: bool | None = None

    def applies(self, spec: Specification) -> bool:
        """Return whether `spec` meets this condition."""
        surfaces = {"floor": spec.has_floor, "walls": spec.has_walls, "ceiling": spec.has_ceiling}
        return (
            (not self.places or spec.place in self.places)
            and (self.surface is None or surfaces[self.surface])
            and (self.built_before is None or spec.year_built is None or spec.year_built < self.built_before)
            and all(getattr(self, name) in (None, bool(getattr(spec, name))) for name in FLAGS)
        )


FLAGS: tuple[str, ...] = tuple(each.name for each in fields(Condition) if each.type == bool | None)
"""What of a condition is plainly so or not so."""

ALWAYS = Condition()
