"""Movement joints: spacing by exposure, width by spacing and temperature."""

from decimal import Decimal
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade import sources
from trade.lengths import feet, inches
from trade.movement import (
    Covering,
    Exposure,
    bays,
    farthest_mm,
    indoor_width_mm,
    judge_spacing,
    least_width_mm,
    sealant_depth_mm,
    sealant_for,
    sealant_moves_mm,
)
from trade.shop_limits import ShopLimits


@pytest.mark.parametrize(
    ("exposure", "long", "short"), [("interior", 2, 1), ("interior sun or moisture", 4, 2), ("exterior", 4, 2)]
)
def test_a_room_of_38_by_24_ft_is_divided_as_worked_out(exposure: Exposure, long: int, short: int) -> None:
    # EJ171 as read in tileletter.com, August 2018: at most 25 ft indoors, 12 ft in sun. 38/25 makes 2 bays, 38/12 4.
    assert bays(length_mm=feet(38), exposure=exposure) == long
    assert bays(length_mm=feet(24), exposure=exposure) == short


@given(
    length=st.decimals(min_value=1, max_value=200_000, places=2),
    exposure=st.sampled_from(get_args(Exposure)),
)
def test_bays_are_as_few_as_the_spacing_allows(length: Decimal, exposure: Exposure) -> None:
    farthest, _ = farthest_mm(exposure)
    many = bays(length_mm=length, exposure=exposure)
    assert length <= many * farthest
    assert many == 1 or length > (many - 1) * farthest


@pytest.mark.parametrize(
    ("spacing", "range_f", "expected"),
    [
        # EJ171-09 as quoted in johnbridge.com, post 27985: 3/8 in at 8 ft, 1/2 at 12 ft, 1/16 for each 15 °F more.
        (feet(8), None, "3/8"),
        (feet(12), Decimal(100), "1/2"),
        (feet(12), Decimal(130), "5/8"),
        (feet(12), Decimal(160), "3/4"),
        # Between the two spacings the wider counts, and 15 °F begun counts: the stricter reading.
        (feet(8) + inches(1), None, "1/2"),
        (feet(12), Decimal(101), "9/16"),
    ],
)
def test_outdoor_joints_widen_with_spacing_and_temperature(
    spacing: Decimal, range_f: Decimal | None, expected: str
) -> None:
    found = least_width_mm(exposure="exterior", spacing_mm=spacing, range_f=range_f)
    assert found == (inches(expected), sources.MOVEMENT_WIDTH_EXTERIOR)


def test_indoor_floor_joints_are_a_quarter_inch() -> None:
    # EJ171-09: interior floor tile, same as the grout joint, at least 1/4 in.
    assert least_width_mm(exposure="interior", spacing_mm=feet(20))[0] == inches("1/4")


def test_too_wide_a_field_fails_and_an_unmeasured_one_leaves_it_open() -> None:
    assert judge_spacing(exposure="interior", spacing_mm=feet(25)).outcome == "holds"
    assert judge_spacing(exposure="interior", spacing_mm=feet(25) + Decimal("0.1")).outcome == "fails"
    assert judge_spacing(exposure="exterior", spacing_mm=feet(20)).outcome == "fails"
    assert judge_spacing(exposure="exterior", spacing_mm=None).outcome == "can't tell"


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="no such exposure"):
        farthest_mm("moon")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="apart at most"):
        least_width_mm(exposure="exterior", spacing_mm=feet(13))
    with pytest.raises(ValueError, match="length_mm"):
        bays(length_mm=Decimal(0), exposure="interior")


@pytest.mark.parametrize(
    ("where", "grout", "least", "preferred"),
    [
        # EJ171-09 as read in scribd.com: a floor's as its grout joint and 1/4 in at least; walls and mosaics 1/4 in
        # preferred, never under 1/8 in.
        ("floor", "1/8", "1/4", "1/4"),
        ("floor", "3/8", "3/8", "3/8"),
        ("wall", "1/16", "1/8", "1/4"),
        ("mosaic", "1/8", "1/8", "1/4"),
    ],
)
def test_indoors_the_width_follows_what_is_covered(where: Covering, grout: str, least: str, preferred: str) -> None:
    assert indoor_width_mm(where=where, grout_mm=inches(grout))[:2] == (inches(least), inches(preferred))


def test_sealant_of_class_25_moves_a_quarter_either_way() -> None:
    """ufgscriteriadocreport.tpub.com/07920: class 25 on a joint of 1 in moves between 0.75 and 1.25 in."""
    assert sealant_moves_mm(width_mm=inches(1), percent=Decimal(25)) == (inches("0.75"), inches("1.25"))


def test_sealant_is_as_deep_as_an_eighth_and_at_most_half_its_width() -> None:
    """civilengineeringx.com: 1/8 in at least, half the width at most; so 1/4 in is the narrowest that has both."""
    assert sealant_depth_mm(width_mm=inches("3/8")) == (inches("1/8"), inches("3/16"))
    assert sealant_depth_mm(width_mm=inches("1/4")) == (inches("1/8"), inches("1/8"))
    with pytest.raises(ValueError, match="too narrow"):
        sealant_depth_mm(width_mm=inches("3/16"))
    deeper = ShopLimits(sealant_depth_mm=inches("3/16"))
    assert sealant_depth_mm(width_mm=inches("3/8"), limits=deeper)[0] == inches("3/16")


def test_the_sealants_class_follows_what_the_joint_moves() -> None:
    floor = sealant_for(direction="floor", width_mm=inches("3/8"), moves_mm=inches("3/32"), under_water=False)
    assert floor.classes == ("C920", "type S or M", "grade P or NS", "class 25", "use T")
    wall = sealant_for(direction="wall", width_mm=inches("1/4"), moves_mm=inches("1/8"), under_water=True)
    assert wall.classes[2:] == ("grade NS", "class 50", "use I")
    with pytest.raises(ValueError, match="wider"):
        sealant_for(direction="wall", width_mm=inches("1/8"), moves_mm=inches("1/8"), under_water=False)
