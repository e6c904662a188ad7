"""Photos have small copies for lists and cards, made by a worker; the evidence itself stays as it is."""

import time
from datetime import UTC, datetime
from io import BytesIO

import pytest
from django.db import Error, connection, transaction
from django.urls import reverse
from PIL import Image

from jobs.actions import keep_photo, make_thumbnails
from jobs.models import Photo
from tests.shop.pictures import jpeg

WHEN = datetime(2026, 11, 24, 9, 12, tzinfo=UTC)


def large(side: int = 2000) -> bytes:
    """A picture that is larger than its small copy may be."""
    out = BytesIO()
    Image.effect_noise((side, side // 2), 60).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def kept(job, by, data: bytes) -> Photo:
    return keep_photo(job=job, by=by, upload=BytesIO(data), happened_at=WHEN, caption="Pan")


def size_of(response) -> tuple[int, int]:
    return Image.open(BytesIO(b"".join(response.streaming_content))).size


@pytest.mark.django_db
def test_a_small_copy_is_made_and_the_evidence_stays(job, installer, as_installer, media):
    photo = kept(job, installer, large())
    address = reverse("jobs:photo", args=[photo.pk])
    before = as_installer.get(address, {"size": "small"})
    assert size_of(before) == (2000, 1000)
    assert make_thumbnails() == 1
    after = as_installer.get(address, {"size": "small"})
    assert size_of(after) == (640, 320)
    assert after["ETag"] != before["ETag"]
    assert size_of(as_installer.get(address)) == (2000, 1000)
    assert Photo.objects.get().sha256 == photo.sha256
    assert make_thumbnails() == 0
    assert len([path for path in media.rglob("*") if path.is_file()]) == 2


@pytest.mark.django_db
def test_a_photo_that_is_gone_is_tried_once_and_holds_up_no_other(job, installer, media):
    gone, there = kept(job, installer, large(900)), kept(job, installer, large(901))
    gone.file.storage.delete(gone.file.name)
    assert make_thumbnails() == 2
    assert Photo.objects.get(pk=gone.pk).thumb.name == gone.file.name
    assert Photo.objects.get(pk=there.pk).thumb.name.endswith("-small.jpg")
    assert make_thumbnails() == 0


@pytest.mark.django_db
def test_what_a_killed_worker_left_is_replaced(job, installer, media):
    photo = kept(job, installer, large())
    photo.file.storage.save(photo.file.name.replace(".jpg", "-small.jpg"), BytesIO(b"half a"))
    make_thumbnails()
    assert Image.open(Photo.objects.get().thumb.open("rb")).size == (640, 320)
    assert len([path for path in media.rglob("*") if path.is_file()]) == 2


@pytest.mark.django_db
def test_who_is_not_on_the_job_sees_no_small_copy_either(job, installer, as_other_installer, media):
    photo = kept(job, installer, jpeg())
    make_thumbnails()
    assert as_other_installer.get(reverse("jobs:photo", args=[photo.pk]), {"size": "small"}).status_code == 404


@pytest.mark.django_db
def test_the_evidence_can_not_be_exchanged_with_its_copy(job, installer, media):
    photo = kept(job, installer, jpeg())
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_photo SET file = thumb WHERE id = %s", [photo.pk])


def test_a_real_worker_makes_them_within_its_sweep(worker, own_database, job, installer, media):
    photo = kept(job, installer, large())
    until = time.monotonic() + 60
    while time.monotonic() < until and not Photo.objects.get(pk=photo.pk).thumb:
        time.sleep(0.2)
    assert Photo.objects.get(pk=photo.pk).thumb.name.endswith("-small.jpg")
