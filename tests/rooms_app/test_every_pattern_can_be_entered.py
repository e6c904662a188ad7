"""The form offers every pattern that is laid out, and says beside the field what doesn't go together."""

import pytest
from django.urls import reverse

from rooms.actions import change_room, import_room
from rooms.files import layout_input, room_to_file
from rooms.models import Room
from rooms.queries import room_with_parts
from tests.rooms_app.files import one_wall
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db

OBLONG = {"width": 100, "height": 200, "thickness": 8}

PATTERNS = {
    "stack": {"kind": "stack"},
    "1/2": {"kind": "offset", "share": "1/2"},
    "diagonal": {"kind": "diagonal"},
    "herringbone": {"kind": "herringbone"},
    "herringbone 0": {"kind": "herringbone", "angle": 0},
    "hex": {"kind": "hex"},
}


@pytest.fixture
def room(job, owner):
    return import_room(job=job, data=one_wall(tile=OBLONG), place="dry_wall", by=owner)


@pytest.fixture
def save(as_owner, room):
    """Saves the room's form with this changed; the answer."""

    def act(**typed):
        address = reverse("rooms:edit", args=[room.pk])
        fields = fields_of(as_owner.get(address).text)
        return as_owner.post(
            address, {**fields, **{name.replace("_", "-", 1): typed[name] for name in typed}, "save": ""}
        )

    return act


def pattern_of(room):
    return layout_input(room_with_parts(room), units="mm")["pattern"]


def only(pattern):
    return {key: pattern[key] for key in ("kind", "share", "angle") if key in pattern}


@pytest.mark.parametrize("picked", PATTERNS)
def test_what_is_picked_is_what_the_engine_gets(save, room, picked):
    assert save(room_pattern=picked).status_code == 302
    assert only(pattern_of(room)) == PATTERNS[picked]


@pytest.mark.parametrize("picked", PATTERNS)
def test_a_room_of_that_pattern_comes_back_as_it_is(as_owner, save, room, owner, picked):
    change_room(room=room, data=one_wall(tile=OBLONG, pattern=PATTERNS[picked]), by=owner)
    before = room_to_file(room_with_parts(room))
    text = as_owner.get(reverse("rooms:edit", args=[room.pk])).text
    assert f'<option value="{picked}" selected>' in text
    assert save().status_code == 302
    assert room_to_file(room_with_parts(room)) == before


def test_no_angle_stays_behind_where_another_pattern_is_picked(save, room):
    for picked in ("herringbone 0", "hex", "herringbone", "herringbone 0", "herringbone", "stack"):
        save(room_pattern=picked)
        assert only(pattern_of(room)) == PATTERNS[picked]


def test_an_angle_of_45_that_a_file_says_stays(save, room, owner):
    change_room(room=room, data=one_wall(tile=OBLONG, pattern={"kind": "herringbone", "angle": 45}), by=owner)
    save()
    assert only(pattern_of(room)) == {"kind": "herringbone", "angle": 45}


@pytest.fixture
def square(room, owner):
    change_room(room=room, data=one_wall(), by=owner)
    return room


def test_what_a_tile_cannot_do_is_said_beside_the_pattern(save, square):
    answer = save(room_pattern="herringbone")
    assert answer.status_code == 200
    assert answer.context["entry"].room_form.errors["pattern"] == [
        "a herringbone needs a tile that is longer than wide"
    ]
    assert 'id="id_room-pattern"' in answer.text
    assert Room.objects.get().pattern == "stack"


def test_a_surface_with_a_pattern_of_its_own_hears_it_itself(save, room, owner):
    data = one_wall(tiles={"square": {"width": 100, "height": 100, "thickness": 8}}, tile=OBLONG)
    wall = data["surfaces"][0]
    data["surfaces"].append({**wall, "id": "b", "tile": "square", "pattern": {"kind": "stack"}})
    data["surfaces"].append({**wall, "id": "c", "tile": "square"})
    change_room(room=room, data=data, by=owner)
    # The third one takes the room's pattern, with a tile of its own that can't be laid so.
    errors = save(room_pattern="herringbone").context["entry"].room_form.errors
    assert list(errors) == ["pattern"]


def test_a_joint_that_the_room_gives_is_judged_beside_the_rooms_joint(save, room):
    answer = save(room_joint="150")
    assert "a joint is narrower" in answer.context["entry"].room_form.errors["joint"][0]


def test_a_pin_that_does_not_go_with_the_pattern_is_said_at_its_surface(save, room, owner):
    data = one_wall(tile=OBLONG)
    data["surfaces"][0]["pin"] = {"x": "tile-centered"}
    change_room(room=room, data=data, by=owner)
    answer = save(room_pattern="diagonal")
    assert "pin it by a length" in " ".join(answer.context["entry"].non_field_errors())
