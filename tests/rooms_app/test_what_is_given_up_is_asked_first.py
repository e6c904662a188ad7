"""A room, a surface, or what was typed goes only after a question, and not where somebody else changed it meanwhile."""

import pytest
from django.urls import reverse

from jobs.actions import move_job
from jobs.models import Stage
from rooms.models import Room, Unfinished
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


def edit(room):
    return reverse("rooms:edit", args=[room.pk])


@pytest.fixture
def typed(as_owner, room):
    return fields_of(as_owner.get(edit(room)).text)


@pytest.fixture
def begun(as_owner, room, typed):
    as_owner.post(edit(room), {**typed, "surface-0-width": "half", "save": ""})
    return Unfinished.objects.get()


def test_no_button_of_the_page_gives_up_anything_at_once(as_owner, room, begun):
    text = as_owner.get(edit(room)).text
    for name in ("drop", "remove_room"):
        assert f'name="{name}"' not in text
        assert f'name="ask" value="{name}"' in text
    assert 'name="remove" value="surface:' not in text


@pytest.mark.parametrize("what", ["drop", "remove_room"])
def test_the_question_keeps_all_that_was_typed(as_owner, room, begun, what):
    fields = fields_of(as_owner.get(edit(room)).text)
    page = as_owner.post(edit(room), {**fields, "room-name": "Guest bath", "ask": what}).text
    assert f'name="{what}"' in page
    again = fields_of(page)
    assert (again["room-name"], again["surface-0-width"], again["seen"]) == ("Guest bath", "half", fields["seen"])
    assert (Unfinished.objects.count(), Room.objects.count()) == (1, 1)
    assert f'name="{what}"' not in as_owner.post(edit(room), {**again, "ask": ""}).text
    assert as_owner.post(edit(room), {**again, what: ""}).status_code == 302
    assert not Unfinished.objects.exists()
    assert Room.objects.exists() == (what == "drop")


@pytest.mark.parametrize("what", ["drop", "remove_room"])
def test_what_somebody_else_saved_since_is_not_given_up_with_it(as_owner, as_office, room, begun, what):
    mine = fields_of(as_owner.get(edit(room)).text)
    theirs = fields_of(as_office.get(edit(room)).text)
    as_office.post(edit(room), {**theirs, "surface-0-width": "forty", "save": ""})
    answer = as_owner.post(edit(room), {**mine, what: ""}, follow=True)
    assert "nothing is gone" in answer.text
    assert Unfinished.objects.get().typed["surface-0-width"] == "forty"
    assert Room.objects.exists()
    # Having seen it, one may.
    assert as_owner.post(edit(room), {**fields_of(answer.text), what: ""}).status_code == 302
    assert not Unfinished.objects.exists()


def test_an_unfinished_room_of_somebody_else_is_not_dropped_unseen(as_owner, as_office, job):
    new = reverse("rooms:new", args=[job.pk])
    as_owner.post(new, {**fields_of(as_owner.get(new, {"shape": "wall"}).text), "save": ""})
    at = reverse("rooms:unfinished", args=[Unfinished.objects.get().pk])
    mine, theirs = (fields_of(each.get(at).text) for each in (as_owner, as_office))
    as_office.post(at, {**theirs, "surface-0-width": "40", "save": ""})
    assert "nothing is gone" in as_owner.post(at, {**mine, "drop": ""}, follow=True).text
    assert Unfinished.objects.get().typed["surface-0-width"] == "40"


def test_a_surface_with_measures_is_asked_for_and_an_empty_one_just_goes(as_owner, job):
    new = reverse("rooms:new", args=[job.pk])
    shower = fields_of(as_owner.get(new, {"shape": "shower"}).text) | {"surface-1-width": "60"}
    page = as_owner.post(new, {**shower, "ask": "surface:1"}).text
    assert fields_of(page)["surfaces"] == "3"
    assert "Remove Back wall with all its measures" in page
    assert 'name="remove" value="surface:1"' in page
    assert fields_of(as_owner.post(new, {**fields_of(page), "remove": "surface:1"}).text)["surfaces"] == "2"
    gone = as_owner.post(new, {**shower, "ask": "surface:0"}).text
    assert (fields_of(gone)["surfaces"], "with all its measures" in gone) == ("2", False)


def test_a_surface_of_the_rooms_file_is_asked_for(as_owner, room, typed):
    page = as_owner.post(edit(room), {**typed, "surface-0-width": "", "surface-0-height": "", "ask": "surface:0"}).text
    assert fields_of(page)["surfaces"] == typed["surfaces"]


def test_of_a_locked_room_too(as_owner, owner, room, job, begun):
    for stage in (Stage.PRICING, Stage.PROPOSED):
        move_job(job=job, to=stage, by=owner)
    assert 'name="drop"' not in as_owner.get(edit(room)).text
    page = as_owner.post(edit(room), {"ask": "drop"}).text
    assert 'name="drop"' in page
    assert as_owner.post(edit(room), {"drop": ""}).status_code == 302
    assert not Unfinished.objects.exists()
