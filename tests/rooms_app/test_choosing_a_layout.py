"""Choosing freezes what went in and what came out, and moves the job on when every room has its layout."""

import json

import pytest
from django.db import IntegrityError, InternalError, ProgrammingError, connection, transaction
from django.urls import reverse
from django.utils.text import capfirst

import layout
from jobs.models import Stage
from layout.verify import faults
from rooms.actions import RoomChanged, choose_layout, import_room
from rooms.files import layout_input
from rooms.laying import fingerprint
from rooms.materials import beds_of
from rooms.models import Layout, Room
from rooms.queries import current_layout, current_layouts, room_with_parts
from shop.models import ShopSettings
from shop.templatetags.look import fractions
from tests.rooms_app.files import PLACES, one_wall, sample

pytestmark = pytest.mark.django_db


def page(room, **query):
    address = reverse("rooms:layout", args=[room.pk])
    return f"{address}?option={query['option']}" if query else address


def test_the_options_are_shown_with_their_drawings(as_owner, room):
    answer = as_owner.get(page(room))
    options = answer.context["result"].options
    assert len(options) > 1
    for option in options:
        assert fractions(capfirst(option.title)) in answer.text
        assert fractions(option.why) in answer.text
    assert answer.text.count('<figure class="drawing">') == 3
    assert answer.context["result"].chosen == 1
    assert as_owner.get(page(room, option=2)).context["result"].chosen == 2


@pytest.mark.parametrize("option", ["0", "99", "-1", "x", "²", "1" * 30])
def test_an_option_that_is_not_there_shows_the_first(as_owner, room, option):
    assert as_owner.get(page(room, option=option)).context["result"].chosen == 1


def test_choosing_freezes_everything(as_owner, room, owner, job):
    answer = as_owner.post(page(room), {"option": "2", "why": " The niche stays where it is "})
    assert answer.url == page(room)
    chosen = current_layout(room)
    data = layout_input(room_with_parts(room), units="in")
    assert (chosen.room, chosen.option, chosen.why, chosen.chosen_by) == (room, 2, "The niche stays where it is", owner)
    assert chosen.input == data
    assert chosen.input_sha256 == fingerprint(chosen.input) == fingerprint(data)
    assert chosen.engine_version == layout.ENGINE_VERSION
    engine_room = layout.read_room(chosen.input)
    result = layout.lay_out(engine_room, option=2)
    assert chosen.result == json.loads(layout.dumps(result.to_json()))
    taken = layout.take_off(engine_room, result, bed=beds_of(room))
    assert chosen.takeoff == json.loads(json.dumps(taken))
    assert chosen.title == result.options[1].title
    assert [drawing["id"] for drawing in chosen.drawings] == ["back", "left", "right"]
    assert all(drawing["svg"].startswith("<svg") for drawing in chosen.drawings)
    text = as_owner.get(page(room)).text
    assert "The niche stays where it is" in text
    assert as_owner.get(page(room)).context["result"].chosen == 2


@pytest.mark.parametrize("name", PLACES)
def test_the_independent_judge_finds_no_fault_in_what_was_kept(job, owner, name):
    room = import_room(job=job, data=sample(name), place=PLACES[name], by=owner)
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    assert faults(layout.read_room(chosen.input), chosen.result) == []


def test_the_job_moves_on_when_the_last_room_has_its_layout(job, room, owner):
    second = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
    choose_layout(room=second, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.PRICING
    # Another one in pricing: the job stays there.
    choose_layout(room=second, option=1, why="talked it over", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


def test_the_same_choice_twice_is_one(as_owner, room):
    for _ in range(2):
        assert as_owner.post(page(room), {"option": "1", "why": "even cuts"}).status_code == 302
    assert Layout.objects.count() == 1
    as_owner.post(page(room), {"option": "2", "why": "even cuts"})
    as_owner.post(page(room), {"option": "1", "why": "even cuts"})
    assert [each.option for each in Layout.objects.all()] == [1, 2, 1]


def test_a_choice_says_why_by_a_tap_or_in_words(as_owner, room):
    refused = as_owner.post(page(room), {"option": "1"})
    assert "Say why: tap a reason" in refused.text
    assert not Layout.objects.exists()
    assert as_owner.post(page(room), {"option": "1", "reason": "4"}).status_code == 302
    assert current_layout(room).why == "the client’s wish"
    # Words of one's own go before what was tapped.
    as_owner.post(page(room), {"option": "1", "reason": "4", "why": "she saw it at her sister’s"})
    assert current_layout(room).why == "she saw it at her sister’s"


def test_the_newest_counts(job, room, owner):
    second = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    assert current_layout(room) is None
    assert current_layouts(job) == {}
    choose_layout(room=room, option=1, why="", by=owner)
    newest = choose_layout(room=room, option=2, why="", by=owner)
    other = choose_layout(room=second, option=1, why="", by=owner)
    assert current_layout(room) == newest
    assert current_layouts(job) == {room.pk: newest, second.pk: other}


def test_a_room_that_changed_while_the_options_were_looked_at(as_owner, room):
    seen = as_owner.get(page(room)).context["seen"]
    Room.objects.filter(pk=room.pk).update(joint=5, joint_high=None)
    answer = as_owner.post(page(room), {"option": "1", "seen": seen, "why": "even cuts"})
    assert "Look at its options again" in answer.text
    assert not Layout.objects.exists()


def test_a_room_that_changed_while_the_engine_ran(room, owner, monkeypatch):
    from rooms import actions

    def slow(data, *, option):
        Room.objects.filter(pk=room.pk).update(joint=5, joint_high=None)
        return lay(data, option=option)

    lay = actions.lay
    monkeypatch.setattr(actions, "lay", slow)
    with pytest.raises(RoomChanged):
        choose_layout(room=room, option=1, why="", by=owner)
    assert not Layout.objects.exists()


@pytest.mark.parametrize("option", [0, 99])
def test_an_option_that_is_not_there_cannot_be_chosen(room, owner, option):
    with pytest.raises(layout.RoomError, match="no option"):
        choose_layout(room=room, option=option, why="", by=owner)


@pytest.mark.parametrize(
    ("pattern", "tile"),
    [
        ({"kind": "diagonal"}, {}),
        ({"kind": "herringbone"}, {"height": 200}),
        ({"kind": "herringbone", "angle": 0}, {"height": 200}),
        ({"kind": "hex"}, {}),
    ],
    ids=["diagonal", "herringbone", "herringbone along the walls", "hexagons"],
)
def test_every_pattern_is_laid_out_and_can_be_chosen(as_owner, job, owner, pattern, tile):
    data = one_wall(pattern=pattern, tile={"width": 100, "height": 100, "thickness": 8, **tile})
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    answer = as_owner.get(page(room))
    assert answer.context["result"].option.counts.whole >= 10
    assert answer.text.count('<figure class="drawing">') == 1
    assert as_owner.post(page(room), {"option": "1", "seen": answer.context["seen"], "reason": "1"}).status_code == 302
    chosen = current_layout(room)
    assert chosen.input["pattern"]["kind"] == pattern["kind"]
    assert chosen.result["options"][0]["surfaces"][0]["pieces"]
    assert as_owner.get(reverse("rooms:sheet", args=[room.pk])).status_code == 200
    assert as_owner.get(reverse("rooms:edit", args=[room.pk])).status_code == 200


def test_a_room_that_cannot_be_laid_out_is_said_and_nothing_breaks(as_owner, room):
    # The joint is wider than the tile: only somebody at the database can have written that.
    Room.objects.filter(pk=room.pk).update(joint=700, joint_high=None)
    text = as_owner.get(page(room)).text
    assert "can’t be laid out yet" in text
    assert reverse("rooms:edit", args=[room.pk]) in text
    assert "a joint is narrower" in as_owner.post(page(room), {"option": "1", "reason": "1"}).text
    assert as_owner.get(reverse("rooms:edit", args=[room.pk])).status_code == 200


def test_a_floor_of_too_many_tiles_is_said_and_nothing_hangs(as_owner, job, owner):
    hall = one_wall(tile={"width": 20, "height": 20, "thickness": 5})
    hall["surfaces"][0] |= {"kind": "floor", "outline": [[0, 0], [10_000, 0], [10_000, 5_000], [0, 5_000]]}
    room = import_room(job=job, data=hall, place="dry_floor", by=owner)
    assert "divide the room" in as_owner.get(page(room)).text
    with pytest.raises(layout.RoomError, match="divide the room"):
        choose_layout(room=room, option=1, why="", by=owner)


def test_a_wall_smaller_than_a_joint_is_said_and_nothing_breaks(as_owner, job, owner):
    data = one_wall()
    data["surfaces"][0]["outline"] = [[0, 0], [3, 0], [3, 3], [0, 3]]
    room = import_room(job=job, data=data, place="dry_wall", by=owner)
    assert as_owner.get(page(room)).status_code == 200
    assert as_owner.get(reverse("rooms:detail", args=[room.pk])).status_code == 200


def test_texts_are_in_the_shops_units_and_a_change_of_units_is_no_new_measure(as_owner, job, room, owner):
    choose_layout(room=room, option=1, why="", by=owner)
    ShopSettings.objects.create(units="mm")
    answer = as_owner.get(page(room))
    assert answer.context["stale"] is False
    assert answer.context["option"].least_cut.text.endswith(" mm")
    assert current_layout(room).result["options"][0]["least_cut"]["text"].endswith('"')


@pytest.mark.parametrize(
    "sql", ["UPDATE rooms_layout SET title = 'x'", "DELETE FROM rooms_layout", "TRUNCATE rooms_layout CASCADE"]
)
def test_what_was_chosen_cannot_be_changed_by_sql(room, owner, sql):
    choose_layout(room=room, option=1, why="", by=owner)
    with (
        pytest.raises((IntegrityError, InternalError, ProgrammingError)),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql)
    assert Layout.objects.count() == 1
