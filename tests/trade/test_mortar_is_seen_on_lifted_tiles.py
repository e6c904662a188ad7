"""Voids tapped on lifted tiles: the share, three tiles averaged, corners and edges, the largest void."""

from decimal import Decimal

import pytest

from trade.coverage import Lifted, judge_lifted, judge_voids
from trade.lengths import inches
from trade.shop_limits import ShopLimits


def lifted(percent: int) -> Lifted:
    """A tile with so much mortar, its voids inside, in rows from the second on."""
    inner = [(row, column) for row in range(1, 9) for column in range(1, 9)]
    return Lifted(frozenset(inner[: 100 - percent]))


@pytest.mark.parametrize(
    ("percents", "outcome", "mean"),
    [
        # Arithmetic on A108.5's 95 percent in wet places, the mean of three tiles.
        ((96, 94, 95), "holds", "95.00"),
        ((96, 94, 94), "fails", "94.67"),
    ],
)
def test_three_tiles_are_averaged(percents: tuple[int, ...], outcome: str, mean: str) -> None:
    found = judge_lifted([lifted(each) for each in percents], place="shower")
    assert found.outcome == outcome
    # Shown rounded down, so that what fails never reads as enough.
    assert 0 <= Decimal(mean) - found.figures["mean_percent"] <= Decimal("0.01")


def test_two_tiles_prove_nothing() -> None:
    assert judge_lifted([lifted(100)] * 2, place="shower").outcome == "can't tell"


@pytest.mark.parametrize("cell", [(0, 0), (9, 0), (0, 5), (4, 9)])
def test_every_corner_and_edge_needs_support(cell: tuple[int, int]) -> None:
    """A108.5 3.3.2: support at all corners and edges, whatever the mean."""
    tiles = [lifted(100), lifted(100), Lifted(frozenset({cell}))]
    found = judge_lifted(tiles, place="dry_floor")
    assert found.outcome == "fails"
    assert found.figures["bare"] == 1


@pytest.mark.parametrize(("percent", "bonded"), [(80, "115.2"), (95, "136.8")])
def test_the_bonded_area_of_a_12_in_tile(percent: int, bonded: str) -> None:
    """Arithmetic: 12 x 12 in is 144 sq in; 80 percent of it 115.2, 95 percent 136.8."""
    assert 144 * lifted(percent).percent / 100 == Decimal(bonded)


def test_the_largest_void_hangs_together_by_sides() -> None:
    tile = Lifted(frozenset({(2, 2), (2, 3), (3, 3), (4, 4), (7, 7)}))
    assert tile.largest == 3


@pytest.mark.parametrize(("cells", "outcome"), [(1, "holds"), (2, "fails")])
def test_no_void_over_2_sq_in(cells: int, outcome: str) -> None:
    """A cell of a 12 in tile is 1.44 sq in: one is under 2 sq in, two side by side over (tile-magazine.com, 2021)."""
    tile = Lifted(frozenset({(4, column) for column in range(3, 3 + cells)}))
    found = judge_voids([tile], width_mm=inches(12), height_mm=inches(12))
    assert found.outcome == outcome
    assert found.figures["largest"] == round(Decimal("1.44") * cells, 1)
    own = ShopLimits(void_sq_in=Decimal(1))
    assert judge_voids([tile], width_mm=inches(12), height_mm=inches(12), limits=own).outcome == "fails"


def test_a_cell_off_the_grid_is_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 9"):
        Lifted(frozenset({(10, 0)}))


def test_a_void_near_an_edge_is_where_tile_breaks_first() -> None:
    # digitaledition.tile-magazine.com, April and May 2021: no void over 2 sq in, none within 2 in of an edge. A cell of
    # tile 12 in wide is 1.2 in: the second lies 1.2 in from the edge, the third 2.4 in. Its 1.44 sq in are under 2.
    near = Lifted(frozenset({(1, 4)}))
    inside = Lifted(frozenset({(2, 4)}))
    size = {"width_mm": inches(12), "height_mm": inches(12)}
    found = judge_voids([inside, near], **size)
    assert (found.outcome, found.figures["nearest_mm"]) == ("fails", inches("6/5"))
    assert judge_voids([inside], **size).outcome == "holds"
    assert judge_voids([near], **size, limits=ShopLimits.of({"void_edge_mm": inches(1)})).outcome == "holds"
