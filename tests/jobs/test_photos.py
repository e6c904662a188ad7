"""Photos as evidence: kept once, without what was hidden in them, seen by those on the job."""

import hashlib
import threading
import uuid
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import Error, connection, transaction
from django.urls import reverse
from PIL import Image

from jobs.actions import KeyTaken, keep_photo, put_on_crew, take_off_crew
from jobs.models import Photo
from shop.images import BadImage
from tests.factories import JobFactory, StaffFactory
from tests.shop.pictures import GPS, heic, jpeg, jpeg_with_place, png_bomb

WHEN = datetime(2026, 11, 24, 9, 12, tzinfo=UTC)


def kept(job, by, *, data: bytes | None = None, key: uuid.UUID | None = None) -> Photo:
    return keep_photo(
        job=job, by=by, upload=BytesIO(data or jpeg_with_place()), happened_at=WHEN, caption="Pan", key=key
    )


def files(media: Path) -> list[Path]:
    return [path for path in media.rglob("*") if path.is_file()]


def uploaded(data: bytes, name: str = "../../IMG 0001.HEIC") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "image/jpeg")


@pytest.mark.django_db
def test_what_is_kept_is_upright_hashed_and_tells_no_place(job, installer, media):
    photo = kept(job, installer, data=jpeg_with_place(orientation=6))
    [file] = files(media)
    data = file.read_bytes()
    assert (photo.width, photo.height) == (40, 60)
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert b"SECRET" not in data
    assert b"Exif" not in data
    assert (photo.job, photo.by, photo.happened_at, photo.caption) == (job, installer, WHEN, "Pan")
    assert photo.file.name.endswith(f"{photo.pk}.jpg")


@pytest.mark.django_db
@pytest.mark.parametrize("wanted", [False, True])
def test_where_it_was_taken_is_kept_only_if_the_shop_wants_it(as_owner, as_installer, job, media, wanted):
    settings = as_owner.get(reverse("shop:settings")).context["form"]
    typed = {name: value for name, value in settings.initial.items() if value is not None and name != "logo"}
    typed |= {"name": "Shop", "work_days": [1, 2]} | ({"keep_photo_place": "on"} if wanted else {})
    assert as_owner.post(reverse("shop:settings"), typed).status_code == 302
    page = reverse("jobs:photo_new", args=[job.pk])
    form = as_installer.get(page).content.decode()
    assert ("data-keep-place" in form) is wanted
    assert ("is not kept" in form) is not wanted
    file = uploaded(jpeg_with_place(west=(122.0, 19.0, 48.0)))
    as_installer.post(page, {"key": uuid.uuid4(), "file": file, "caption": ""})
    [kept_file] = files(media)
    told = Image.open(kept_file).getexif().get_ifd(GPS)
    assert bool(told) is wanted
    assert Photo.objects.get().to_sort


@pytest.mark.django_db
def test_the_same_key_again_is_the_same_photo(job, installer, media):
    key = uuid.uuid4()
    assert kept(job, installer, key=key) == kept(job, installer, key=key)
    assert Photo.objects.count() == len(files(media)) == 1


@pytest.mark.django_db
def test_a_key_is_not_taken_by_another_person_job_or_picture(job, installer, other_installer, media):
    key = uuid.uuid4()
    kept(job, installer, key=key)
    for attempt in (
        lambda: kept(job, other_installer, key=key),
        lambda: kept(job, None, key=key),
        lambda: kept(JobFactory(), installer, key=key),
        lambda: kept(job, installer, key=key, data=jpeg(20, 20)),
    ):
        with pytest.raises(KeyTaken):
            attempt()
    assert Photo.objects.count() == len(files(media)) == 1


def test_one_photo_sent_six_times_at_once_is_kept_once(own_database, media):
    job, person, key = JobFactory(), StaffFactory(), uuid.uuid4()
    barrier, photos = threading.Barrier(6, timeout=20), []

    def send() -> None:
        try:
            barrier.wait()
            photos.append(kept(job, person, key=key).pk)
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert photos == [key] * 6
    assert len(files(media)) == 1


@pytest.mark.django_db
@pytest.mark.parametrize(
    "data", [b"text", heic(), jpeg(600, 400)[:2000], png_bomb(30_000, 30_000)], ids=["text", "heic", "cut off", "bomb"]
)
def test_what_is_refused_leaves_nothing_behind(job, installer, media, data):
    with pytest.raises(BadImage):
        kept(job, installer, data=data)
    assert not Photo.objects.exists()
    assert not files(media)


@pytest.mark.django_db
def test_where_the_row_cannot_be_written_the_file_goes_too(job, installer, media, monkeypatch):
    def broken(*args: object, **kwargs: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Photo, "save", broken)
    with pytest.raises(ZeroDivisionError):
        kept(job, installer)
    assert not files(media)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "change", ["sha256 = 'x'", "file = 'other.jpg'", "happened_at = now()", "by_id = NULL", "width = 1"]
)
def test_evidence_cannot_be_changed_later_but_its_caption_can(job, installer, change):
    photo = kept(job, installer)
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE jobs_photo SET {change} WHERE id = %s", [photo.pk])
    Photo.objects.filter(pk=photo.pk).update(caption="Pan, after the flood test")


@pytest.mark.django_db
def test_a_photo_is_served_to_the_jobs_people_and_to_nobody_else(
    job, installer, as_owner, as_office, as_installer, as_other_installer, client
):
    page = reverse("jobs:photo", args=[kept(job, installer).pk])
    for browser in (as_owner, as_office, as_installer):
        answer = browser.get(page)
        assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/jpeg")
        assert answer.headers["Cache-Control"] == "private, no-cache"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")
    assert as_other_installer.get(page).status_code == 404
    assert client.get(page).status_code == 302


@pytest.mark.django_db
def test_off_the_crew_the_photo_is_gone_even_for_a_browser_that_has_it(job, installer, as_installer, owner):
    page = reverse("jobs:photo", args=[kept(job, installer).pk])
    etag = as_installer.get(page).headers["ETag"]
    assert as_installer.get(page, headers={"If-None-Match": etag}).status_code == 304
    take_off_crew(job=job, person=installer, by=owner)
    assert as_installer.get(page, headers={"If-None-Match": etag}).status_code == 404
    put_on_crew(job=job, person=installer, by=owner)
    assert as_installer.get(page, headers={"If-None-Match": etag}).status_code == 304


@pytest.mark.django_db
def test_a_photo_whose_file_is_lost_or_that_never_was_is_not_found(job, installer, as_owner, media):
    page = reverse("jobs:photo", args=[kept(job, installer).pk])
    files(media)[0].unlink()
    assert as_owner.get(page).status_code == 404
    assert as_owner.get(reverse("jobs:photo", args=[uuid.uuid4()])).status_code == 404


@pytest.mark.django_db
def test_an_installer_adds_a_photo_and_sending_it_twice_adds_one(as_installer, job, installer):
    page = reverse("jobs:photo_new", args=[job.pk])
    key = as_installer.get(page).context["form"]["key"].value()
    for _ in range(2):
        answer = as_installer.post(page, {"key": key, "file": uploaded(jpeg_with_place()), "caption": "Pan"})
        assert answer.url == reverse("home:job", args=[job.pk])
    photo = Photo.objects.get()
    assert (str(photo.pk), photo.by, photo.caption) == (str(key), installer, "Pan")
    assert "IMG" not in photo.file.name


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("data", "says"),
    [(heic(), "HEIC"), (b"text", "isn&#x27;t a picture"), (jpeg(600, 400)[:2000], "cut off"), (b"", "empty")],
)
def test_the_page_says_what_is_wrong_with_a_file_and_keeps_the_caption(as_installer, job, data, says):
    answer = as_installer.post(
        reverse("jobs:photo_new", args=[job.pk]),
        {"key": uuid.uuid4(), "file": uploaded(data), "caption": "Pan at the drain"},
    )
    assert answer.status_code == 200
    assert says in answer.text
    assert 'value="Pan at the drain"' in answer.text
    assert not Photo.objects.exists()


@pytest.mark.django_db
def test_a_key_of_somebody_elses_photo_is_an_error_of_the_form(as_office, job, installer):
    photo = kept(job, installer)
    answer = as_office.post(
        reverse("jobs:photo_new", args=[job.pk]), {"key": photo.pk, "file": uploaded(jpeg()), "caption": ""}
    )
    assert "sent before" in str(answer.context["form"].errors["file"])


@pytest.mark.django_db
def test_who_is_not_on_the_job_adds_no_photo(as_other_installer, job):
    page = reverse("jobs:photo_new", args=[job.pk])
    assert as_other_installer.get(page).status_code == 404
    assert as_other_installer.post(page, {"key": uuid.uuid4(), "file": uploaded(jpeg())}).status_code == 404
    assert not Photo.objects.exists()
