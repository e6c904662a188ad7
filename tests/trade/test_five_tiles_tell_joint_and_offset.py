"""Five tiles out of the box: what they differ and bow by, and the joint and offset that follow."""

from decimal import Decimal
from fractions import Fraction

import pytest

from trade.lengths import inches
from trade.lippage import ways
from trade.sample import Piece, Sample, judge_sample
from trade.shop_limits import ShopLimits

THIRD, HALF = Fraction(1, 3), Fraction(1, 2)


def box(widths, heights, bows=(), edge="rectified", stone=False):
    """Tiles by their sides and bows in inches."""
    bows = [*(inches(each) for each in bows), *[None] * len(widths)]
    pieces = [
        Piece(width_mm=inches(width), height_mm=inches(height), bow_mm=bow)
        for width, height, bow in zip(widths, heights, bows, strict=False)
    ]
    return Sample(pieces=pieces, edge=edge, stone=stone)


def said(sample, *, joint="1/8", share=THIRD, limits=None):
    more = {"limits": limits} if limits else {}
    found = judge_sample(sample, joint_mm=inches(joint), share=share, **more)
    return dict(found)


def test_the_least_joint_of_a_spread_is_the_published_one():
    # tileletter.com/what-is-minimum-grout-joint/ (A108.02-2017 4.3.8): a variation of 1/16 in needs a joint of 3/16 in.
    tiles = box([12] * 5, [12, 12, "193/16", 12, 12], edge="calibrated")
    assert tiles.spread_mm == inches("1/16")
    narrow = said(tiles, joint="1/8", share=0)["joint"]
    assert (narrow.outcome, narrow.figures["least_mm"]) == ("fails", inches("3/16"))
    assert said(tiles, joint="3/16", share=0)["joint"].outcome == "holds"


def test_the_least_joint_of_an_offset_is_the_published_one():
    # ctasc.com, grout head joint widths (A108.02 4.3.8.1): rectified, edge warpage 1/32 in, joint 5/32 in at least.
    tiles = box([12] * 5, [24] * 5, [0, "1/64", "-1/32", 0, "1/64"])
    assert tiles.warp_mm == inches("1/32")
    assert said(tiles, joint="1/8")["joint"].figures["least_mm"] == inches("5/32")
    assert said(tiles, joint="5/32")["joint"].outcome == "holds"
    # In a stack only the spread and 1/16 in count (the same 4.3.8).
    assert said(tiles, joint="1/16", share=0)["joint"].outcome == "holds"


@pytest.mark.parametrize(("odd", "outcome"), [("8.02", "holds"), ("8.03", "fails")])
def test_caliber_is_judged_from_the_average(odd, outcome):
    # tcna.thenextwave.biz, what is caliber range: an average of 8 in allows 7.98 to 8.02 in.
    sides = ["7.99", "7.99", "8", "8", odd]
    assert said(box(sides, [24] * 5))["width"].outcome == outcome


def test_bow_is_judged_by_the_longest_edge():
    # tcnatile.com/164: rectified, 0.40 %, so 8 in may bow 0.032 in; 24 in no more than 0.05 in (printed as 1.3 mm).
    assert said(box([8] * 5, [8] * 5, ["0.032"] * 5))["bow"].outcome == "holds"
    assert said(box([8] * 5, [8] * 5, ["-0.033"] * 5))["bow"].outcome == "fails"
    most = said(box([12] * 5, [24] * 5, ["1/32"] * 5))["bow"].figures["most_mm"]
    assert abs(most - inches("0.05")) <= Decimal("0.04")


def test_fewer_than_five_can_fail_and_cant_pass():
    # Five: common practice, no source. Three tiles that differ already need the wider joint, whatever comes.
    assert set(said(box([12] * 3, [24] * 3, [0] * 3))) == {"width", "height", "offset"}
    assert said(box([12] * 3, [24] * 3))["width"].outcome == "can't tell"
    few = said(box([12] * 3, [24, 24, "385/16"], ["1/4"] * 3))
    assert {few[about].outcome for about in ("joint", "bow")} == {"fails"}
    assert box([12], [24]).spread_mm is None


def test_stone_and_other_edges_are_judged_by_what_is_sourced_for_them():
    assert "width" not in said(box([12] * 5, [24] * 5, [0] * 5, edge="natural"))
    # tileletter.com/2016/02/7950: stone has 1/32 in and nothing added.
    stone = said(box([12] * 5, [24] * 5, ["1/32"] * 5, stone=True))
    assert not {"width", "height", "bow"} & set(stone)
    assert stone["lippage"].figures["allowed_mm"] == inches("1/32")


def of(sample: Sample) -> dict:
    """The figures of a sample that its ways follow from."""
    names = ("warp_mm", "longest_mm", "spread_mm", "rectified", "stone")
    return {name: getattr(sample, name) for name in names}


def test_other_ways_follow_geometry_and_the_offset_limit():
    # 4 s (1 - s) of the bow: geometry. A108.02 4.3.7: 1/32 in, from 1/4 in on 1/16 in, plus the bow; 4.3.8.2: a third.
    tiles = box([12] * 5, [24] * 5, ["1/32"] * 5)
    found = {(way.share, way.joint_mm): way for way in ways(**of(tiles), joint_mm=inches("5/32"), share=HALF)}
    assert next(iter(found)) == (HALF, inches("5/32"))
    planned, third, stack = (found[share, inches("5/32")] for share in (HALF, THIRD, Fraction(0)))
    assert (planned.planned, planned.offset_holds, planned.outcome) == (True, False, "fails")
    assert planned.forecast_mm == pytest.approx(inches("1/32"), abs=Decimal("0.0001"))
    assert (third.offset_holds, third.outcome) == (True, "holds")
    assert third.forecast_mm == pytest.approx(inches("1/32") * 8 / 9, abs=Decimal("0.0001"))
    assert (stack.forecast_mm, stack.left_mm) == (0, inches("1/16"))
    assert found[HALF, inches("1/4")].allowed_mm == inches("3/32")
    assert third.least_joint_mm == inches("5/32")
    assert stack.least_joint_mm == inches("1/16")


def test_a_third_with_six_places_is_the_third():
    tiles = box([12] * 5, [24] * 5, ["1/32"] * 5)
    shares = [way.share for way in ways(**of(tiles), joint_mm=inches("5/32"), share=Decimal("0.333333"))]
    assert shares == [THIRD, 0, HALF, THIRD]
    assert ways(**of(box([12] * 5, [24] * 5)), joint_mm=inches("1/8"), share=THIRD) == ()


def test_the_shops_own_limits_decide():
    strict = ShopLimits.of({"joint_to_spread": Decimal(4)})
    tiles = box([12] * 5, [12, 12, "193/16", 12, 12], edge="natural")
    verdict = said(tiles, joint="3/16", share=0, limits=strict)["joint"]
    assert (verdict.outcome, verdict.figures["least_mm"]) == ("fails", inches("1/4"))
    assert "the shop's own limit" in verdict.rule.source


def test_a_sample_has_a_tile():
    with pytest.raises(ValueError, match="at least one tile"):
        Sample(pieces=[], edge="natural")
