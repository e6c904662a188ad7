"""What to ask the supplier for: trowel, mortar, grout, soft joint and sealant of one room's floor, walls or ceiling."""

from dataclasses import dataclass
from decimal import Decimal

from trade.materials import Advice, Direction, Setting, grout_for, mortar_for, trowel_for
from trade.movement import Covering, farthest_mm, indoor_width_mm, least_width_mm, sealant_depth_mm, sealant_for
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.specification import Specification
from trade.suiting import exposure_of
from trade.units import in_pounds

USUAL_SEALANT_PERCENT = Decimal(25)
"""What a soft joint's sealant is asked to follow where nobody has worked its movement out: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """Of one direction.  `grout` None: none suits face and joint, `grout_trouble` says why.  Widths in mm;
    `sealant_depth_mm` is the least and the most."""

    direction: Direction
    notch: str
    back_butter: bool
    trowel_rules: tuple[Rule, ...]
    mortar: Advice
    grout: Advice | None
    grout_trouble: str
    soft_mm: Decimal
    soft_rule: Rule
    sealant: Advice
    sealant_depth_mm: tuple[Decimal, Decimal]


def materials_for(
    spec: Specification,
    *,
    direction: Direction,
    tile_kg: Decimal | None = None,
    longest_run_mm: Decimal | None = None,
    limits: ShopLimits = DEFAULTS,
) -> Materials:
    """Return what the surfaces of one `direction` ask for; `spec` is theirs, `tile_kg` what one piece weighs, kg,
    `longest_run_mm` the longest side of a field between soft joints.

    A substrate nobody has named counts as one that asks for nothing special.  ValueError for a weight of nothing.
    """
    trowel = trowel_for(
        longest_edge_mm=spec.tile_longest_edge_mm,
        place=spec.place,
        mosaic=spec.mosaic,
        panel=spec.panel,
        stone=spec.stone,
    )
    mortar = mortar_for(_setting(spec, direction, tile_kg))
    trouble, grout = "", None
    try:
        grout = grout_for(
            joint_mm=spec.joint_mm,
            scratches=spec.face_scratches,
            place=spec.place,
            stains=spec.stains,
            even_color=spec.even_color,
            steam=bool(spec.steam),
            under_water=spec.under_water,
        )
    except ValueError as error:
        trouble = str(error)
    soft, rule = _soft(spec, direction, longest_run_mm, limits)
    # A joint that the shop makes narrow is still as wide as its sealant is deep, twice over.
    soft = max(soft, 2 * limits.sealant_depth_mm)
    sealant = sealant_for(
        direction=direction,
        width_mm=soft,
        moves_mm=soft * USUAL_SEALANT_PERCENT / 100,
        under_water=spec.under_water,
    )
    return Materials(
        direction=direction,
        notch=trowel.notch,
        back_butter=trowel.back_butter,
        trowel_rules=trowel.rules,
        mortar=mortar,
        grout=grout,
        grout_trouble=trouble,
        soft_mm=soft,
        soft_rule=rule,
        sealant=sealant,
        sealant_depth_mm=sealant_depth_mm(width_mm=soft, limits=limits),
    )


def _setting(spec: Specification, direction: Direction, tile_kg: Decimal | None) -> Setting:
    return Setting(
        longest_edge_mm=spec.tile_longest_edge_mm,
        place=spec.place,
        direction=direction,
        substrate=spec.substrate or "cement board",
        absorption_percent=spec.absorption_percent,
        weight_lb=None if tile_kg is None else in_pounds(tile_kg),
        membrane=spec.membrane or "none",
        heated=spec.heated and direction == "floor",
        glass=spec.glass,
        moisture_sensitive=spec.moisture_sensitive,
        panel=spec.panel,
        mosaic=spec.mosaic,
        steam=bool(spec.steam),
        under_water=spec.under_water,
    )


def _soft(
    spec: Specification, direction: Direction, longest_run_mm: Decimal | None, limits: ShopLimits
) -> tuple[Decimal, Rule]:
    """Return how wide a soft joint is made, mm: the preferred width, which sealant can fill to its depth."""
    exposure = exposure_of(spec)
    if exposure == "exterior":
        farthest, _ = farthest_mm(exposure, limits=limits)
        return least_width_mm(exposure=exposure, spacing_mm=min(longest_run_mm or farthest, farthest), limits=limits)
    where: Covering = "mosaic" if spec.mosaic else "floor" if direction == "floor" else "wall"
    _, preferred, rule = indoor_width_mm(where=where, grout_mm=spec.joint_mm, limits=limits)
    return preferred, rule
