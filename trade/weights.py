"""What tiling weighs on a wall, and what the wall's face may carry.  Decimal kg/m²."""

from decimal import Decimal
from typing import Literal, get_args

from trade.figures import not_negative, positive
from trade.limits import Outcome
from trade.shop_limits import DEFAULTS, ShopLimits
from trade.verdicts import Verdict
from trade.words import gettext_noop

WallFace = Literal["gypsum plaster", "gypsum board", "foam board", "cement board"]

_MOST: dict[WallFace, str] = {
    "gypsum plaster": "wall_plaster_kg_m2",
    "gypsum board": "wall_gypsum_kg_m2",
    "foam board": "wall_foam_kg_m2",
    "cement board": "wall_cement_kg_m2",
}
"""Which of the shop's limits says how much."""


def judge_wall_weight(
    *, face: WallFace, tile_kg_m2: Decimal | None, bed_kg_m2: Decimal, limits: ShopLimits = DEFAULTS
) -> Verdict:
    """Return whether a wall's face may carry tile and bed (mortar and grout together); None: nobody weighed a tile.

    A wet wall's face is never gypsum: that is for the code to say, not for a weight.  ValueError for a face there
    isn't, a tile without weight, or a negative bed.
    """
    if face not in get_args(WallFace):
        raise ValueError(f"no such face: {face}")
    not_negative(bed_kg_m2=bed_kg_m2)
    figures, rule = {"most": limits.value(_MOST[face])}, limits.rule(_MOST[face])
    if tile_kg_m2 is None:
        template = gettext_noop(
            "Weigh a tile: with mortar and grout at most %(most)s kg on a square meter hang on this wall."
        )
        return Verdict(rule=rule, outcome="can't tell", figures=figures, template=template)
    positive(tile_kg_m2=tile_kg_m2)
    figures["weight"] = tile_kg_m2 + bed_kg_m2
    outcome: Outcome = "holds" if figures["weight"] <= figures["most"] else "fails"
    template = (
        gettext_noop("Tile, mortar and grout weigh %(weight)s of the %(most)s kg/m² that this wall may carry.")
        if outcome == "holds"
        else gettext_noop(
            "Tile, mortar and grout weigh %(weight)s kg/m²; this wall's face may carry %(most)s. Another board, whose "
            "maker allows it, or a licensed design professional."
        )
    )
    return Verdict(rule=rule, outcome=outcome, figures=figures, template=template)
