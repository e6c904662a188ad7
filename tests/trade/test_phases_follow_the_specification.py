"""Which phases and checks a room gets, and that the catalogue as a whole is sound."""

from dataclasses import replace
from decimal import Decimal
from itertools import product
from typing import get_args

import pytest

from trade import sources
from trade.lengths import inches, parse_length
from trade.limits import Limit
from trade.phases import MOST_CHECKS, PHASE_KINDS, Check, Kind, Phase, phases_for
from trade.rules import Place
from trade.specification import Specification

SHOWER = Specification(
    place="shower",
    has_floor=True,
    has_walls=True,
    tile_longest_edge_mm=parse_length("23 5/8"),
    tile_shortest_edge_mm=parse_length("11 13/16"),
    joint_mm=inches("5/32"),
    pattern_offset=Decimal("0.3333"),
    rectified=True,
    demolition=True,
    year_built=1962,
)
DRY_FLOOR = replace(SHOWER, place="dry_floor", has_walls=False, demolition=False)
ORDER = [
    "demolition",
    "rough_in",
    "substrate",
    "slope",
    "waterproofing",
    "water_test",
    "heated_floor",
    "layout",
    "setting",
    "grout",
    "soft_joints",
]


def every_specification() -> list[Specification]:
    found = []
    for place, floor, walls, large, demolition, stone in product(get_args(Place), *[(True, False)] * 5):
        edge = inches(24 if large else 4)
        try:
            found.append(
                Specification(
                    place=place,
                    has_floor=floor,
                    has_walls=walls,
                    tile_longest_edge_mm=edge,
                    tile_shortest_edge_mm=edge,
                    joint_mm=inches("1/8"),
                    pattern_offset=Decimal("0.5") if demolition else Decimal(0),
                    stone=stone,
                    demolition=demolition,
                )
            )
        except ValueError:
            continue
    assert len(found) > 80
    return found


def with_everything(spec: Specification) -> Specification:
    """The same room with all that brings checks of its own."""
    return replace(
        spec,
        has_ceiling=True,
        curb=True,
        flats=True,
        mosaic=True,
        heated=True,
        steam="all day",
        permit=True,
        rapid_mortar=True,
        epoxy_grout=True,
        coldest_f=Decimal(50),
    )


PANELS = replace(SHOWER, tile_longest_edge_mm=Decimal(1200), tile_shortest_edge_mm=Decimal(900), flats=True)
EVERY = every_specification()
EVERY += [with_everything(spec) for spec in [*EVERY, PANELS]]


def keys(spec: Specification) -> list[str]:
    return [phase.key for phase in phases_for(spec)]


def phase(spec: Specification, key: str) -> Phase:
    return next(each for each in phases_for(spec) if each.key == key)


def check(spec: Specification, key: str) -> Check:
    return next(each for phase in phases_for(spec) for each in phase.checks if each.key == key)


def check_keys(spec: Specification) -> list[str]:
    return [each.key for phase in phases_for(spec) for each in phase.checks]


def test_a_shower_goes_through_every_phase_in_order() -> None:
    assert keys(SHOWER) == [key for key in ORDER if key != "heated_floor"]
    assert keys(replace(SHOWER, heated=True)) == ORDER


def test_a_dry_floor_has_no_plumbing_slope_or_waterproofing() -> None:
    assert keys(DRY_FLOOR) == ["substrate", "layout", "setting", "grout", "soft_joints"]


def test_a_tub_surround_is_waterproofed_but_never_flooded() -> None:
    tub = replace(SHOWER, place="tub_surround", has_floor=False)
    assert "waterproofing" in keys(tub)
    assert not {"slope", "water_test"} & set(keys(tub))
    assert {"waterproofing.flange", "soft_joints.tub"} <= set(check_keys(tub))


def test_walls_of_a_shower_alone_are_neither_sloped_nor_flooded() -> None:
    walls = replace(SHOWER, has_floor=False)
    assert not {"slope", "water_test"} & set(keys(walls))
    assert "waterproofing.liner" not in check_keys(walls)


def test_a_wet_floor_and_an_exterior_one_are_sloped() -> None:
    assert {"slope", "waterproofing", "water_test"} <= set(keys(replace(DRY_FLOOR, place="wet_floor")))
    outdoors = replace(DRY_FLOOR, place="exterior")
    assert "slope" in keys(outdoors)
    assert "substrate.exterior" in check_keys(outdoors)
    assert check(outdoors, "slope.fall").limit == Limit(compare="at least", low=Decimal(2), count=2)


def test_demolition_only_where_something_is_torn_out() -> None:
    assert "demolition" not in keys(replace(SHOWER, demolition=False))


@pytest.mark.parametrize(
    ("year", "asked"),
    [
        # 40 CFR 745 subpart E (1978); inspectapedia.com on adhesive (sold to 1997).
        (None, {"demolition.lead", "demolition.asbestos"}),
        (1977, {"demolition.lead", "demolition.asbestos"}),
        (1978, {"demolition.asbestos"}),
        (1998, set()),
    ],
)
def test_the_year_built_brings_lead_and_asbestos(year, asked: set[str]) -> None:
    found = set(check_keys(replace(SHOWER, year_built=year)))
    assert found & {"demolition.lead", "demolition.asbestos"} == asked


def test_a_24_in_tile_gets_an_eighth_in_ten_feet_and_a_4_in_tile_a_quarter() -> None:
    # ANSI A108.02 4.2.2 as quoted in floortrendsmag.com/articles/112509.
    large = check(SHOWER, "substrate.plane")
    assert (large.limit, large.unit) == (Limit(compare="at most", high=inches("1/8")), "mm")
    assert large.rule is sources.FLATNESS_LARGE
    small = check(replace(SHOWER, tile_longest_edge_mm=inches(4), tile_shortest_edge_mm=inches(4)), "substrate.plane")
    assert small.limit == Limit(compare="at most", high=inches("1/4"))
    assert small.rule is sources.FLATNESS_SMALL


def test_the_short_straightedge_is_the_one_of_the_rule() -> None:
    small = replace(SHOWER, tile_longest_edge_mm=inches(4), tile_shortest_edge_mm=inches(4))
    assert "2 ft" in check(SHOWER, "substrate.short_plane").text
    assert "1 ft" in check(small, "substrate.short_plane_small_tile").text
    assert "substrate.short_plane" not in check_keys(small)


@pytest.mark.parametrize(
    ("place", "stone", "least"),
    [
        # ANSI A108.5 3.3.2 and TCNA as reported in ceramictilefoundation.org/blog/insufficient-mortar.
        ("shower", False, 95),
        ("exterior", False, 95),
        ("wet_floor", False, 95),
        ("dry_floor", False, 80),
        ("dry_wall", False, 80),
        ("dry_floor", True, 95),
    ],
)
def test_coverage_asked_depends_on_place_and_stone(place, stone: bool, least: int) -> None:
    spec = replace(SHOWER, place=place, stone=stone)
    assert check(spec, "setting.coverage").limit == Limit(compare="at least", low=Decimal(least), over="mean", count=3)


def test_lippage_asked_depends_on_joint_and_warp() -> None:
    # tileletter.com/2016/02/7950/, A108.02-2013 4.3.7.
    assert check(replace(SHOWER, warp_mm=inches("1/32")), "setting.lippage").limit == Limit(
        compare="at most", high=inches("1/16")
    )
    assert check(SHOWER, "setting.lippage").limit == Limit(compare="at most", high=inches("1/32"))


def test_tile_that_varies_by_a_third_of_the_joint_is_the_most_that_passes() -> None:
    # tileletter.com/what-is-minimum-grout-joint/: variation 1/16 in, joint 3/16 in.
    limit = check(replace(SHOWER, joint_mm=inches("3/16")), "layout.spread").limit
    assert limit is not None
    assert limit.high is not None
    assert abs(limit.high - inches("1/16")) < Decimal("0.001")


def test_bow_is_read_only_where_courses_of_large_tile_are_offset() -> None:
    # ctasc.com, grout head joint widths: joint 5/32 in allows a bow of 1/32 in in rectified tile.
    assert check(SHOWER, "layout.bow").limit == Limit(compare="at most", high=inches("1/32"))
    assert "layout.bow" not in check_keys(replace(SHOWER, pattern_offset=Decimal(0)))
    assert "layout.bow" not in check_keys(replace(SHOWER, tile_longest_edge_mm=inches(15)))
    # Not rectified: 3/16 in are gone before any bow, so none is left, not less than none.
    assert check(replace(SHOWER, rectified=False), "layout.bow").limit == Limit(compare="at most", high=Decimal(0))


def test_the_water_test_asks_24_hours_at_2_to_4_inches() -> None:
    assert check(SHOWER, "water_test.hours").limit == Limit(compare="at least", low=Decimal(24))
    assert check(SHOWER, "water_test.depth").limit == Limit(compare="between", low=inches(2), high=inches(4))
    assert check(SHOWER, "water_test.cured").limit == Limit(compare="at least", low=Decimal(24))


@pytest.mark.parametrize("spec", EVERY, ids=lambda spec: f"{spec.place}-{spec.has_floor}-{spec.has_walls}")
def test_no_room_asks_too_much_or_nothing_of_a_phase(spec: Specification) -> None:
    found = phases_for(spec)
    for each in found:
        assert 3 <= len(each.checks) <= MOST_CHECKS == 12
        assert any(check.required for check in each.checks)
    assert [each.key for each in found] == [key for key in ORDER if key in keys(spec)]
    assert {"substrate", "layout", "setting", "grout", "soft_joints"} <= set(keys(spec))
    assert len(set(check_keys(spec))) == len(check_keys(spec))


@pytest.mark.parametrize("spec", EVERY, ids=lambda spec: f"{spec.place}-{spec.has_floor}-{spec.has_walls}")
def test_every_check_says_what_when_it_fails_and_by_which_rule(spec: Specification) -> None:
    for each in phases_for(spec):
        for found in each.checks:
            assert found.key.startswith(f"{each.key}.")
            assert found.kind in get_args(Kind)
            assert found.text
            assert found.help.endswith(".")
            assert found.rule.source
            measured = found.kind in ("reading", "readings", "coverage", "wait", "ohms")
            assert (found.limit is not None) == (found.unit is not None) == measured, found.key
            if found.limit is not None:
                assert Limit.from_json(found.limit.to_json()) == found.limit


def test_keys_are_unique_over_the_whole_catalogue() -> None:
    phases = [kind.key for kind in PHASE_KINDS]
    checks = [check.key for kind in PHASE_KINDS for check in kind.checks]
    assert phases == ORDER
    assert len(set(checks)) == len(checks)


def test_every_check_of_the_catalogue_reaches_some_room() -> None:
    reached = {key for spec in [*EVERY, SHOWER] for key in check_keys(spec)}
    assert {check.key for kind in PHASE_KINDS for check in kind.checks} == reached


@pytest.mark.parametrize(
    ("change", "names"),
    [
        ({"place": "attic"}, "place"),
        ({"has_floor": False, "has_walls": False}, "has_floor"),
        ({"place": "dry_wall", "has_walls": False}, "has_walls"),
        ({"place": "wet_floor", "has_floor": False}, "has_floor"),
        ({"tile_shortest_edge_mm": inches(30)}, "tile_shortest_edge_mm"),
        ({"tile_longest_edge_mm": Decimal("NaN")}, "tile_longest_edge_mm"),
        ({"joint_mm": Decimal(0)}, "joint_mm"),
        ({"warp_mm": Decimal(-1)}, "warp_mm"),
        ({"pattern_offset": Decimal(1)}, "pattern_offset"),
    ],
)
def test_a_specification_of_no_room_is_refused_by_name(change, names: str) -> None:
    with pytest.raises(ValueError, match=names):
        replace(SHOWER, **change)


def test_the_dangerous_phases_defer_to_those_who_are_licensed() -> None:
    asked = {
        "demolition.power": ("licensed electrician", "plumber"),
        "demolition.asbestos": ("licensed inspector",),
        "demolition.lead": ("certified renovator",),
        "demolition.structure": ("licensed design professional",),
        "rough_in.valve": ("licensed plumber",),
        "rough_in.boxes": ("licensed electrician",),
        "substrate.stiff": ("licensed design professional",),
        "setting.saw": ("GFCI", "silica"),
    }
    for key, words in asked.items():
        found = check(SHOWER, key)
        assert all(word in f"{found.text} {found.help}" for word in words), key


def test_a_shower_and_a_dry_floor_ask_exactly_this() -> None:
    asked = {each.key: [check.key.split(".")[1] for check in each.checks] for each in phases_for(SHOWER)}
    assert asked == {
        "demolition": ["power", "asbestos", "lead", "dust", "structure", "found"],
        "rough_in": ["valve", "drain", "boxes", "openings", "plates", "blocking", "floor"],
        "substrate": ["plane", "short_plane", "plumb", "lumber", "board", "stiff", "drop", "cracks", "leveler"],
        "slope": ["preslope", "fall", "run", "rim", "weeps"],
        "waterproofing": ["laps", "pipes", "film", "flats", "liner", "fasteners", "height", "height_over_drain"],
        "water_test": ["cured", "depth", "mark", "hours", "mark_end", "level", "below", "spray"],
        "layout": ["approved", "lots", "spread", "bow", "lines", "first", "cuts"],
        "setting": ["saw", "batch", "coverage", "bed", "lippage", "gaps", "joints"],
        "grout": ["set", "clean", "water", "batch", "soft"],
        "soft_joints": ["planes", "field", "shape", "photo", "sealer", "use"],
    }
    dry = {each.key: [check.key.split(".")[1] for check in each.checks] for each in phases_for(DRY_FLOOR)}
    assert dry == {
        "substrate": ["plane", "short_plane", "stiff", "drop", "cracks", "leveler", "heights"],
        "layout": asked["layout"],
        "setting": asked["setting"],
        "grout": asked["grout"],
        "soft_joints": ["planes", "field", "shape", "photo", "sealer", "feet", "loads"],
    }


def test_only_what_may_have_no_object_is_optional() -> None:
    optional = {each.key for kind in PHASE_KINDS for each in kind.checks if not each.required}
    assert optional == {
        "substrate.drop",
        "substrate.cracks",
        "substrate.leveler",
        "substrate.lumber",
        "slope.rim",
        "slope.weeps",
        "waterproofing.film",
        "waterproofing.height_over_drain",
        "setting.batch",
        "setting.bed",
        "soft_joints.sealer",
        "soft_joints.feet",
        "soft_joints.loads",
    }


def test_heights_and_slope_of_a_shower_are_those_of_their_sources() -> None:
    # UPC 408.7 (revisor.mn.gov/rules/4714.0408): 3 in. IRC R307.2 (askcodeman.com): 6 ft. IRC P2709.1: 2 to 4 percent
    # as printed, 1/2 in per ft being 4.17. At least two corners, and 1/16 in at the first course: common practice, no
    # source.
    assert check(SHOWER, "waterproofing.liner").limit == Limit(compare="at least", low=Decimal("76.2"))
    assert check(SHOWER, "waterproofing.height").limit == Limit(compare="at least", low=Decimal("1828.8"))
    slope = Limit(compare="between", low=Decimal(2), high=Decimal("4.17"), count=2)
    assert check(SHOWER, "slope.fall").limit == slope
    assert check(SHOWER, "layout.first").limit == Limit(compare="at most", high=Decimal("1.5875"))
    assert check(SHOWER, "soft_joints.use").limit == Limit(compare="at least", low=Decimal(72))


def hours(spec: Specification, key: str) -> Decimal | None:
    limit = check(spec, key).limit
    assert limit is not None
    return limit.low


def test_waits_follow_product_tile_and_cold() -> None:
    # engineerfix.com, how long to wait to grout tile: 24 h, to 72 h for large tile and stone, 2-8 h after rapid mortar;
    # epoxy grout to water about 24 h. ASTM D5957: 48 h below 50 °F. A membrane at 50 °F takes its 24 h.
    small = replace(SHOWER, tile_longest_edge_mm=inches(4), tile_shortest_edge_mm=inches(4))
    assert hours(SHOWER, "grout.set") == 72
    assert hours(small, "grout.set") == 24
    assert hours(replace(SHOWER, rapid_mortar=True), "grout.set") == 8
    assert hours(replace(SHOWER, epoxy_grout=True), "soft_joints.use") == 24
    assert hours(replace(SHOWER, coldest_f=Decimal(45)), "water_test.cured") == 48
    assert hours(replace(SHOWER, coldest_f=Decimal(50)), "water_test.cured") == 24
    # A reseller's page, doubled for each 8 °C below 21: 24 h at 50 °F are 62.2 h.
    assert hours(replace(small, coldest_f=Decimal(50)), "grout.set") == Decimal("62.2")
    # engineerfix.com: leveling compound to tile 12-24 h, rapid 4-6 h.
    assert hours(SHOWER, "substrate.leveler") == 24
    assert hours(replace(SHOWER, rapid_leveler=True), "substrate.leveler") == 6


def test_a_curb_is_measured_and_an_accessible_one_is_low() -> None:
    # IRC P2709.1 (thebuildingcodeforum.com): 2 to 9 in above the drain, 1 in below the pan. corada.com, 4.21.7: 1/2 in.
    curb = replace(SHOWER, curb=True)
    assert check(curb, "waterproofing.curb").limit == Limit(compare="between", low=inches(2), high=inches(9))
    assert check(curb, "waterproofing.curb_below_pan").limit == Limit(compare="at least", low=inches(1))
    low = replace(curb, accessible=True)
    assert check(low, "waterproofing.curb").limit == Limit(compare="at most", high=inches("1/2"))
    assert "waterproofing.curb_below_pan" not in check_keys(low)
    assert not {"waterproofing.curb", "waterproofing.curb_below_pan"} & set(check_keys(SHOWER))


def test_niche_and_bench_are_read_where_they_are_known() -> None:
    # tileletter.com, ask the experts: 1/4 to 1/2 in per 12 in, 2.08 to 4.17 percent.
    found = check(replace(SHOWER, flats=True), "waterproofing.sills").limit
    assert found == Limit(compare="between", low=Decimal("2.08"), high=Decimal("4.17"))
    assert "waterproofing.flats" not in check_keys(replace(SHOWER, flats=True))


def test_steam_asks_for_a_ceiling_that_sheds_its_drops() -> None:
    # tileletter.com, ceiling slope in a steam shower: 2 in per ft, 16.67 percent: what is read as 16.66 holds.
    steam = replace(SHOWER, steam="sometimes", has_ceiling=True)
    assert check(steam, "waterproofing.steam_ceiling").limit == Limit(compare="at least", low=Decimal("16.66"))
    assert "waterproofing.steam_ceiling" not in check_keys(replace(SHOWER, has_ceiling=True))


def test_a_heated_floor_is_read_five_times_against_its_tag() -> None:
    # Four times: common practice, no source; 10 percent of the tag: from memory. Once more before grout, while joints
    # are open.
    heated = replace(SHOWER, heated=True)
    found = [each for phase in phases_for(heated) for each in phase.checks if each.kind == "ohms"]
    assert [each.key.split(".")[1] for each in found] == ["box", "laid", "embedded", "cable", "cable"]
    assert all(each.limit == Limit(compare="at most", high=Decimal(10)) for each in found)
    assert "licensed electrician" in check(heated, "heated_floor.electrician").text


def test_a_permit_brings_the_inspector_before_work_is_covered() -> None:
    permit = replace(SHOWER, permit=True)
    assert [each for each in check_keys(permit) if each.endswith(".inspection")] == [
        "rough_in.inspection",
        "water_test.inspection",
    ]


def test_mortar_is_neither_too_thin_nor_too_thick() -> None:
    # A108.5 2.2.2 (tile-magazine.com/articles/91948): 3/32 in; mmsausa.com/bulletin/18: 1/4 in, large tile 1/2 in.
    small = replace(SHOWER, tile_longest_edge_mm=inches(4), tile_shortest_edge_mm=inches(4))
    assert check(small, "setting.bed").limit == Limit(compare="between", low=inches("3/32"), high=inches("1/4"))
    assert check(SHOWER, "setting.bed").limit == Limit(compare="between", low=inches("3/32"), high=inches("1/2"))


def test_large_tile_in_a_stack_is_held_against_its_own_standard() -> None:
    # tcnatile.com/164/: 24 in gives 0.096 in, capped to 0.05 in.
    stack = replace(SHOWER, tile_longest_edge_mm=inches(24), pattern_offset=Decimal(0))
    assert check(stack, "layout.bow_by_standard").limit == Limit(compare="at most", high=Decimal("1.270"))
    assert "layout.bow_by_standard" not in check_keys(SHOWER)


def test_a_specification_of_an_earlier_edition_is_read_back_with_defaults() -> None:
    kept = with_everything(SHOWER).to_json()
    assert Specification.from_json(kept) == with_everything(SHOWER)
    for later in ("heated", "coldest_f", "substrate"):
        del kept[later]
    assert Specification.from_json(kept) == replace(with_everything(SHOWER), heated=False, coldest_f=None)


@pytest.mark.parametrize(
    ("change", "names"),
    [
        ({"substrate": "straw"}, "substrate"),
        ({"membrane": "hope"}, "membrane"),
        ({"steam": "often"}, "steam"),
        ({"absorption_percent": Decimal(101)}, "absorption_percent"),
    ],
)
def test_what_nobody_can_build_is_refused_by_name(change, names: str) -> None:
    with pytest.raises(ValueError, match=names):
        replace(SHOWER, **change)


def test_lumber_and_a_tubs_flange_are_measured() -> None:
    # A108.11 4.1 (tileletter.com, ask the experts): 19 percent. constructionspecifier.com: a flange of 1 in.
    lumber = check(SHOWER, "substrate.lumber")
    assert (lumber.limit, lumber.unit) == (Limit(compare="at most", high=Decimal(19)), "share")
    tub = replace(SHOWER, place="tub_surround", has_floor=False)
    assert check(tub, "waterproofing.flange_height").limit == Limit(compare="at least", low=inches(1))
