"""Each rule against the worked examples and limits of its source, which stands beside the check."""

from decimal import Decimal
from fractions import Fraction

import pytest

from trade import sources
from trade.lengths import inches
from trade.rules import (
    flatness_limits,
    judge_coverage,
    judge_flatness,
    judge_joint,
    judge_offset,
    judge_shower_slope,
    judge_wall_height,
    least_joint,
    lippage_limit,
    slope_percent,
)

ZERO = Decimal(0)


def test_flatness_is_decided_by_the_longest_edge_at_15_in() -> None:
    # ANSI A108.02 4.2.2 as quoted in floortrendsmag.com/articles/112509; fcimag.com/articles/91628.
    under = [
        (each.length_mm, each.gap_mm) for each in flatness_limits(tile_longest_edge_mm=inches(15) - Decimal("0.1"))
    ]
    large = [(each.length_mm, each.gap_mm) for each in flatness_limits(tile_longest_edge_mm=inches(15))]
    assert under == [(Decimal(3048), Decimal("6.35")), (Decimal("304.8"), Decimal("1.5875"))]
    assert large == [(Decimal(3048), Decimal("3.175")), (Decimal("609.6"), Decimal("1.5875"))]


def test_a_gap_over_either_limit_fails_and_a_missing_one_leaves_it_open() -> None:
    edge = inches(24)
    gaps = {"tile_longest_edge_mm": edge, "long_gap_mm": inches("1/8"), "short_gap_mm": inches("1/16")}
    assert judge_flatness(**gaps).outcome == "holds"
    assert judge_flatness(**gaps | {"long_gap_mm": inches("9/64")}).outcome == "fails"
    assert judge_flatness(**gaps | {"short_gap_mm": inches("5/64")}).outcome == "fails"
    assert judge_flatness(**gaps | {"short_gap_mm": None}).outcome == "can't tell"
    assert judge_flatness(**gaps | {"long_gap_mm": inches("1/4"), "short_gap_mm": None}).outcome == "fails"
    small = gaps | {"tile_longest_edge_mm": inches(12), "long_gap_mm": inches("1/4")}
    assert judge_flatness(**small).outcome == "holds"
    assert judge_flatness(**gaps).rule is sources.FLATNESS_LARGE
    assert judge_flatness(**small).rule is sources.FLATNESS_SMALL


def test_least_joint_is_three_times_the_spread_and_never_under_a_sixteenth() -> None:
    # tileletter.com/what-is-minimum-grout-joint/, A108.02-2017 4.3.8: variation 1/16 in, joint 3/16 in.
    plain = {"tile_longest_edge_mm": inches(12), "warp_mm": ZERO, "offset": False, "rectified": True}
    assert least_joint(size_spread_mm=inches("1/16"), **plain) == (inches("3/16"), sources.JOINT_SPREAD)
    assert least_joint(size_spread_mm=ZERO, **plain) == (inches("1/16"), sources.JOINT_SPREAD)


def test_offset_courses_of_large_tile_add_the_bow_to_their_joint() -> None:
    # ctasc.com, grout head joint widths, A108.02 4.3.8.1: rectified, bow 1/32 in, joint 5/32 in.
    tile = {"tile_longest_edge_mm": inches(24), "size_spread_mm": ZERO, "warp_mm": inches("1/32"), "offset": True}
    assert least_joint(rectified=True, **tile) == (inches("5/32"), sources.JOINT_OFFSET_RECTIFIED)
    # fcimag.com/articles/96103: not rectified, 3/16 in plus the bow.
    assert least_joint(rectified=False, **tile) == (inches("7/32"), sources.JOINT_OFFSET_CALIBRATED)


def test_a_side_of_exactly_15_in_is_not_over_15_in() -> None:
    tile = {"size_spread_mm": ZERO, "warp_mm": ZERO, "offset": True, "rectified": True}
    assert least_joint(tile_longest_edge_mm=inches(15), **tile)[0] == inches("1/16")
    assert least_joint(tile_longest_edge_mm=inches(15) + Decimal("0.1"), **tile)[0] == inches("1/8")
    unmeasured = tile | {"joint_mm": inches("1/8"), "warp_mm": None}
    assert judge_joint(tile_longest_edge_mm=inches(15), **unmeasured).outcome == "holds"
    assert judge_joint(tile_longest_edge_mm=inches(16), **unmeasured).outcome == "can't tell"


def test_the_greater_of_the_two_joint_rules_decides() -> None:
    tile = {"tile_longest_edge_mm": inches(24), "warp_mm": ZERO, "offset": True, "rectified": True}
    assert least_joint(size_spread_mm=inches("1/16"), **tile) == (inches("3/16"), sources.JOINT_SPREAD)


def test_a_joint_is_judged_and_unmeasured_tile_leaves_it_open() -> None:
    case = {
        "joint_mm": inches("5/32"),
        "tile_longest_edge_mm": inches(24),
        "size_spread_mm": Decimal("0.4"),
        "warp_mm": inches("1/32"),
        "offset": True,
        "rectified": True,
    }
    assert judge_joint(**case).outcome == "holds"
    assert judge_joint(**case | {"joint_mm": inches("1/8")}).outcome == "fails"
    assert judge_joint(**case | {"warp_mm": None}).outcome == "can't tell"
    assert judge_joint(**case | {"size_spread_mm": None}).outcome == "can't tell"
    # Too narrow whatever the tile measures.
    assert judge_joint(**case | {"joint_mm": inches("1/16"), "warp_mm": None}).outcome == "fails"
    # The bow doesn't matter where courses line up.
    assert judge_joint(**case | {"warp_mm": None, "offset": False}).outcome == "holds"


def test_a_joint_does_not_fail_for_rounding_but_does_for_more() -> None:
    case = {"tile_longest_edge_mm": inches(24), "size_spread_mm": ZERO, "offset": True, "rectified": True}
    assert judge_joint(joint_mm=inches("5/32"), warp_mm=Decimal("0.80"), **case).outcome == "holds"
    assert judge_joint(joint_mm=inches("5/32"), warp_mm=Decimal("0.81"), **case).outcome == "fails"


@pytest.mark.parametrize(
    ("share", "side_in", "outcome"),
    [
        # fcimag.com/articles/96103 and 94659, A108.02 4.3.8.2: a third at most where the side is over 15 in.
        (Fraction(1, 3), 24, "holds"),
        (Fraction(2, 3), 24, "holds"),
        (Decimal("0.33"), 24, "holds"),
        (Decimal("0.3333"), 24, "holds"),
        (Fraction(1, 2), 24, "fails"),
        (Decimal("0.4"), 24, "fails"),
        (Decimal("0.6"), 24, "fails"),
        (Decimal("0.35"), 24, "fails"),
        (Fraction(1, 2), 15, "holds"),
        (Fraction(1, 2), 16, "fails"),
        (Fraction(0), 48, "holds"),
        (Fraction(1), 48, "holds"),
    ],
)
def test_offset_is_a_third_at_most_on_sides_over_15_in(share, side_in: int, outcome: str) -> None:
    assert judge_offset(share=share, side_mm=inches(side_in)).outcome == outcome


@pytest.mark.parametrize(
    ("place", "readings", "outcome"),
    [
        # ANSI A108.5 3.3.2 (2017) as quoted in ceramictilefoundation.org/blog/insufficient-mortar: 80 dry, 95 wet and
        # outdoors, mean of three; the two triples are the worked test of our figures, section 2.
        ("wet_floor", "96 94 95", "holds"),
        ("wet_floor", "96 94 94", "fails"),
        ("shower", "96 94 94", "fails"),
        ("exterior", "96 94 94", "fails"),
        ("tub_surround", "95 95 95", "holds"),
        ("dry_floor", "96 94 94", "holds"),
        ("dry_floor", "80 80 80", "holds"),
        ("dry_wall", "80 80 79.99", "fails"),
        ("dry_floor", "99 99", "can't tell"),
        ("shower", "", "can't tell"),
        ("shower", "0 0 0", "fails"),
        ("shower", "100 100 100", "holds"),
        ("shower", "95 95 95 94.999999999999999999999999", "fails"),
    ],
)
def test_coverage_is_the_exact_mean_of_three_lifted_tiles_or_more(place, readings: str, outcome: str) -> None:
    verdict = judge_coverage(place=place, readings=[Decimal(each) for each in readings.split()])
    assert verdict.outcome == outcome


def test_stone_needs_95_percent_even_where_it_is_dry() -> None:
    readings = [Decimal(90)] * 3
    assert judge_coverage(place="dry_floor", readings=readings).outcome == "holds"
    stone = judge_coverage(place="dry_floor", readings=readings, stone=True)
    assert (stone.outcome, stone.rule) == ("fails", sources.COVERAGE_STONE)


def test_a_mean_just_under_its_limit_is_not_shown_as_the_limit() -> None:
    verdict = judge_coverage(place="shower", readings=[Decimal(95), Decimal(95), Decimal("94.9999")])
    assert verdict.outcome == "fails"
    assert "94.99 percent" in verdict.text


@pytest.mark.parametrize("reading", ["-1", "100.01", "NaN", "Infinity"])
def test_coverage_outside_0_to_100_is_no_reading(reading: str) -> None:
    with pytest.raises(ValueError, match="between 0 and 100"):
        judge_coverage(place="shower", readings=[Decimal(95), Decimal(95), Decimal(reading)])


@pytest.mark.parametrize(
    ("joint", "warp", "limit"),
    [
        # tileletter.com/2016/02/7950/, A108.02-2013 4.3.7.
        ("1/16", "0", "1/32"),
        ("3/16", "1/32", "1/16"),
        ("15/64", "0", "1/32"),
        ("1/4", "0", "1/16"),
        ("3/8", "1/32", "3/32"),
    ],
)
def test_lippage_is_a_32nd_up_to_a_quarter_joint_plus_the_measured_warp(joint: str, warp: str, limit: str) -> None:
    found, rule = lippage_limit(joint_mm=inches(joint), warp_mm=inches(warp))
    assert (found.high, rule) == (inches(limit), sources.LIPPAGE)


def test_nothing_is_added_to_the_lippage_of_stone() -> None:
    found, rule = lippage_limit(joint_mm=inches("3/8"), warp_mm=inches("1/32"), stone=True)
    assert (found.high, rule) == (inches("1/32"), sources.LIPPAGE_STONE)


def test_a_floor_that_falls_an_inch_in_48_is_right() -> None:
    # fcimag.com/articles/93759: 48 in to the farthest corner, 1 in of fall.
    slope = slope_percent(fall_mm=inches(1), run_mm=inches(48))
    assert slope == Decimal("2.08")
    assert judge_shower_slope(slope=slope).outcome == "holds"


@pytest.mark.parametrize(
    ("slope", "outcome"),
    [
        ("1.99", "fails"),
        ("2", "holds"),
        ("4", "holds"),
        ("4.16", "holds"),
        ("4.2", "fails"),
        ("-2", "fails"),
        ("0", "fails"),
    ],
)
def test_slope_lies_between_the_codes_two_figures(slope: str, outcome: str) -> None:
    # IRC P2709.1 as quoted in thebuildingcodeforum.com: 1/4 in per ft (2 percent) to 1/2 in per ft (4 percent).
    assert judge_shower_slope(slope=Decimal(slope)).outcome == outcome


def test_half_an_inch_in_a_foot_still_holds() -> None:
    assert judge_shower_slope(slope=slope_percent(fall_mm=inches("1/2"), run_mm=inches(12))).outcome == "holds"


def test_wet_walls_must_satisfy_both_heights() -> None:
    # IPC 417.4.1 as quoted in thebuildingcodeforum.com: 6 ft above the floor and 70 in above the drain.
    assert judge_wall_height(above_floor_mm=inches(72), above_drain_mm=inches(70)).outcome == "holds"
    assert judge_wall_height(above_floor_mm=inches(71), above_drain_mm=inches(71)).outcome == "fails"
    assert judge_wall_height(above_floor_mm=inches(80), above_drain_mm=inches(69)).outcome == "fails"
    assert judge_wall_height(above_floor_mm=inches(80), above_drain_mm=None).outcome == "can't tell"
    assert judge_wall_height(above_floor_mm=inches(60), above_drain_mm=None).outcome == "fails"


def test_a_verdict_speaks_the_shops_units() -> None:
    verdict = judge_joint(
        joint_mm=inches("1/8"),
        tile_longest_edge_mm=inches(24),
        size_spread_mm=ZERO,
        warp_mm=Decimal("0.6"),
        offset=True,
        rectified=True,
    )
    assert verdict.text == 'The joint of 1/8" is too narrow: this tile needs at least 5/32" (3.78 mm).'
    assert verdict.say(unit="mm") == "The joint of 3.18 mm is too narrow: this tile needs at least 3.78 mm."
    assert verdict.say(
        unit="mm",
        translate=lambda text: text.upper().replace("(JOINT_MM)S", "(joint_mm)s").replace("(LEAST_MM)S", "(least_mm)s"),
    ).startswith("THE JOINT OF 3.18 mm")


def test_nonsense_is_refused_not_judged() -> None:
    with pytest.raises(ValueError, match="joint_mm"):
        lippage_limit(joint_mm=Decimal(0), warp_mm=ZERO)
    with pytest.raises(ValueError, match="warp_mm"):
        lippage_limit(joint_mm=Decimal(3), warp_mm=Decimal("NaN"))
    with pytest.raises(ValueError, match="run_mm"):
        slope_percent(fall_mm=Decimal(1), run_mm=ZERO)
    with pytest.raises(ValueError, match="share"):
        judge_offset(share=Decimal("1.5"), side_mm=inches(24))
    with pytest.raises(ValueError, match="number"):
        judge_shower_slope(slope=Decimal("NaN"))
    with pytest.raises(ValueError, match="long_gap_mm"):
        judge_flatness(tile_longest_edge_mm=inches(24), long_gap_mm=Decimal(-1), short_gap_mm=ZERO)
