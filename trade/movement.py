"""Soft joints in a tiled field: how far apart, how wide.  Lengths are Decimal mm, temperatures °F."""

from decimal import ROUND_CEILING, Decimal
from typing import Literal, get_args

from trade import sources
from trade.figures import not_negative, positive
from trade.lengths import feet, inches
from trade.limits import Outcome
from trade.materials import Advice, Direction
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

Exposure = Literal["interior", "interior sun or moisture", "slab above ground", "exterior"]

_FARTHEST: dict[Exposure, str] = {
    "interior": "movement_interior_mm",
    "interior sun or moisture": "movement_moist_mm",
    "slab above ground": "movement_slab_mm",
    "exterior": "movement_exterior_mm",
}
"""Which of the shop's limits says how far.  The stricter ends of the ranges, 20 and 8 ft, are the shop's to choose."""

USUAL_RANGE_F = Decimal(100)

Covering = Literal["floor", "wall", "mosaic"]

SEALANT_CLASSES = (Decimal("12.5"), Decimal(25), Decimal(35), Decimal(50))
"""Percent of its width that a joint may move either way, by ASTM C920."""


def farthest_mm(exposure: Exposure, *, limits: ShopLimits = DEFAULTS) -> tuple[Decimal, Rule]:
    """Return the most between two movement joints, mm, and its rule.  ValueError for an exposure there isn't."""
    if exposure not in get_args(Exposure):
        raise ValueError(f"no such exposure: {exposure}")
    key = _FARTHEST[exposure]
    return limits.value(key), limits.rule(key)


def bays(*, length_mm: Decimal, exposure: Exposure, limits: ShopLimits = DEFAULTS) -> int:
    """Return into how many even parts movement joints divide a length: 1 where none is needed but at its ends."""
    positive(length_mm=length_mm)
    farthest, _ = farthest_mm(exposure, limits=limits)
    return int((length_mm / farthest).to_integral_value(rounding=ROUND_CEILING))


def least_width_mm(
    *, exposure: Exposure, spacing_mm: Decimal, range_f: Decimal | None = None, limits: ShopLimits = DEFAULTS
) -> tuple[Decimal, Rule]:
    """Return the least width of a movement joint, mm, and its rule.

    Outdoors 3/8 in up to 8 ft between joints and 1/2 in beyond; 1/16 in more for each 15 °F begun of the
    tile's yearly range over 100 °F.  Indoors 1/4 in.  ValueError where joints stand farther apart than they may.
    """
    positive(spacing_mm=spacing_mm)
    farthest, _ = farthest_mm(exposure, limits=limits)
    if spacing_mm > farthest:
        raise ValueError(f"joints may stand {farthest} mm apart at most, got {spacing_mm}")
    if exposure != "exterior":
        return limits.soft_floor_mm, limits.rule("soft_floor_mm")
    key = "soft_exterior_mm" if spacing_mm <= feet(8) else "soft_exterior_far_mm"
    width = limits.value(key)
    if range_f is not None:
        positive(range_f=range_f)
        over = max(range_f - USUAL_RANGE_F, Decimal(0)) / 15
        width += inches("1/16") * over.to_integral_value(rounding=ROUND_CEILING)
    return width, limits.rule(key)


def indoor_width_mm(
    *, where: Covering, grout_mm: Decimal, limits: ShopLimits = DEFAULTS
) -> tuple[Decimal, Decimal, Rule]:
    """Return the least and the preferred width of a soft joint indoors, mm, and its rule.

    A floor's is its grout joint's width and 1/4 in at least; on walls and in mosaics 1/4 in preferred, 1/8 in at least.
    """
    not_negative(grout_mm=grout_mm)
    if where == "floor":
        width = max(grout_mm, limits.soft_floor_mm)
        return width, width, limits.rule("soft_floor_mm")
    return limits.soft_wall_mm, max(limits.soft_wall_mm, inches("1/4")), limits.rule("soft_wall_mm")


def sealant_depth_mm(*, width_mm: Decimal, limits: ShopLimits = DEFAULTS) -> tuple[Decimal, Decimal]:
    """Return the least and the greatest depth of sealant in a joint, mm; ValueError for a joint too narrow for both.

    By these two a joint is 1/4 in wide at least; EJ171 lets one in a wall be 1/8 in. Where the sources disagree the
    stricter counts: make it 1/4 in.
    """
    positive(width_mm=width_mm)
    least = limits.sealant_depth_mm
    if width_mm < 2 * least:
        raise ValueError(f"a joint of {width_mm} mm is too narrow for sealant {least} mm deep and half its width")
    return least, width_mm / 2


def sealant_moves_mm(*, width_mm: Decimal, percent: Decimal) -> tuple[Decimal, Decimal]:
    """Return between what widths a joint may move with sealant of a C920 class, mm."""
    positive(width_mm=width_mm)
    if percent not in SEALANT_CLASSES:
        raise ValueError(f"not a class of C920: {percent}")
    return width_mm * (100 - percent) / 100, width_mm * (100 + percent) / 100


def sealant_for(*, direction: Direction, width_mm: Decimal, moves_mm: Decimal, under_water: bool) -> Advice:
    """Return what to ask for by C920: the least class that follows what the joint moves either way.

    ValueError where no class does: the joint has to be wider.
    """
    positive(width_mm=width_mm)
    not_negative(moves_mm=moves_mm)
    needed = moves_mm / width_mm * 100
    fit = next((each for each in SEALANT_CLASSES if each >= needed), None)
    if fit is None:
        raise ValueError(f"no sealant follows {moves_mm} mm in a joint of {width_mm} mm: make the joint wider")
    use = "I" if under_water else "T" if direction == "floor" else "NT"
    grade = "P or NS" if direction == "floor" else "NS"
    classes = ("C920", "type S or M", f"grade {grade}", f"class {fit}", f"use {use}")
    return Advice(classes=classes, rules=(sources.SEALANT_CLASS, sources.SEALANT_DEPTH))


def judge_spacing(*, exposure: Exposure, spacing_mm: Decimal | None, limits: ShopLimits = DEFAULTS) -> Verdict:
    """Return whether movement joints stand close enough; `spacing_mm` is the widest bay, None where nobody measured."""
    farthest, rule = farthest_mm(exposure, limits=limits)
    figures = {"most_mm": farthest}
    if spacing_mm is None:
        template = gettext_noop("Measure the widest field between two soft joints: %(most_mm)s at most.")
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    positive(spacing_mm=spacing_mm)
    figures["widest_mm"] = spacing_mm
    outcome: Outcome = "holds" if spacing_mm <= farthest else "fails"
    template = (
        gettext_noop("Soft joints stand %(widest_mm)s apart, %(most_mm)s at most is allowed.")
        if outcome == "holds"
        else gettext_noop(
            "A field of %(widest_mm)s without a soft joint is too long: %(most_mm)s at most. Tile that can't move "
            "tents; put a joint in."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
