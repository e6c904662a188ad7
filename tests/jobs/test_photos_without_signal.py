"""Small copies of the photos on the day's pages go along with it, the newest of them and not too many."""

from datetime import UTC, datetime
from io import BytesIO

import pytest
from django.urls import reverse

from inspections.actions import add_punch_item
from jobs.actions import keep_photo, make_thumbnails
from jobs.models import Job
from tests.inspections.opening import open_phases_of
from tests.inspections.phones import log_out
from tests.jobs.test_small_photos import large
from tests.support.browsers import PATIENCE, let_in, the_day_is_kept

KEPT = """caches.open("pages").then(async (cache) => {
    const photos = (await cache.keys()).filter(({ url }) => url.includes("size=small"));
    return photos.map(({ url }) => url).sort();
})"""
# Fills the phone with photos, older than any of now: n of them, each of so many bytes.
FILL = """async ([n, bytes]) => {
    const cache = await caches.open("pages");
    const name = (n) => `/photos/00000000-0000-7000-8000-${String(n).padStart(12, "0")}/?size=small`;
    const headers = { "Kept-At": String(Date.now()) };
    for (let at = 0; at < n; at++) await cache.put(name(at), new Response(new Uint8Array(bytes), { headers }));
}"""


@pytest.fixture
def photo(own_database, room, installer):
    """A photo with its small copy, on the punch list of a job of the day."""
    open_phases_of(room)
    Job.objects.filter(pk=room.job_id).update(stage="punch_list")
    kept = keep_photo(
        job=room.job, by=installer, upload=BytesIO(large()), happened_at=datetime(2026, 11, 24, tzinfo=UTC), caption=""
    )
    add_punch_item(job=Job.objects.get(pk=room.job_id), text="Haze on the niche", photo=kept, by=installer)
    assert make_thumbnails() == 1
    return kept


@pytest.fixture
def phone(browser, web_server, photo, installer):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    let_in(context, installer, web_server)
    page.goto(f"{web_server}/")
    the_day_is_kept(page)
    yield page
    context.close()


def small(web_server, photo) -> str:
    return f"{web_server}{reverse('jobs:photo', args=[photo.pk])}?size=small"


def visit(phone, web_server, photo):
    phone.goto(f"{web_server}{reverse('inspections:punch_list', args=[photo.job_id])}")
    shown = phone.locator("img.evidence")
    shown.scroll_into_view_if_needed()
    return shown


def test_a_photo_is_seen_without_signal_on_a_page_that_was_never_opened(phone, web_server, photo):
    assert phone.evaluate(KEPT) == [small(web_server, photo)]
    phone.context.set_offline(True)
    shown = visit(phone, web_server, photo)
    shown.evaluate("(img) => img.decode()")
    # The small copy is 640 px wide (jobs/photos.py), the evidence 2000.
    assert shown.evaluate("(img) => img.naturalWidth") == 640


@pytest.mark.parametrize(("many", "bytes_each", "left"), [(205, 10, 199), (30, 2**20, 19)])
def test_no_more_than_200_and_20_mb_stay_and_the_oldest_go_first(phone, web_server, photo, many, bytes_each, left):
    phone.evaluate(FILL, [many, bytes_each])
    visit(phone, web_server, photo).evaluate("(img) => img.decode()")
    for _ in range(100):
        kept = phone.evaluate(KEPT)
        if len(kept) == left + 1:
            break
        phone.wait_for_timeout(100)
    assert kept[-1] == small(web_server, photo)
    old = [url for url in kept if "/00000000-" in url]
    assert len(old) == left
    assert old[-1].endswith(f"{many - 1:012d}/?size=small")


def test_a_photo_that_the_server_refuses_goes_from_the_phone(phone, web_server, photo):
    phone.context.route("**/photos/**", lambda route: route.fulfill(status=404))
    phone.evaluate("(address) => fetch(address).then(() => null)", small(web_server, photo))
    assert phone.evaluate(KEPT) == []


def test_logging_out_takes_the_photos_off_the_phone(phone):
    log_out(phone)
    phone.get_by_role("heading", name="Log in").wait_for()
    for _ in range(50):
        if not (kept := phone.evaluate(KEPT)):
            break
        phone.wait_for_timeout(100)
    assert kept == []


@pytest.mark.django_db
def test_only_the_small_copy_may_be_kept(job, installer, as_installer, media):
    kept = keep_photo(
        job=job, by=installer, upload=BytesIO(large()), happened_at=datetime(2026, 11, 24, tzinfo=UTC), caption=""
    )
    address = reverse("jobs:photo", args=[kept.pk])
    assert "Phone-Keep" not in as_installer.get(address, {"size": "small"}).headers  # there is none yet
    make_thumbnails()
    assert as_installer.get(address, {"size": "small"}).headers["Phone-Keep"] == str(installer.pk)
    assert "Phone-Keep" not in as_installer.get(address).headers
