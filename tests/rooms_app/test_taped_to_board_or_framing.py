"""Whether a room was taped to its board or to bare framing is asked once, and the rough-in sheet reckons by it."""

import pytest
from django.urls import reverse

from rooms.actions import choose_layout, import_room
from rooms.as_built import built, differences
from rooms.files import room_to_file
from rooms.models import Room, Surface
from rooms.queries import room_with_parts
from rooms.rough_in import RoughIn
from tests.rooms_app.pages import fields_of
from tests.rooms_app.rough_ins import measured, shower

pytestmark = pytest.mark.django_db

# 3/8 tile, 3/16 mortar, 1/2 board.
ALL_OF_IT = "1 1/16"


@pytest.fixture
def room(job, owner):
    data = shower()
    for surface in data["surfaces"]:
        surface["build_up"] = ALL_OF_IT
    return import_room(job=job, data=data, place="shower", by=owner)


def edited(client, room, **typed):
    address = reverse("rooms:edit", args=[room.pk])
    return client.post(address, {**fields_of(client.get(address).text), **typed, "save": ""})


def face_of_the_valve(room, owner) -> str:
    layout = choose_layout(room=room, option=1, why="", by=owner)
    return next(each for each in RoughIn(layout).items if each.kind == "valve").said["framing to finished face"]


def test_over_framing_the_board_is_counted_once(as_owner, room, owner):
    assert face_of_the_valve(room, owner) == '1 9/16"'
    assert edited(as_owner, room, **{"room-outlines_of": "framing"}).status_code == 302
    room = room_with_parts(room)
    assert room_to_file(room)["outlines_of"] == "framing"
    # What was chosen before is of the other meaning.
    assert "measured anew" in as_owner.get(reverse("rooms:rough_in", args=[room.pk])).text
    assert face_of_the_valve(room, owner) == '1 1/16"'


def test_what_nobody_said_stays_board_and_changes_nothing(as_owner, room, owner):
    before = room_to_file(room_with_parts(room))
    choose_layout(room=room, option=1, why="", by=owner)
    page = as_owner.get(reverse("rooms:edit", args=[room.pk])).text
    assert fields_of(page)["room-outlines_of"] == "board"
    assert edited(as_owner, room).status_code == 302
    # An older page, kept on a phone, doesn't have the question.
    assert edited(as_owner, room, **{"room-outlines_of": ""}).status_code == 302
    after = room_to_file(room_with_parts(room))
    assert ("outlines_of" in before, "outlines_of" in after) == (False, False)
    assert "measured anew" not in as_owner.get(reverse("rooms:rough_in", args=[room.pk])).text


def test_it_is_said_again_for_a_new_room(as_owner, job):
    address = reverse("rooms:new", args=[job.pk])
    typed = fields_of(as_owner.get(address, {"shape": "wall"}).text)
    typed |= {"room-name": "Hall", "room-place": "dry_wall", "room-joint": "1/8", "room-outlines_of": "framing"}
    typed |= {"surface-0-width": "60", "surface-0-height": "90", "surface-0-build_up": ALL_OF_IT}
    typed |= {"tile-width": "12", "tile-height": "12", "tile-thickness": "3/8"}
    # Blocking for glass, two measures to its center; no width, no height.
    typed |= {"surface-0-openings": "1", "surface-0-opening-0-kind": "blocking glass"}
    typed |= {"surface-0-opening-0-corner": "lower right", "surface-0-opening-0-left": "2"}
    typed |= {"surface-0-opening-0-bottom": "78", "save": ""}
    assert as_owner.post(address, typed).status_code == 302
    room = room_with_parts(Room.objects.get())
    assert room.more["outlines_of"] == "framing"
    (wall,) = Surface.objects.all()
    assert wall.openings.count() == 0
    (blocking,) = room_to_file(room)["surfaces"][0]["blocking"]
    assert (blocking["for"], blocking["measured"]) == ("glass", {"from": "lower right"})
    assert blocking["at"] == ["1473.2 mm", "1981.2 mm"], "58 in and 78 in"
    # It comes back as it was typed, and can be moved and taken away.
    edit = reverse("rooms:edit", args=[room.pk])
    fields = fields_of(as_owner.get(edit).text)
    shown = {name: fields[f"surface-0-opening-0-{name}"] for name in ("kind", "corner", "left", "bottom", "width")}
    assert shown == {"kind": "blocking glass", "corner": "lower right", "left": '2"', "bottom": '78"', "width": ""}
    assert "Blocking for glass" in as_owner.get(reverse("rooms:detail", args=[room.pk])).text
    assert as_owner.post(edit, {**fields, "surface-0-opening-0-bottom": "80", "save": ""}).status_code == 302
    assert room_to_file(room_with_parts(room))["surfaces"][0]["blocking"][0]["at"][1] == "2032 mm"
    assert edited(as_owner, room, **{"surface-0-openings": "0"}).status_code == 302
    assert "blocking" not in room_to_file(room_with_parts(room))["surfaces"][0]


def test_blocking_of_a_file_comes_out_in_the_units_it_was_kept_in(job, owner):
    data = shower()
    data["surfaces"][2]["blocking"] = [{"at": [34, 78], "for": "grab bar"}]
    room = room_with_parts(import_room(job=job, data=data, place="shower", by=owner))
    assert room_to_file(room)["surfaces"][2]["blocking"] == [{"at": ["863.6 mm", "1981.2 mm"], "for": "grab bar"}]


def test_blocking_built_elsewhere_moves_its_mark(job, owner):
    data = shower()
    del data["surfaces"][2]["aim"]
    data["surfaces"][2]["blocking"] = [{"at": [30, 34], "for": "grab bar"}]
    room = import_room(job=job, data=data, place="shower", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    found = differences(RoughIn(layout), measured(layout, blocking_center_up="36"))
    assert built(layout.input, (), found)["surfaces"][2]["blocking"][0]["at"][1] == "914.4 mm"
