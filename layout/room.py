"""A measured room, as the engine reads it (FORMATS.md, `gaugerod-room/1`).

All lengths are mm as floats that came through `Decimal` mm with six places, so 1/64 in is exact. Coordinates: x right,
y up, seen from inside the room facing the surface; a floor from above.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

Point = tuple[float, float]
Units = Literal["in", "mm"]
Kind = Literal["wall", "floor", "ceiling", "curb", "bench", "jamb", "sill", "niche"]
Reuse = Literal["factory-edge", "any-edge", "none"]
OutlinesOf = Literal["board", "framing"]
PinY = Literal["full-at-top", "full-at-bottom"]
PinX = Literal["tile-centered", "joint-centered", "full-at-left", "full-at-right"]

TOLERANCE = 0.01
"""mm. Geometry closer than this is the same place (DESIGN.md, the engine's rules)."""

HUNG = ("wall", "jamb", "niche")
"""Kinds whose courses are counted from a level line near their foot; the others from lines through their middle."""

SOFT = 1.0
"""mm. What the soft joint at an edge takes up (FORMATS.md, rule 1)."""

EQUAL = 25.4 / 32
"""mm. Cuts closer than 1/32 in are equal to a setter (FORMATS.md, rule 4)."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One tile as it hangs: measured sides in mm, and how its offcuts may be turned."""

    name: str
    width: float
    height: float
    thickness: float | None = None
    edge: Literal["natural", "calibrated", "rectified"] = "calibrated"
    size_spread: float | None = None
    warp: float | None = None
    turns: tuple[int, ...] = (0, 90, 180, 270)
    per_box: int | None = None
    finish: str = ""
    stone: bool = False

    @property
    def area(self) -> float:
        """Face area in mm²."""
        return self.width * self.height


@dataclass(frozen=True, slots=True)
class Pattern:
    """`stack`, or `offset` by `share` of the pitch along the course (`axis` rows) or along the column (columns).

    `diagonal`, `herringbone` and `hex` are described in `layout.lattice`.
    """

    kind: Literal["stack", "offset", "diagonal", "herringbone", "hex"] = "stack"
    share: Fraction = Fraction(0)
    run: Literal["alternate", "stair"] = "alternate"
    axis: Literal["rows", "columns"] = "rows"
    angle: int = 45
    """Degrees that a herringbone is turned, 45 or 0."""

    @property
    def square(self) -> bool:
        """Whether its tiles stand level and plumb in straight courses."""
        return self.kind in ("stack", "offset")

    def shift(self, number: int) -> Fraction:
        """How far course (or column) `number` is shifted, in pitches: 0, s, 0, s … or 0, s, 2s …"""
        return self.share * (number if self.run == "stair" else number % 2)

    @property
    def cycle(self) -> int:
        """After how many courses the shifts repeat, whole pitches apart."""
        if not self.share:
            return 1
        return self.share.denominator if self.run == "stair" else 2


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of an outline: from point `index` to the next. `gap` in mm to the field."""

    index: int
    name: str
    gap: float
    finish: str = "soft"
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Movable:
    """How far an opening may be moved from where it is drawn, mm: least and most to the right, least and most up."""

    x: tuple[float, float] = (0.0, 0.0)
    y: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Opening:
    """A niche, window, fixture …: no tile inside its outline."""

    id: str
    kind: str
    outline: tuple[Point, ...]
    movable: Movable | None = None
    circle: tuple[float, float, float] | None = None
    """x, y and radius of a round one, mm; its `outline` is then many short sides."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A datum the setter insists on: a place by name, or a length in mm in the surface's coordinates."""

    x: PinX | float | None = None
    y: PinY | float | None = None
    at_x: str = field(default="", compare=False)
    """Where in the file `x` was said: of one that can't be honored."""
    at_y: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Aim:
    """A wish: at this point a joint or a tile's middle, parted by after the score."""

    at: Point
    want: Literal["joint-centered", "tile-centered"]
    why: str = ""


@dataclass(frozen=True, slots=True)
class Blocking:
    """Wood between the studs, around this point, for what is screwed to the wall later."""

    at: Point
    what: str


@dataclass(frozen=True, slots=True)
class Surface:
    """One plane of the room with everything that applies to it, defaults filled in."""

    id: str
    name: str
    kind: Kind
    outline: tuple[Point, ...]
    edges: tuple[Edge, ...]
    openings: tuple[Opening, ...]
    tile: Tile
    joint: float
    joint_high: float
    pattern: Pattern
    edge_gap: float
    wet: bool = False
    focal: bool = False
    build_up: float = 0.0
    level: float = 0.0
    pin: Pin = Pin()
    aims: tuple[Aim, ...] = ()
    blocking: tuple[Blocking, ...] = ()
    joins: tuple[tuple[int, str], ...] = ()
    """(edge index, id of the surface it meets there), without build-up."""

    @property
    def square(self) -> bool:
        """Whether its outline and openings are all level and plumb, and its pattern too."""
        loops = [self.outline, *(opening.outline for opening in self.openings)]
        sides = [(loop[n - 1], loop[n]) for loop in loops for n in range(len(loop))]
        return self.pattern.square and all(a[0] == b[0] or a[1] == b[1] for a, b in sides)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the outline, mm."""
        xs = [x for x, _ in self.outline]
        ys = [y for _, y in self.outline]
        return min(xs), min(ys), max(xs), max(ys)

    def edge_named(self, name: str) -> int | None:
        """Index of the edge called `left`, `right`, `top`, `bottom` or `edge 3`, or None."""
        return next((edge.index for edge in self.edges if name in (edge.name, f"edge {edge.index}")), None)


@dataclass(frozen=True, slots=True)
class Corner:
    """An inside corner: `first` is set first, into the corner; `second` starts at its finished face, `soft` mm off."""

    first: str
    first_edge: int
    second: str
    second_edge: int
    soft: float


@dataclass(frozen=True, slots=True)
class Setting:
    """How the tile is set: share of the back covered, back-buttered or not, the trowel."""

    coverage: float | None = None
    back_butter: bool = False
    trowel: str = ""


@dataclass(frozen=True, slots=True)
class Room:
    """A checked room. `groups` are the surfaces (by id) that share one datum height; each surface is in one of them."""

    name: str
    units: Units
    surfaces: tuple[Surface, ...]
    corners: tuple[Corner, ...] = ()
    groups: tuple[tuple[str, ...], ...] = ()
    wrap: bool = False
    """Joined walls continue one pattern round their corners."""
    enough: float = 0.5
    kerf: float = 2.5
    reuse: Reuse = "factory-edge"
    regrid: float = 914.4
    setting: Setting = Setting()
    outlines_of: OutlinesOf = "board"
    """What the outlines are the face of, and build-ups are counted from."""

    def surface(self, surface_id: str) -> Surface:
        """The surface of that id. Raises KeyError."""
        for surface in self.surfaces:
            if surface.id == surface_id:
                return surface
        raise KeyError(surface_id)

    @property
    def tiles(self) -> Mapping[str, Tile]:
        """The tiles in use by name, in order of first use."""
        return {surface.tile.name: surface.tile for surface in self.surfaces}
