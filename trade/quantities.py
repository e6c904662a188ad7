"""How much of what: mortar, grout, labor, packages.  Areas in m², lengths in mm, all Decimal.

The maker's own coverage table governs; these are defaults to start from, each with its source.
"""

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from trade.figures import not_negative
from trade.lengths import MM_PER_INCH
from trade.sources import Confidence
from trade.units import POUND_KG, SQUARE_FOOT_M2
from trade.verdicts import in_hundredths
from trade.words import gettext_noop

SQFT_PER_M2 = 1 / SQUARE_FOOT_M2
"""10.7639, from the inch's definition."""
GROUT_KG_PER_LITER = Decimal("1.6")
"""asg-foto.ru, grout consumption for tile joints: a general how-to page; the bag governs."""
TILE_KG_PER_LITER = Decimal("2.5")
TILE_DENSITY_SOURCE = "structural.community/articles/building-material-weights: tile of 20 mm weighs 50 kg/m²"
MUD_BED_KG_PER_LITER = Decimal("2.08")
MUD_BED_SOURCE = "cement mortar, hardened, 130 lb per cu ft: ASCE 7 table C3-2, from memory"
BAG_POUNDS = 50
BAG_KG = Decimal("22.7")

_POOREST_YIELD, _BEST_YIELD = Fraction(8, 10), Fraction(9, 10)
"""Cubic feet mixed from a 50 lb bag: from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """`amount` in `unit` as worked out; `packages` of `package` to buy.  `how` is English for translation, with the
    figures it names in `figures`; `low` and `high` are the ends of the source's range, in `unit`;
    `left_over` is what the packages hold beyond the amount."""

    amount: Decimal
    unit: Literal["kg", "hours"]
    low: Decimal
    high: Decimal
    packages: int | None
    package: str
    left_over: Decimal | None
    how: str
    figures: dict[str, str]
    source: str
    confidence: Confidence

    @property
    def text(self) -> str:
        """How it was worked out, in English."""
        return self.how % self.figures


def packages(*, quantity: Decimal, per_package: Decimal) -> int:
    """Return how many whole packages hold `quantity`, both in the same unit.  Raises ValueError for a negative quantity
    or a package that holds nothing."""
    if not (quantity.is_finite() and quantity >= 0):
        raise ValueError(f"quantity must be 0 or more, got {quantity}")
    if not (per_package.is_finite() and per_package > 0):
        raise ValueError(f"a package must hold something, got {per_package}")
    return math.ceil(Fraction(quantity) / Fraction(per_package))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spread:
    """Square feet that a 50 lb bag covers, from the poorest to the best figure seen."""

    low: Fraction
    high: Fraction
    source: str
    confidence: Confidence


def _seen(low: int, high: int) -> _Spread:
    source = "general how-to pages: engineerfix.com and flooringclarity.com, how much mortar for tile"
    return _Spread(low=Fraction(low), high=Fraction(high), source=source, confidence="seen")


_TABLE: dict[tuple[Fraction, Fraction], _Spread] = {
    (Fraction(1, 4), Fraction(1, 4)): _seen(80, 100),
    (Fraction(1, 4), Fraction(3, 8)): _seen(60, 80),
    (Fraction(1, 2), Fraction(1, 2)): _seen(40, 50),
}
_TROWEL = re.compile(r"([0-9]+/[0-9]+)(?: *x *([0-9]+/[0-9]+))? *(square|u|v)")
_BACK_BUTTER = Fraction(115, 100)
"""A skim on the tile's back takes about a seventh more: common practice, no source."""


def mortar(
    *,
    area_m2: Decimal,
    trowel: str,
    back_butter: bool = False,
    ribs_mm: Decimal = Decimal(0),
    bag_kg: Decimal = BAG_KG,
) -> Quantity:
    """Return the dry mortar for an area, in kg to one place and bags of `bag_kg`.

    `trowel`: width and depth of the notch, as `1/4 x 3/8 square`, `1/2 x 1/2 u` or `1/4 v`. Notches of the table take
    the low end of its range of coverage, since mortar that runs out stops a day; others go by `collapsed_mm`.
    `ribs_mm`: how deep the ribs of the tile's back are; what lies between them, as wide as they are, is filled.

    Raises ValueError for a trowel that can't be read, a negative area or negative ribs.
    """
    not_negative(area_m2=area_m2, ribs_mm=ribs_mm)
    spread = _spread_of(trowel)
    net = Fraction(area_m2) * SQFT_PER_M2
    square_feet = net * (_BACK_BUTTER if back_butter else 1)
    filled = net * Fraction(ribs_mm) / 2 / Fraction(MM_PER_INCH) / 12
    most, least = (
        (square_feet / each + filled / bag) * BAG_POUNDS * POUND_KG
        for each, bag in ((spread.low, _POOREST_YIELD), (spread.high, _BEST_YIELD))
    )
    how = (
        gettext_noop("%(area)s m² with a %(trowel)s notch, %(coverage)s sq ft to 50 lb, back-buttered: 15 percent more")
        if back_butter
        else gettext_noop("%(area)s m² with a %(trowel)s notch, %(coverage)s sq ft to 50 lb")
    )
    if ribs_mm:
        how = (
            gettext_noop(
                "%(area)s m² with a %(trowel)s notch, %(coverage)s sq ft to 50 lb, back-buttered: 15 percent more, and "
                "ribs %(ribs)s mm deep filled"
            )
            if back_butter
            else gettext_noop(
                "%(area)s m² with a %(trowel)s notch, %(coverage)s sq ft to 50 lb, and ribs %(ribs)s mm deep filled"
            )
        )
    amount = _up(most, 1)
    return Quantity(
        amount=amount,
        unit="kg",
        low=_up(least, 1),
        high=amount,
        packages=packages(quantity=amount, per_package=bag_kg),
        package=gettext_noop("bag"),
        left_over=_left(amount, bag_kg),
        how=how,
        figures={
            "area": in_hundredths(area_m2),
            "trowel": trowel,
            "coverage": f"{float(spread.low):.0f}",
            "ribs": f"{ribs_mm.normalize():f}",
        },
        source=spread.source if not back_butter else f"{spread.source}; back-buttering: common practice, no source",
        confidence=spread.confidence,
    )


def collapsed_mm(*, trowel: str) -> Decimal:
    """Return the thickness in mm, two places, of a notch's ridges pressed flat: depth · width ÷ (width + space), spaces
    being as wide as notches, and the triangles of a V standing close.  Raises ValueError for what can't be read."""
    return _up(_notch(trowel)[1] / 2 * MM_PER_INCH, 2)


def _spread_of(trowel: str) -> _Spread:
    width, depth, shape = _notch(trowel)
    if shape != "v" and (width, depth) in _TABLE:
        return _TABLE[width, depth]
    feet_deep = depth / 2 / 12
    return _Spread(
        low=_POOREST_YIELD / feet_deep,
        high=_BEST_YIELD / feet_deep,
        source="geometry of a notch with spaces of its own width; a 50 lb bag yields 0.8 to 0.9 cu ft: from memory",
        confidence="memory",
    )


def _notch(trowel: str) -> tuple[Fraction, Fraction, str]:
    """Return width and depth in inches, and the shape."""
    match = _TROWEL.fullmatch(" ".join(trowel.lower().split()))
    if not match:
        raise ValueError(f"trowel: {trowel!r} can't be read; write it like 1/4 x 3/8 square or 1/4 v")
    try:
        width, depth = Fraction(match[1]), Fraction(match[2] or match[1])
    except ZeroDivisionError:
        raise ValueError(f"trowel: {trowel!r} divides by zero") from None
    if not (0 < width <= 2 and 0 < depth <= 2):
        raise ValueError(f"trowel: {trowel!r} has a notch of nothing or of more than 2 in")
    return width, depth, match[3]


def joint_fraction(*, tile_width_mm: Decimal, tile_height_mm: Decimal, joint_mm: Decimal) -> Fraction:
    """Return the exact share of a tiled area that is joint.  Raises ValueError unless tile > 0 and joint >= 0."""
    width, height, joint = (Fraction(each) for each in (tile_width_mm, tile_height_mm, joint_mm))
    if width <= 0 or height <= 0 or joint < 0:
        raise ValueError("tile must be larger than 0 and joint 0 or more")
    return 1 - width * height / ((width + joint) * (height + joint))


def grout_kg_per_m2(
    *,
    tile_width_mm: Decimal,
    tile_height_mm: Decimal,
    depth_mm: Decimal,
    joint_mm: Decimal,
    density_kg_per_liter: Decimal = GROUT_KG_PER_LITER,
) -> Decimal:
    """Return the dry grout in kg/m², four places, by exact geometry of a full joint, without waste."""
    share = joint_fraction(tile_width_mm=tile_width_mm, tile_height_mm=tile_height_mm, joint_mm=joint_mm)
    return _near(share * Fraction(depth_mm) * Fraction(density_kg_per_liter), 4)


def grout(
    *,
    volume_liters: Decimal,
    waste_percent: Decimal = Decimal(10),
    density_kg_per_liter: Decimal = GROUT_KG_PER_LITER,
    bag_kg: Decimal = Decimal("4.5"),
) -> Quantity:
    """Return the dry grout for joints of `volume_liters`, in kg to one place and packages of `bag_kg`.

    Waste of 10 to 15 percent stands in the source of the density. Raises ValueError for a negative figure.
    """
    if not (volume_liters >= 0 and waste_percent >= 0 and density_kg_per_liter > 0):
        raise ValueError("volume and waste must be 0 or more, density more than 0")
    exact = Fraction(volume_liters) * Fraction(density_kg_per_liter)
    amount = _up(exact * (1 + Fraction(waste_percent) / 100), 1)
    return Quantity(
        amount=amount,
        unit="kg",
        low=_up(exact, 1),
        high=amount,
        packages=packages(quantity=amount, per_package=bag_kg),
        package=gettext_noop("bag"),
        left_over=_left(amount, bag_kg),
        how=gettext_noop("%(volume)s L of joints at %(density)s kg/L and %(waste)s percent waste"),
        figures={
            "volume": in_hundredths(volume_liters),
            "density": in_hundredths(density_kg_per_liter),
            "waste": in_hundredths(waste_percent),
        },
        source="exact geometry; density and waste: asg-foto.ru, grout consumption for tile joints, a how-to page",
        confidence="seen",
    )


Work = Literal["floor", "wall", "mosaic"]

_HOURS_PER_SQFT: dict[Work, tuple[Fraction, Fraction]] = {
    "floor": (Fraction(6, 100), Fraction(12, 100)),
    "wall": (Fraction(10, 100), Fraction(20, 100)),
    "mosaic": (Fraction(10, 100), Fraction(15, 100)),
}
"""One person's hours, thin-set.  From memory, weak: a shop's own time cards are worth more."""


def labor(*, area_m2: Decimal, work: Work) -> Quantity:
    """Return one person's hours for an area, to one place: the middle of a range from memory, its ends in `low` and
    `high`.  Weak: replace it by the shop's own rate.  Raises ValueError for a negative area."""
    if not (area_m2.is_finite() and area_m2 >= 0):
        raise ValueError(f"area must be 0 or more, got {area_m2}")
    low, high = (Fraction(area_m2) * SQFT_PER_M2 * each for each in _HOURS_PER_SQFT[work])
    return Quantity(
        amount=_near((low + high) / 2, 1),
        unit="hours",
        low=_near(low, 1),
        high=_near(high, 1),
        packages=None,
        package="",
        left_over=None,
        how=gettext_noop("%(area)s m² at a rough rate: use your own time cards"),
        figures={"area": in_hundredths(area_m2)},
        source="rough range, from memory and weak",
        confidence="memory",
    )


def _left(amount: Decimal, per_package: Decimal) -> Decimal:
    """Return what the packages hold beyond the amount, in its unit."""
    return packages(quantity=amount, per_package=per_package) * per_package - amount


def _near(value: Fraction, places: int) -> Decimal:
    return Decimal(math.floor(value * 10**places + Fraction(1, 2))).scaleb(-places)


def _up(value: Fraction, places: int) -> Decimal:
    """Return `value` rounded up: what is bought must be enough."""
    return Decimal(math.ceil(value * 10**places)).scaleb(-places)
