"""A screen for floors that bend too much under tile.  It decides nothing: a licensed design professional does.

Simple spans under an even load only: no cantilevers, no notches, no point loads, no strength, no vibration.
"""

from decimal import Decimal
from fractions import Fraction
from typing import Literal, get_args

from trade.figures import not_negative, positive
from trade.lengths import MM_PER_INCH, feet
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.sources import Rule
from trade.verdicts import Verdict
from trade.words import gettext_noop

STONE_SPAN_MM = feet(14)
LIVE_PSF = Decimal(40)
"""What stands and walks on a floor, as the code assumes: floortrendsmag.com/articles/111175."""
TILE_FLOOR_PSF, STONE_FLOOR_PSF = Decimal(15), Decimal(19)
"""What a light frame's floor weighs under ceramic tile and under slate: civilengineeringbible.com/article.php?i=64."""

Joist = Literal["sawn", "I-joist"]
"""A floor of sawn lumber is screened under its total load; one of I-joists has a limit of its own under live load."""

_BEND: dict[tuple[Joist, bool], str] = {
    ("sawn", False): "bend_part",
    ("sawn", True): "bend_stone_part",
    ("I-joist", False): "bend_i_joist_part",
    ("I-joist", True): "bend_i_joist_stone_part",
}
"""Which of the shop's limits says how far, by joist and whether stone lies on it."""
_PLACES = Decimal("0.000001")


def section_in4(*, width_mm: Decimal, depth_mm: Decimal) -> Decimal:
    """Return a rectangle's second moment of area about its level axis, in⁴: b h³ / 12.  ValueError unless positive."""
    positive(width_mm=width_mm, depth_mm=depth_mm)
    return _exact(_section(width_mm, depth_mm))


def joist_deflection_mm(
    *,
    span_mm: Decimal,
    spacing_mm: Decimal,
    width_mm: Decimal,
    depth_mm: Decimal,
    elasticity_psi: Decimal,
    load_psf: Decimal,
) -> Decimal:
    """Return how far a joist bends in the middle, mm: 5 w L⁴ / (384 E I), a simple span under an even load.

    `load_psf` in pounds on a square foot, all of it (dead and live); `elasticity_psi` of the wood in pounds on a square
    inch.  ValueError unless all are positive.
    """
    given = {"span_mm": span_mm, "spacing_mm": spacing_mm, "elasticity_psi": elasticity_psi, "load_psf": load_psf}
    positive(**given, width_mm=width_mm, depth_mm=depth_mm)
    load = Fraction(load_psf) * _inches(spacing_mm) / 144
    bent = 5 * load * _inches(span_mm) ** 4 / (384 * Fraction(elasticity_psi) * _section(width_mm, depth_mm))
    return _exact(bent * Fraction(MM_PER_INCH))


def deflection_limit(
    *, span_mm: Decimal, stone: bool, joist: Joist = "sawn", limits: ShopLimits = DEFAULTS
) -> tuple[Decimal, Rule]:
    """Return the most that a floor may bend, mm, and its rule; ValueError for a joist there isn't.

    Stone's limit drops at 14 ft from 14/720 ft to 7/32 in; as the source has it, the drop isn't smoothed. The limit of
    I-joists is under live load alone and comes on top of the one under total load: ask for both.
    """
    positive(span_mm=span_mm)
    if joist not in get_args(Joist):
        raise ValueError(f"no such joist: {joist}")
    key = _BEND[joist, stone]
    allowed = Fraction(span_mm) / Fraction(limits.value(key))
    if key == "bend_stone_part" and span_mm > STONE_SPAN_MM:
        allowed, key = min((allowed, key), (Fraction(limits.bend_stone_most_mm), "bend_stone_most_mm"))
    return _exact(allowed), limits.rule(key)


def judge_deflection(
    *,
    span_mm: Decimal,
    deflection_mm: Decimal | None,
    stone: bool,
    joist: Joist = "sawn",
    limits: ShopLimits = DEFAULTS,
) -> Verdict:
    """Return what the screen says of a floor that bends by `deflection_mm` (None: not known): under its total load, or
    for I-joists under live load alone."""
    allowed, rule = deflection_limit(span_mm=span_mm, stone=stone, joist=joist, limits=limits)
    figures = {"allowed_mm": allowed, "span_mm": span_mm}
    if deflection_mm is None:
        template = gettext_noop(
            "What the floor over %(span_mm)s bends isn't known; at most %(allowed_mm)s is allowed. A licensed design "
            "professional can tell from joists, spacing and load."
        )
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    not_negative(deflection_mm=deflection_mm)
    figures["bent_mm"] = deflection_mm
    if deflection_mm > allowed:
        template = gettext_noop(
            "By this screen the floor bends %(bent_mm)s over %(span_mm)s, more than the %(allowed_mm)s allowed. No "
            "tile before a licensed design professional has decided what stiffens it."
        )
        return Verdict(rule=rule, outcome="fails", figures=figures, template=template)
    template = gettext_noop(
        "By this screen the floor bends %(bent_mm)s of the %(allowed_mm)s allowed. It looks at the bend under an even "
        "load only, not at strength, which may allow less span; a licensed design professional decides."
    )
    return Verdict(rule=rule, outcome="holds", figures=figures, template=template)


def _section(width_mm: Decimal, depth_mm: Decimal) -> Fraction:
    return _inches(width_mm) * _inches(depth_mm) ** 3 / 12


def _inches(mm: Decimal) -> Fraction:
    return Fraction(mm) / Fraction(MM_PER_INCH)


def _exact(value: Fraction) -> Decimal:
    """Return six places, which is finer than any floor is measured."""
    return (Decimal(value.numerator) / Decimal(value.denominator)).quantize(_PLACES)
