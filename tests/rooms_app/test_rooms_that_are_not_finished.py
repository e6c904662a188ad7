"""What can't be a room yet is kept as it was typed, says what it lacks, and gets no layout before it is right."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from base.keys import uuid7
from jobs.actions import move_job
from jobs.models import Stage
from rooms.actions import RoomUnfinished, choose_layout
from rooms.models import Room, Unfinished
from rooms.shapes import BY_KEY
from tests.factories import JobFactory, TileFactory
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(job):
    return reverse("rooms:new", args=[job.pk])


@pytest.fixture
def shower(as_owner, address):
    """A three-wall shower, filled in but for the width of its back wall."""
    typed = {**fields_of(as_owner.get(address, {"shape": "shower"}).text), "tile-tile": str(TileFactory().pk)}
    typed |= {"surface-0-width": "36", "surface-0-height": "8'", "surface-0-build_up": "9/16"}
    return typed | {"surface-2-width": "36", "save": ""}


def at(unfinished):
    return reverse("rooms:unfinished", args=[unfinished.pk])


def test_a_new_room_has_a_name_a_place_and_the_usual_joints(as_owner, address):
    typed = fields_of(as_owner.get(address, {"shape": "shower"}).text)
    # EJ171-09 (TRADE.md): soft joints of wall tile never below 1/8 in, of interior floor tile 1/4 in.
    assert (typed["room-name"], typed["room-place"], typed["room-edge_gap"]) == ("Shower", "shower", "1/8")
    assert fields_of(as_owner.get(address, {"shape": "floor"}).text)["surface-0-edge_gap"] == "1/4"


def test_what_cannot_be_yet_is_kept_with_all_that_was_typed(as_owner, address, shower, job):
    answer = as_owner.post(address, {**shower, "surface-0-width": "thirty six"})
    kept = Unfinished.objects.get()
    assert not Room.objects.exists()
    assert (kept.job, kept.name, str(kept.pk)) == (job, "Shower", shower["key"])
    assert "Kept unfinished" in answer.text
    assert 'href="#id_surface-1-width"' in answer.text
    page = as_owner.get(at(kept))
    again = fields_of(page.text)
    del again["csrfmiddlewaretoken"], again["seen"], again["after"], shower["csrfmiddlewaretoken"]
    assert again | {"save": ""} == shower | {"surface-0-width": "thirty six"}
    assert "can&#x27;t be read as a length" in page.text
    listed = as_owner.get(reverse("home:job", args=[job.pk])).text
    assert at(kept) in listed
    assert "Back wall: Width: This field is required" in listed


def test_finished_it_is_a_room_and_no_longer_unfinished(as_owner, address, shower):
    as_owner.post(address, shower)
    kept = Unfinished.objects.get()
    answer = as_owner.post(at(kept), {**fields_of(as_owner.get(at(kept)).text), "surface-1-width": "60", "save": ""})
    room = Room.objects.get()
    assert (room.pk, answer.url) == (kept.pk, reverse("rooms:layout", args=[room.pk]))
    assert not Unfinished.objects.exists()
    assert [wall.build_up for wall in room.surfaces.all()] == [room.surfaces.first().build_up] * 3
    # Who still has the page open is led to the room.
    assert as_owner.get(at(kept)).url == answer.url
    # The new corners have the soft joint of walls.
    assert [float(corner.soft) for corner in room.corners.all()] == [3.175, 3.175]


def test_sent_twice_it_is_kept_once_and_the_later_counts(as_owner, address, shower):
    as_owner.post(address, shower)
    as_owner.post(address, {**shower, "room-name": "Guest shower"})
    assert Unfinished.objects.get().name == "Guest shower"


def test_diagonals_that_do_not_close_are_kept_and_told_beside_their_field(as_owner, address, shower):
    typed = {**shower, "surface-1-width": "60", "surface-1-falling": "113 3/16", "surface-1-rising": "114"}
    entry = as_owner.post(address, typed).context["entry"]
    assert "doesn't close" in entry.surfaces[1].form.errors["rising"][0]
    assert any("Diagonal, lower left" in text for text in Unfinished.objects.get().lacks)


def test_an_opening_outside_is_kept_and_told(as_owner, address, shower):
    typed = fields_of(as_owner.post(address, {**shower, "add": "opening:1"}).text)
    typed |= {"surface-1-width": "60", "surface-1-opening-0-corner": "lower right", "save": ""}
    sizes = {"left": "50", "bottom": "40", "width": "14", "height": "14"}
    typed |= {f"surface-1-opening-0-{name}": value for name, value in sizes.items()}
    as_owner.post(address, typed)
    (text,) = Unfinished.objects.get().lacks
    assert "reaches outside" in text
    assert "reaches outside" in as_owner.get(at(Unfinished.objects.get())).text


def test_a_room_with_unfinished_changes_keeps_its_measures_and_gets_no_layout(as_owner, room, owner, job):
    address = reverse("rooms:edit", args=[room.pk])
    typed = {**fields_of(as_owner.get(address).text), "surface-0-width": "half", "save": ""}
    before = list(room.surfaces.values_list("outline", flat=True))
    assert as_owner.post(address, typed).status_code == 200
    assert list(room.surfaces.values_list("outline", flat=True)) == before
    with pytest.raises(RoomUnfinished):
        choose_layout(room=room, option=1, why="", by=owner)
    assert fields_of(as_owner.get(address).text)["surface-0-width"] == "half"
    as_owner.post(address, {**fields_of(as_owner.get(address).text), "surface-0-width": "37", "save": ""})
    assert not Unfinished.objects.exists()
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


def test_changes_can_be_dropped(as_owner, room):
    address = reverse("rooms:edit", args=[room.pk])
    typed = fields_of(as_owner.get(address).text)
    as_owner.post(address, {**typed, "surface-0-width": "half", "save": ""})
    again = fields_of(as_owner.get(address).text)
    assert as_owner.post(address, {**again, "drop": ""}).url == reverse("rooms:detail", args=[room.pk])
    assert not Unfinished.objects.exists()
    assert fields_of(as_owner.get(address).text)["surface-0-width"] == typed["surface-0-width"]


def test_an_unfinished_room_holds_its_job_at_measuring(as_owner, address, shower, job, room, owner):
    as_owner.post(address, shower)
    choose_layout(room=room, option=1, why="", by=owner)
    job.refresh_from_db()
    assert job.stage == Stage.MEASURING
    assert "Shower is measured, but unfinished" in as_owner.get(reverse("estimating:estimate", args=[job.pk])).text
    as_owner.post(at(Unfinished.objects.get()), {"drop": ""})
    job.refresh_from_db()
    assert job.stage == Stage.PRICING


def test_nothing_is_kept_for_a_job_whose_rooms_are_locked(as_owner, address, shower, job, owner):
    for stage in ("pricing", "proposed"):
        move_job(job=job, to=stage, by=owner)
    as_owner.post(address, shower)
    assert not Unfinished.objects.exists()
    answer = as_owner.post(address, shower, headers={"Phone-Item": str(uuid7())})
    assert (answer.status_code, answer.json()["kept"]) == (422, False)


def test_a_key_of_another_job_is_not_taken(as_owner, address, shower):
    as_owner.post(reverse("rooms:new", args=[JobFactory().pk]), shower)
    answer = as_owner.post(address, shower)
    assert "another job" in answer.text
    assert Unfinished.objects.count() == 1


def test_the_installer_and_the_outsider_cannot_open_it(as_owner, as_installer, as_other_installer, address, shower):
    as_owner.post(address, shower)
    for client in (as_installer, as_other_installer):
        assert client.get(at(Unfinished.objects.get())).status_code == 403


def test_the_phones_queue_gets_a_receipt_whole_or_not(as_owner, address, shower):
    unfinished, whole = uuid7(), uuid7()
    for key, typed in ((unfinished, shower), (whole, {**shower, "surface-1-width": "60"})):
        for _again in range(2):
            answer = as_owner.post(address, {**typed, "key": str(key)}, headers={"Phone-Item": str(key)})
            assert answer.json() == {"kept": True, "id": str(key)}
    assert (Room.objects.get().pk, Unfinished.objects.get().pk) == (whole, unfinished)


def test_the_job_page_takes_as_many_queries_for_many_unfinished_rooms(as_owner, address, shower, job):
    page = reverse("home:job", args=[job.pk])

    def queries() -> int:
        with CaptureQueriesContext(connection) as found:
            as_owner.get(page)
        return len(found)

    as_owner.post(address, shower)
    few = queries()
    for _ in range(3):
        as_owner.post(address, {**shower, "key": str(uuid7())})
    assert queries() == few


def test_the_day_takes_along_the_pages_of_new_rooms_for_the_office_alone(as_owner, as_installer, address, job):
    pages = as_owner.get(reverse("home:phone_day")).json()["pages"]
    assert {f"{address}?shape={key}" for key in BY_KEY} <= set(pages)
    assert as_owner.get(f"{address}?shape=tub").headers["Phone-Keep"]
    assert not [page for page in as_installer.get(reverse("home:phone_day")).json()["pages"] if "/new/?" in page]


def test_what_is_added_to_a_new_room_leaves_it_to_the_phones_queue(as_owner, address, shower):
    del shower["save"]
    added = as_owner.post(address, {**shower, "add": "opening:0"}).text
    assert "data-queue " in added
    assert reverse("rooms:unfinished", args=["00000000-0000-0000-0000-000000000000"]) in added
    assert "data-queue " not in as_owner.post(address, {**shower, "save": ""}).text
