"""What a room is, as far as its phases and checks depend on it."""

from collections.abc import Collection, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any, cast

from rooms.chosen import chosen_room, decimal_mm
from rooms.models import Conditions, Edge, Layout, Room, Surface, SurfaceKind, Tile
from rooms.tiles.worn import largest_tile, worn_by
from trade.lengths import parse_length
from trade.phases import Specification
from trade.rules import Place

_FLATS = {SurfaceKind.BENCH, SurfaceKind.SILL, SurfaceKind.NICHE}

# What a room's conditions and its specification have under one name.
_SAID = (
    "substrate",
    "membrane",
    "retarder_behind",
    "climate_zone",
    "heated",
    "steam",
    "under_water",
    "freezes",
    "sun",
    "slab_above_ground",
    "grazing_light",
    "stains",
    "even_color",
    "accessible",
    "permit",
    "rapid_mortar",
    "rapid_leveler",
    "epoxy_grout",
    "coldest_f",
)
_OF_TILE = ("stone", "glass", "mosaic", "moisture_sensitive", "face_scratches")


def specification_of(
    room: Room, layout: Layout | None = None, *, kinds: Collection[str] = tuple(SurfaceKind.values)
) -> Specification:
    """The room's specification for `trade.phases`, lengths in mm; with its chosen `layout`, by the joints of that one.
    With `kinds`, of its surfaces of those kinds alone.

    Where surfaces differ, the one that asks most counts: the tile with the longest edge with its own shortest edge, bow
    and make, the narrowest joint, the largest offset. One tile of stone makes it a room of stone, and so with glass,
    mosaic and tender faces. Everything but a floor counts as wall. Raises ValueError for a room without such surfaces.

    Reads the tile, the job's site, the conditions, surfaces and openings: `rooms.queries.with_parts` has them
    prefetched.
    """
    surfaces = [surface for surface in room.surfaces.all() if surface.kind in kinds]
    if not surfaces:
        raise ValueError("a room without surfaces has no specification")
    found = {surface.kind for surface in surfaces}
    tiles = [worn_by(surface, room) for surface in surfaces]
    tuned = {} if layout is None else _tuned_joints(layout)
    offsets = {} if layout is None else _offsets_anew(layout)
    governing = largest_tile(room, kinds)
    conditions = conditions_of(room)
    return Specification(
        place=cast(Place, room.place),
        has_floor=SurfaceKind.FLOOR in found,
        has_walls=bool(found - {SurfaceKind.FLOOR.value}),
        has_ceiling=SurfaceKind.CEILING in found,
        curb=SurfaceKind.CURB in found,
        flats=bool(found & _FLATS) or any(_has_a_niche(surface) for surface in surfaces),
        tile_longest_edge_mm=max(governing.width, governing.height),
        tile_shortest_edge_mm=min(governing.width, governing.height),
        joint_mm=min(tuned.get(surface.key) or _joint(surface, room) for surface in surfaces),
        pattern_offset=max(
            offsets[surface.key] if surface.key in offsets else _offset(surface, room) for surface in surfaces
        ),
        warp_mm=governing.warp or Decimal(0),
        rectified=governing.edge == Edge.RECTIFIED,
        absorption_percent=governing.absorption,
        demolition=room.demolition,
        year_built=room.job.site.year_built,
        **_of_all(tiles),
        **{name: getattr(conditions, name) for name in _SAID},
    )


def conditions_of(room: Room) -> Conditions:
    """What was said of the room; where nobody has, an empty one that isn't saved."""
    return getattr(room, "conditions", None) or Conditions()


def as_laid(room: Room, surfaces: Sequence[Surface]) -> tuple[Decimal, Decimal]:
    """The narrowest joint of these surfaces of the room, mm, and their largest offset as a share; without any, what the
    room says."""
    joints = [_joint(surface, room) for surface in surfaces] or [room.joint]
    offsets = [_offset(surface, room) for surface in surfaces or [Surface()]]
    return min(joints), max(offsets)


def _of_all(tiles: list[Tile]) -> dict[str, Any]:
    """What counts for the room as soon as one of its tiles is so."""
    return {name: any(getattr(tile, name) for tile in tiles) for name in _OF_TILE}


def _has_a_niche(surface: Surface) -> bool:
    return any(opening.kind == "niche" for opening in surface.openings.all())


def _joint(surface: Surface, room: Room) -> Decimal:
    """A joint of its own; one of nothing can't be judged and counts as the room's."""
    return _mm(surface.more.get("joint") or 0) or room.joint


def _tuned_joints(layout: Layout) -> dict[str, Decimal]:
    """The joints by the keys of the surfaces, where the layout tunes any. Its other changes don't count."""
    chosen = chosen_room(layout)
    return {surface.id: decimal_mm(surface.joint) for surface in chosen.room.surfaces} if chosen.tunes_the_joint else {}


def _offset(surface: Surface, room: Room) -> Decimal:
    """The share by which neighboring courses are offset, counted from the nearer end: 2/3 is 1/3."""
    pattern = surface.more.get("pattern")
    if pattern is None:
        share = Fraction(room.share_of or 0, room.share_in or 1) if room.pattern == "offset" else Fraction(0)
    else:
        share = Fraction(str(pattern["share"]).strip()) if pattern.get("kind") == "offset" else Fraction(0)
    return _nearer(share)


def _offsets_anew(layout: Layout) -> dict[str, Decimal]:
    """The offsets by the keys of the surfaces, where the pattern was set anew with the layout."""
    if "share" not in layout.asked:
        return {}
    return {surface.id: _nearer(surface.pattern.share) for surface in chosen_room(layout).room.surfaces}


def _nearer(share: Fraction) -> Decimal:
    share = min(share, 1 - share)
    return (Decimal(share.numerator) / share.denominator).quantize(Decimal("0.000001"))


def _mm(value: Any) -> Decimal:
    return parse_length(value, unit="mm")
