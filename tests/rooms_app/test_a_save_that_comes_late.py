"""A save that waited on a phone is taken once. What somebody else did meanwhile is never overwritten, and what was
typed is never lost: it is kept beside, and the phone is told."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from base.keys import uuid7
from jobs.actions import move_job
from jobs.models import Job, Stage
from rooms.actions import drop_unfinished, remove_room
from rooms.models import PhoneSave, Room, Unfinished
from rooms.shapes import BY_KEY
from tests.factories import RoomFactory, TileFactory
from tests.rooms_app.pages import fields_of

pytestmark = pytest.mark.django_db


def edit(room):
    return reverse("rooms:edit", args=[room.pk])


def send(client, address, typed, key=None, **more):
    """What the phone's queue sends: the form with its own key for it."""
    key = key or uuid7()
    return client.post(address, {**typed, **more, "key": str(key), "save": ""}, headers={"Phone-Item": str(key)})


def width(room):
    """Of the room's first surface, in."""
    return round(float(room.surfaces.first().outline[1][0]) / 25.4, 4)


@pytest.fixture
def typed(as_owner, room):
    """The page as it lay on the phone."""
    return fields_of(as_owner.get(edit(room)).text)


@pytest.fixture
def begun(as_owner, job):
    """A shower whose widths nobody has typed yet."""
    new = reverse("rooms:new", args=[job.pk])
    fields = fields_of(as_owner.get(new, {"shape": "shower"}).text)
    as_owner.post(new, {**fields, "tile-tile": str(TileFactory().pk), "save": ""})
    return Unfinished.objects.get()


def at(unfinished):
    return reverse("rooms:unfinished", args=[unfinished.pk])


def test_sent_twice_a_change_is_made_once(as_owner, room, typed):
    key = uuid7()
    for _ in range(2):
        answer = send(as_owner, edit(room), typed, key, **{"surface-0-width": "37"})
        assert (answer.status_code, answer.json()) == (200, {"kept": True, "id": str(key)})
    assert (width(room), PhoneSave.objects.count(), Unfinished.objects.count()) == (37, 1, 0)
    # And not once more after somebody has changed it since.
    later = fields_of(as_owner.get(edit(room)).text)
    as_owner.post(edit(room), {**later, "surface-0-width": "38", "save": ""})
    assert send(as_owner, edit(room), typed, key, **{"surface-0-width": "37"}).json()["kept"] is True
    assert (width(room), Unfinished.objects.count()) == (38, 0)


def test_what_cannot_be_yet_is_kept_unfinished_with_a_receipt(as_owner, room, typed):
    before = width(room)
    assert send(as_owner, edit(room), typed, **{"surface-0-width": "half"}).status_code == 200
    assert Unfinished.objects.get().typed["surface-0-width"] == "half"
    assert width(room) == before


def test_two_saves_of_one_page_follow_each_other(as_owner, room, typed):
    """The form stays as it was saved, and says which save it goes on from."""
    first = uuid7()
    send(as_owner, edit(room), typed, first, **{"surface-0-width": "37"})
    answer = send(as_owner, edit(room), typed, after=str(first), **{"surface-0-width": "37", "room-name": "Big bath"})
    assert answer.status_code == 200
    room.refresh_from_db()
    assert (width(room), room.name) == (37, "Big bath")
    # A page that doesn't hold the earlier save would take it back unseen.
    assert send(as_owner, edit(room), typed, **{"room-name": "Old bath"}).status_code == 422
    room.refresh_from_db()
    assert (width(room), room.name) == (37, "Big bath")


def test_what_somebody_else_changed_stays_and_the_late_one_is_kept_beside(as_owner, as_office, room, typed):
    as_office.post(edit(room), {**fields_of(as_office.get(edit(room)).text), "surface-0-width": "40", "save": ""})
    key = uuid7()
    for _ in range(2):
        answer = send(as_owner, edit(room), typed, key, **{"surface-0-width": "37"})
        assert answer.status_code == 422
        assert "Somebody else changed this room" in answer.json()["errors"]["__all__"][0]
        assert "kept as unfinished changes" in answer.json()["errors"]["__all__"][0]
    kept = Unfinished.objects.get()
    assert (width(room), kept.pk, kept.room, kept.typed["surface-0-width"]) == (40, key, room, "37")
    assert edit(room) in as_office.get(reverse("rooms:detail", args=[room.pk])).text
    page = as_office.get(edit(room)).text
    assert "Width: 40&quot; in the room, 37 typed" in page
    # Whoever has seen both decides.
    again = fields_of(page)
    assert again["key"] == str(key)
    assert as_office.post(edit(room), {**again, "save": ""}).status_code == 302
    assert (width(room), Unfinished.objects.count()) == (37, 0)
    # That was the answer: the phone, which never heard of it, is told that all is well.
    assert send(as_owner, edit(room), typed, key, **{"surface-0-width": "37"}).status_code == 200
    assert (width(room), Unfinished.objects.count()) == (37, 0)


def test_to_mend_it_by_hand_shows_both_before_it_replaces(as_owner, as_office, room, typed):
    """The phone's own button sends the form as a browser would."""
    as_office.post(edit(room), {**fields_of(as_office.get(edit(room)).text), "surface-0-width": "40", "save": ""})
    key = uuid7()
    parked = {**typed, "surface-0-width": "37", "key": str(key), "save": ""}
    send(as_owner, edit(room), parked, key)
    page = as_owner.post(edit(room), parked).text
    assert "Width: 40&quot; in the room, 37 typed" in page
    again = fields_of(page)
    assert (width(room), again["key"], again["surface-0-width"]) == (40, str(key), "37")
    assert send(as_owner, edit(room), again).status_code == 200
    assert (width(room), Unfinished.objects.count()) == (37, 0)


def test_unfinished_changes_of_somebody_else_are_not_replaced(as_owner, as_office, room, typed):
    as_office.post(edit(room), {**fields_of(as_office.get(edit(room)).text), "surface-0-width": "forty", "save": ""})
    answer = send(as_owner, edit(room), typed, **{"surface-0-width": "37"})
    assert answer.status_code == 422
    assert "see to those first" in answer.text
    assert Unfinished.objects.get().typed["surface-0-width"] == "forty"
    assert not PhoneSave.objects.exists()


def test_a_locked_room_stays_and_what_was_typed_can_be_read_and_dropped(as_owner, owner, room, typed):
    for stage in (Stage.PRICING, Stage.PROPOSED, Stage.WORKING):
        move_job(job=Job.objects.get(pk=room.job_id), to=stage, by=owner)
    before = width(room)
    answer = send(as_owner, edit(room), typed, **{"surface-0-width": "37"})
    assert answer.status_code == 422
    assert "needs a change order" in answer.json()["errors"]["__all__"][0]
    assert width(room) == before
    assert edit(room) in as_owner.get(reverse("rooms:detail", args=[room.pk])).text
    assert "37 typed" in as_owner.get(edit(room)).text
    assert as_owner.post(edit(room), {"drop": ""}).status_code == 302
    assert not Unfinished.objects.exists()


def test_a_removed_room_comes_back_as_an_unfinished_one(as_owner, room, owner, typed, job):
    address = edit(room)
    remove_room(room=room, by=owner)
    key = uuid7()
    for _ in range(2):
        answer = send(as_owner, address, typed, key, **{"surface-0-width": "37"})
        assert answer.status_code == 422
        assert "was removed" in answer.json()["errors"]["__all__"][0]
    kept = Unfinished.objects.get()
    assert (kept.pk, kept.room, kept.job, kept.typed["surface-0-width"]) == (key, None, job, "37")
    assert not Room.objects.exists()
    assert at(kept) in as_owner.get(reverse("home:job", args=[job.pk])).text
    # The phone's button for what wasn't taken leads there.
    assert as_owner.post(address, {**typed, "key": str(key), "save": ""}).url == at(kept)
    assert fields_of(as_owner.get(at(kept)).text)["key"] == str(key)


def test_an_unfinished_room_is_finished_once(as_owner, begun):
    typed = fields_of(as_owner.get(at(begun)).text)
    whole = {f"surface-{n}-{name}": text for n in range(3) for name, text in (("width", "36"), ("build_up", "9/16"))}
    key = uuid7()
    for _ in range(2):
        assert send(as_owner, at(begun), typed, key, **whole, **{"surface-0-height": "96"}).status_code == 200
    room = Room.objects.get()
    assert (room.pk, Unfinished.objects.count(), room.surfaces.count()) == (begun.pk, 0, 3)
    # A second phone had the page as it was before.
    answer = send(as_owner, at(begun), typed, **{"surface-0-width": "30"})
    assert (answer.status_code, width(room)) == (422, 36)
    assert Unfinished.objects.get().room == room
    assert as_owner.get(at(begun)).url == edit(room)


def test_what_others_typed_of_an_unfinished_room_stays_beside_it(as_owner, as_office, begun):
    typed = fields_of(as_owner.get(at(begun)).text)
    as_office.post(at(begun), {**typed, "room-name": "Guest shower", "save": ""})
    answer = send(as_owner, at(begun), typed, **{"room-name": "Small shower"})
    assert answer.status_code == 422
    assert {each.name for each in Unfinished.objects.all()} == {"Guest shower", "Small shower"}


def test_what_was_dropped_meanwhile_is_kept_again(as_owner, owner, begun, job):
    typed = fields_of(as_owner.get(at(begun)).text)
    drop_unfinished(unfinished=begun, by=owner)
    assert send(as_owner, at(begun), typed, **{"room-name": "Small shower"}).status_code == 422
    assert [(each.name, each.job) for each in Unfinished.objects.all()] == [("Small shower", job)]


def test_a_key_of_another_room_is_refused(as_owner, room, typed, job):
    key = uuid7()
    send(as_owner, edit(room), typed, key)
    other = RoomFactory(job=job, name="Twin")
    answer = send(as_owner, edit(other), fields_of(as_owner.get(edit(other)).text), key, **{"room-name": "Mine"})
    assert answer.status_code == 409
    other.refresh_from_db()
    assert other.name == "Twin"


def test_the_installer_and_the_outsider_send_nothing(as_installer, as_other_installer, room, owner, typed, begun):
    gone, before = reverse("rooms:edit", args=[uuid7()]), width(room)
    for client in (as_installer, as_other_installer):
        for address in (edit(room), at(begun), gone):
            assert send(client, address, typed, **{"surface-0-width": "37"}).status_code == 403
    assert (width(room), PhoneSave.objects.count()) == (before, 0)


def test_a_room_that_never_was_isnt_found(as_owner, room, typed):
    assert send(as_owner, reverse("rooms:edit", args=[uuid7()]), typed).status_code == 404
    assert send(as_owner, reverse("rooms:unfinished", args=[uuid7()]), typed).status_code == 404


def test_a_server_that_was_restored_asks_for_it_again(as_owner, room, typed):
    sent, lost = uuid7(), uuid7()
    send(as_owner, edit(room), typed, sent)
    known = {"data": {"keys": [str(sent), str(lost)]}, "content_type": "application/json"}
    assert as_owner.post(reverse("home:phone_known"), **known).json() == {"missing": [str(lost)]}


def test_the_office_takes_the_pages_of_its_rooms_along(as_owner, as_installer, room, begun, job):
    def pages(client):
        day = client.get(reverse("home:phone_day")).json()
        return day["pages"] + day["later"]

    assert {edit(room), at(begun)} <= set(pages(as_owner))
    assert not {edit(room), at(begun)} & set(pages(as_installer))
    for address in (edit(room), at(begun)):
        page = as_owner.get(address)
        assert page.headers["Phone-Keep"]
        assert "data-queue " in page.text
    with CaptureQueriesContext(connection) as few:
        pages(as_owner)
    for number in range(3):
        RoomFactory(job=job, name=f"Room {number}")
        Unfinished.objects.create(job=job, name=f"Half {number}", typed={})
    with CaptureQueriesContext(connection) as many:
        assert len(pages(as_owner)) > len(BY_KEY) + 4
    assert len(many) == len(few)
