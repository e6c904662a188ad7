"""Bow, caliber, wedging and strength of tile against the worked examples of the trade's press and laboratories."""

from decimal import Decimal

import pytest

from trade.lengths import inches
from trade.shop_limits import ShopLimits
from trade.tile_limits import (
    Across,
    caliber_mm,
    judge_caliber,
    judge_strength,
    judge_warp,
    least_breaking_newtons,
    most_warp_mm,
    warp_percent,
    wedging_percent,
)


@pytest.mark.parametrize(
    ("edge", "most"),
    [
        # tcnatile.com/164/: 0.40 percent of 8 in is 0.032 in; of 24 in 0.096 in, capped to 0.05 in.
        ("8", "0.032"),
        ("24", "0.05"),
    ],
)
def test_the_bow_of_rectified_tile(edge: str, most: str) -> None:
    assert most_warp_mm(length_mm=inches(edge), rectified=True)[0] == inches(most)


@pytest.mark.parametrize(
    ("rectified", "across", "cap"),
    # stoneforensics.com, warpage standards: the caps of long edges and diagonals.
    [(True, "edge", "1.27"), (True, "diagonal", "1.8"), (False, "edge", "2.0"), (False, "diagonal", "2.3")],
)
def test_the_caps_of_long_tile(rectified: bool, across: Across, cap: str) -> None:
    assert most_warp_mm(length_mm=Decimal(1200), rectified=rectified, across=across)[0] == Decimal(cap)


@pytest.mark.parametrize(
    ("deviation", "length", "percent"),
    [
        # The superseded limits of 1988, 1.0 percent of an edge and 0.75 of a diagonal, on 24 x 24 in: 0.24 and 0.2546
        # in (arithmetic; "just under and just over 1/4 in" in tile-magazine.com/articles/83931).
        ("0.24", Decimal(24), "1.00"),
        ("0.2546", Decimal(24) * Decimal(2).sqrt(), "0.75"),
        ("-0.24", Decimal(24), "-1.00"),
    ],
)
def test_percent_of_warpage(deviation: str, length: Decimal, percent: str) -> None:
    """ASTM C485, as tcnatile.com/164/ has it: deviation over length, + convex, - concave."""
    found = warp_percent(deviation_mm=inches(deviation), length_mm=length * Decimal("25.4"))
    assert round(found, 2) == Decimal(percent)


def test_a_bow_is_judged() -> None:
    assert judge_warp(deviation_mm=inches("0.032"), length_mm=inches(8), rectified=True).outcome == "holds"
    assert judge_warp(deviation_mm=inches("-0.033"), length_mm=inches(8), rectified=True).outcome == "fails"
    assert judge_warp(deviation_mm=None, length_mm=inches(8), rectified=True).outcome == "can't tell"


@pytest.mark.parametrize(
    ("average", "low", "high"),
    # tcna.thenextwave.biz, what is caliber range: 8 in has 7.98 to 8.02; 24 in has 0.03 in, where percent gives 0.06.
    [("8", "7.98", "8.02"), ("24", "23.97", "24.03")],
)
def test_the_caliber_of_rectified_floor_tile(average: str, low: str, high: str) -> None:
    assert caliber_mm(average_mm=inches(average)) == (inches(low), inches(high))


def test_sides_of_one_caliber_are_told_from_two() -> None:
    one = [inches(each) for each in ("8", "8.01", "7.99", "8", "8")]
    assert judge_caliber(sides_mm=one).outcome == "holds"
    assert judge_caliber(sides_mm=[*one[:4], inches("8.05")]).outcome == "fails"
    assert judge_caliber(sides_mm=one[:4]).outcome == "can't tell"


def test_wedging_is_a_difference_over_a_distance() -> None:
    """ASTM C502: two widths 8.00 and 8.02 in, 8 in apart: 0.25 percent (arithmetic by its definition)."""
    found = wedging_percent(one_mm=inches("8.02"), other_mm=inches(8), apart_mm=inches(8))
    assert found == Decimal("0.25")


@pytest.mark.parametrize(
    ("wall", "forces", "outcome"),
    [
        # Floor 250 lbf on average; glazed wall 125 on average and each 100 (A137.1-2008, ctasc.com).
        (False, ("240", "260"), "holds"),
        (False, ("240", "259"), "fails"),
        (True, ("100", "150"), "holds"),
        (True, ("99", "160"), "fails"),
        (True, ("101", "140"), "fails"),
        (True, (), "can't tell"),
    ],
)
def test_breaking_strength(wall: bool, forces: tuple[str, ...], outcome: str) -> None:
    body = "glazed wall" if wall else "floor"
    assert judge_strength(body=body, breaking_lbf=[Decimal(each) for each in forces]).outcome == outcome


def test_breaking_load_by_group() -> None:
    """NBR 13818 and CCB 1998, in an annex of teses.usp.br."""
    table = {"Ia": 1300, "Ib": 1100, "IIa": 1000, "IIb": 800, "III": 600}
    assert {group: least_breaking_newtons(group)[0] for group in table} == table  # type: ignore[arg-type]


def test_a_shop_may_ask_more_than_the_standard() -> None:
    own = ShopLimits(
        warp_rectified_percent=Decimal("0.2"), caliber_percent=Decimal("0.1"), strength_floor_lbf=Decimal(400)
    )
    eight = {"deviation_mm": inches("0.02"), "length_mm": inches(8), "rectified": True}
    assert judge_warp(**eight).outcome == "holds"  # type: ignore[arg-type]
    assert judge_warp(**eight, limits=own).outcome == "fails"  # type: ignore[arg-type]
    sides = [inches(each) for each in ("8", "8.015", "7.985", "8", "8")]
    assert judge_caliber(sides_mm=sides).outcome == "holds"
    assert judge_caliber(sides_mm=sides, limits=own).outcome == "fails"
    assert judge_strength(body="floor", breaking_lbf=[Decimal(300)]).outcome == "holds"
    assert judge_strength(body="floor", breaking_lbf=[Decimal(300)], limits=own).outcome == "fails"
