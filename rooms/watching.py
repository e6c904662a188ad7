"""What to watch for in a room, in a few sentences."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from rooms.models import Conditions, Layout, Place, Room, SurfaceKind, Tile
from rooms.outlines import Point, box_of, is_rectangle
from rooms.specification import conditions_of, specification_of
from rooms.tiles.worn import largest_tile
from trade.lengths import Unit, inches
from trade.materials import trowel_for
from trade.quantities import MUD_BED_KG_PER_LITER, TILE_KG_PER_LITER, collapsed_mm
from trade.shop_limits import ShopLimits
from trade.specification import Specification
from trade.structure import LIVE_PSF, STONE_FLOOR_PSF, TILE_FLOOR_PSF, joist_deflection_mm
from trade.watch import Concern, Known, watch_for

INCH = inches(1)
SQUARE_MM_IN_M2 = CUBIC_MM_IN_LITER = Decimal(1_000_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """A sentence with its source. `stop`: people or the house suffer where it is missed."""

    text: str
    source: str
    concern: Concern

    @property
    def stop(self) -> bool:
        return self.concern in ("danger", "water")


def watch_list(room: Room, layout: Layout | None, *, unit: Unit, limits: ShopLimits) -> list[Watch]:
    """What a careful setter would say of the room, the gravest first, by the shop's `limits`; lengths in `unit`.

    Reads what `rooms.queries.with_parts` has prefetched.
    """
    if not room.surfaces.all():
        return []
    spec = specification_of(room, layout)
    found = watch_for(spec, known_of(room, spec), limits=limits)
    return [
        Watch(
            text=each.verdict.say(unit=unit, translate=_) if each.verdict else _(each.rule.text),
            source=each.rule.cited,
            concern=each.concern,
        )
        for each in found
    ]


def known_of(room: Room, spec: Specification) -> Known:
    """What was measured of the room, `spec`, or stands on its tile's data sheet. Reads what `with_parts` prefetches."""
    tile, conditions, stall = largest_tile(room), conditions_of(room), _stall(room)
    underfoot = largest_tile(room, {SurfaceKind.FLOOR})
    return Known(
        size_spread_mm=tile.size_spread,
        warp_measured=tile.warp is not None,
        longest_run_mm=longest_run(room),
        span_mm=conditions.joist_span,
        deflection_mm=_deflection(conditions, stone=tile.stone),
        friction=underfoot.friction,
        friction_declared=underfoot.friction_declared,
        breaking_lbf=tile.breaking_lbf,
        stall_sq_in=None if stall is None else stall[0] * stall[1] / INCH**2,
        stall_circle_mm=None if stall is None else min(stall),
        tile_kg_m2=_tile_kg_m2(tile),
        bed_kg_m2=_bed_kg_m2(spec),
        membrane_perms=conditions.membrane_perms,
        retarder_perms=conditions.retarder_perms,
        box_kg=_box_kg(tile),
    )


def _stall(room: Room) -> tuple[Decimal, Decimal] | None:
    """Width and depth of a shower's floor, mm, where it has one and that is a rectangle."""
    floors = _floors(room)
    if room.place != Place.SHOWER or len(floors) != 1 or not is_rectangle(floors[0]):
        return None
    return _sides(floors[0])


def longest_run(room: Room) -> Decimal | None:
    """The longest side of the room's floors, mm; None without a floor."""
    return max((max(_sides(floor)) for floor in _floors(room)), default=None)


def tile_kg(tile: Tile) -> Decimal | None:
    """What one piece weighs, kg: as it was weighed, else by its size."""
    if tile.weight_kg is not None:
        return tile.weight_kg
    if tile.thickness is None:
        return None
    return tile.width * tile.height * tile.thickness / CUBIC_MM_IN_LITER * TILE_KG_PER_LITER


def _box_kg(tile: Tile) -> Decimal | None:
    weight = tile_kg(tile)
    return None if weight is None or tile.per_box is None else round(weight * tile.per_box, 1)


def _tile_kg_m2(tile: Tile) -> Decimal | None:
    weight = tile_kg(tile)
    return None if weight is None else round(weight / (tile.width * tile.height) * SQUARE_MM_IN_M2, 1)


def _bed_kg_m2(spec: Specification) -> Decimal:
    """Mortar and grout on a square meter, kg: the notch's ridges pressed flat, of hardened cement mortar. What the
    joints hold is left to the thickness that this counts on the whole back."""
    notch = trowel_for(longest_edge_mm=spec.tile_longest_edge_mm, place=spec.place, mosaic=spec.mosaic).notch
    return round(collapsed_mm(trowel=notch) * MUD_BED_KG_PER_LITER, 1)


def _deflection(conditions: Conditions, *, stone: bool) -> Decimal | None:
    """How far the floor's joists bend under it and all that stands on it, mm; None until all of them are known."""
    span, apart = conditions.joist_span, conditions.joist_spacing
    width, depth, wood = conditions.joist_width, conditions.joist_depth, conditions.joist_stiffness
    if span is None or apart is None or width is None or depth is None or wood is None:
        return None
    return joist_deflection_mm(
        span_mm=span,
        spacing_mm=apart,
        width_mm=width,
        depth_mm=depth,
        elasticity_psi=Decimal(wood),
        load_psf=LIVE_PSF + (STONE_FLOOR_PSF if stone else TILE_FLOOR_PSF),
    )


def _floors(room: Room) -> list[list[Point]]:
    """The outlines of the room's floors."""
    floors = (surface for surface in room.surfaces.all() if surface.kind == SurfaceKind.FLOOR)
    return [[(x, y) for x, y in floor.outline] for floor in floors]


def _sides(outline: list[Point]) -> tuple[Decimal, Decimal]:
    """Width and height of an outline's box, mm."""
    left, bottom, right, top = box_of(outline)
    return right - left, top - bottom
