"""A client says that something is wrong: it is logged against the closed job."""

import io
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, IntegrityError, transaction
from django.urls import reverse
from PIL import Image

from base.errors import Refused
from base.keys import uuid7
from callbacks.actions import KeyTaken
from callbacks.models import Callback, Symptom
from callbacks.queries import open_callbacks, within_warranty
from jobs.models import Photo
from tests.factories import JobFactory, RoomFactory

pytestmark = pytest.mark.django_db


def picture() -> SimpleUploadedFile:
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(data, "JPEG")
    return SimpleUploadedFile("wet.jpg", data.getvalue(), "image/jpeg")


@pytest.fixture
def typed(today):
    return {
        "key": str(uuid7()),
        "photo_key": str(uuid7()),
        "symptom": "leak",
        "room": "",
        "text": "The ceiling below is wet since Sunday.",
        "reported_by": "Odalys Brandt",
        "reported_on": today.isoformat(),
    }


def test_a_logged_callback_is_open_and_has_a_number(callback):
    assert list(open_callbacks()) == [callback]
    assert callback.number > 0
    assert within_warranty(callback)


def test_the_last_day_of_the_warranty_is_within_it_and_the_next_is_not(callback):
    callback.reported_on = callback.job.warranty.ends_on
    assert within_warranty(callback)
    callback.reported_on += timedelta(days=1)
    assert not within_warranty(callback)


def test_a_job_without_a_warranty_has_none_to_be_within(callback):
    callback.job = JobFactory()
    assert not within_warranty(callback)


def test_a_job_that_isnt_closed_takes_no_callback(log, office, today):
    other = JobFactory()
    with pytest.raises(Refused, match="punch list"):
        log(job=other)
    with pytest.raises(IntegrityError, match="job is not closed"), transaction.atomic():
        Callback.objects.create(
            job=other, symptom="leak", text="x", reported_by="x", reported_on=today, logged_by=office
        )


def test_room_and_photo_have_to_be_the_jobs_own(log):
    with pytest.raises(Refused):
        log(room=RoomFactory())


def test_a_day_that_lies_ahead_is_refused(log, today):
    with pytest.raises(Refused, match="ahead"):
        log(reported_on=today + timedelta(days=1))


def test_the_same_form_sent_twice_is_one_callback(log):
    key = uuid7()
    first, second = log(key=key), log(key=key)
    assert first == second
    assert Callback.objects.count() == 1
    with pytest.raises(KeyTaken):
        log(key=key, text="Something else")


def test_numbers_never_repeat(log):
    assert len({log(text=f"{n}").number for n in range(4)}) == 4


def test_the_office_logs_one_with_a_photo_and_comes_to_its_page(closed_job, as_office, typed):
    url = reverse("callbacks:new", args=[closed_job.pk])
    response = as_office.post(url, typed | {"photo": picture()})
    callback = Callback.objects.get()
    assert response["Location"] == reverse("callbacks:detail", args=[callback.pk])
    assert callback.photo.job == closed_job
    page = as_office.get(response["Location"]).content.decode()
    assert reverse("jobs:photo", args=[callback.photo_id]) in page

    assert as_office.post(url, typed | {"photo": picture()}).status_code == 302
    assert (Callback.objects.count(), Photo.objects.count()) == (1, 1)


def test_a_file_that_is_no_picture_is_refused_and_what_was_typed_stays(closed_job, as_office, typed):
    bad = SimpleUploadedFile("wet.jpg", b"not a picture", "image/jpeg")
    page = as_office.post(reverse("callbacks:new", args=[closed_job.pk]), typed | {"photo": bad})
    assert page.status_code == 200
    assert page.context["form"].errors["photo"]
    assert "The ceiling below is wet since Sunday." in page.content.decode()
    assert not Callback.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("symptom", "ghosts"),
        ("text", "   "),
        ("text", "a\x00b"),
        ("reported_by", ""),
        ("reported_on", "2999-01-01"),
        ("reported_on", "0001-01-01"),
        ("reported_on", "soon"),
        ("room", "0b2b149d-c00e-47e8-a55c-3ac4aab444a6"),
        ("key", "x"),
    ],
)
def test_what_cant_be_right_is_said_beside_its_field(closed_job, as_office, typed, field, value):
    page = as_office.post(reverse("callbacks:new", args=[closed_job.pk]), typed | {field: value})
    assert page.status_code == 200
    assert page.context["form"].errors[field]
    assert not Callback.objects.exists()


def test_on_a_job_that_isnt_closed_the_page_leads_to_the_punch_list(job, as_office, typed):
    url = reverse("callbacks:new", args=[job.pk])
    page = as_office.get(url).content.decode()
    assert reverse("inspections:punch_list", args=[job.pk]) in page
    assert "<textarea" not in page
    assert as_office.post(url, typed | {"photo": picture()}).status_code == 200
    assert not Callback.objects.exists()
    assert not Photo.objects.exists()


def test_what_a_client_said_is_shown_as_text(log, as_owner):
    callback = log(text="<script>alert(1)</script>")
    page = as_owner.get(reverse("callbacks:detail", args=[callback.pk])).content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)" in page


def test_the_database_knows_the_symptoms(log):
    with pytest.raises(DatabaseError), transaction.atomic():
        log(symptom="ghosts")
    for symptom in Symptom:
        log(symptom=symptom)


def test_neither_installers_nor_strangers_see_callbacks(callback, as_installer, as_other_installer, client):
    urls = [
        reverse("callbacks:list"),
        reverse("callbacks:detail", args=[callback.pk]),
        reverse("callbacks:new", args=[callback.job_id]),
    ]
    for url in urls:
        assert as_installer.get(url).status_code == 403
        assert as_other_installer.post(url, {"close": ""}).status_code == 403
        assert client.get(url).status_code == 302


def test_one_that_isnt_there_isnt_found(as_owner, closed_job):
    assert as_owner.get(reverse("callbacks:detail", args=[uuid7()])).status_code == 404
    assert as_owner.get(reverse("callbacks:new", args=[uuid7()])).status_code == 404
