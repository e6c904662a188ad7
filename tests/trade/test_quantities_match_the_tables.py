"""Mortar, grout and labor against tables and worked examples; the source stands beside each."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trade.quantities import (
    SQFT_PER_M2,
    collapsed_mm,
    grout,
    grout_kg_per_m2,
    joint_fraction,
    labor,
    mortar,
    packages,
)

SQFT_200 = Decimal("18.580608")  # 200 sq ft of 0.09290304 m²


@pytest.mark.parametrize(
    ("width", "height", "depth", "joint", "kg"),
    [
        # Exact geometry at 1.6 kg/L, computed apart from this code: section 7 of our figures, every row, last column.
        (20, 20, 4, 2, "1.1107"),
        (50, 50, 4, 2, "0.4828"),
        (100, 100, 6, 3, "0.5511"),
        (150, 150, 6, 3, "0.3728"),
        (200, 200, 8, 3, "0.3755"),
        (300, 300, 8, 2, "0.1690"),
        (300, 300, 10, 3, "0.3153"),
        (300, 300, 10, 10, "1.0156"),
        (300, 600, 10, 3, "0.2372"),
        (600, 600, 10, 3, "0.1588"),
        (600, 1200, 10, 2, "0.0797"),
    ],
)
def test_grout_is_the_exact_column_to_the_printed_digit(width, height, depth, joint, kg) -> None:
    found = grout_kg_per_m2(
        tile_width_mm=Decimal(width),
        tile_height_mm=Decimal(height),
        depth_mm=Decimal(depth),
        joint_mm=Decimal(joint),
    )
    assert str(found) == kg


@pytest.mark.parametrize(
    ("width", "height", "depth", "joint", "thumb"),
    [(20, 20, 4, 2, "1.2800"), (300, 600, 10, 3, "0.2400"), (600, 600, 10, 3, "0.1600"), (300, 300, 10, 10, "1.0667")],
)
def test_grout_stays_a_little_under_the_rule_of_thumb(width, height, depth, joint, thumb) -> None:
    # asg-foto.ru, grout consumption: (A + B) / (A · B) · C · D · 1.6, which counts crossings twice.
    exact = grout_kg_per_m2(
        tile_width_mm=Decimal(width),
        tile_height_mm=Decimal(height),
        depth_mm=Decimal(depth),
        joint_mm=Decimal(joint),
    )
    assert Decimal("0.85") < exact / Decimal(thumb) < 1


def test_grout_of_a_volume_adds_its_waste_and_whole_bags() -> None:
    found = grout(volume_liters=Decimal("2.5"), bag_kg=Decimal("4.5"))
    assert (found.amount, found.low, found.packages) == (Decimal("4.4"), Decimal("4.0"), 1)
    assert grout(volume_liters=Decimal("2.6"), bag_kg=Decimal("4.5")).packages == 2
    assert found.text == "2.5 L of joints at 1.6 kg/L and 10 percent waste"


def test_200_sq_ft_at_65_sq_ft_a_bag_are_4_bags() -> None:
    # engineerfix.com, how many bags for 200 square feet: 200 / 65 = 3.07, so 4.
    assert round(200 / 65, 2) == 3.08  # the page cuts off, it doesn't round
    assert packages(quantity=Decimal(200), per_package=Decimal(65)) == 4
    found = mortar(area_m2=SQFT_200, trowel="1/4 x 3/8 square")
    assert found.packages == 4
    bags_at_65 = Decimal(200) / 65 * Decimal("22.68")
    assert found.low < bags_at_65 < found.high


@pytest.mark.parametrize(
    ("trowel", "fewest", "most"),
    [
        # Square feet per 50 lb bag: engineerfix.com and flooringclarity.com, how-to pages.
        ("1/4 x 1/4 square", 80, 100),
        ("1/4 x 3/8 square", 60, 80),
        ("1/2 x 1/2 square", 40, 50),
        ("1/4 x 3/8 u", 60, 80),
    ],
)
def test_mortar_spans_the_published_coverage_and_buys_for_its_poor_end(trowel: str, fewest: int, most: int) -> None:
    found = mortar(area_m2=SQFT_200, trowel=trowel)
    pounds = Fraction(45_359_237, 100_000_000)
    assert abs(Fraction(found.high) - Fraction(200, fewest) * 50 * pounds) <= Fraction(1, 10)
    assert abs(Fraction(found.low) - Fraction(200, most) * 50 * pounds) <= Fraction(1, 10)
    assert found.amount == found.high
    assert found.confidence == "seen"


@pytest.mark.parametrize(("trowel", "fewest", "most"), [("1/4 x 1/4 v", 80, 100), ("1/2 x 1/2 v", 40, 50)])
def test_geometry_agrees_with_the_published_coverage_within_a_tenth(trowel: str, fewest: int, most: int) -> None:
    # A V isn't in the table, so it goes by geometry, which for these depths is that of the square notch.
    found = mortar(area_m2=SQFT_200, trowel=trowel)
    assert found.confidence == "memory"
    pounds = Decimal("0.45359237")
    assert abs(Decimal(200) / (found.high / (50 * pounds)) / fewest - 1) < Decimal("0.1")
    assert abs(Decimal(200) / (found.low / (50 * pounds)) / most - 1) < Decimal("0.15")


def test_ridges_collapse_to_half_the_depth_of_the_notch() -> None:
    # 98905.com, trowels: a 1/4 in notch leaves about 1/8 in, 1/2 in about 1/4 in.
    assert collapsed_mm(trowel="1/4 x 1/4 square") == Decimal("3.18")
    assert collapsed_mm(trowel="1/2 x 1/2 square") == Decimal("6.35")


def test_back_buttering_takes_more_and_says_that_nobody_published_how_much() -> None:
    plain = mortar(area_m2=SQFT_200, trowel="1/2 x 1/2 square")
    buttered = mortar(area_m2=SQFT_200, trowel="1/2 x 1/2 square", back_butter=True)
    assert plain.amount < buttered.amount
    assert "common practice, no source" in buttered.source
    assert "no source" not in plain.source


def test_exactly_full_bags_are_not_rounded_up() -> None:
    assert packages(quantity=Decimal("22.7"), per_package=Decimal("22.7")) == 1
    assert packages(quantity=Decimal("22.8"), per_package=Decimal("22.7")) == 2
    assert packages(quantity=Decimal(0), per_package=Decimal("22.7")) == 0
    assert packages(quantity=Decimal("0.3"), per_package=Decimal("0.1")) == 3  # doubles say 2.9999999999999996


@given(
    quantity=st.decimals(0, 100_000, places=3),
    per_package=st.decimals(Decimal("0.001"), 1000, places=3),
)
def test_packages_hold_the_quantity_and_one_fewer_would_not(quantity: Decimal, per_package: Decimal) -> None:
    count = packages(quantity=quantity, per_package=per_package)
    assert Fraction(per_package) * count >= Fraction(quantity)
    assert count == 0 or Fraction(per_package) * (count - 1) < Fraction(quantity)


def test_a_square_meter_is_10_7639_square_feet() -> None:
    # From the inch of 25.4 mm; 10.7639104 in any table.
    assert round(float(SQFT_PER_M2), 7) == 10.7639104


def test_labor_is_the_middle_of_a_range_and_says_how_weak_it_is() -> None:
    # 0.10-0.20 hours per sq ft of wall: from memory, weak.
    found = labor(area_m2=SQFT_200, work="wall")
    assert (found.low, found.amount, found.high) == (Decimal("20.0"), Decimal("30.0"), Decimal("40.0"))
    assert "weak" in found.source
    assert found.confidence == "memory"
    assert labor(area_m2=SQFT_200, work="floor").amount == Decimal("18.0")
    assert labor(area_m2=SQFT_200, work="mosaic").amount == Decimal("25.0")


@pytest.mark.parametrize(
    "trowel",
    [
        "",
        "1/4",
        "square",
        "1/0 x 1/4 square",
        "0/4 square",
        "0/4 x 1/4 square",
        "1/4 x 0/4 square",
        "3/1 square",
        "1/4 x 1/4 notch",
        "1/4x1/4x1/4 v",
    ],
)
def test_a_trowel_that_cannot_be_read_is_refused(trowel: str) -> None:
    with pytest.raises(ValueError, match="trowel"):
        mortar(area_m2=Decimal(1), trowel=trowel)


def test_negative_or_missing_figures_are_refused() -> None:
    with pytest.raises(ValueError, match="area"):
        mortar(area_m2=Decimal(-1), trowel="1/4 v")
    with pytest.raises(ValueError, match="area"):
        labor(area_m2=Decimal("NaN"), work="wall")
    with pytest.raises(ValueError, match="quantity"):
        packages(quantity=Decimal("NaN"), per_package=Decimal(1))
    with pytest.raises(ValueError, match="hold something"):
        packages(quantity=Decimal(1), per_package=Decimal(0))
    with pytest.raises(ValueError, match="tile"):
        joint_fraction(tile_width_mm=Decimal(0), tile_height_mm=Decimal(1), joint_mm=Decimal(1))
    with pytest.raises(ValueError, match="tile"):
        joint_fraction(tile_width_mm=Decimal(1), tile_height_mm=Decimal(0), joint_mm=Decimal(1))
    assert joint_fraction(tile_width_mm=Decimal(1), tile_height_mm=Decimal(1), joint_mm=Decimal(0)) == 0
    with pytest.raises(ValueError, match="volume"):
        grout(volume_liters=Decimal(-1))


def test_nothing_needs_nothing() -> None:
    found = mortar(area_m2=Decimal(0), trowel="1/4 v")
    assert (found.amount, found.packages) == (0, 0)
    assert grout(volume_liters=Decimal(0)).packages == 0


def test_ribs_on_the_back_are_filled() -> None:
    # Geometry: ribs as wide as the grooves between them, so half of their depth is mortar. 100 sq ft with ribs 1/4 in
    # deep hold 100 x 1/8 / 12 = 1.0417 cu ft; a 50 lb bag yields 0.8 cu ft at least (from memory): 1.302 bags, 29.5 kg.
    area = Decimal("9.290304")
    flat = mortar(area_m2=area, trowel="1/4 x 1/4 square")
    ribbed = mortar(area_m2=area, trowel="1/4 x 1/4 square", ribs_mm=Decimal("6.35"))
    assert abs(ribbed.amount - flat.amount - Decimal("29.5")) <= Decimal("0.1")
    assert "ribs 6.35 mm deep" in ribbed.text
    with pytest.raises(ValueError, match="ribs_mm"):
        mortar(area_m2=area, trowel="1/4 x 1/4 square", ribs_mm=Decimal(-1))
