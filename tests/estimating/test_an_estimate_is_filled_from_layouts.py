from decimal import Decimal
from math import ceil

import pytest

from estimating.actions import (
    CannotChange,
    CannotPropose,
    add_line,
    change_line,
    fill_estimate,
    make_proposal,
    remove_line,
    set_rate,
)
from estimating.actions.estimates import restore_line
from estimating.models import EstimateLine
from estimating.pricing import add_up
from estimating.queries import estimate_page, obstacles_of
from rooms.actions import choose_layout, import_room

pytestmark = pytest.mark.django_db


def line_of(estimate, key):
    return EstimateLine.objects.get(estimate=estimate, key=key)


# ---------------------------------------------------------------- grout, by the table

# TRADE.md 7, check table, exact column: kg/m² at 1.6 kg/L without waste, computed there.
GROUT = [
    # tile mm, depth, joint, kg/m²
    ((100, 100), 6, 3, "0.5511"),
    ((300, 300), 10, 10, "1.0156"),
    ((300, 600), 10, 3, "0.2372"),
]


@pytest.mark.parametrize(("tile", "depth", "joint", "table"), GROUT)
def test_grout_of_a_floor_is_the_exact_column_of_the_table(job, owner, rates, tile, depth, joint, table):
    """From a room file through layout, takeoff and rate to the line: the table's figure is in it.

    The field holds whole tiles only, so it lacks one joint in each direction of what the table counts; the takeoff
    adds 10 percent (TRADE.md 7: "add 10-15 %") and rounds up to 0.1 kg. The table is printed to 0.0001.
    """
    across, up = 6000 // (tile[0] + joint), 4000 // (tile[1] + joint)
    width, height = across * (tile[0] + joint) - joint, up * (tile[1] + joint) - joint
    data = {
        "format": "gaugerod-room/1",
        "name": "Floor",
        "units": "mm",
        "tile": {"width": tile[0], "height": tile[1], "thickness": depth},
        "joint": joint,
        "edge_gap": 0,
        "pattern": {"kind": "stack"},
        "surfaces": [{"id": "floor", "kind": "floor", "outline": [[0, 0], [width, 0], [width, height], [0, height]]}],
    }
    room = import_room(job=job, data=data, place="dry_floor", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    assert layout.result["options"][0]["counts"] == {"whole": across * up, "cut": 0, "pieces": across * up}
    set_rate(key="grout", unit="kg", cost=Decimal("18.00"), package=Decimal(5), by=owner)

    line = line_of(fill_estimate(job=job, by=owner).estimate, "grout")

    table_area = Decimal(across * up * (tile[0] + joint) * (tile[1] + joint)) / 10**6
    edge_area = Decimal((width + height) * joint + joint**2) / 10**6
    density = Decimal("1.6")
    by_table = Decimal(table) * table_area - edge_area * depth * density
    off = Decimal("0.00005") * table_area
    assert (by_table - off) * Decimal("1.1") <= line.quantity < (by_table + off) * Decimal("1.1") + Decimal("0.1")
    assert line.packages == ceil(line.quantity / 5)
    assert line.cost == line.packages * Decimal("18.00")


# ---------------------------------------------------------------- other quantities


def test_areas_and_niches_are_those_of_the_room(estimate):
    """36 + 60 + 36 in by 96 in less a niche of 12 by 24 in: 88 sq ft less 2 sq ft."""
    assert line_of(estimate, "labor_set_wall").quantity == Decimal("86.000")
    assert line_of(estimate, "labor_substrate").quantity == Decimal("86.000")
    assert line_of(estimate, "labor_niche").quantity == 1
    assert not EstimateLine.objects.filter(estimate=estimate, key__in=["labor_set_floor", "labor_demolition"]).exists()


def test_tile_is_bought_in_whole_boxes(estimate, laid_out, room):
    line = line_of(estimate, "tile")
    order = room.layouts.get().result["options"][0]["tiles"]["order"]
    assert line.quantity == order
    assert line.packages == ceil(order / 8)
    assert line.cost == line.packages * Decimal("48.00")


def test_lines_add_up_to_the_totals_of_the_page(estimate, laid_out):
    page = estimate_page(laid_out)
    lines = [line for group in page.groups for line in group.lines]
    assert page.totals == add_up(
        lines=[(line.kind, line.cost, line.hours) for line in lines],
        markup_percent=estimate.markup_percent,
        tax_percent=estimate.tax_percent,
    )
    assert page.totals.cost == sum(group.cost for group in page.groups) > 0


def test_every_line_says_how_it_was_got(estimate):
    for line in EstimateLine.objects.filter(estimate=estimate):
        assert line.how, line.key
        assert line.source, line.key


def test_demolition_is_priced_where_something_comes_out(job, room, owner, rates):
    room.demolition = True
    room.save()
    choose_layout(room=room, option=1, why="", by=owner)
    assert line_of(fill_estimate(job=job, by=owner).estimate, "labor_demolition").quantity == Decimal("86.000")


# ---------------------------------------------------------------- what is missing


def test_a_line_without_rate_says_so_and_blocks_the_proposal(laid_out, owner, room):
    from estimating.actions import install_example_rates

    install_example_rates(by=owner)
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    line = line_of(estimate, "tile")
    assert line.lacks_rate
    assert line.cost == 0
    (obstacle,) = obstacles_of(laid_out)
    assert room.tile.name in obstacle.text
    assert obstacle.url == f"/rates/tile/{room.tile_id}/"
    with pytest.raises(CannotPropose, match="has no rate"):
        make_proposal(job=laid_out, by=owner)


def test_the_rate_set_later_is_taken_by_the_next_fill(laid_out, owner, room):
    from estimating.actions import install_example_rates

    install_example_rates(by=owner)
    estimate = fill_estimate(job=laid_out, by=owner).estimate
    set_rate(key="tile", tile=room.tile, unit="piece", cost=Decimal("6.00"), by=owner)
    changes = fill_estimate(job=laid_out, by=owner).changes
    assert [change for change in changes if "another price" in change]
    line = line_of(estimate, "tile")
    assert line.cost == line.quantity * 6
    assert obstacles_of(laid_out) == []


def test_nothing_is_filled_without_a_layout(job, room, owner):
    with pytest.raises(CannotChange, match="layout"):
        fill_estimate(job=job, by=owner)


def test_another_layout_asks_for_another_fill(estimate, laid_out, room, owner):
    choose_layout(room=room, option=1, why="on second thought", by=owner)
    (obstacle,) = obstacles_of(laid_out)
    assert "Another layout" in obstacle.text
    fill_estimate(job=laid_out, by=owner)
    assert obstacles_of(laid_out) == []


# ---------------------------------------------------------------- by hand


def test_filling_twice_changes_nothing(estimate, laid_out, owner):
    before = list(EstimateLine.objects.filter(estimate=estimate).values())
    assert fill_estimate(job=laid_out, by=owner).changes == []
    assert list(EstimateLine.objects.filter(estimate=estimate).values()) == before


def test_a_refill_keeps_what_was_put_in_by_hand_and_says_what_changed(estimate, laid_out, owner):
    grout = line_of(estimate, "grout")
    change_line(line=grout, quantity=Decimal(20), reason="two colors", by=owner)
    set_rate(key="grout", unit="lb", cost=Decimal("33.00"), package=Decimal(10), by=owner)
    set_rate(key="mortar", unit="lb", cost=Decimal("31.00"), package=Decimal(50), by=owner)
    changes = fill_estimate(job=laid_out, by=owner).changes
    grout.refresh_from_db()
    assert (grout.quantity, grout.packages, grout.cost) == (20, 2, Decimal("39.00"))
    assert grout.computed_cost == Decimal("33.00")
    assert any(change.startswith("Shower, Grout") and "Your own figure stays" in change for change in changes)
    assert any(change.startswith("Shower, Thin-set mortar") for change in changes)
    assert len(changes) == 2


def test_a_computed_figure_is_changed_only_with_a_reason(estimate, owner):
    with pytest.raises(CannotChange, match="why"):
        change_line(line=line_of(estimate, "grout"), quantity=Decimal(20), reason="  ", by=owner)


def test_a_cost_by_hand_goes_before_quantity_and_rate(estimate, owner):
    line = change_line(
        line=line_of(estimate, "grout"), quantity=Decimal(20), cost=Decimal("12.34"), reason="left over", by=owner
    )
    assert (line.quantity, line.cost) == (20, Decimal("12.34"))


def test_what_was_computed_comes_back(estimate, owner):
    line = line_of(estimate, "grout")
    was = (line.quantity, line.packages, line.cost)
    change_line(line=line, quantity=Decimal(20), reason="two colors", by=owner)
    line = restore_line(line=line, by=owner)
    assert (line.quantity, line.packages, line.cost, line.override_reason) == (*was, "")


def test_a_rate_by_another_unit_is_told_beside_the_figure_by_hand_in_its_own(estimate, laid_out, owner):
    grout = line_of(estimate, "grout")
    pounds = grout.quantity
    change_line(line=grout, quantity=Decimal(20), reason="two colors", by=owner)
    set_rate(key="grout", unit="kg", cost=Decimal("18.00"), package=Decimal(5), by=owner)
    fill_estimate(job=laid_out, by=owner)
    grout.refresh_from_db()
    assert (grout.quantity, grout.unit, grout.computed_quantity) == (20, "lb", pounds)
    grout = restore_line(line=grout, by=owner)
    assert grout.unit == "kg"
    assert abs(grout.quantity - pounds * Decimal("0.45359237")) < Decimal("0.001")
    assert grout.cost == grout.packages * 18
    assert fill_estimate(job=laid_out, by=owner).changes == []


def test_own_lines_come_and_go_and_a_fill_leaves_them_alone(estimate, laid_out, owner):
    line = add_line(
        job=laid_out,
        kind="labor",
        text="Move the toilet",
        quantity=Decimal("1.5"),
        unit="",
        unit_cost=Decimal("62"),
        by=owner,
    )
    assert (line.hours, line.cost) == (Decimal("1.5"), Decimal("93.00"))
    assert fill_estimate(job=laid_out, by=owner).changes == []
    remove_line(line=line, by=owner)
    assert not EstimateLine.objects.filter(pk=line.pk).exists()


def test_a_computed_line_is_not_removed(estimate, owner):
    with pytest.raises(CannotChange, match="come back"):
        remove_line(line=line_of(estimate, "grout"), by=owner)


def test_labor_is_brought_up_to_the_minimum_trip(estimate, laid_out, owner):
    """62.00 an hour: labor of the shower is far over 4 h, and far under 40 h."""
    assert not EstimateLine.objects.filter(estimate=estimate, key="labor_minimum_trip").exists()
    set_rate(key="labor_minimum_trip", unit="trip", cost=Decimal("62"), hours=Decimal(40), by=owner)
    fill_estimate(job=laid_out, by=owner)
    lines = EstimateLine.objects.filter(estimate=estimate)
    assert sum(line.hours for line in lines if line.hours) == 40
    top = line_of(estimate, "labor_minimum_trip")
    assert top.cost == top.hours * 62
    change_line(line=line_of(estimate, "labor_niche"), quantity=Decimal(20), reason="twenty niches", by=owner)
    assert not lines.filter(key="labor_minimum_trip").exists()


def test_an_absurd_amount_is_refused_in_words(estimate, owner):
    with pytest.raises(CannotChange, match="absurd"):
        change_line(
            line=line_of(estimate, "grout"), quantity=Decimal("999999999"), cost=Decimal("9e11"), reason="x", by=owner
        )


def test_once_accepted_the_estimate_stays(propose, owner, laid_out, estimate):
    from estimating.actions import accept_proposal

    accept_proposal(proposal=propose(), typed_name="Odalys Brandt", witness=owner)
    with pytest.raises(CannotChange, match="can't be changed"):
        fill_estimate(job=laid_out, by=owner)
    with pytest.raises(CannotChange, match="can't be changed"):
        change_line(line=line_of(estimate, "grout"), quantity=Decimal(1), reason="too late", by=owner)
