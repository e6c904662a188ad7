"""Changing a room: what the form shows, what it doesn't show, two people at once, and when it is too late."""

from decimal import Decimal

import pytest
from django.urls import reverse

from jobs.actions import move_job
from jobs.models import Stage
from rooms.actions import RoomLocked, change_room, choose_layout, create_room, import_room, remove_room
from rooms.files import room_to_file
from rooms.models import Layout, Room
from rooms.queries import current_layout, is_stale, room_states, room_with_parts
from tests.factories import TileFactory
from tests.rooms_app.files import PLACES, one_wall, sample
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


def edit(room):
    return reverse("rooms:edit", args=[room.pk])


@pytest.mark.parametrize("name", PLACES)
def test_saving_without_a_change_changes_nothing(as_owner, job, owner, name):
    room = import_room(job=job, data=sample(name), place=PLACES[name], by=owner)
    before = room_to_file(room_with_parts(room))
    events = room.events.count()
    typed = fields_of(as_owner.get(edit(room)).text)
    assert as_owner.post(edit(room), {**typed, "save": ""}).status_code == 302
    assert room_to_file(room_with_parts(room)) == before
    assert [surface.events.count() for surface in room.surfaces.all()] == [1] * room.surfaces.count()
    assert room.events.count() == events


def test_the_room_of_the_factory_too(as_owner, room):
    before = room_to_file(room_with_parts(room))
    as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "save": ""})
    after = room_to_file(room_with_parts(room))
    assert after == before


def test_a_length_that_no_fraction_says_is_shown_in_millimeters(as_owner, job, owner):
    room = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    typed = fields_of(as_owner.get(edit(room)).text)
    assert typed["surface-0-width"] == "1000 mm"


def test_a_wall_made_wider_keeps_its_openings_and_the_order_of_its_points(as_owner, job, owner):
    data = one_wall()
    data["surfaces"][0] |= {
        "outline": [[10, 520], [1010, 520], [1010, 20], [10, 20]],
        "openings": [{"id": "o", "outline": [[110, 120], [210, 120], [210, 220], [110, 220]]}],
        "edges": {"edge 0": {"gap": 5}},
    }
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    typed = fields_of(as_owner.get(edit(room)).text)
    assert (typed["surface-0-opening-0-left"], typed["surface-0-opening-0-bottom"]) == ("100 mm", "100 mm")
    assert as_owner.post(edit(room), {**typed, "surface-0-width": "1200 mm", "save": ""}).status_code == 302
    wall = room_with_parts(room).surfaces.all()[0]
    assert wall.outline == [[10, 520], [1210, 520], [1210, 20], [10, 20]]
    assert wall.openings.all()[0].outline[0] == [Decimal(110), Decimal(120)]
    assert wall.more["edges"] == {"edge 0": {"gap": "5 mm"}}


def test_an_outline_that_is_no_rectangle_is_shown_and_kept(as_owner, job, owner):
    room = import_room(job=job, data=sample("station-hall-floor"), place="dry_floor", by=owner)
    text = as_owner.get(edit(room)).text
    assert "<svg" in text
    typed = fields_of(text)
    assert "surface-0-width" not in typed
    typed |= {"surface-0-name": "Hall", "surface-0-opening-0-left": "1500 mm", "surface-0-width": "1", "save": ""}
    assert as_owner.post(edit(room), typed).status_code == 302
    floor = room_with_parts(room).surfaces.all()[0]
    assert len(floor.outline) == 6
    assert floor.name == "Hall"
    assert floor.openings.all()[0].outline[0] == [Decimal(1500), Decimal(900)]


def test_what_the_form_does_not_show_survives_a_change(as_owner, job, owner):
    room = import_room(job=job, data=sample("format-example") | {"color": "green"}, place="shower", by=owner)
    typed = fields_of(as_owner.get(edit(room)).text)
    typed |= {"room-joint": "3/16", "corner-0-first": "right", "save": ""}
    assert as_owner.post(edit(room), typed).status_code == 302
    out = room_to_file(room_with_parts(room))
    assert out["joint"] == "4.7625 mm"
    assert (out["color"], out["setting"]["coverage"], out["kerf"]) == ("green", 0.95, "2.5 mm")
    assert out["surfaces"][0]["openings"][0]["movable"]["x"] == ["-50.8 mm", "50.8 mm"]
    assert out["corners"] == [{"first": "back.left", "second": "left.right", "soft": "3.175 mm"}]


def test_the_other_wall_set_first_keeps_the_soft_joint(as_owner, job, owner):
    room = import_room(job=job, data=sample("format-example"), place="shower", by=owner)
    typed = fields_of(as_owner.get(edit(room)).text)
    # The left wall stands left of the back wall's left edge.
    assert (typed["corner-0-left"], typed["corner-0-right"], typed["corner-0-first"]) == ("1", "0", "right")
    as_owner.post(edit(room), {**typed, "corner-0-first": "left", "save": ""})
    out = room_to_file(room_with_parts(room))
    assert out["corners"] == [{"first": "left.right", "second": "back.left", "soft": "3.175 mm"}]
    as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "corner-0-first": "joins", "save": ""})
    out = room_to_file(room_with_parts(room))
    assert "corners" not in out
    assert (out["surfaces"][0]["joins"], out["surfaces"][1]["joins"]) == ({"left": "left"}, {"right": "back"})


def test_a_removed_wall_leaves_no_corner_and_no_join_behind(as_owner, job, owner):
    data = sample("quarry-lane-shower")
    data["corners"] = []
    room = import_room(job=job, data=data, place="shower", by=owner)
    typed = fields_of(
        as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "remove": "surface:0"}).text
    )
    assert as_owner.post(edit(room), {**typed, "save": ""}).status_code == 302
    out = room_to_file(room_with_parts(room))
    assert [raw.get("joins") for raw in out["surfaces"]] == [{"right": "right"}, {"left": "back"}]


def test_another_tile_is_picked_or_typed(as_owner, room):
    other = TileFactory(name="Hexagon sheet", width=300, height=300)
    typed = fields_of(as_owner.get(edit(room)).text)
    as_owner.post(edit(room), {**typed, "tile-tile": str(other.pk), "save": ""})
    assert Room.objects.get().tile == other
    typed = fields_of(as_owner.get(edit(room)).text) | {"tile-tile": "", "tile-width": "4 1/4", "tile-height": "4 1/4"}
    as_owner.post(edit(room), {**typed, "tile-thickness": "1/4", "tile-directional": "on", "save": ""})
    tile = Room.objects.get().tile
    assert (tile.width, tile.turns) == (Decimal("107.95"), [0])


def test_somebody_else_was_faster(as_owner, as_office, room):
    mine, theirs = (fields_of(each.get(edit(room)).text) for each in (as_owner, as_office))
    assert (
        as_office.post(edit(room), {**theirs, "room-joint": "1/4", "room-joint_high": "", "save": ""}).status_code
        == 302
    )
    answer = as_owner.post(edit(room), {**mine, "room-joint": "1/16", "save": ""})
    assert answer.status_code == 200
    assert "Somebody else changed this room" in answer.text
    assert Room.objects.get().joint == Decimal("6.35")
    # Also after a wall was added in between, which sends the page to and fro.
    again = fields_of(as_owner.post(edit(room), {**mine, "add": "corner"}).text)
    assert again["seen"] == mine["seen"]


def test_a_changed_room_is_measured_anew_and_its_layout_says_so(as_owner, job, room, owner):
    layout = choose_layout(room=room, option=1, why="", by=owner)
    assert not is_stale(room_with_parts(room), layout)
    as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "surface-0-height": "95", "save": ""})
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
    assert is_stale(room_with_parts(room), current_layout(room))
    assert [state.ready for state in room_states(job)] == [False]
    assert "measured anew" in as_owner.get(reverse("rooms:detail", args=[room.pk])).text


def test_a_new_name_is_no_new_measure(as_owner, job, room, owner):
    choose_layout(room=room, option=1, why="", by=owner)
    as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "room-name": "Bath", "save": ""})
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


LATER = [
    ([Stage.PRICING, Stage.PROPOSED], "Withdraw it first"),
    ([Stage.PRICING, Stage.PROPOSED, Stage.WORKING], "change order"),
    ([Stage.LOST], "Take it up again"),
]


@pytest.mark.parametrize(("stages", "why"), LATER)
def test_later_on_a_room_cannot_be_changed(as_owner, job, room, owner, stages, why):
    typed = fields_of(as_owner.get(edit(room)).text)
    for stage in stages:
        move_job(job=job, to=stage, by=owner)
    before = room_to_file(room_with_parts(room))
    for address in (edit(room), reverse("rooms:new", args=[job.pk]), reverse("rooms:upload", args=[job.pk])):
        text = as_owner.get(address).text
        assert why in text
        assert 'name="save"' not in text
    assert why in as_owner.post(edit(room), {**typed, "room-joint": "1/4", "save": ""}).text
    assert why in as_owner.post(reverse("rooms:layout", args=[room.pk]), {"option": "1", "why": "even cuts"}).text
    as_owner.post(edit(room), {"remove_room": ""})
    assert room_to_file(room_with_parts(room)) == before
    assert not Layout.objects.exists()
    data = one_wall()
    for action in (
        lambda: create_room(job=job, data=data, place="dry_wall", by=owner),
        lambda: change_room(room=room, data=data, by=owner),
        lambda: remove_room(room=room, by=owner),
        lambda: choose_layout(room=room, option=1, why="", by=owner),
    ):
        with pytest.raises(RoomLocked, match=why):
            action()


def test_a_room_without_a_layout_is_removed_and_the_rest_moves_on(as_owner, job, room, owner):
    spare = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
    answer = as_owner.post(edit(spare), {"remove_room": ""})
    assert answer.url == reverse("home:job", args=[job.pk])
    assert list(job.rooms.all()) == [room]
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


def test_a_room_with_a_layout_stays(as_owner, room, owner):
    choose_layout(room=room, option=1, why="", by=owner)
    assert "remove_room" not in as_owner.get(edit(room)).text
    as_owner.post(edit(room), {"remove_room": ""})
    assert Room.objects.filter(pk=room.pk).exists()


def test_a_room_too_large_for_the_form_is_not_cut_short(as_owner, job, owner):
    data = one_wall()
    data["surfaces"] = [{**data["surfaces"][0], "id": f"w{number}"} for number in range(61)]
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    answer = as_owner.get(edit(room))
    assert "more surfaces and openings than a form takes" in answer.text
    typed = {"surfaces": "1", "surface-0-key": "w0", "save": ""}
    assert as_owner.post(edit(room), typed).status_code == 200
    assert room.surfaces.count() == 61
