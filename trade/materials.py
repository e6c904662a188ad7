"""Which trowel, mortar and grout a careful setter would ask for: classes of ANSI A118 and ISO 13007, with the reasons.

Advice, not a verdict: the written instructions of tile, mortar and membrane govern.  Lengths are Decimal mm.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal, get_args

from trade import sources
from trade.figures import not_negative, positive
from trade.lengths import inches
from trade.product import ansi_class
from trade.rules import DRY_PLACES, LARGE_EDGE_MM, Place
from trade.sources import Rule
from trade.specification import UNDER_TILE, Membrane, Substrate

Direction = Literal["floor", "wall", "ceiling"]

HEAVY_LB = Decimal(5)
SANDED_MM = inches("1/8")
COARSE_MM = inches("3/8")
EPOXY = "A118.3"
STRENGTHS = ("A118.1", "A118.4", "A118.15")
"""Cement mortars, each of which asks more than the one before: from memory of the standards."""


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
    membrane: Membrane = "none"
    heated: bool = False
    glass: bool = False
    moisture_sensitive: bool = False
    panel: bool = False
    mosaic: bool = False
    steam: bool = False
    under_water: bool = False

    def __post_init__(self) -> None:
        positive(longest_edge_mm=self.longest_edge_mm)
        if self.weight_lb is not None:
            positive(weight_lb=self.weight_lb)
        known = ((self.place, Place), (self.direction, Direction), (self.substrate, Substrate))
        for value, names in (*known, (self.membrane, Membrane)):
            if value not in get_args(names):
                raise ValueError(f"not known: {value}")


def trowel_for(
    *, longest_edge_mm: Decimal, place: Place, mosaic: bool = False, panel: bool = False, stone: bool = False
) -> TrowelAdvice:
    """Return the notch to begin with and whether to back-butter; coverage seen on lifted tiles decides.

    Where two guides name two notches for a size, the deeper one; a sheet of mosaic is combed for its small pieces, then
    knocked flat.  ValueError for an edge that is no length.
    """
    positive(longest_edge_mm=longest_edge_mm)
    if mosaic:
        return TrowelAdvice(notch="3/16 v", back_butter=False, rules=(sources.TROWEL, sources.MOSAIC))
    if longest_edge_mm <= inches("9/2"):
        notch = "1/4 v"
    elif longest_edge_mm <= inches(8):
        notch = "1/4 x 1/4 square"
    elif longest_edge_mm < LARGE_EDGE_MM:
        notch = "1/4 x 3/8 square"
    else:
        notch = "1/2 x 1/2 square"
    back_butter = longest_edge_mm >= LARGE_EDGE_MM or place not in DRY_PLACES or stone
    rules = (sources.TROWEL, sources.BACK_BUTTER) if back_butter else (sources.TROWEL,)
    return TrowelAdvice(notch=notch, back_butter=back_butter, rules=(*rules, sources.PANELS) if panel else rules)


def mortar_for(setting: Setting) -> Advice:
    """Return the classes of mortar to ask for: ANSI's, then ISO's."""
    if setting.moisture_sensitive:
        return Advice(classes=(EPOXY, "R2"), rules=(sources.MORTAR_REACTIVE, *_beside(setting)))
    ansi, rules = _strength(setting)
    iso = "C1" if ansi == "A118.1" else "C2"
    if _large(setting):
        rules.append(sources.MORTAR_LARGE)
        # The standard for plywood has no H.
        ansi += "" if setting.substrate == "plywood" else "H"
    if setting.direction != "floor":
        rules.append(sources.MORTAR_WALL)
        iso += "T"
        ansi += "T"
    if setting.heated or setting.panel or setting.place == "exterior":
        rules.append(sources.PANELS if setting.panel else sources.MORTAR_GIVES)
        iso += " S1"
    return Advice(classes=(ansi, iso), rules=(*rules, *_beside(setting)))


def mortar_for_all(classes: Iterable[str]) -> str | None:
    """Return the ANSI class of one mortar that does what each of these asks, with all their letters: A118.4HT does for
    A118.4H and A118.4T. None where no one class does, and for none.

    The stronger of `STRENGTHS` does for the weaker; epoxy and mortar for plywood (A118.11) are each their own.
    """
    parts = [re.fullmatch(r"(A118\.\d+)([A-Z]*)", each) for each in classes]
    found = [(part[1], part[2]) for part in parts if part]
    names = {name for name, _letters in found}
    if not found or len(found) < len(parts) or (len(names) > 1 and not names <= set(STRENGTHS)):
        return None
    strongest = max(names, key=STRENGTHS.index) if len(names) > 1 else names.pop()
    return strongest + "".join(letter for letter in "HT" if any(letter in letters for _name, letters in found))


def _large(setting: Setting) -> bool:
    heavy = setting.weight_lb is not None and setting.weight_lb > HEAVY_LB
    return not setting.mosaic and (setting.longest_edge_mm >= LARGE_EDGE_MM or heavy)


def _strength(setting: Setting) -> tuple[str, list[Rule]]:
    """Return which of ANSI's cement mortars, and why."""
    dense = setting.absorption_percent is None or ansi_class(setting.absorption_percent) == "impervious"
    hard = setting.heated or setting.glass or setting.panel or setting.place == "exterior"
    if setting.steam or setting.under_water:
        return "A118.15", [sources.UNDER_WATER if setting.under_water else sources.MORTAR_STEAM]
    if setting.substrate == "plywood":
        return "A118.11", [sources.MORTAR_PLYWOOD]
    if hard or (dense and _large(setting)) or setting.substrate in ("foam board", "existing tile"):
        return "A118.15", [sources.MORTAR_MODIFIED]
    if dense or _large(setting):
        return "A118.4", [sources.MORTAR_MODIFIED]
    if setting.membrane == "liquid":
        return "A118.4", [sources.MORTAR_ON_LIQUID]
    return "A118.1", [sources.MORTAR_MODIFIED]


def _beside(setting: Setting) -> tuple[Rule, ...]:
    """Return what is said of the mortar beside its class."""
    said = (
        (setting.place not in DRY_PLACES and setting.substrate.startswith("gypsum"), sources.GYPSUM_DRY),
        (setting.glass, sources.MORTAR_WHITE),
        (setting.mosaic, sources.MOSAIC),
        (setting.membrane in UNDER_TILE, sources.MORTAR_MEMBRANE),
    )
    return tuple(rule for so, rule in said if so)


def grout_for(
    *,
    joint_mm: Decimal,
    scratches: bool,
    place: Place,
    stains: bool,
    even_color: bool = False,
    steam: bool = False,
    under_water: bool = False,
) -> Advice:
    """Return the classes of grout to ask for: ANSI's, ISO's, and the sand of a cement grout.

    `scratches`: the tile's face is soft or polished; `stains`: food, dye or oil reaches it; `even_color`: one shade
    above all.  ValueError for a joint that is no length, or for a soft face with a joint that needs sand: that tile
    wants a narrower joint.
    """
    not_negative(joint_mm=joint_mm)
    if place not in get_args(Place):
        raise ValueError(f"no such place: {place}")
    dense = (
        (under_water, sources.UNDER_WATER),
        (stains, sources.GROUT_STAIN),
        (even_color, sources.GROUT_EVEN),
    )
    if any(so for so, _ in dense):
        return Advice(classes=(EPOXY, "RG"), rules=(*(rule for so, rule in dense if so), sources.GROUT_SAND))
    if scratches and joint_mm > COARSE_MM:
        raise ValueError("a face that scratches can't have joints over 3/8 in: they need coarse sand")
    kind = "unsanded" if scratches or joint_mm < SANDED_MM else "sanded" if joint_mm <= COARSE_MM else "coarse"
    if place in DRY_PLACES and not steam:
        return Advice(classes=("A118.6", "CG1", kind), rules=(sources.GROUT_SAND,))
    why = sources.MORTAR_STEAM if steam else sources.GROUT_WET
    return Advice(classes=("A118.7", "CG2 WA", kind), rules=(why, sources.GROUT_SAND))
