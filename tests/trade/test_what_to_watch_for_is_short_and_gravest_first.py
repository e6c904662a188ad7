"""The list for a room, and the dangers by task and age of the house."""

import itertools
from decimal import Decimal
from typing import get_args

import pytest

from trade import sources
from trade.hazards import HAZARDS, Task, hazards_of
from trade.lengths import feet, inches
from trade.rules import Place
from trade.specification import Specification
from trade.watch import MOST_SAID, Known, watch_for

ORDER = ["danger", "water", "lasting", "looks"]


def room(**changes) -> Specification:
    plain = {
        "place": "dry_floor",
        "has_floor": True,
        "has_walls": False,
        "tile_longest_edge_mm": inches(12),
        "tile_shortest_edge_mm": inches(12),
        "joint_mm": inches("1/8"),
        "year_built": 2015,
    }
    return Specification(**plain | changes)


def rules(spec: Specification, known: Known | None = None) -> list:
    return [each.rule for each in watch_for(spec, known, most=99)]


def test_a_plain_floor_has_little_to_watch_for() -> None:
    found = watch_for(room(), Known(size_spread_mm=Decimal("0.2")))
    assert [each.rule for each in found] == [sources.SILICA, sources.MOVEMENT_PERIMETER]


def test_no_room_gets_a_wall_of_text_and_the_gravest_stands_first() -> None:
    everything = Known(span_mm=feet(12), longest_run_mm=feet(30))
    for place, known in itertools.product(get_args(Place), (None, Known(), everything)):
        spec = room(
            place=place,
            has_walls=True,
            demolition=True,
            year_built=None,
            pattern_offset=Decimal("0.5"),
            tile_longest_edge_mm=inches(24),
            stone=True,
            freezes=True,
            steam="all day",
            substrate="gypsum board",
            membrane="sheet",
            retarder_behind=True,
            heated=True,
            mosaic=True,
            glass=True,
            under_water=True,
            grazing_light=True,
        )
        found = watch_for(spec, known)
        failed = [each.verdict is not None and each.verdict.outcome == "fails" for each in found]
        ranks = [
            (each.concern != "danger", not wrong, ORDER.index(each.concern))
            for each, wrong in zip(found, failed, strict=True)
        ]
        assert ranks == sorted(ranks)
        assert 1 <= len(found) <= MOST_SAID
        assert len({each.rule.id for each in found}) == len(found)
        assert all(each.text.endswith(".") and "%(" not in each.text for each in found)


def test_an_old_house_that_is_torn_out_speaks_of_asbestos_and_lead_first() -> None:
    # 40 CFR 745: before 1978. Adhesive with asbestos sold to 1997: inspectapedia.com.
    assert rules(room(demolition=True, year_built=None))[:2] == [sources.ASBESTOS, sources.LEAD]
    late = rules(room(demolition=True, year_built=1985))
    assert sources.ASBESTOS in late
    assert sources.LEAD not in late
    assert sources.ASBESTOS not in rules(room(demolition=False, year_built=1950))


def test_dangers_are_never_cut_off() -> None:
    found = watch_for(room(demolition=True, year_built=None), Known(span_mm=feet(12)), most=1)
    assert [each.rule for each in found] == [
        sources.ASBESTOS,
        sources.LEAD,
        sources.WIRING,
        sources.DEFLECTION,
        sources.SILICA,
    ]


def test_a_floor_that_bends_too_much_stands_before_every_caution() -> None:
    # A108.01, tech note GE-6: span/360; 12 ft allows 0.4 in.
    known = Known(span_mm=feet(12), deflection_mm=inches("1/2"))
    assert watch_for(room(), known)[0].rule is sources.DEFLECTION
    stiff = Known(span_mm=feet(12), deflection_mm=inches("3/8"))
    assert sources.DEFLECTION not in rules(room(), stiff)


def test_showers_speak_of_water_and_two_barriers_before_anything_else_wet() -> None:
    shower = {"place": "shower", "has_walls": True}
    found = rules(room(**shower, membrane="sheet", retarder_behind=True))
    assert found.index(sources.DOUBLE_BARRIER) < found.index(sources.WATER_TEST_PRACTICE)
    assert sources.DOUBLE_BARRIER not in rules(room(**shower, membrane="sheet"))
    assert sources.DOUBLE_BARRIER not in rules(room(**shower, membrane="liner", retarder_behind=True))
    assert sources.STEAM_CEILING in rules(room(**shower, steam="sometimes"))
    assert sources.STEAM_CEILING not in rules(room(**shower))
    # IRC R702.4.2, from memory: no gypsum where it is wet.
    assert sources.GYPSUM_DRY in rules(room(**shower, substrate="gypsum board"))
    assert sources.GYPSUM_DRY not in rules(room(place="dry_wall", has_walls=True, substrate="gypsum board"))


def test_large_tile_offset_by_half_fails_and_says_its_figures() -> None:
    # A108.02 4.3.8.2: a third at most where the side is over 15 in.
    spec = room(tile_longest_edge_mm=inches(24), pattern_offset=Decimal("0.5"))
    found = {each.rule.id: each for each in watch_for(spec, most=99)}
    assert "50 percent" in found[sources.OFFSET_LIMIT.id].text
    assert "bow" in found[sources.LIPPAGE_FORECAST.id].text
    assert sources.FLATNESS_LARGE.id in found
    assert sources.OFFSET_LIMIT not in rules(room(pattern_offset=Decimal("0.5")))


def test_a_long_floor_wants_soft_joints_sooner_in_the_sun() -> None:
    # EJ171: 25 ft indoors, 12 ft in sun.
    run = Known(longest_run_mm=feet(20))
    assert sources.MOVEMENT_JOINTS not in rules(room(), run)
    assert sources.MOVEMENT_JOINTS in rules(room(sun=True), run)
    assert sources.MOVEMENT_JOINTS in rules(room(place="exterior"), run)


@pytest.mark.parametrize(
    ("so", "rule"),
    [
        ({"freezes": True}, sources.FROST),
        ({"heated": True}, sources.HEATED_READINGS),
        ({"heated": True}, sources.WIRING),
        ({"tile_longest_edge_mm": Decimal(1000), "tile_shortest_edge_mm": Decimal(1000)}, sources.PANELS),
        ({"mosaic": True}, sources.MOSAIC),
        ({"glass": True}, sources.MORTAR_WHITE),
        ({"under_water": True}, sources.UNDER_WATER),
        ({"grazing_light": True}, sources.CRITICAL_LIGHT),
    ],
)
def test_each_condition_brings_its_own_and_no_other_room_does(so: dict, rule) -> None:
    assert rule in rules(room(**so))
    assert rule not in rules(room())


def test_a_slippery_floor_is_a_danger_and_a_dry_one_is_not_asked() -> None:
    # ANSI A326.3-2021: interior wet 0.42, interior wet plus 0.50, as reported in discus.4specs.com.
    assert watch_for(room(place="shower"), Known(friction=Decimal("0.45")))[0].rule.id == sources.SLIP_DECLARED.id
    assert sources.SLIP_DECLARED not in rules(room(place="shower"), Known(friction=Decimal("0.50")))
    assert sources.SLIP_WET in rules(room(place="wet_floor"))
    assert sources.SLIP_WET not in rules(room())
    assert sources.SLIP_WET in rules(room(), Known(friction=Decimal("0.3")))


def test_tile_too_heavy_for_its_wall_is_a_danger() -> None:
    # BS 5385-1, as tabled by a seller's page: 32 kg/m² on gypsum board, mortar and grout included.
    wall = room(place="dry_wall", has_floor=False, has_walls=True, substrate="gypsum board")
    heavy = Known(tile_kg_m2=Decimal(27), bed_kg_m2=Decimal(6))
    assert watch_for(wall, heavy)[0].rule is sources.WALL_WEIGHT
    assert sources.WALL_WEIGHT not in rules(wall, Known(tile_kg_m2=Decimal(26), bed_kg_m2=Decimal(6)))


def test_tile_that_differs_by_more_than_one_caliber_is_shown_to_the_supplier() -> None:
    # tcna.thenextwave.biz: within 0.25 percent or 0.03 in of the average, so 24 in tile differs by 0.06 in at most.
    rectified = {"rectified": True, "tile_longest_edge_mm": inches(24), "joint_mm": inches("3/16")}
    assert sources.CALIBER in rules(room(**rectified), Known(size_spread_mm=Decimal("1.53")))
    assert sources.CALIBER not in rules(room(**rectified), Known(size_spread_mm=Decimal("1.52")))


def test_a_shower_too_small_for_the_code_is_said_and_one_that_is_large_enough_isnt() -> None:
    # UPC 408.7: 1024 sq in and a circle of 30 in.
    shower = room(place="shower", has_walls=True)
    small = Known(stall_sq_in=Decimal(1020), stall_circle_mm=inches(30))
    assert sources.STALL_SIZE in rules(shower, small)
    assert sources.STALL_SIZE not in rules(shower, Known(stall_sq_in=Decimal(1080), stall_circle_mm=inches(30)))
    assert sources.STALL_SIZE not in rules(room(), small)


def test_an_outside_wall_has_the_retarder_its_climate_asks_for_and_no_other() -> None:
    # IRC R702.7 as told in legalclarity.org: class I and II not on the room's side in zones 1 and 2.
    warm = room(place="shower", has_walls=True, climate_zone="2", retarder_behind=True)
    assert sources.RETARDER_ZONES in rules(warm, Known(retarder_perms=Decimal("0.06")))
    assert sources.RETARDER_ZONES not in rules(room(place="shower", has_walls=True, retarder_behind=True))


def test_a_box_too_heavy_for_one_back_is_a_danger() -> None:
    # Revised NIOSH lifting equation, ccohs.ca: 25.43 lb off a low stack.
    assert sources.LIFTING in rules(room(), Known(box_kg=Decimal(16)))
    assert sources.LIFTING not in rules(room(), Known(box_kg=Decimal(11)))


def test_cold_is_said_before_tile_is_set_in_it() -> None:
    # tileletter.com 2017-01: 50 °F at least.
    cold = {each.rule: each for each in watch_for(room(coldest_f=Decimal(49)), most=99)}
    assert cold[sources.SETTING_TEMPERATURE].verdict.outcome == "fails"
    assert sources.SETTING_TEMPERATURE not in rules(room())


def test_hazards_follow_task_and_age() -> None:
    old = hazards_of("demolition", year_built=None)
    assert old[:2] == (sources.ASBESTOS, sources.LEAD)
    assert sources.LEAD not in hazards_of("demolition", year_built=1978)
    assert sources.LEAD in hazards_of("demolition", year_built=1977)
    assert sources.ASBESTOS not in hazards_of("demolition", year_built=1998)
    assert sources.ASBESTOS not in hazards_of("setting", year_built=1950)
    # 29 CFR 1926.1153 Table 1, dir.ca.gov/title8/1532_3.html.
    assert hazards_of("cutting on a wet saw", year_built=2020)[1] is sources.SILICA_WET_SAW
    assert sources.SILICA_HAND_SAW in hazards_of("cutting by hand", year_built=2020)


def test_every_task_has_a_hazard_and_no_rule_is_said_twice() -> None:
    for task in get_args(Task):
        assert hazards_of(task, year_built=2020)
    everything = hazards_of(*get_args(Task), year_built=None)
    assert len(everything) == len(set(everything)) == len(HAZARDS)
    with pytest.raises(ValueError, match="no such task"):
        hazards_of("juggling", year_built=None)  # type: ignore[arg-type]
