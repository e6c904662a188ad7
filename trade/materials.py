"""Which trowel, mortar and grout a careful setter would ask for: classes of ANSI A118 and ISO 13007, with the reasons.

Advice, not a verdict: the written instructions of tile, mortar and membrane govern.  Lengths are Decimal mm.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from trade import sources
from trade.figures import not_negative, positive
from trade.lengths import inches
from trade.product import ansi_class
from trade.rules import DRY_PLACES, LARGE_EDGE_MM, Place
from trade.sources import Rule

Substrate = Literal["cement board", "mortar bed", "concrete", "plywood", "foam board", "existing tile"]
Direction = Literal["floor", "wall", "ceiling"]

HEAVY_LB = Decimal(5)
SANDED_MM = inches("1/8")
COARSE_MM = inches("3/8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """`classes`: what to ask for, the standards' own marks.  `rules`: why, the weightiest first."""

    classes: tuple[str, ...]
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrowelAdvice:
    """`notch` as `trade.quantities` reads it: width x depth in inches, and the shape."""

    notch: str
    back_butter: bool
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What decides the mortar.  `absorption_percent` and `weight_lb` None: nobody knows, the harder case counts."""

    longest_edge_mm: Decimal
    place: Place
    direction: Direction
    substrate: Substrate
    absorption_percent: Decimal | None = None
    weight_lb: Decimal | None = None
    membrane: bool = False
    heated: bool = False
    glass: bool = False
    moisture_sensitive: bool = False

    def __post_init__(self) -> None:
        positive(longest_edge_mm=self.longest_edge_mm)
        if self.weight_lb is not None:
            positive(weight_lb=self.weight_lb)
        for value, known in ((self.place, Place), (self.direction, Direction), (self.substrate, Substrate)):
            if value not in get_args(known):
                raise ValueError(f"not known: {value}")


def trowel_for(*, longest_edge_mm: Decimal, place: Place) -> TrowelAdvice:
    """Return the notch to begin with and whether to back-butter; coverage seen on lifted tiles decides.

    Where two guides name two notches for a size, the deeper one.  ValueError for an edge that is no length.
    """
    positive(longest_edge_mm=longest_edge_mm)
    if longest_edge_mm <= inches("9/2"):
        notch = "1/4 v"
    elif longest_edge_mm <= inches(8):
        notch = "1/4 x 1/4 square"
    elif longest_edge_mm < LARGE_EDGE_MM:
        notch = "1/4 x 3/8 square"
    else:
        notch = "1/2 x 1/2 square"
    back_butter = longest_edge_mm >= LARGE_EDGE_MM or place not in DRY_PLACES
    rules = (sources.TROWEL, sources.BACK_BUTTER) if back_butter else (sources.TROWEL,)
    return TrowelAdvice(notch=notch, back_butter=back_butter, rules=rules)


def mortar_for(setting: Setting) -> Advice:
    """Return the classes of mortar to ask for."""
    if setting.moisture_sensitive:
        return Advice(classes=("A118.3", "R2"), rules=(sources.MORTAR_REACTIVE,))
    dense = setting.absorption_percent is None or ansi_class(setting.absorption_percent) == "impervious"
    hard = setting.heated or setting.glass or setting.place == "exterior"
    large = setting.longest_edge_mm >= LARGE_EDGE_MM or (setting.weight_lb or Decimal(0)) > HEAVY_LB
    rules: list[Rule] = []
    if setting.substrate == "plywood":
        ansi, rules = "A118.11", [sources.MORTAR_PLYWOOD]
    elif hard or (dense and large) or setting.substrate in ("foam board", "existing tile"):
        ansi, rules = "A118.15", [sources.MORTAR_MODIFIED]
    elif dense or large:
        ansi, rules = "A118.4", [sources.MORTAR_MODIFIED]
    else:
        ansi, rules = "A118.1", [sources.MORTAR_MODIFIED]
    iso = "C1" if ansi == "A118.1" else "C2"
    if large:
        rules.append(sources.MORTAR_LARGE)
        # The standard for plywood has no H.
        ansi += "" if setting.substrate == "plywood" else "H"
    if setting.direction != "floor":
        rules.append(sources.MORTAR_WALL)
        iso += "T"
        ansi += "T"
    if setting.heated or setting.place == "exterior":
        rules.append(sources.MORTAR_GIVES)
        iso += " S1"
    if setting.membrane:
        rules.append(sources.MORTAR_MEMBRANE)
    return Advice(classes=(ansi, iso), rules=tuple(rules))


def grout_for(*, joint_mm: Decimal, scratches: bool, place: Place, stains: bool) -> Advice:
    """Return the classes of grout to ask for.

    `scratches`: the tile's face is soft or polished; `stains`: food, dye, or one even color above all.  ValueError for
    a joint that is no length, or for a soft face with a joint that needs sand: that tile wants a narrower joint.
    """
    not_negative(joint_mm=joint_mm)
    if place not in get_args(Place):
        raise ValueError(f"no such place: {place}")
    if stains:
        return Advice(classes=("A118.3", "RG"), rules=(sources.GROUT_STAIN, sources.GROUT_SAND))
    if scratches and joint_mm > COARSE_MM:
        raise ValueError("a face that scratches can't have joints over 3/8 in: they need coarse sand")
    kind = "unsanded" if scratches or joint_mm < SANDED_MM else "sanded" if joint_mm <= COARSE_MM else "coarse"
    if place in DRY_PLACES:
        return Advice(classes=("A118.6", "CG1", kind), rules=(sources.GROUT_SAND,))
    return Advice(classes=("A118.7", "CG2 WA", kind), rules=(sources.GROUT_WET, sources.GROUT_SAND))
