"""Options: each a room with a layout, a takeoff and lines of its own, and each choice with a total of its own."""

from datetime import date
from decimal import Decimal
from math import ceil

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.actions import (
    CannotChange,
    CannotPropose,
    add_option,
    change_line,
    fill_estimate,
    make_proposal,
    move_up,
    name_option,
    offer_add_on,
    offer_another,
    preview_fill,
    remove_group,
    remove_option,
    set_rate,
    set_text,
    take_into_price,
    withdraw_proposal,
)
from estimating.actions.proposals import _content, _offer_of
from estimating.choices import MOST_CHOICES, count_choices
from estimating.models import Estimate, EstimateLine, Option, OptionGroup, Rate
from estimating.pricing import add_up
from estimating.queries import estimate_page, lines_of, obstacles_of, offer_of
from estimating.terms import terms_of, totals_of
from estimating.weighing import like_jobs
from inspections.actions import accept_and_open
from rooms.actions import choose_layout, specify_room
from rooms.files import room_to_file
from rooms.models import Room, Standing, Substrate
from rooms.options import copy_room, settle
from rooms.queries import current_layout, room_with_parts, rooms_of_job, rooms_on_offer
from rooms.surveys.keeping import keep_survey
from tests.estimating.changes import made_document
from tests.factories import JobFactory, RoomFactory, SurfaceFactory, TileFactory, rectangle
from tests.layout_survey.surveys import substrate

pytestmark = pytest.mark.django_db


def small_room(job, name, position=0, **more):
    """One bare wall, 36 by 48 in: laid out in no time."""
    room = RoomFactory(job=job, name=name, position=position, walls=False, **more)
    SurfaceFactory(room=room, outline=rectangle(Decimal(36), Decimal(48)))
    return room


@pytest.fixture
def room(job):
    return small_room(job, "Shower")


@pytest.fixture
def other_tile(owner):
    tile = TileFactory(name="Gray 12 x 12", width=Decimal("304.8"), height=Decimal("304.8"))
    set_rate(key="tile", tile=tile, unit="piece", cost=Decimal("90.00"), package=Decimal(8), by=owner)
    return tile


@pytest.fixture
def floor(laid_out, room, owner):
    """A second room of the job in the same tile, laid out."""
    floor = small_room(laid_out, "Alcove", 1, tile=room.tile)
    choose_layout(room=floor, option=1, why="", by=owner)
    laid_out.refresh_from_db()
    return floor


@pytest.fixture
def offered(laid_out, room, floor, rates, other_tile, owner):
    """The shower in one of two tiles, and the alcove as an add-on; the estimate filled."""
    other = offer_another(room=room, question="Wall tile", name="White subway", other="Gray", tile=other_tile, by=owner)
    extra = offer_add_on(room=floor, by=owner)
    laid_out.refresh_from_db()
    fill_estimate(job=laid_out, by=owner)
    return other, extra


def test_a_copy_has_all_that_the_room_has(job, room, other_tile, owner):
    """The same walls, niche, corners, conditions and surveys, in another tile; behind it, and before what followed."""
    whole, after = RoomFactory(job=job, position=1), small_room(job, "Hall", 2)
    specify_room(room=whole, conditions={"substrate": Substrate.CEMENT_BOARD}, tile={}, by=owner)
    data = substrate([(0, 0), (24, "1/8"), (48, 0)])
    keep_survey(room=whole, kind="studs", surface=None, data=data, happened_at=timezone.now(), by=owner)
    copy = room_with_parts(copy_room(room=whole, name="Gray", tile=other_tile, by=owner))
    one, other = room_to_file(room_with_parts(whole)), room_to_file(copy)
    same = ("place", "joint", "joint_high", "pattern", "surfaces", "corners")
    assert {key: one[key] for key in same} == {key: other[key] for key in same}
    assert (copy.tile, copy.standing, other["tile"]["width"]) == (other_tile, Standing.OFFERED, "304.8 mm")
    assert copy.conditions.substrate == Substrate.CEMENT_BOARD
    assert copy.surveys.get().result == whole.surveys.get().result
    after.refresh_from_db()
    assert (whole.position, copy.position, after.position) == (1, 2, 3)


def test_the_price_counts_what_is_in_it_and_no_option(offered, laid_out, room):
    """An option's lines are computed like any, and the total leaves them out until they are in the price."""
    assert current_layout(offered[0].room).title == "Recommended"
    page = estimate_page(laid_out)
    assert {group.name for group in page.groups if group.name} == {room.name}
    assert EstimateLine.objects.filter(room=offered[0].room, key="tile").exists()
    assert page.totals == totals_of(page.estimate, lines_of(page.estimate))
    assert page.estimate.places == ["shower"]


def test_a_choice_comes_to_what_its_own_lines_come_to(offered, laid_out, owner):
    """Every choice against the sum of its lines, added up here: cost, then markup and tax on materials."""
    offer = offer_of(laid_out.estimate)
    assert len(offer.choices()) == 4
    for choice in offer.choices():
        lines = offer.lines_in(choice)
        rooms = {str(line.room) for line in lines if line.room}
        assert ("Alcove" in rooms) == (offered[1].pk in {option.pk for option in choice.options})
        assert sum(str(name).startswith("Shower") for name in rooms) == 1
        assert totals_of(offer.estimate, lines) == add_up(
            lines=[(line.kind, line.cost, line.hours) for line in lines],
            markup_percent=offer.estimate.markup_percent,
            tax_percent=offer.estimate.tax_percent,
            terms=terms_of(offer.estimate),
        )


def test_the_minimum_trip_is_computed_anew_for_each_choice(offered, laid_out, owner):
    """Labor is brought up to the least hours: by less where the choice has more labor of its own."""
    offer = offer_of(laid_out.estimate)
    least = max(sum(line.hours or 0 for line in offer.lines_in(choice)) for choice in offer.choices()) + 1
    Rate.objects.filter(key="labor_minimum_trip").delete()
    set_rate(key="labor_minimum_trip", unit="trip", cost=Decimal(60), hours=least, by=owner)
    fill_estimate(job=laid_out, by=owner)
    offer = offer_of(laid_out.estimate)
    added = set()
    for choice in offer.choices():
        lines = offer.lines_in(choice)
        assert sum(line.hours or 0 for line in lines) == least
        added |= {line.hours for line in lines if line.key == "labor_minimum_trip"}
    assert len(added) > 1


def test_a_choice_with_more_work_has_more_trips_and_its_frozen_total_says_so(offered, laid_out, owner):
    """An hour for a square foot: each of the walls, 12 sq ft, takes more than a day. 5 miles each way on each trip."""
    laid_out.site.distance_km = Decimal("8.04672")
    laid_out.site.save()
    set_rate(key="labor_set_wall", unit="ft2", cost=Decimal(62), hours=Decimal(1), by=owner)
    fill_estimate(job=laid_out, by=owner)
    content = make_proposal(job=laid_out, by=owner).content
    offer = offer_of(laid_out.estimate)
    driven, told = {}, {}
    for choice in offer.choices():
        lines = {line.key: line for line in offer.lines_in(choice) if line.room is None}
        assert lines["travel_distance"].quantity == lines["travel_trip"].quantity * 10
        hours = sum(line.hours or 0 for line in offer.lines_in(choice) if line.key != "labor_minimum_trip")
        driven[choice.key] = lines["travel_trip"].quantity
        assert driven[choice.key] == max(ceil(hours / 8), 1 + max(offer.estimate.waits.values()))
        said = content if choice.key == content["chosen"] else content | content["choices"][choice.key]
        told[choice.key] = {line["text"]: Decimal(line["amount"]) for line in said["lines"]}["Travel"]
        shown = sum(Decimal(line["amount"]) for line in said["lines"])
        tax = Decimal(said["tax"]["amount"]) if said["tax"] else 0
        assert (
            shown + tax == Decimal(said["total"]["amount"]) == totals_of(offer.estimate, offer.lines_in(choice)).total
        )
    standing = content["chosen"]
    more = next(choice.key for choice in offer.choices() if offered[1] in choice.options and standing in choice.key)
    assert driven[more] > driven[standing] > 0
    assert told[more] > told[standing]


def test_the_estimate_has_the_trips_of_what_the_client_took(offered, laid_out, owner):
    set_rate(key="labor_set_wall", unit="ft2", cost=Decimal(62), hours=Decimal(1), by=owner)
    fill_estimate(job=laid_out, by=owner)
    proposal = make_proposal(job=laid_out, by=owner)
    made_document(proposal.document)
    before = EstimateLine.objects.get(estimate=laid_out.estimate, key="travel_trip").quantity
    both = ",".join(sorted(str(option.pk) for option in offered))
    accepted = accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=both)
    assert EstimateLine.objects.get(estimate=laid_out.estimate, key="travel_trip").quantity > before
    estimate = laid_out.estimate
    assert totals_of(estimate, lines_of(estimate)).total == accepted.total


def test_the_area_of_a_like_job_is_that_of_what_was_taken(offered, laid_out, owner):
    """Each room is one wall of 36 by 48 in: 12 sq ft, and 24 with the add-on that was taken."""
    assert round(laid_out.estimate.area_m2 / Decimal("0.09290304"), 1) == 12
    proposal = make_proposal(job=laid_out, by=owner)
    made_document(proposal.document)
    both = ",".join(sorted(str(option.pk) for option in offered))
    accepted = accept_and_open(proposal=proposal, typed_name="Odalys Brandt", witness=owner, choice=both)
    places = Estimate.objects.get(job=laid_out).places
    now = Estimate.objects.create(job=JobFactory(), markup_percent=0, tax_percent=0, area_m2=Decimal(2), places=places)
    (like,) = like_jobs(now)
    assert like.by_area.area == 24
    assert like.by_area.price == round(accepted.total / 24, 2)


def test_trips_by_hand_stay_in_every_choice(offered, laid_out, owner):
    trip = EstimateLine.objects.get(estimate=laid_out.estimate, key="travel_trip")
    change_line(line=trip, quantity=Decimal(9), reason="the ferry", by=owner)
    offer = offer_of(laid_out.estimate)
    for choice in offer.choices():
        (line,) = (line for line in offer.lines_in(choice) if line.key == "travel_trip")
        assert (line.quantity, line.cost) == (9, 162)


def test_the_proposal_freezes_every_choice(offered, laid_out, owner, room):
    other, extra = offered
    content = make_proposal(job=laid_out, by=owner).content
    assert [group["kind"] for group in content["options"]] == ["one", "add"]
    tiles, more = (group["options"] for group in content["options"])
    assert [(each["name"], each["included"]) for each in tiles] == [("White subway", True), ("Gray", False)]
    assert [(each["name"], each["included"]) for each in more] == [("Alcove", False)]
    first = Option.objects.get(room=room)
    assert content["chosen"] == str(first.pk)
    assert set(content["option_rooms"]) == {str(room.pk), str(other.room_id), str(extra.room_id)}
    assert [each["key"] for each in content["rooms"]] == [str(room.pk)]
    both = ",".join(sorted([str(other.pk), str(extra.pk)]))
    assert set(content["choices"]) == {
        str(first.pk),
        str(other.pk),
        ",".join(sorted([str(first.pk), str(extra.pk)])),
        both,
    }
    assert content["choices"][str(first.pk)] == {"rooms": [str(room.pk)]}
    assert content["choices"][both]["rooms"] == [str(other.room_id), str(extra.room_id)]

    def total(key):
        return Decimal(content["choices"].get(key, {}).get("total", content["total"])["amount"])

    assert Decimal(tiles[1]["difference"]["amount"]) == total(str(other.pk)) - total(str(first.pk)) != 0
    assert tiles[0]["difference"] == {"amount": "0.00", "shown": "no difference"}
    for key, said in content["choices"].items():
        steps = said.get("payments", content["payments"])["steps"]
        assert sum(Decimal(step["amount"]) for step in steps) == total(key)
        lines = said.get("lines", content["lines"])
        tax = said.get("tax", content["tax"])
        assert sum(Decimal(line["amount"]) for line in lines) + Decimal(tax["amount"] if tax else 0) == total(key)
    with pytest.raises(CannotChange, match="Withdraw it first"):
        take_into_price(option=other, by=owner)


def test_the_default_choice_is_the_proposal_without_options(offered, laid_out, owner, room):
    """What stands in the letter before anything is chosen is, to the word, what it would be without the options."""
    with_options = make_proposal(job=laid_out, by=owner).content
    withdraw_proposal(proposal=laid_out.proposals.get(), by=owner)
    laid_out.refresh_from_db()
    for group in OptionGroup.objects.all():
        remove_group(group=group, by=owner)
    fill_estimate(job=laid_out, by=owner)
    laid_out.refresh_from_db()
    plain = make_proposal(job=laid_out, by=owner).content
    assert not {"options", "choices", "chosen", "option_rooms"} & set(plain)
    without = {key: with_options[key] for key in plain if key not in ("version", "rooms")}
    assert without == {key: plain[key] for key in without}
    assert [{**each, "key": str(room.pk)} for each in plain["rooms"]] == with_options["rooms"]
    assert not Room.objects.filter(job=laid_out, standing=Standing.OFFERED).exists()


def test_another_choice_in_the_price_moves_the_total(offered, laid_out, owner, room):
    offer = offer_of(laid_out.estimate)
    picked = offer.standing().with_option(offered[0])
    expected = totals_of(offer.estimate, offer.lines_in(picked)).total
    take_into_price(option=offered[0], by=owner)
    assert estimate_page(laid_out).totals.total == expected
    assert [each.name for each in rooms_of_job(laid_out)] == ["Shower, Gray"]
    assert preview_fill(job=laid_out, by=owner).difference == 0


def test_an_option_without_a_layout_or_a_rate_is_in_the_way(offered, laid_out, owner, room):
    EstimateLine.objects.filter(room=offered[0].room, key="tile").update(rate=None)
    assert any("Shower, Gray, Tile: Gray 12 x 12" in each.text for each in obstacles_of(laid_out))
    copy = offered[0].room
    Room.objects.filter(pk=copy.pk).update(joint=Decimal("4.7"), joint_high=None)
    found = [each.text for each in obstacles_of(laid_out)]
    assert found == ["Shower, Gray was measured anew since its layout was chosen."]
    with pytest.raises(CannotPropose):
        make_proposal(job=laid_out, by=owner)


def test_add_ons_go_back_into_the_price_and_options_go(offered, laid_out, owner, room, floor):
    other, extra = offered
    name_option(option=extra, name="The alcove too", text="Same tile", by=owner)
    take_into_price(option=extra, by=owner)
    assert [each.pk for each in rooms_of_job(laid_out)] == [room.pk, floor.pk]
    third = add_option(option=other, name="Gray, small joint", joint=Decimal("1.5875"), by=owner)
    move_up(row=third, by=owner)
    assert [each.name for each in third.group.options.all()] == ["White subway", "Gray, small joint", "Gray"]
    remove_option(option=Option.objects.get(room=room), by=owner)
    # Its layout is kept, so the room is; the next option is in the price.
    room.refresh_from_db()
    assert room.standing == Standing.OUT
    assert not EstimateLine.objects.filter(room=room).exists()
    assert Room.objects.get(pk=third.room_id).standing == Standing.IN
    remove_option(option=other, by=owner)
    assert not OptionGroup.objects.exists()
    assert [each.pk for each in rooms_on_offer(laid_out)] == [third.room_id, floor.pk]


def test_only_so_many_choices_are_taken(offered, laid_out, room, owner):
    """2 x 2 to begin with; five more add-ons make 128, of which the last is refused and leaves nothing behind."""
    for number in range(4):
        offer_add_on(room=RoomFactory(job=laid_out, name=f"Room {number}", tile=room.tile), by=owner)
    last = RoomFactory(job=laid_out, name="Room 5", tile=room.tile)
    groups = OptionGroup.objects.filter(job=laid_out)
    assert count_choices(groups) == MOST_CHOICES
    with pytest.raises(CannotChange, match="128 different choices"):
        offer_add_on(room=last, by=owner)
    last.refresh_from_db()
    assert (last.standing, count_choices(groups)) == (Standing.IN, MOST_CHOICES)


def test_what_is_taken_is_part_of_the_job_and_the_rest_is_not(job, room):
    """Whatever stood in the price before; a room that is no option stays."""
    other, extra = (small_room(job, name, standing=Standing.OFFERED) for name in ("Other", "Extra"))
    hall = small_room(job, "Hall")
    for kind, rooms in (("one", (room, other)), ("add", (extra,))):
        group = OptionGroup.objects.create(job=job, name="Tile", kind=kind)
        for each in rooms:
            Option.objects.create(group=group, room=each, name=each.name)
    settle(job=job, taken={other.pk})
    standings = dict(Room.objects.filter(job=job).values_list("pk", "standing"))
    assert standings == {room.pk: "out", other.pk: "in", extra.pk: "out", hall.pk: "in"}
    settle(job=job, taken={room.pk, extra.pk, hall.pk})
    assert [each.pk for each in Room.objects.filter(job=job, standing=Standing.OUT)] == [other.pk]


@pytest.mark.parametrize("field", ["total", "deposit", "days"])
def test_a_room_s_text_that_each_choice_would_fill_otherwise_stands_in_the_way(offered, laid_out, owner, field):
    """One text stands for all choices. Where it may be said, each choice has its own."""
    set_text(key="scope.setting", text=f"Set the tile: {{{field}}}.", seen=0, by=owner)
    (obstacle,) = obstacles_of(laid_out)
    assert f"“Setting” names {{{field}}}, which is another for each choice" in obstacle.text
    assert obstacle.url == reverse("estimating:text", args=["scope.setting"])
    with pytest.raises(CannotPropose, match="stands once for all of them"):
        make_proposal(job=laid_out, by=owner)
    with pytest.raises(ValueError, match="stands once for all of them"):
        _content(laid_out, _offer_of(laid_out), version=1, made_on=date(2026, 11, 2), valid_until=timezone.now())
    set_text(key="scope.setting", text="Set the tile.", seen=1, by=owner)
    set_text(key="greeting", text=f"It comes to {{{field}}}.", seen=0, by=owner)
    content = make_proposal(job=laid_out, by=owner).content
    assert "greeting" in content["choices"][max(content["choices"], key=len)]


def test_freezing_asks_as_often_for_many_choices_as_for_few(offered, laid_out, owner, room):
    def asked() -> tuple[int, int]:
        with CaptureQueriesContext(connection) as captured:
            offer = _offer_of(laid_out)
            _content(laid_out, offer, version=1, made_on=date(2026, 11, 2), valid_until=timezone.now())
        return len(captured), len(offer.choices())

    asked()
    few = asked()
    third = small_room(laid_out, "Nook", tile=room.tile)
    choose_layout(room=third, option=1, why="", by=owner)
    offer_add_on(room=third, by=owner)
    fill_estimate(job=laid_out, by=owner)
    many = asked()
    assert (few[1], many[1]) == (4, 8)
    assert many[0] == few[0]
