"""The layout page without scripts and what it tells a script: lines put by hand, refused, followed and chosen."""

import json
import random
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

import layout
from jobs.actions import move_job
from layout.verify import faults
from rooms import laying
from rooms.actions import choose_layout, import_room
from rooms.chosen import chosen_room
from rooms.files import layout_input
from rooms.following import _followed
from rooms.models import Layout, Room
from rooms.queries import current_layout, is_stale, room_with_parts
from rooms.varying import read_asked
from tests.factories import RoomFactory
from tests.rooms_app.files import changeable, one_wall, option_that

pytestmark = pytest.mark.django_db

# The factory's shower: back wall 60 in, left and right 36 in, 96 in high; the walls share one level line.
LINES = {"x0": "30", "y0": "3 1/2", "x1": "18 1/16", "x2": "17"}


def address(room, name="layout"):
    return reverse(f"rooms:{name}", args=[room.pk])


def answer_to(client, room, **query):
    return json.loads(client.get(address(room, "nudge"), query).content)


def test_lines_stand_where_they_were_typed(as_owner, room):
    answer = as_owner.get(address(room), LINES)
    datums = answer.context["option"].datums
    # An inch is 25.4 mm.
    assert datums == {"back": (762.0, 88.9), "left": (458.7875, 88.9), "right": (431.8, 88.9)}
    assert answer.context["option"].title == "Set by hand"
    assert [line.value for line in answer.context["lines"]] == ['30"', '18 1/16"', '17"', '3 1/2"']
    assert 'name="x1" value="18 1/16&quot;"' in answer.text


def test_a_script_is_told_what_the_page_says(as_owner, room):
    page, told = as_owner.get(address(room), LINES), answer_to(as_owner, room, **LINES, settled="1")
    figures = page.context["figures"]
    assert told["counted"] == [figures.mm, figures.cut, figures.needed]
    assert sorted(told["faces"]) == sorted(told["places"]) == ["0", "1", "2"]
    for marks in told["faces"].values():
        # What the page draws of a surface is what the script puts in its place.
        assert marks in page.text
    for drawing in page.context["drawings"]:
        assert drawing["svg"] in told["drawings"]
    assert told["lines"]["x1"] == '18 1/16"'
    assert told["said"] == f"Smallest cut {figures.least}, {figures.cut} cut pieces."


def test_tiles_are_not_told_before_they_are_counted(as_owner, room):
    told = answer_to(as_owner, room, **LINES)
    assert told["counted"][2] is None
    assert told["figures"].count("counting …") == 2
    assert "drawings" not in told
    assert "counting …" not in answer_to(as_owner, room, **LINES, settled="1")["figures"]


def test_the_room_is_moved_as_its_file_would_be(room):
    """`lined` spares reading the file anew: it must make the same room of the same lines, whatever else is set anew."""
    rng = random.Random(6)
    plain = layout_input(room_with_parts(room), units="in")
    for _ in range(40):
        data = {**plain, "wrap": rng.random() < 0.5, "pin": rng.choice([{}, {"x": "full-at-left", "y": "full-at-top"}])}
        raw = {f"{rng.choice('xy')}{rng.randrange(4)}": f"{rng.uniform(1, 40):.4f} mm" for _ in range(rng.randrange(6))}
        raw |= rng.choice([{}, {"share": "1/2"}, {"turned": "yes"}, {"across": "tile-centered"}, {"wrap": "yes"}])
        asked = read_asked(raw, unit="in")
        whole = layout.read_room(asked.applied(data))
        assert asked.lined(layout.read_room(asked.searched.applied(data))) == whole


def test_moves_one_after_the_other_say_what_each_says_alone(as_owner, room):
    moves = [LINES, {**LINES, "x1": "18"}, {**LINES, "x1": "18", "y0": "4"}, LINES, {**LINES, "wrap": "yes"}]
    told = [answer_to(as_owner, room, **move) for move in moves]
    for move, answer in zip(moves, told, strict=True):
        _followed.cache_clear()
        assert answer_to(as_owner, room, **move) == answer
    assert told[0]["faces"]["1"] != told[1]["faces"]["1"]


def test_what_cannot_be_read_is_said_beside_it_and_stays_typed(as_owner, room):
    answer = as_owner.get(address(room), {**LINES, "x1": "a third", "x0": "300"})
    assert 'value="a third"' in answer.text
    # Off the wall, but nothing that was typed is lost.
    assert 'name="x0" value="300"' in answer.text
    answer = as_owner.get(address(room), {**LINES, "x1": "a third"})
    assert "can&#x27;t be read as a length" in answer.text
    assert 'aria-describedby="wrong-x1"' in answer.text
    assert 'name="x0" value="30"' in answer.text
    told = as_owner.get(address(room, "nudge"), {**LINES, "x1": "a third"})
    assert (told.status_code, "be read" in told.json()["refused"]) == (422, True)


def test_a_line_off_the_wall_is_refused_and_says_how_far(as_owner, room):
    answer = as_owner.get(address(room), {**LINES, "x1": "80"})
    assert "right of what is tiled of" in answer.text
    assert 'name="x1" value="80"' in answer.text
    assert answer.context["option"].title == "Recommended"
    told = as_owner.get(address(room, "nudge"), {**LINES, "x1": "80"})
    assert (told.status_code, "right of what is tiled of" in told.json()["refused"]) == (422, True)
    assert (told.json()["refused"][0], told.json()["refused"][-1]) == ("T", ".")


@pytest.mark.parametrize("query", [{}, {"x0": "30"}, {"x99": "30"}, {"moved": "0,9,1,1;x;9,9,9,9"}, {"joint": "0"}])
def test_an_address_that_says_too_little_breaks_nothing(as_owner, room, query):
    assert as_owner.get(address(room), query).status_code == 200
    assert as_owner.get(address(room, "nudge"), query).status_code in (200, 422)
    assert as_owner.get(address(room, "foreseen"), query).status_code == 200


def test_lines_set_by_hand_are_chosen_with_why_and_kept(as_owner, room, owner):
    earlier = choose_layout(room=room, option=2, why="first thought", by=owner)
    kept = {name: getattr(earlier, name) for name in ("input", "result", "drawings", "title")}
    seen = as_owner.get(address(room), LINES).context["seen"]
    answer = as_owner.post(address(room), {**LINES, "option": "1", "why": "the niche sits even", "seen": seen})
    assert answer.status_code == 302
    chosen = current_layout(room)
    assert (chosen.title, chosen.why, chosen.chosen_by) == ("Set by hand", "the niche sits even", owner)
    assert chosen.result["options"][0]["surfaces"][0]["datum"] == [762.0, 88.9]
    assert faults(layout.read_room(chosen.input), chosen.result) == []
    assert chosen.measured == layout_input(room_with_parts(room), units="in")
    assert not is_stale(room_with_parts(room), chosen)
    # The page opens as it was chosen, and both choices can be looked at.
    page = as_owner.get(address(room))
    assert page.context["option"].datums["back"] == (762.0, 88.9)
    assert page.context["is_chosen"]
    for each in (chosen, earlier):
        assert reverse("rooms:chosen", args=[each.pk]) in page.text
        assert each.why in as_owner.get(reverse("rooms:chosen", args=[each.pk])).text
    old = Layout.objects.get(pk=earlier.pk)
    assert {name: getattr(old, name) for name in kept} == kept
    assert "An earlier choice" in as_owner.get(reverse("rooms:chosen", args=[earlier.pk])).text
    assert "An earlier choice" not in as_owner.get(reverse("rooms:chosen", args=[chosen.pk])).text


def test_a_room_measured_anew_makes_a_hand_set_layout_stale(as_owner, room, owner):
    choose_layout(room=room, option=1, why="", by=owner, asked=read_asked(LINES, unit="in"))
    Room.objects.filter(pk=room.pk).update(joint=5, joint_high=None)
    assert is_stale(room_with_parts(room), current_layout(room))
    assert "measured anew" in as_owner.get(address(room)).text


def test_lines_move_from_where_an_option_put_them_with_what_it_changes(as_owner, job, owner):
    room = import_room(job=job, data=changeable(), place="shower", by=owner)
    result = laying.lay(layout_input(room_with_parts(room), units="in")).result
    page = as_owner.get(address(room), {"option": option_that(result, "openings")})
    moved, lines = page.context["moved_from"], {line.name: line.value for line in page.context["lines"]}
    # Surface 0, its opening 0, 2 13/16 in up.
    assert moved == {"moved": "0,0,0,71.4375"}
    answer = as_owner.get(address(room), {**moved, **lines, "x0": "29"})
    assert answer.context["changes"] == [
        'Niche on Back wall moved 2 13/16" up: now 18" from the left, 44 13/16" from the bottom.'
    ]
    assert as_owner.post(address(room), {**moved, **lines, "x0": "29", "option": "1", "reason": "0"}).status_code == 302
    chosen = current_layout(room)
    assert chosen_room(chosen).texts() == answer.context["changes"]
    assert not is_stale(room_with_parts(room), chosen)


def test_a_floor_of_too_many_tiles_is_moved_by_typing(as_owner, job, owner, monkeypatch):
    monkeypatch.setattr(laying, "MOST_FOLLOWED", 40)
    room = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    page = as_owner.get(address(room), {"x0": "500 mm", "y0": "20 mm"})
    assert page.context["option"].datums == {"wall": (500.0, 20.0)}
    assert "data-nudge" not in page.text
    told = as_owner.get(address(room, "nudge"), {"x0": "500 mm", "y0": "20 mm"})
    assert (told.status_code, "type the lengths" in told.json()["refused"]) == (422, True)


def test_a_locked_job_shows_its_lines_but_takes_no_choice(as_owner, room, job, owner):
    for stage in ("pricing", "lost"):
        move_job(job=job, to=stage, by=owner)
    page = as_owner.get(address(room), LINES)
    assert "This job wasn&#x27;t taken" in page.text
    assert "Use this layout" not in page.text
    assert as_owner.post(address(room), {**LINES, "option": "1", "reason": "0"}).status_code == 200
    assert not Layout.objects.exists()


def test_outsiders_are_told_nothing(as_installer, as_other_installer, client, room, owner):
    chosen = choose_layout(room=room, option=1, why="", by=owner)
    for url in (address(room, "nudge"), address(room, "foreseen"), reverse("rooms:chosen", args=[chosen.pk])):
        assert as_installer.get(url).status_code == 403
        assert as_other_installer.get(url).status_code == 403
        assert client.get(url).status_code == 302


def test_queries_do_not_grow_with_choices_or_surfaces(as_owner, job, owner):
    wall = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    shower = RoomFactory(job=job)
    for n in range(3):
        choose_layout(room=shower, option=1, why=f"reason {n}", by=owner)
    choose_layout(room=wall, option=1, why="", by=owner)
    counts = []
    for room in (wall, shower):
        for name in ("layout", "nudge"):
            with CaptureQueriesContext(connection) as queries:
                as_owner.get(address(room, name), {"x0": "15", "y0": "1"} if room == wall else LINES)
            counts.append(len(queries))
    assert counts[:2] == counts[2:]


def test_typed_lengths_are_in_the_shops_unit():
    assert read_asked({"x0": "30"}, unit="in").hand == {("x", 0): Decimal(762)}
    assert read_asked({"x0": "30"}, unit="mm").hand == {("x", 0): Decimal(30)}
    asked = read_asked({"x0": "30", "y12": "1/16", "wrap": "no", "share": "2/4", "moved": "1,0,-2.5,0"}, unit="in")
    assert read_asked(asked.query(), unit="mm") == asked
