"""What was framed otherwise than the sheet has it: shown before it counts, taken over by a button, kept where the work
is accepted."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from base.errors import Refused
from jobs.actions import move_job
from jobs.models import Stage
from layout.changes import Moved
from rooms.actions import RoomChanged, change_room, choose_layout, import_room
from rooms.as_built import built, differences, lay_again
from rooms.as_built_actions import take_over_as_built
from rooms.files import room_to_file
from rooms.models import AsBuilt, Layout
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.rough_in import RoughIn
from rooms.varying import read_asked
from tests.rooms_app.rough_ins import fields, measured, shower
from trade.lengths import parse_length

pytestmark = pytest.mark.django_db

INCH = Decimal("25.4")


def page(room):
    return reverse("rooms:rough_in", args=[room.pk])


@pytest.fixture
def chosen(job, owner):
    return choose_layout(room=import_room(job=job, data=shower(), place="shower", by=owner), option=1, why="", by=owner)


def hole(data) -> list[Decimal]:
    """Left, bottom, right, top of the niche's hole in the board, in inches."""
    points = [
        [parse_length(part, unit="mm") / INCH for part in point]
        for point in data["surfaces"][1]["openings"][0]["outline"]
    ]
    return [min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points)]


def test_a_niche_framed_higher_and_wider_moves_its_hole_by_as_much(chosen):
    """By hand: the sheet has 13 wide at 39 1/2 up, a hole of 12 x 24 at (22, 40) in. Framed 13 1/2 wide at 40 1/4 up:
    the hole is 12 1/2 wide at 40 3/4 up, its left side where it was; 22 + 12 1/2 = 34 1/2, 40 3/4 + 24 = 64 3/4."""
    found = differences(
        RoughIn(chosen), measured(chosen, niche_rough_width="13.5", niche_bottom_of_the_rough_opening="40.25")
    )
    data = built(chosen.input, (), found)
    assert [float(each) for each in hole(data)] == pytest.approx([22, 40.75, 34.5, 64.75], abs=0.001)
    assert hole(chosen.input) == [22, 40, 34, 64]


def test_a_valve_set_elsewhere_moves_its_mark(chosen):
    """By hand: the sheet has it 18 1/2 in from the back wall's framing, 44 up; it stands at 19 1/4: 3/4 further."""
    found = differences(RoughIn(chosen), measured(chosen, valve_center_across="19.25"))
    aim = built(chosen.input, (), found)["surfaces"][2]["aim"][0]
    assert [float(parse_length(each, unit="mm") / INCH) for each in aim["at"]] == pytest.approx([18.75, 44], abs=0.001)


def test_what_the_sheet_says_is_no_difference_and_depths_move_nothing(chosen):
    sheet = RoughIn(chosen)
    assert differences(sheet, measured(chosen, niche_rough_width="13", niche_rough_height="25")) == []
    (depth,) = differences(sheet, measured(chosen, niche_rough_depth="5.5"))
    assert not depth.moves


def test_what_the_option_had_moved_is_framed_where_it_put_it(chosen):
    """By hand: the option moved the niche 1 in right and 2 in down, and its framing got 1/2 in wider: from (22, 40) to
    (23, 38), 12 1/2 by 24 in; nobody moves it any more."""
    data = {**chosen.input}
    data["surfaces"][1]["openings"][0]["movable"] = {"x": [-2, 2], "y": [-3, 3]}
    moved = [Moved("back", "niche", 25.4, -50.8)]
    found = differences(RoughIn(chosen), measured(chosen, niche_rough_width="13.5"))
    after = built(data, moved, found)
    assert [float(each) for each in hole(after)] == pytest.approx([23, 38, 35.5, 62], abs=0.001)
    assert "movable" not in after["surfaces"][1]["openings"][0]


def test_it_is_shown_before_anything_counts_and_nothing_typed_is_lost(as_office, chosen):
    before = room_to_file(room_with_parts(chosen.room))
    typed = fields(chosen, niche_bottom_of_the_rough_opening="41 1/4")
    text = as_office.post(page(chosen.room), {**typed, "compare": ""}).text
    for said in ("What the layout comes to", "Smallest cut", "Take it over", "Keep on record only", "41 1/4"):
        assert said in text
    name = list(typed)[-1]
    assert re.search(rf'name="{name}" value="41 1/4"', text)
    # Courses run on around the corners, so that every wall's drawing changes with the niche.
    assert text.count("<figcaption>As built") == text.count("<figcaption>Chosen") >= 1
    assert room_to_file(room_with_parts(chosen.room)) == before
    assert (AsBuilt.objects.count(), Layout.objects.count()) == (0, 1)


def test_taking_it_over_changes_the_room_and_chooses_its_layout_with_the_reason(as_office, office, chosen):
    typed = fields(chosen, niche_bottom_of_the_rough_opening="41 1/4", niche_rough_depth="5 1/2")
    assert as_office.post(page(chosen.room), {**typed, "take_over": ""}).status_code == 302
    room = room_with_parts(chosen.room)
    layout, (kept,) = current_layout(room), AsBuilt.objects.all()
    assert (layout != chosen, is_stale(room, layout), kept.led_to, kept.by) == (True, False, layout, office)
    assert layout.why.startswith("as built: Niche, bottom of the rough opening 41 1/4")
    assert [float(each) for each in hole(room_to_file(room))] == pytest.approx([22, 41.75, 34, 65.75], abs=0.001)
    # What was shown is what was chosen, so that nothing is laid out while the job is locked.
    found = differences(RoughIn(chosen), kept.measures)
    assert layout.input == built(chosen.input, (), found)
    # The new sheet has it as it was built.
    assert [each.text for each in RoughIn(layout).items[0].measures if "bottom of the rough" in each.name] == [
        '41 1/4"'
    ]
    assert {each["name"] for each in kept.measures} == {"bottom of the rough opening", "rough depth"}


def test_lines_put_by_hand_and_switches_stay_when_it_is_taken_over(owner, chosen):
    """By hand: the niche stood at (22, 40) in and was moved on the layout page 1 in left and 1/2 in up, with its line
    10 in from the left end. Framed 1 1/2 in higher than that sheet has it: (21, 42), once, and the lines as they were.
    """
    lines = {"x0": "0 mm", "x1": "254 mm", "x2": "0 mm", "y0": "300 mm"}
    asked = read_asked({**lines, "share": "1/3", "moved": "1,0,-25.4,12.7"}, unit="in")
    by_hand = choose_layout(room=chosen.room, option=1, why="", by=owner, asked=asked)
    niche = next(each for each in RoughIn(by_hand).items if each.kind == "niche")
    assert niche.said["bottom of the rough opening"] == '40"'
    measures = measured(by_hand, niche_bottom_of_the_rough_opening="41.5")
    kept = take_over_as_built(layout=by_hand, measures=measures, by=owner)
    assert [float(each) for each in hole(kept.led_to.input)] == pytest.approx([21, 42, 33, 66], abs=0.001)
    assert [float(each) for each in hole(room_to_file(room_with_parts(chosen.room)))] == pytest.approx(
        [21, 42, 33, 66], abs=0.001
    )
    assert kept.led_to.asked == {name: text for name, text in by_hand.asked.items() if name != "moved"}
    assert kept.led_to.title == by_hand.title == "Set by hand"
    assert [line["text"] for line in lines_of(kept.led_to)] == [line["text"] for line in lines_of(by_hand)]
    # What was shown before is what was chosen.
    assert kept.led_to.input == lay_again(by_hand, differences(RoughIn(by_hand), measures)).laid.data


def lines_of(layout) -> list[dict]:
    option = layout.result["options"][layout.option - 1]
    return [line for surface in option["surfaces"] for line in surface["lines"]]


def test_work_that_was_accepted_stays_and_what_was_measured_is_kept(as_office, office, chosen, job):
    for stage in (Stage.PROPOSED, Stage.WORKING):
        move_job(job=job, to=stage, by=office)
    typed = fields(chosen, niche_bottom_of_the_rough_opening="41 1/4")
    text = as_office.post(page(chosen.room), {**typed, "compare": ""}).text
    assert "change order" in text
    # The button leads to who knows of the phases, too: this address refuses.
    assert reverse("inspections:as_built", args=[chosen.room_id]) in text
    refused = as_office.post(page(chosen.room), {**typed, "take_over": ""})
    assert (refused.status_code, AsBuilt.objects.count()) == (422, 0)
    assert 'value="41 1/4"' in refused.text
    with pytest.raises(Refused):
        take_over_as_built(
            layout=chosen, measures=measured(chosen, niche_bottom_of_the_rough_opening="41.25"), by=office
        )
    assert as_office.post(page(chosen.room), {**typed, "keep": ""}).status_code == 302
    (kept,) = AsBuilt.objects.all()
    assert (kept.by, kept.led_to, current_layout(chosen.room)) == (office, None, chosen)
    # Whoever comes later sees it, with the layout that it would take.
    again = as_office.get(page(chosen.room)).text
    assert "What the layout comes to" in again
    assert str(office) in again


def test_what_was_typed_against_another_sheet_is_not_taken_for_this_one(as_office, chosen, owner):
    typed = fields(chosen, niche_rough_width="14")
    choose_layout(room=chosen.room, option=2, why="", by=owner)
    response = as_office.post(page(chosen.room), {**typed, "keep": ""})
    assert response.status_code == 422
    assert "Another layout was chosen" in response.text
    assert 'value="14"' in response.text
    assert AsBuilt.objects.count() == 0


def test_who_comes_second_is_told(chosen, owner):
    room = room_with_parts(chosen.room)
    change_room(room=room, data={**room_to_file(room), "joint": "4 mm"}, by=owner)
    with pytest.raises(RoomChanged):
        take_over_as_built(
            layout=chosen, measures=measured(chosen, niche_bottom_of_the_rough_opening="41.25"), by=owner
        )
    assert AsBuilt.objects.count() == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"niche_rough_width": "wide"}, "wide"),
        ({"niche_rough_width": "1/4"}, "no size left"),
        ({}, "Enter at least one length"),
    ],
)
def test_bad_lengths_say_where_and_keep_what_was_typed(as_office, chosen, typed, said):
    response = as_office.post(page(chosen.room), {**fields(chosen, **typed), "take_over": ""})
    assert response.status_code == 422
    assert said in response.text
    assert all(f'value="{text}"' in response.text for text in typed.values())
    assert AsBuilt.objects.count() == 0


def test_no_outsider_measures_in_and_only_the_office_takes_over(as_installer, as_other_installer, chosen):
    typed = fields(chosen, niche_rough_width="14")
    assert as_other_installer.post(page(chosen.room), {**typed, "keep": ""}).status_code == 404
    assert AsBuilt.objects.count() == 0
    # Whatever button an installer's request names, it is a reading.
    assert as_installer.post(page(chosen.room), {**typed, "take_over": ""}).status_code == 302
    (kept,) = AsBuilt.objects.all()
    assert (kept.led_to, kept.read_at is not None, current_layout(chosen.room)) == (None, True, chosen)
