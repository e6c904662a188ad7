"""Lippage that a tile's own bow makes, against the shape worked out point by point."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade import sources
from trade.lengths import inches
from trade.lippage import forecast_mm, judge_forecast, ways
from trade.shop_limits import ShopLimits

THIRD = Fraction(1, 3)


@given(warp=st.decimals(min_value=0, max_value=5, places=2), thirtieths=st.integers(0, 30))
def test_the_forecast_is_the_widest_gap_between_two_parabolas(warp: Decimal, thirtieths: int) -> None:
    """Along the shared edge: this tile's bow over 0 … 1, and the neighbors' bows, shifted, over the same stretch."""
    share = Fraction(thirtieths, 30)

    def bow(at: Fraction) -> Fraction:
        return 4 * at * (1 - at)

    places = [Fraction(n, 300) for n in range(301)]
    # Where two neighbors meet, both of their ends stand against this tile.
    widest = max(abs(bow(at) - bow((at - share) % 1)) for at in places)
    assert abs(forecast_mm(warp_mm=warp, share=share) - Decimal(float(widest)) * warp) < Decimal("0.001")


def test_a_half_shows_all_of_the_bow_a_third_eight_ninths_and_a_stack_none() -> None:
    # Geometry: 4 s (1 - s).
    bow = Decimal("0.9")
    assert forecast_mm(warp_mm=bow, share=Fraction(1, 2)) == bow
    assert forecast_mm(warp_mm=bow, share=THIRD) == Decimal("0.8")
    assert forecast_mm(warp_mm=bow, share=0) == 0
    assert forecast_mm(warp_mm=bow, share=THIRD) == forecast_mm(warp_mm=bow, share=1 - THIRD)


def test_tile_may_use_its_own_bow_and_stone_may_not() -> None:
    # A108.02-2013 4.3.7 as quoted in tileletter.com/2016/02/7950/: 1/32 in plus the measured warp; stone 1/32 in flat.
    bow = inches("1/16")
    tile = judge_forecast(warp_mm=bow, share=Fraction(1, 2), joint_mm=inches("1/8"))
    stone = judge_forecast(warp_mm=bow, share=Fraction(1, 2), joint_mm=inches("1/8"), stone=True)
    assert tile.outcome == "holds"
    assert tile.figures["left_mm"] == inches("1/32")
    assert tile.figures["wide_mm"] == inches("1/8")
    assert stone.outcome == "fails"
    assert judge_forecast(warp_mm=bow, share=0, joint_mm=inches("1/8"), stone=True).outcome == "holds"
    assert tile.rule is sources.LIPPAGE_FORECAST


def test_an_unmeasured_bow_leaves_it_open_and_says_what_to_measure() -> None:
    verdict = judge_forecast(warp_mm=None, share=THIRD, joint_mm=inches("1/8"))
    assert verdict.outcome == "can't tell"
    assert "Measure" in verdict.text


@pytest.mark.parametrize(("warp", "share"), [("-0.1", "0.5"), ("NaN", "0.5"), ("1", "1.1"), ("1", "-0.1")])
def test_what_makes_no_sense_is_refused(warp: str, share: str) -> None:
    with pytest.raises(ValueError, match=r"warp_mm|share"):
        forecast_mm(warp_mm=Decimal(warp), share=Decimal(share))


def test_another_way_leaves_the_setter_more_or_less() -> None:
    # Geometry: 4 s (1 - s) of the bow; A108.02 4.3.7: 1/16 in from a joint of 1/4 in, else 1/32 in, plus the bow.
    bow, tile = inches("3/64"), {"longest_mm": inches(12), "spread_mm": None, "joint_mm": inches("1/8")}
    half, stack, third, wide = ways(warp_mm=bow, share=Fraction(1, 2), **tile)
    # A forecast has four places.
    assert abs(half.left_mm - inches("1/32")) < Decimal("0.0001")
    assert third.left_mm == inches("1/32") + bow - forecast_mm(warp_mm=bow, share=THIRD)
    assert stack.left_mm == inches("1/32") + bow
    assert abs(wide.left_mm - inches("1/16")) < Decimal("0.0001")
    # Stone gains nothing from a wider joint; bowed too much, it fails as planned and passes in a stack.
    half, stack, _third, wide = ways(warp_mm=inches("1/16"), share=Fraction(1, 2), stone=True, **tile)
    assert (half.left_mm < 0 < stack.left_mm, half.outcome, stack.outcome) == (True, "fails", "holds")
    assert wide.allowed_mm == half.allowed_mm


def test_the_shops_own_limit_decides_what_is_allowed() -> None:
    strict = ShopLimits.of({"lippage_narrow_mm": Decimal("0.5")})
    tile = {"longest_mm": inches(12), "spread_mm": None, "joint_mm": inches("1/8")}
    (stack, *_others) = ways(warp_mm=Decimal("0.4"), share=0, **tile, limits=strict)
    # By hand: 0.5 mm and the bow of 0.4 mm.
    assert stack.allowed_mm == Decimal("0.9")
