"""The limits that a shop may set: their defaults are their sources', and what is set decides."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from tests.trade.test_phases_follow_the_specification import EVERY, SHOWER, with_everything
from trade import sources
from trade.asking import materials_for
from trade.coverage import Lifted, judge_voids
from trade.lengths import feet, inches
from trade.limit_figures import Figure
from trade.lippage import judge_forecast
from trade.movement import bays, indoor_width_mm, judge_spacing, least_width_mm
from trade.phases import phases_for
from trade.plumb import judge_plumb
from trade.product import judge_friction
from trade.rules import (
    judge_coverage,
    judge_flatness,
    judge_joint,
    judge_offset,
    judge_shower_slope,
    judge_wall_height,
)
from trade.shop_limits import DEFAULTS, FIGURES, LOOSER, OWN, PAIRS, ShopLimits
from trade.sources import all_rules
from trade.specification import Specification
from trade.structure import judge_deflection
from trade.suiting import Known, suits
from trade.verdicts import Verdict
from trade.waits import judge_wait, judge_water_test, least_wait
from trade.weights import judge_wall_weight

# A figure and where it was read. What stands beside it is published; the rest of this list says what it is.
PUBLISHED = {
    "flat_large_long_mm": inches("1/8"),  # ANSI A108.02 4.2.2, floortrendsmag.com/articles/112509
    "flat_large_short_mm": inches("1/16"),  # the same
    "flat_small_long_mm": inches("1/4"),  # ANSI A108.02, tilelettercanada.com
    "flat_small_short_mm": inches("1/16"),  # the same
    "smallest_joint_mm": inches("1/16"),  # ANSI A108.02 4.3.8, tileletter.com/what-is-minimum-grout-joint
    "joint_to_spread": Decimal(3),  # the same
    "offset_joint_rectified_mm": inches("1/8"),  # ANSI A108.02 4.3.8.1, fcimag.com/articles/96103
    "offset_joint_mm": inches("3/16"),  # the same
    "offset_percent": Decimal("33.33"),  # ANSI A108.02 4.3.8.2, tileletter.com/offset-patterns-dos-and-donts
    "first_course_mm": inches("1/16"),  # common practice, no source
    "coverage_dry_percent": Decimal(80),  # ANSI A108.5 3.3.2, ceramictilefoundation.org/blog/insufficient-mortar
    "coverage_wet_percent": Decimal(95),  # the same
    "coverage_stone_percent": Decimal(95),  # TCNA Handbook, the same page
    "void_edge_mm": inches(2),  # digitaledition.tile-magazine.com, April and May 2021
    "bed_low_mm": inches("3/32"),  # ANSI A108.5 2.2.2, tile-magazine.com/articles/91948
    "bed_high_mm": inches("1/4"),  # mmsausa.com/bulletin/18
    "bed_large_high_mm": inches("1/2"),  # the same
    "lippage_narrow_mm": inches("1/32"),  # ANSI A108.02 4.3.7, tileletter.com/2016/02/7950
    "lippage_wide_mm": inches("1/16"),  # the same
    "lippage_stone_mm": inches("1/32"),  # the same page
    "shower_slope_low_percent": Decimal(2),  # IRC P2709.1, thebuildingcodeforum.com
    "shower_slope_high_percent": Decimal("4.17"),  # the same: 1/2 in per ft
    "exterior_slope_percent": Decimal(2),  # common practice, no source
    "liner_height_mm": inches(3),  # UPC 408.7, revisor.mn.gov/rules/4714.0408
    "wall_height_mm": feet(6),  # IRC R307.2, askcodeman.com
    "wall_height_drain_mm": inches(70),  # IPC 417.4.1, thebuildingcodeforum.com
    "water_depth_low_mm": inches(2),  # IPC 312.9, plumbingzone.com
    "water_depth_high_mm": inches(4),  # ASTM D5957, astm.org/d5957-98r21.html
    "stall_area_sq_in": Decimal(1024),  # UPC 408.7 of 2024, eofficial.org
    "stall_circle_mm": inches(30),  # the same
    "stall_clear_mm": inches(70),  # the same
    "receptor_width_mm": inches(30),  # the same
    "receptor_length_mm": inches(60),  # the same
    "flange_mm": inches(1),  # the source of sources.FLANGE_HEIGHT
    "water_test_hours": Decimal(24),  # ASTM D5957, from memory
    "membrane_hours": Decimal(24),  # ASTM D5957, standards.iteh.ai
    "membrane_cold_hours": Decimal(48),  # the same
    "mortar_hours": Decimal(24),  # engineerfix.com, a general how-to page
    "mortar_rapid_hours": Decimal(8),  # the same
    "mortar_large_hours": Decimal(72),  # the same
    "grout_hours": Decimal(72),  # the same
    "grout_epoxy_hours": Decimal(24),  # the same
    "leveler_hours": Decimal(24),  # the same
    "leveler_rapid_hours": Decimal(6),  # the same
    "traffic_hours": Decimal(48),  # flooringclarity.com, a general how-to page
    "heavy_traffic_hours": Decimal(7 * 24),  # the same
    "sealer_hours": Decimal(72),  # the same
    "setting_low_f": Decimal(50),  # a column in tileletter.com, January 2017
    "setting_high_f": Decimal(70),  # the same
    "setting_hours": Decimal(48),  # the same
    "movement_interior_mm": feet(25),  # TCNA EJ171, NTCA Reference Manual 2024-25 p. 21
    "movement_moist_mm": feet(12),  # the same
    "movement_slab_mm": feet(12),  # the same
    "movement_exterior_mm": feet(12),  # the same
    "soft_floor_mm": inches("1/4"),  # EJ171-09, scribd.com/document/517234345
    "soft_wall_mm": inches("1/8"),  # the same
    "soft_exterior_mm": inches("3/8"),  # the same, at 8 ft
    "soft_exterior_far_mm": inches("1/2"),  # the same, at 12 ft
    "curb_low_mm": inches(2),  # IRC P2709.1, thebuildingcodeforum.com
    "curb_high_mm": inches(9),  # the same
    "curb_below_pan_mm": inches(1),  # the same
    "curb_accessible_mm": inches("1/2"),  # ADAAG 4.21.7, corada.com
    "sill_low_percent": Decimal("2.08"),  # 1/4 in in 12 in, fcimag.com/articles/93759
    "sill_high_percent": Decimal("4.17"),  # 1/2 in in 12 in, the same
    "steam_ceiling_percent": Decimal("16.66"),  # SR613-24, tileletter.com
    "steam_perms": Decimal("0.5"),  # the source of sources.STEAM_MEMBRANE
    "sealant_depth_mm": inches("1/8"),  # civilengineeringx.com
    "void_sq_in": Decimal(2),  # digitaledition.tile-magazine.com, April and May 2021
    "bend_part": Decimal(360),  # the source of sources.DEFLECTION
    "bend_stone_part": Decimal(720),  # the source of sources.DEFLECTION_STONE
    "bend_stone_most_mm": inches("7/32"),  # the same
    "bend_i_joist_part": Decimal(480),  # the source of sources.DEFLECTION_I_JOIST
    "bend_i_joist_stone_part": Decimal(720),  # the same
    "framing_moisture_percent": Decimal(19),  # A108.11 4.1, tileletter.com, ask the experts
    "friction_indoors": Decimal("0.42"),  # A137.1 9.6, tcnatile.com
    "friction_wet_plus": Decimal("0.50"),  # A326.3-2021, where its maker declares nothing
    "friction_outdoors": Decimal("0.55"),  # the same
    "friction_oil": Decimal("0.55"),  # the same
    "wall_plaster_kg_m2": Decimal(20),  # the source of sources.WALL_WEIGHT
    "wall_gypsum_kg_m2": Decimal(32),  # the same
    "wall_foam_kg_m2": Decimal(40),  # the same
    "wall_cement_kg_m2": Decimal(50),  # the same
    "warp_rectified_percent": Decimal("0.40"),  # A137.1, tcnatile.com/164
    "warp_rectified_edge_mm": Decimal("1.27"),  # the same, 0.05 in
    "warp_rectified_diagonal_mm": Decimal("1.8"),  # stoneforensics.com
    "warp_other_percent": Decimal("0.50"),  # the same
    "warp_other_edge_mm": Decimal(2),  # the same
    "warp_other_diagonal_mm": Decimal("2.3"),  # the same
    "caliber_percent": Decimal("0.25"),  # tcna.thenextwave.biz
    "caliber_mm": Decimal("0.762"),  # the same, 0.03 in
    "strength_floor_lbf": Decimal(250),  # ASTM C648
    "strength_wall_lbf": Decimal(125),  # A137.1-2008, ctasc.com
    "strength_wall_each_lbf": Decimal(100),  # the same
    "cable_percent": Decimal(10),  # from memory
}

# Rooms of every place, with tile that the conditions of joint and make tell apart, plain and with all that may be.
SPECIFICATIONS = [
    replace(made, rectified=rectified, joint_mm=joint)
    for spec in [*(each for each in EVERY[:160] if each.demolition and each.has_floor and each.has_walls), SHOWER]
    for made in (spec, with_everything(spec), replace(with_everything(spec), rapid_mortar=False, coldest_f=Decimal(45)))
    for rectified, joint in ((True, inches("1/8")), (False, inches("3/8")))
]
SPECIFICATIONS += [replace(SHOWER, curb=True, accessible=True), replace(SHOWER, rapid_leveler=True)]
SPECIFICATIONS += [replace(SHOWER, pattern_offset=Decimal(0), rectified=rectified) for rectified in (True, False)]
SPECIFICATIONS += [
    replace(SHOWER, place="dry_wall", substrate=face)
    for face in ("gypsum plaster", "gypsum board", "foam board", "cement board")
]
SPECIFICATIONS += [replace(SHOWER, place="dry_wall", has_floor=False), replace(SHOWER, slab_above_ground=True)]

# A room just on the edge of what its limits allow: whichever limit moves, its verdict does, or the figures do.
KNOWN = Known(
    size_spread_mm=Decimal("1.5"),
    warp_measured=True,
    longest_run_mm=feet(11),
    span_mm=feet(13),
    deflection_mm=Decimal(5),
    friction=Decimal("0.5"),
    breaking_lbf=Decimal(200),
    stall_sq_in=Decimal(1100),
    stall_circle_mm=inches(31),
    tile_kg_m2=Decimal(30),
    membrane_perms=Decimal("0.5"),
)


def moved(figure: Figure) -> ShopLimits:
    """The limits with one figure a little stricter or looser, so that no pair is crossed."""
    up = figure.default * Decimal("1.1")
    return ShopLimits.of({figure.key: up if up <= figure.highest else figure.default * Decimal("0.9")})


def test_the_defaults_are_what_was_published() -> None:
    assert {key: figure.default for key, figure in FIGURES.items()} == PUBLISHED
    assert {key: DEFAULTS.value(key) for key in FIGURES} == PUBLISHED


def test_every_limit_has_a_rule_that_is_listed_and_bounds_around_its_default() -> None:
    rules = all_rules()
    for figure in FIGURES.values():
        assert figure.rule in rules, figure.key
        assert 0 < figure.lowest < figure.default < figure.highest, figure.key
    assert len({figure.label for figure in FIGURES.values()}) == len(FIGURES)


def asked_of(spec: Specification, limits: ShopLimits) -> list[object]:
    """All that a room's checks, its watch list and its materials say by the limits."""
    checks = [check.limit for each in phases_for(spec, limits=limits) for check in each.checks]
    known = (KNOWN, replace(KNOWN, span_mm=feet(15)))
    judged = [verdict.figures for each in known for _, verdict in suits(spec, each, limits=limits)]
    bought = [
        materials_for(spec, direction=direction, longest_run_mm=run, limits=limits)
        for direction in ("floor", "wall")
        for run in (feet(7), None)
    ]
    return [*checks, *judged, *bought]


def asked_elsewhere(limits: ShopLimits) -> list[object]:
    """What layout.findings and the card of a lifted tile say."""
    spread = {"size_spread_mm": inches("1/16"), "warp_mm": Decimal(0), "offset": False, "rectified": True}
    tile = {"tile_longest_edge_mm": inches(24), "joint_mm": inches("1/64"), "limits": limits}
    cases = [
        spread,
        spread | {"size_spread_mm": Decimal(0)},
        spread | {"offset": True, "size_spread_mm": Decimal(0)},
    ]
    cases.append(cases[-1] | {"rectified": False})
    found: list[object] = [judge_joint(**tile, **case).figures["least_mm"] for case in cases]  # type: ignore[arg-type]
    for cell in ((4, 4), (1, 4)):
        found.append(judge_voids([Lifted(frozenset({cell}))], width_mm=inches(12), height_mm=inches(12), limits=limits))
    return [*found, judge_offset(share=Decimal("0.35"), side_mm=inches(24), limits=limits).outcome]


def test_a_limit_is_asked_exactly_where_a_check_or_a_finding_changes_with_it() -> None:
    usual = [asked_of(spec, DEFAULTS) for spec in SPECIFICATIONS]

    def matters(limits: ShopLimits) -> bool:
        if asked_elsewhere(limits) != asked_elsewhere(DEFAULTS):
            return True
        return any(asked_of(spec, limits) != said for spec, said in zip(SPECIFICATIONS, usual, strict=True))

    changed = {key for key, figure in FIGURES.items() if matters(moved(figure))}
    assert changed == {key for key, figure in FIGURES.items() if figure.asked}


def test_a_check_says_whose_limit_it_is_and_whether_it_is_looser() -> None:
    def lippage(own: str) -> tuple[Decimal | None, str]:
        limits = ShopLimits.of({"lippage_narrow_mm": inches(own)})
        for phase in phases_for(SHOWER, limits=limits):
            for check in phase.checks:
                if check.key == "setting.lippage":
                    assert check.limit is not None
                    return check.limit.high, check.rule.source
        raise AssertionError

    assert lippage("1/32") == (inches("1/32"), sources.LIPPAGE.source)
    assert lippage("1/16") == (inches("1/16"), f"{OWN}, looser than its source: {sources.LIPPAGE.source}")
    assert lippage("1/64") == (inches("1/64"), f"{OWN}, stricter than its source: {sources.LIPPAGE.source}")


CASES: list[tuple[str, str | Decimal, Callable[[ShopLimits], Verdict], str, str]] = [
    (
        "flat_large_long_mm",
        inches("1/4"),
        lambda limits: judge_flatness(
            tile_longest_edge_mm=inches(24), long_gap_mm=inches("3/16"), short_gap_mm=Decimal(0), limits=limits
        ),
        "fails",
        "holds",
    ),
    (
        "flat_small_long_mm",
        inches("1/8"),
        lambda limits: judge_plumb(
            tile_longest_edge_mm=inches(4), height_mm=feet(8), out_of_plumb_mm=inches("3/16"), limits=limits
        ),
        "holds",
        "fails",
    ),
    (
        "offset_percent",
        "50",
        lambda limits: judge_offset(share=Fraction(1, 2), side_mm=inches(24), limits=limits),
        "fails",
        "holds",
    ),
    (
        "coverage_dry_percent",
        "90",
        lambda limits: judge_coverage(place="dry_floor", readings=[Decimal(85)] * 3, limits=limits),
        "holds",
        "fails",
    ),
    (
        "lippage_stone_mm",
        inches("1/8"),
        lambda limits: judge_forecast(
            warp_mm=Decimal(3), share=Fraction(1, 2), joint_mm=inches("1/8"), stone=True, limits=limits
        ),
        "fails",
        "holds",
    ),
    (
        "shower_slope_low_percent",
        "2.5",
        lambda limits: judge_shower_slope(slope=Decimal("2.2"), limits=limits),
        "holds",
        "fails",
    ),
    (
        "wall_height_drain_mm",
        inches(80),
        lambda limits: judge_wall_height(above_floor_mm=inches(80), above_drain_mm=inches(78), limits=limits),
        "holds",
        "fails",
    ),
    (
        "mortar_hours",
        "48",
        lambda limits: judge_wait("mortar to grout", hours=Decimal(30), limits=limits),
        "holds",
        "fails",
    ),
    (
        "membrane_cold_hours",
        "96",
        lambda limits: judge_wait(
            "membrane to water test", hours=Decimal(50), temperature_f=Decimal(45), limits=limits
        ),
        "holds",
        "fails",
    ),
    (
        "water_test_hours",
        "12",
        lambda limits: judge_water_test(hours=Decimal(13), dropped=False, limits=limits),
        "fails",
        "holds",
    ),
    (
        "movement_interior_mm",
        feet(20),
        lambda limits: judge_spacing(exposure="interior", spacing_mm=feet(24), limits=limits),
        "holds",
        "fails",
    ),
    (
        "bend_part",
        "480",
        lambda limits: judge_deflection(span_mm=feet(12), deflection_mm=feet(12) / 400, stone=False, limits=limits),
        "holds",
        "fails",
    ),
    (
        "bend_stone_most_mm",
        inches("1/8"),
        lambda limits: judge_deflection(span_mm=feet(15), deflection_mm=inches("5/32"), stone=True, limits=limits),
        "holds",
        "fails",
    ),
]


@pytest.mark.parametrize(("key", "own", "judge", "before", "after"), CASES, ids=[case[0] for case in CASES])
def test_a_verdict_follows_the_shop(
    key: str, own: str | Decimal, judge: Callable[[ShopLimits], Verdict], before: str, after: str
) -> None:
    usual, set_otherwise = judge(DEFAULTS), judge(ShopLimits.of({key: Decimal(own)}))
    assert (usual.outcome, set_otherwise.outcome) == (before, after)
    assert OWN not in usual.rule.source
    assert set_otherwise.rule.source.startswith(OWN)
    assert set_otherwise.rule.id == usual.rule.id
    assert set_otherwise.text != usual.text


def test_bays_widths_and_cold_waits_follow_the_shop() -> None:
    limits = ShopLimits.of({"movement_exterior_mm": feet(8), "grout_hours": Decimal(100)})
    assert bays(length_mm=feet(24), exposure="exterior") == 2
    assert bays(length_mm=feet(24), exposure="exterior", limits=limits) == 3
    with pytest.raises(ValueError, match="apart at most"):
        least_width_mm(exposure="exterior", spacing_mm=feet(9), limits=limits)
    # Doubled for each 8 °C below 21 °C, 55.4 °F being 13 °C, now from the shop's own figure.
    cold, rule = least_wait("grout to water", temperature_f=Decimal("55.4"), limits=limits)
    assert cold.low == 200
    assert rule.source.startswith(OWN)


def test_the_sentence_names_the_shops_own_figure() -> None:
    limits = ShopLimits.of({"offset_percent": Decimal(25), "shower_slope_high_percent": Decimal(3)})
    told = judge_offset(share=Fraction(1, 3), side_mm=inches(24), limits=limits)
    assert "25 percent at most" in told.text
    assert "a third" not in told.text
    assert "2 to 3 percent" in judge_shower_slope(slope=Decimal("3.5"), limits=limits).text


@pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
def test_what_is_no_number_above_nothing_is_refused_by_name(value: str) -> None:
    with pytest.raises(ValueError, match="mortar_hours"):
        ShopLimits.of({"mortar_hours": Decimal(value)})


def test_a_least_above_its_most_and_an_unknown_limit_are_refused() -> None:
    for low, high in PAIRS:
        with pytest.raises(ValueError, match=low):
            ShopLimits.of({low: FIGURES[high].default + 1})
        least = min(FIGURES[most].default for below, most in PAIRS if below == low)
        assert ShopLimits.of({low: least}).value(low) == least
    with pytest.raises(ValueError, match="moon_hours"):
        ShopLimits.of({"moon_hours": Decimal(1)})


def test_limits_travel_as_data_and_only_what_differs() -> None:
    own = {"mortar_hours": Decimal("48.000000"), "grout_hours": Decimal("72.000000")}
    limits = ShopLimits.of(own)
    assert limits.to_json() == {"mortar_hours": "48.000000"}
    assert ShopLimits.from_json(limits.to_json()) == limits
    assert DEFAULTS.to_json() == {}
    for wrong in ({"mortar_hours": "soon"}, {"mortar_hours": "0"}, {"moon": "1"}):
        with pytest.raises(ValueError, match=r"\w"):
            ShopLimits.from_json(wrong)


def test_looser_is_what_lets_more_pass() -> None:
    lets_pass = {
        "flat_large_long_mm": ("above", inches("3/16")),
        "coverage_wet_percent": ("below", Decimal(90)),
        "shower_slope_high_percent": ("above", Decimal(6)),
        "water_depth_low_mm": ("below", inches(1)),
        "mortar_hours": ("below", Decimal(12)),
        "movement_interior_mm": ("above", feet(30)),
        "bend_part": ("below", Decimal(300)),
        "offset_joint_mm": ("below", inches("1/8")),
    }
    for key, (side, value) in lets_pass.items():
        figure = FIGURES[key]
        assert figure.looser == side
        assert figure.beside(value) == "looser"
        assert figure.beside(figure.default * 2 - value) == "stricter"
        assert (
            figure.beside(Decimal(f"{figure.default}000") if "." in f"{figure.default}" else figure.default)
            == "the same"
        )


def test_the_longest_source_fits_beside_an_entry() -> None:
    """inspections.Check.source takes 300 characters, Entry.limit_source 400."""
    for figure in FIGURES.values():
        rule = ShopLimits.of({figure.key: moved(figure).value(figure.key)}).rule(figure.key)
        assert len(f"{rule.source}, {rule.edition}") <= 300, figure.key


def test_a_specification_comes_back_from_its_data() -> None:
    for spec in SPECIFICATIONS:
        assert Specification.from_json(spec.to_json()) == spec
    bare = {name: SHOWER.to_json()[name] for name in ("place", "has_floor", "has_walls", "joint_mm")}
    sizes = {"tile_longest_edge_mm": "600.1", "tile_shortest_edge_mm": "300"}
    assert Specification.from_json(bare | sizes | {"of_a_later_edition": 1}).warp_mm == 0


def test_no_check_states_a_figure_that_the_shop_may_set() -> None:
    """Help and text stand beside a limit that may have changed. What they name is the code's or the source's, and said
    to be."""
    told = {
        check.key: f"{check.text} {check.help}" for each in phases_for(SHOWER) for check in each.checks if check.limit
    }
    assert "asked here" not in told["water_test.hours"]
    assert "the trade's practice is 24 hours" in told["water_test.hours"]
    for key, figure in (("water_test.depth", "2 in"), ("layout.first", "1/16"), ("layout.spread", "three times")):
        assert figure not in told[key]


def test_friction_weight_and_width_follow_the_shops_own_limits() -> None:
    own = ShopLimits(friction_indoors=Decimal("0.5"), wall_gypsum_kg_m2=Decimal(25), soft_wall_mm=inches("1/4"))
    assert judge_friction(walk="interior wet", friction=Decimal("0.45")).outcome == "holds"
    assert judge_friction(walk="interior wet", friction=Decimal("0.45"), limits=own).outcome == "fails"
    weight = {"tile_kg_m2": Decimal(24), "bed_kg_m2": Decimal(4)}
    assert judge_wall_weight(face="gypsum board", **weight).outcome == "holds"
    told = judge_wall_weight(face="gypsum board", limits=own, **weight)
    assert told.outcome == "fails"
    assert told.rule.source.startswith(OWN)
    assert indoor_width_mm(where="wall", grout_mm=inches("1/8"), limits=own)[0] == inches("1/4")
    looser = ShopLimits(soft_exterior_mm=inches("1/4"))
    width, rule = least_width_mm(exposure="exterior", spacing_mm=feet(8), limits=looser)
    assert width == inches("1/4")
    assert rule.source.startswith(LOOSER)
