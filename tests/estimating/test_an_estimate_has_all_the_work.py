"""Every task and every material that a room asks for has a line of its own, with how it was counted."""

import re
from decimal import Decimal
from math import pi
from pathlib import Path

import pytest
from django.utils import timezone

from estimating.actions import fill_estimate, install_example_rates, set_rate
from estimating.catalogue import BY_KEY, LABOR
from estimating.filling import PRICED, TELLS
from estimating.models import EstimateLine, Rate
from rooms.actions import choose_layout, import_room
from rooms.models import Tile
from rooms.surveys.keeping import keep_survey
from tests.layout_survey.surveys import substrate

pytestmark = pytest.mark.django_db

STONE = {"width": 300, "height": 300, "thickness": 10, "stone": True, "per_box": 10}
ROOM = {
    "format": "gaugerod-room/1",
    "name": "Bath",
    "units": "mm",
    "tile": STONE,
    "tiles": {"small": {"width": 97, "height": 97, "thickness": 8}},
    "joint": 3,
    "edge_gap": 3,
    "pattern": {"kind": "stack"},
    "surfaces": [
        {
            "id": "floor",
            "kind": "floor",
            "wet": True,
            "tile": "small",
            "outline": [[0, 0], [1500, 0], [1500, 1000], [0, 1000]],
            "openings": [{"id": "drain", "kind": "drain", "circle": [750, 500, 60]}],
        },
        {
            "id": "back",
            "kind": "wall",
            "wet": True,
            "outline": [[0, 0], [1500, 0], [1500, 2400], [0, 2400]],
            "edges": {"right": {"finish": "miter"}, "top": {"finish": "profile"}},
        },
        {"id": "lid", "kind": "ceiling", "outline": [[0, 0], [1500, 0], [1500, 1000], [0, 1000]]},
        {"id": "curb", "kind": "curb", "outline": [[0, 0], [1500, 0], [1500, 120], [0, 120]]},
        {
            "id": "bench",
            "kind": "bench",
            "pattern": {"kind": "diagonal"},
            "outline": [[0, 0], [600, 0], [600, 400], [0, 400]],
        },
    ],
}


@pytest.fixture
def lines(job, owner):
    """The lines of the room above, by key, in a shop that counts in m²."""
    from shop.models import ShopSettings

    ShopSettings.objects.update_or_create(pk=1, defaults={"units": "mm"})
    install_example_rates(by=owner)
    room = import_room(job=job, data=ROOM, place="shower", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    for tile in Tile.objects.all():
        set_rate(key="tile", tile=tile, unit="piece", cost=Decimal(4), by=owner)
    fill_estimate(job=job, by=owner)
    return layout, {line.key: line for line in EstimateLine.objects.filter(estimate__job=job)}


def test_setting_is_counted_by_what_makes_it_slow(lines):
    """Worked by hand, in m²: floor 1.5 by 1 less a circle of 60 mm (drawn with short sides); wall 1.5 by 2.4, above
    2133.6 mm 0.2664 high of it; lid 1.5 by 1; curb 1.5 by 0.12; bench 0.6 by 0.4."""
    layout, by_key = lines
    floor = 1.5 - pi * 0.06**2
    quantities = {
        "labor_set_floor": floor,
        "labor_set_wall": 1.5 * 2.4 + 1.5 * 0.12 + 0.6 * 0.4,
        "labor_set_ceiling": 1.5,
        "labor_set_small": floor,
        "labor_set_pattern": 0.24,
        "labor_set_high": 1.5 * 0.2664,
        "labor_grout": floor + 3.6 + 1.5 + 0.18 + 0.24,
        "labor_clean": floor + 3.6 + 1.5 + 0.18 + 0.24,
    }
    for key, quantity in quantities.items():
        assert float(by_key[key].quantity) == pytest.approx(quantity, abs=0.001), key
    assert "labor_set_large" not in by_key
    assert by_key["labor_cut"].quantity == layout.result["options"][0]["counts"]["cut"]


def test_what_is_paid_by_the_piece_is_counted(lines):
    _layout, by_key = lines
    counted = {"labor_curb": 1, "labor_bench": 1, "labor_hole": 1, "labor_water_test": 1, "labor_layout": 5}
    assert {key: by_key[key].quantity for key in counted} == counted
    assert by_key["labor_miter"].quantity == Decimal("2.4")
    assert "labor_niche" not in by_key


def test_labor_goes_along_with_its_material_and_every_line_says_how_it_was_got(lines):
    layout, by_key = lines
    taken = {line["key"]: Decimal(str(line["quantity"])) for line in layout.takeoff["lines"]}
    pairs = (
        ("labor_board", "board_area"),
        ("labor_waterproof", "membrane_area"),
        ("labor_soft_joints", "sealant_length"),
        ("labor_trim", "edge_trim_length"),
        ("labor_seal", "sealer_area"),
    )
    for key, line in pairs:
        assert by_key[key].quantity == taken[line] > 0, key
    bought = {"fastener": "board_fasteners", "spacer": "spacers", "sealer": "sealer_area"}
    for key, line in bought.items():
        assert by_key[key].quantity == taken[line] > 0, key
        assert by_key[key].cost > 0
    for line in by_key.values():
        assert all((line.how, line.source, line.cost)), line.key


def test_visits_and_studs_are_counted_from_phases_and_survey(lines, job, owner):
    """A shower with a floor waits for the membrane, for mortar and for grout (TRADE.md 9: 24 h each at least, by its
    (a) and (b) sources); what a day is, common practice, no source."""
    visits = lines[1]["labor_return_visit"]
    assert visits.quantity >= 3
    assert f"{int(visits.quantity)} waits of 8 hours or more" in visits.how
    room = job.rooms.get()
    data = substrate([(0, 0), (24, "1/2"), (48, 0)])
    survey = keep_survey(room=room, kind="studs", surface=None, data=data, happened_at=timezone.now(), by=owner)
    touched = survey.result["plane"]["lines_touched"]
    fill_estimate(job=job, by=owner)
    line = EstimateLine.objects.get(estimate__job=job, key="labor_true_studs")
    assert line.quantity == touched > 0


def test_what_the_shop_doesn_t_count_apart_is_left_out_and_blocks_nothing(lines, job, owner):
    EstimateLine.objects.filter(estimate__job=job).delete()
    Rate.objects.filter(key__in=["labor_cut", "labor_layout"]).delete()
    fill_estimate(job=job, by=owner)
    there = EstimateLine.objects.filter(estimate__job=job)
    assert not there.filter(key__in=["labor_cut", "labor_layout"]).exists()
    assert there.filter(key="labor_set_wall").exists()


def test_nothing_that_a_takeoff_prints_is_forgotten():
    """Every line that the engine can print is priced, or said to be in another's price."""
    source = "".join(path.read_text() for path in Path("layout").glob("*.py"))
    keys = set(re.findall(r'\bline\(\s*"(\w+)"', source))
    assert len(keys) > 15
    assert keys == set(PRICED) | TELLS
    assert {key for key in PRICED.values() if key != "tile"} <= set(BY_KEY)


def test_the_example_hours_of_setting_are_the_range_from_memory():
    """TRADE.md 13: floor thin-set 0.06-0.12, wall 0.10-0.20 man-h/sq ft, MEMORY (weak)."""
    examples = {wanted.key: wanted.inch for wanted in LABOR}
    for key, low, high in (("labor_set_floor", "0.06", "0.12"), ("labor_set_wall", "0.10", "0.20")):
        assert (examples[key].hours_low, examples[key].hours_high) == (Decimal(low), Decimal(high))
        assert examples[key].hours == (Decimal(low) + Decimal(high)) / 2


def test_a_crew_and_set_up_hours_are_in_the_line_and_in_the_days(lines, job, owner):
    from estimating.queries import estimate_page

    before = estimate_page(job).weighed.crew_days
    wall = lines[1]["labor_set_wall"]
    set_rate(
        key="labor_set_wall",
        unit="m2",
        cost=Decimal(62),
        hours=wall.rate.hours,
        setup_hours=Decimal("1.5"),
        crew=2,
        by=owner,
    )
    fill_estimate(job=job, by=owner)
    hours = wall.hours
    wall.refresh_from_db()
    assert wall.hours == hours + Decimal("1.5")
    after = estimate_page(job).weighed.crew_days
    # Before: its hours by one; now with an hour and a half more by two. Days are told in tenths, rounded up.
    assert abs((before - after) - (hours / 8 - wall.hours / 16)) <= Decimal("0.1")
