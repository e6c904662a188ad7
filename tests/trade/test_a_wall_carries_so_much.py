"""The weight of tiling on a wall's face, against the table that its rule names."""

from decimal import Decimal

import pytest

from trade.weights import judge_wall_weight


@pytest.mark.parametrize(
    ("face", "tile", "outcome"),
    [
        # BS 5385-1:2018 as tabled by a seller's page and in tilersforums.co.uk: plaster 20, gypsum board 32 kg/m2.
        ("gypsum plaster", "16", "holds"),
        ("gypsum plaster", "16.1", "fails"),
        ("gypsum board", "28", "holds"),
        ("gypsum board", "28.1", "fails"),
        ("cement board", "46", "holds"),
        ("cement board", "47", "fails"),
    ],
)
def test_tile_and_bed_together_are_judged(face, tile: str, outcome: str) -> None:
    assert judge_wall_weight(face=face, tile_kg_m2=Decimal(tile), bed_kg_m2=Decimal(4)).outcome == outcome


def test_an_unweighed_tile_leaves_it_open_and_nonsense_is_refused() -> None:
    assert judge_wall_weight(face="gypsum board", tile_kg_m2=None, bed_kg_m2=Decimal(4)).outcome == "can't tell"
    with pytest.raises(ValueError, match="no such face"):
        judge_wall_weight(face="straw", tile_kg_m2=Decimal(1), bed_kg_m2=Decimal(4))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="tile_kg_m2"):
        judge_wall_weight(face="gypsum board", tile_kg_m2=Decimal(0), bed_kg_m2=Decimal(4))
