"""Without scripts: a new room saved, gone back to, corrected and saved again; and a save on a job locked meanwhile."""

import pytest
from django.urls import reverse

from jobs.actions import move_job
from jobs.models import Stage
from rooms.models import Room, Unfinished
from tests.factories import TileFactory
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def new(job):
    return reverse("rooms:new", args=[job.pk])


@pytest.fixture
def wall(as_owner, new):
    fields = fields_of(as_owner.get(new, {"shape": "wall"}).text)
    return fields | {"tile-tile": str(TileFactory().pk), "surface-0-width": "60", "surface-0-height": "18", "save": ""}


def edit(room):
    return reverse("rooms:edit", args=[room.pk])


def width() -> float:
    return float(Room.objects.get().surfaces.get().outline[1][0]) / 25.4


def test_corrected_after_it_was_saved_it_waits_beside_the_room(as_owner, new, wall):
    as_owner.post(new, wall)
    answer = as_owner.post(new, {**wall, "surface-0-width": "62"})
    assert answer.url == edit(Room.objects.get())
    assert (width(), Unfinished.objects.get().typed["surface-0-width"]) == (60, "62")
    page = as_owner.get(answer.url).text
    assert "Save it once more to put this into the room" in page
    assert as_owner.post(answer.url, {**fields_of(page), "save": ""}).status_code == 302
    assert (width(), Unfinished.objects.exists()) == (62, False)


def test_the_same_again_is_the_same_room(as_owner, new, wall):
    urls = {as_owner.post(new, wall).url for _ in range(2)}
    assert urls == {reverse("rooms:layout", args=[Room.objects.get().pk])}
    assert (Room.objects.count(), Unfinished.objects.count()) == (1, 0)


def test_other_unfinished_changes_are_not_replaced(as_owner, new, wall):
    as_owner.post(new, wall)
    room = Room.objects.get()
    as_owner.post(edit(room), {**fields_of(as_owner.get(edit(room)).text), "surface-0-width": "forty", "save": ""})
    answer = as_owner.post(new, {**wall, "surface-0-width": "62"})
    assert "see to those first" in answer.text
    assert fields_of(answer.text)["surface-0-width"] == "62"
    assert Unfinished.objects.get().typed["surface-0-width"] == "forty"


def test_an_unfinished_room_that_is_one_by_now_says_so_too(as_owner, new, wall):
    as_owner.post(new, {**wall, "surface-0-width": ""})
    at = reverse("rooms:unfinished", args=[Unfinished.objects.get().pk])
    fields = fields_of(as_owner.get(at).text) | {"surface-0-width": "60", "save": ""}
    assert as_owner.post(at, fields).status_code == 302
    assert as_owner.post(at, {**fields, "surface-0-width": "62"}).url == edit(Room.objects.get())
    assert (width(), Unfinished.objects.get().typed["surface-0-width"]) == (60, "62")


@pytest.mark.parametrize("where", ["new", "edit", "unfinished"])
def test_on_a_job_locked_meanwhile_all_that_was_typed_stands_there_again(as_owner, owner, job, new, wall, room, where):
    address, fields = new, wall
    if where == "edit":
        address = edit(room)
        fields = fields_of(as_owner.get(address).text) | {"save": ""}
    if where == "unfinished":
        as_owner.post(new, {**wall, "surface-0-width": ""})
        address = reverse("rooms:unfinished", args=[Unfinished.objects.get().pk])
        fields = fields_of(as_owner.get(address).text) | {"save": ""}
    for stage in (Stage.PRICING, Stage.PROPOSED):
        move_job(job=job, to=stage, by=owner)
    answer = as_owner.post(address, {**fields, "surface-0-width": "63 1/2", "room-name": "Hall"})
    assert "Withdraw it first" in answer.text
    assert "this isn’t saved" in answer.text
    again = fields_of(answer.text)
    assert (again["surface-0-width"], again["room-name"]) == ("63 1/2", "Hall")
    assert Room.objects.count() == 1
    move_job(job=job, to=Stage.PRICING, by=owner)
    assert as_owner.post(address, {**again, "surface-0-width": "64", "save": ""}).status_code == 302
