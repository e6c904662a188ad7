"""The punch list: noted with place and photo, done and opened again, until the closeout ends it."""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from base.errors import KeyTaken, Refused
from base.keys import uuid7
from inspections.actions import (
    add_punch_item,
    close_out,
    finish_punch_item,
    print_punch_list,
    reopen_punch_item,
)
from inspections.models import PunchItem
from jobs.actions import move_job
from jobs.models import Photo
from tests.factories import JobFactory, RoomFactory
from tests.inspections.proofs import key_on, some_photo, upload

pytestmark = pytest.mark.django_db


@pytest.fixture
def working(floor_phases):
    return floor_phases[0].room.job


def page_of(job) -> str:
    return reverse("inspections:punch_list", args=[job.pk])


def note(client, job, **data):
    data.setdefault("key", str(uuid7()))
    return client.post(page_of(job), {"text": "Grout haze", "place": "beside the door", **data})


def press(client, item, button):
    return client.post(reverse("inspections:punch_item", args=[item.pk]), {button: "1"}, follow=True)


def test_an_item_is_noted_on_the_phone_with_room_place_and_photo(as_installer, as_office, working, installer):
    room = working.rooms.get()
    response = note(as_installer, working, room=str(room.pk), photo=upload())
    item = PunchItem.objects.get()
    assert response["Location"] == f"{page_of(working)}#item-{item.pk}"
    assert (item.text, item.place, item.room, item.opened_by) == ("Grout haze", "beside the door", room, installer)
    assert (item.photo.job, item.photo.caption) == (working, "Grout haze")
    for client, side in ((as_installer, "field"), (as_office, "office")):
        page = client.get(page_of(working))
        assert f"inspections/{side}/punch_list.html" in [template.name for template in page.templates]
        text = page.content.decode()
        assert "Grout haze" in text
        assert "Hall, beside the door" in " ".join(text.split())
        assert reverse("jobs:photo", args=[item.photo_id]) in text


def test_an_item_is_done_by_whoever_did_it_and_can_be_opened_again(as_installer, as_office, working, installer, office):
    note(as_office, working)
    item = PunchItem.objects.get()
    assert "done by Rui Tavares" in press(as_installer, item, "done").content.decode()
    item.refresh_from_db()
    done_at = item.done_at
    press(as_office, item, "done")
    item.refresh_from_db()
    assert (item.done_by, item.done_at) == (installer, done_at)
    assert "done by" not in press(as_office, item, "reopen").content.decode()
    item.refresh_from_db()
    assert (item.done_by, item.done_at) == (None, None)


def test_open_items_stand_before_done_ones(as_office, working):
    for text in ("First", "Second", "Third"):
        note(as_office, working, text=text)
    press(as_office, PunchItem.objects.get(text="First"), "done")
    page = as_office.get(page_of(working)).content.decode()
    places = [page.index(f"</span> {text}</h2>") for text in ("Second", "Third", "First")]
    assert places == sorted(places)


def test_without_a_text_it_stays_on_the_form_as_typed_and_the_photo_is_asked_for_again(as_installer, working):
    response = note(as_installer, working, text=" ", place="at the niche", photo=upload())
    page = response.content.decode()
    assert response.status_code == 422
    assert 'value="at the niche"' in page
    assert "Take or choose the photo again" in page
    assert not PunchItem.objects.exists()
    assert not Photo.objects.exists()


def test_a_file_that_is_no_picture_is_refused_and_no_item_is_kept(as_installer, working):
    broken = upload()
    broken.file.truncate(40)
    assert note(as_installer, working, photo=broken).status_code == 422
    assert not PunchItem.objects.exists()


def test_a_form_sent_twice_is_one_item(as_installer, working):
    key = str(uuid7())
    for _ in range(2):
        assert note(as_installer, working, key=key, photo=upload()).status_code == 302
    assert (PunchItem.objects.count(), Photo.objects.count()) == (1, 1)


def test_a_second_item_typed_into_an_old_page_is_not_lost(as_installer, working):
    key = str(uuid7())
    note(as_installer, working, key=key)
    response = note(as_installer, working, key=key, text="Chipped edge")
    assert response.status_code == 422
    assert 'value="Chipped edge"' in response.content.decode()
    note(as_installer, working, key=key_on(response, "id_key"), text="Chipped edge")
    assert set(PunchItem.objects.values_list("text", flat=True)) == {"Grout haze", "Chipped edge"}


def test_room_and_photo_are_of_the_same_job(as_office, working, office):
    other = JobFactory()
    with pytest.raises(Refused, match="of this job"):
        add_punch_item(job=working, text="Haze", room=RoomFactory(job=other), by=office)
    with pytest.raises(Refused, match="of this job"):
        add_punch_item(job=working, text="Haze", photo=some_photo(other, office), by=office)
    assert note(as_office, working, room=str(RoomFactory(job=other).pk)).status_code == 422
    assert not PunchItem.objects.exists()


def test_a_key_of_another_job_is_refused(working, office):
    other, key = JobFactory(site=working.site), uuid7()
    add_punch_item(job=working, text="Haze", by=office, key=key)
    for stage in ("pricing", "proposed", "working"):
        move_job(job=other, to=stage, by=office)
    with pytest.raises(KeyTaken):
        add_punch_item(job=other, text="Haze", by=office, key=key)
    with pytest.raises(KeyTaken):
        add_punch_item(job=working, text="Another", by=office, key=key)


def test_before_the_work_there_is_none(as_installer, job, installer):
    page = as_installer.get(page_of(job)).content.decode()
    assert "It begins with the work." in page
    assert "Add to the punch list" not in page
    response = note(as_installer, job)
    assert response.status_code == 422
    assert "The punch list begins with the work." in response.content.decode()
    assert not PunchItem.objects.exists()


def test_after_the_closeout_nothing_is_noted_done_or_opened(as_office, as_installer, punch_listed, office):
    done = add_punch_item(job=punch_listed, text="Haze", by=office)
    finish_punch_item(item=done, by=office)
    close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)

    for change in (
        lambda: add_punch_item(job=punch_listed, text="Chip", by=office),
        lambda: reopen_punch_item(item=done, by=office),
        lambda: finish_punch_item(item=done, by=office),
    ):
        with pytest.raises(Refused, match="a callback"):
            change()
    page = as_installer.get(page_of(punch_listed)).content.decode()
    assert "Add to the punch list" not in page
    assert "Open it again" not in page
    assert "a callback" in note(as_office, punch_listed).content.decode()
    assert "a callback" in press(as_office, done, "reopen").content.decode()
    assert PunchItem.objects.count() == 1


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO inspections_punchitem (id, job_id, text, place, surface_key, opened_by_id)"
        " SELECT gen_random_uuid(), job_id, 'Chip', '', '', opened_by_id FROM inspections_punchitem",
        "UPDATE inspections_punchitem SET done_at = NULL, done_by_id = NULL",
    ],
    ids=["new", "open again"],
)
def test_after_the_closeout_the_database_refuses_it_too(punch_listed, office, statement):
    finish_punch_item(item=add_punch_item(job=punch_listed, text="Haze", by=office), by=office)
    with transaction.atomic():
        # The statement itself is right: before the closeout it is taken.
        connection.cursor().execute(statement)
        transaction.set_rollback(True)
    close_out(job=punch_listed, walked_with="Odalys Brandt", by=office)
    with pytest.raises(IntegrityError, match="what comes now is a callback"), transaction.atomic():
        connection.cursor().execute(statement)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inspections_punchitem SET text = 'Nothing'",
        "UPDATE inspections_punchitem SET photo_id = NULL",
        "UPDATE inspections_punchitem SET job_id = (SELECT id FROM jobs_job WHERE title = 'Elsewhere')",
        "DELETE FROM inspections_punchitem",
    ],
)
def test_what_was_noted_is_neither_reworded_nor_moved_nor_deleted(working, office, statement):
    JobFactory(site=working.site, title="Elsewhere")
    add_punch_item(job=working, text="Haze", photo=some_photo(working, office), by=office)
    with pytest.raises(DatabaseError, match=r"Cannot (update|delete)|permission denied"), transaction.atomic():
        connection.cursor().execute(statement)


def test_who_is_not_on_the_job_sees_none_of_it(as_other_installer, working, office):
    item = add_punch_item(job=working, text="Haze", by=office)
    printed = print_punch_list(job=working, by=office)
    assert as_other_installer.get(page_of(working)).status_code == 404
    assert note(as_other_installer, working).status_code == 404
    assert press(as_other_installer, item, "done").status_code == 404
    assert as_other_installer.post(reverse("inspections:punch_print", args=[working.pk])).status_code == 404
    for name in ("punch_state", "punch_file"):
        assert as_other_installer.get(reverse(f"inspections:{name}", args=[printed.pk])).status_code == 404
    item.refresh_from_db()
    assert (item.done_at, PunchItem.objects.count()) == (None, 1)


@pytest.mark.parametrize("who", ["as_installer", "as_office"])
def test_the_page_costs_the_same_however_long_the_list(request, who, working, office, installer):
    client = request.getfixturevalue(who)

    def fill(count):
        for number in range(count):
            photo = some_photo(working, installer)
            item = add_punch_item(
                job=working, text=f"Item {number}", room=working.rooms.get(), photo=photo, by=installer
            )
            if number % 2:
                finish_punch_item(item=item, by=office)

    fill(2)
    with CaptureQueriesContext(connection) as few:
        client.get(page_of(working))
    fill(6)
    with CaptureQueriesContext(connection) as many:
        client.get(page_of(working))
    assert len(many) == len(few) <= 20
