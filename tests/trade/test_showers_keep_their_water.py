"""Curb, liner, sills and steam against the codes' figures."""

from decimal import Decimal

import pytest

from trade import sources
from trade.lengths import inches
from trade.rules import slope_percent
from trade.shop_limits import LOOSER, ShopLimits
from trade.showers import (
    judge_barriers,
    judge_curb,
    judge_flange,
    judge_liner,
    judge_sill,
    judge_stall,
    judge_steam_ceiling,
    judge_steam_membrane,
    water_test_psf,
)


@pytest.mark.parametrize(
    ("drain", "rim", "outcome"),
    [
        # IRC P2709.1 as quoted in thebuildingcodeforum.com: 2 to 9 in above the drain, 1 in below sides and back.
        ("2", "1", "holds"),
        ("9", "1", "holds"),
        ("15/8", "1", "fails"),
        ("73/8", "1", "fails"),
        ("4", "7/8", "fails"),
        ("4", None, "can't tell"),
        ("1", None, "fails"),
    ],
)
def test_a_curb_stands_between_2_and_9_in(drain: str, rim: str | None, outcome: str) -> None:
    verdict = judge_curb(above_drain_mm=inches(drain), below_pan_mm=None if rim is None else inches(rim))
    assert (verdict.outcome, verdict.rule) == (outcome, sources.CURB_HEIGHT)


def test_an_accessible_threshold_is_half_an_inch_at_most() -> None:
    # ADAAG 4.21.7, corada.com.
    assert judge_curb(above_drain_mm=inches("1/2"), below_pan_mm=None, accessible=True).outcome == "holds"
    assert judge_curb(above_drain_mm=inches("9/16"), below_pan_mm=None, accessible=True).outcome == "fails"


def test_the_liner_asks_the_stricter_code_and_shows_both() -> None:
    # UPC 408.7, revisor.mn.gov: 3 in above the finished threshold and the seat. IPC and later IRC: 2 in.
    assert judge_liner(above_curb_mm=inches(3)).outcome == "holds"
    low = judge_liner(above_curb_mm=inches(2))
    assert low.outcome == "fails"
    assert '3"' in low.text
    assert '2"' in low.text
    assert judge_liner(above_curb_mm=None).outcome == "can't tell"
    seat = judge_liner(above_curb_mm=inches(3), above_seat_mm=inches(2), seat=True)
    assert (seat.outcome, seat.rule) == ("fails", sources.LINER_SEAT)
    assert judge_liner(above_curb_mm=inches(3), seat=True).outcome == "can't tell"


@pytest.mark.parametrize(
    ("fall", "outcome"), [("1/4", "holds"), ("1/2", "holds"), ("1/8", "fails"), ("0", "fails"), ("9/16", "fails")]
)
def test_sills_and_seats_slope_a_quarter_to_half_an_inch_in_a_foot(fall: str, outcome: str) -> None:
    # A108.01 3.6.4, fcimag.com/articles/93759; the figure: tileletter.com, ask the experts.
    slope = slope_percent(fall_mm=inches(fall), run_mm=inches(12))
    assert judge_sill(slope_percent=slope).outcome == outcome
    assert judge_sill(slope_percent=-slope - 1).outcome == "fails"


def test_a_steam_ceiling_slopes_2_in_per_ft() -> None:
    # SR613-24, tileletter.com/ceiling-slope-in-a-steam-shower/; its example of 4 in over 5 ft is not enough.
    assert judge_steam_ceiling(slope_percent=slope_percent(fall_mm=inches(2), run_mm=inches(12))).outcome == "holds"
    assert judge_steam_ceiling(slope_percent=slope_percent(fall_mm=inches(4), run_mm=inches(60))).outcome == "fails"


def test_two_barriers_trap_water_and_one_does_not() -> None:
    # tiletip.com, water barrier.
    assert judge_barriers(membrane=True, retarder_behind=True).outcome == "fails"
    assert judge_barriers(membrane=True, retarder_behind=None).outcome == "can't tell"
    assert judge_barriers(membrane=True, retarder_behind=False).outcome == "holds"
    assert judge_barriers(membrane=False, retarder_behind=True).outcome == "holds"


def test_steam_takes_half_a_perm_at_most() -> None:
    # SR613 as detailed in imiweb.org.
    assert judge_steam_membrane(perms=Decimal("0.5"), all_day=True).outcome == "holds"
    assert judge_steam_membrane(perms=Decimal("0.51"), all_day=False).outcome == "fails"
    assert "second vapor" in judge_steam_membrane(perms=Decimal(1), all_day=True).text
    assert judge_steam_membrane(perms=None, all_day=True).outcome == "can't tell"


def test_what_is_no_figure_is_refused() -> None:
    with pytest.raises(ValueError, match="above_drain_mm"):
        judge_curb(above_drain_mm=Decimal(-1), below_pan_mm=None)
    with pytest.raises(ValueError, match="slope"):
        judge_sill(slope_percent=Decimal("NaN"))


@pytest.mark.parametrize(("depth", "psf"), [(1, "5.19"), (2, "10.38"), (4, "20.76")])
def test_what_the_water_of_a_test_weighs(depth: int, psf: str) -> None:
    """ASTM D5957: 5.19 psf an inch; 2 in make 10.38 and 4 in 20.76 by arithmetic."""
    assert water_test_psf(depth_mm=inches(depth)) == Decimal(psf)


def test_the_farthest_corner_at_48_in_stands_1_in_up() -> None:
    """fcimag.com/articles/93759: at 1/4 in in a foot."""
    assert slope_percent(fall_mm=inches(1), run_mm=inches(48)) == slope_percent(
        fall_mm=inches("1/4"), run_mm=inches(12)
    )


def test_curb_sill_and_steam_follow_the_shops_own_limits() -> None:
    own = ShopLimits(curb_high_mm=inches(6), sill_low_percent=Decimal(3), steam_perms=Decimal("0.1"))
    curb = {"above_drain_mm": inches(8), "below_pan_mm": inches(1)}
    assert judge_curb(**curb).outcome == "holds"
    assert judge_curb(limits=own, **curb).outcome == "fails"
    assert judge_sill(slope_percent=Decimal("2.5")).outcome == "holds"
    assert judge_sill(slope_percent=Decimal("2.5"), limits=own).outcome == "fails"
    assert judge_steam_membrane(perms=Decimal("0.3"), all_day=False).outcome == "holds"
    assert judge_steam_membrane(perms=Decimal("0.3"), all_day=False, limits=own).outcome == "fails"
    with pytest.raises(ValueError, match="curb_low_mm"):
        ShopLimits(curb_low_mm=inches(10))


@pytest.mark.parametrize(
    ("wide", "deep", "clear", "outcome"),
    [
        # UPC 408.7 of 2024, eofficial.org: 1024 sq in and a 30 in circle, clear to 70 in above the drain. 32 x 32 in is
        # 1024; in a rectangle the largest circle is as wide as the short side.
        ("32", "32", "70", "holds"),
        ("32", "511/16", "70", "fails"),
        ("30", "137/4", "70", "holds"),
        ("30", "34", "70", "fails"),
        ("239/8", "40", "70", "fails"),
        ("32", "32", "559/8", "fails"),
        ("32", "32", None, "can't tell"),
        ("31", "32", None, "fails"),
    ],
)
def test_a_shower_is_no_smaller_than_the_code_asks(wide: str, deep: str, clear: str | None, outcome: str) -> None:
    verdict = judge_stall(
        area_sq_in=inches(wide) * inches(deep) / inches(1) ** 2,
        circle_mm=min(inches(wide), inches(deep)),
        clear_mm=None if clear is None else inches(clear),
    )
    assert (verdict.outcome, verdict.rule) == (outcome, sources.STALL_SIZE)
    assert outcome == "holds" or "your local code decides" in verdict.text.lower()


def test_a_shower_that_nobody_measured_cant_be_told() -> None:
    verdict = judge_stall(area_sq_in=None, circle_mm=None, clear_mm=None)
    assert verdict.outcome == "can't tell"
    assert "1024 sq in" in verdict.text


@pytest.mark.parametrize(
    ("sides", "outcome"),
    [(("30", "60"), "holds"), (("60", "30"), "holds"), (("30", "479/8"), "fails"), (("239/8", "60"), "fails")],
)
def test_a_receptor_of_30_by_60_overall_is_excepted(sides: tuple[str, str], outcome: str) -> None:
    # The same section, exception 2. A tub's place with its finished walls may leave less than 30 in.
    one, other = map(inches, sides)
    narrow = {"area_sq_in": Decimal(1600), "circle_mm": inches("55/2"), "clear_mm": inches(70)}
    assert judge_stall(receptor_mm=(one, other), **narrow).outcome == outcome


@pytest.mark.parametrize(
    ("high", "lapped", "outcome"),
    [
        # constructionspecifier.com, page 3: at least 1 in, the barrier lapped over it.
        ("1", True, "holds"),
        ("15/16", True, "fails"),
        ("15/16", None, "fails"),
        ("1", False, "fails"),
        (None, False, "fails"),
        (None, True, "can't tell"),
        ("1", None, "can't tell"),
    ],
)
def test_a_flange_stands_an_inch_up_and_is_lapped_over(high: str | None, lapped: bool | None, outcome: str) -> None:
    verdict = judge_flange(flange_mm=None if high is None else inches(high), lapped=lapped)
    assert (verdict.outcome, verdict.rule) == (outcome, sources.FLANGE_HEIGHT)
    assert verdict.text


def test_size_and_flange_follow_the_shops_own_limits() -> None:
    own = ShopLimits(
        stall_area_sq_in=Decimal(900),
        stall_circle_mm=inches(28),
        stall_clear_mm=inches(60),
        receptor_width_mm=inches(29),
        receptor_length_mm=inches(59),
        flange_mm=inches(2),
    )
    small = {"area_sq_in": Decimal(900), "circle_mm": inches(28), "clear_mm": inches(60)}
    assert judge_stall(**small).outcome == "fails"
    verdict = judge_stall(limits=own, **small)
    assert verdict.outcome == "holds"
    assert verdict.rule.source.startswith(LOOSER)
    tiny = {name: value / 2 for name, value in small.items()}
    assert judge_stall(receptor_mm=(inches(29), inches(59)), limits=own, **tiny).outcome == "holds"
    assert judge_stall(receptor_mm=(inches(29), inches(59)), **tiny).outcome == "fails"
    assert judge_flange(flange_mm=inches(1), lapped=True, limits=own).outcome == "fails"


@pytest.mark.parametrize("wrong", ["0", "-1", "NaN", "Infinity"])
def test_a_shower_without_size_is_refused_by_name(wrong: str) -> None:
    good = {"area_sq_in": Decimal(1024), "circle_mm": inches(30), "clear_mm": inches(70)}
    for name, told in (("area_sq_in", "area"), ("circle_mm", "circle_mm"), ("clear_mm", "clear_mm")):
        with pytest.raises(ValueError, match=told):
            judge_stall(**(good | {name: Decimal(wrong)}))
    with pytest.raises(ValueError, match="receptor"):
        judge_stall(receptor_mm=(Decimal(wrong), inches(60)), **good)
    if wrong != "0":
        with pytest.raises(ValueError, match="flange_mm"):
            judge_flange(flange_mm=Decimal(wrong), lapped=True)
