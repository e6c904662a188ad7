"""Lippage that a tile's own bow makes, against the shape worked out point by point."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade import sources
from trade.lengths import inches
from trade.lippage import forecast_mm, judge_forecast, remedies

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


def test_a_change_is_offered_only_where_it_leaves_the_setter_more() -> None:
    # Geometry: 4 s (1 - s) of the bow; A108.02 4.3.7: 1/16 in from a joint of 1/4 in, else 1/32 in, plus the bow.
    bow = inches("3/64")
    found = remedies(warp_mm=bow, share=Fraction(1, 2), joint_mm=inches("1/8"))
    assert [each.change for each in found] == ["as planned", "in a stack", "joint of 1/4 in", "offset by a third"]
    # A forecast has four places.
    assert abs(found[0].left_mm - inches("1/32")) < Decimal("0.0001")
    assert found[-1].left_mm == inches("1/32") + bow - forecast_mm(warp_mm=bow, share=THIRD)
    # Nothing betters a stack but a wider joint, and stone gains nothing from that.
    stacked = remedies(warp_mm=bow, share=0, joint_mm=inches("1/8"))
    assert [each.change for each in stacked] == ["as planned", "joint of 1/4 in"]
    assert len(remedies(warp_mm=bow, share=0, joint_mm=inches("1/8"), stone=True)) == 1
    # A stone bowed too much fails as planned and passes in a stack.
    stone = remedies(warp_mm=inches("1/16"), share=Fraction(1, 2), joint_mm=inches("1/8"), stone=True)
    assert stone[0].left_mm < 0 < stone[1].left_mm
    assert stone[1].change == "in a stack"
