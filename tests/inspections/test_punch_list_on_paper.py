"""The punch list as a PDF: made by a worker from what stood on the list when it was asked for."""

import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from documents.actions import make_document
from inspections.actions import add_punch_item, finish_punch_item, print_punch_list
from inspections.models import PunchListPrint
from inspections.printing import punch_list_input
from shop.models import ShopSettings
from tests.inspections.proofs import some_photo
from tests.support.pdf_ua import faults_of

pytestmark = pytest.mark.django_db

# Points: 72 to the inch; A4 is 210 mm by 297 mm (ISO 216), letter 8.5 in by 11 in (ANSI/ASME Y14.1, size A).
SIZES = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}


@pytest.fixture
def listed(floor_phases, installer, office):
    """A job at work with an open item that has a photo, and one that is done."""
    job = floor_phases[0].room.job
    room = job.rooms.get()
    photo = some_photo(job, installer, size=(1600, 900), color="tan")
    add_punch_item(
        job=job, room=room, text="Strip stands 3/32 in proud", place="kitchen door", photo=photo, by=installer
    )
    finish_punch_item(item=add_punch_item(job=job, text="Haze by the stair", by=office), by=office)
    return job


def made(the_print: PunchListPrint) -> PdfReader:
    make_document(document_id=the_print.document_id)
    the_print.document.refresh_from_db()
    assert (the_print.document.state, the_print.document.error) == ("ready", "")
    return PdfReader(io.BytesIO(the_print.document.file.open().read()))


def words(pdf: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


@pytest.mark.parametrize("paper", SIZES)
def test_it_is_printed_on_the_shops_paper_with_its_photos(listed, office, paper):
    ShopSettings.objects.update_or_create(pk=1, defaults={"paper": paper, "name": "Gable Tile", "phone": "555-0117"})
    pdf = made(print_punch_list(job=listed, by=office))
    [page] = pdf.pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(SIZES[paper], abs=0.1)
    text = words(pdf)
    for said in (
        "Gable Tile · 555-0117",
        "14 Quarry Lane",
        f"Job {listed.number:04d}",
        "Odalys Brandt",
        "1 item is open.",
        "Strip stands 3/32 in proud",
        "Hall, kitchen door",
        "done on",
        "Petra Lindqvist",
        "Walked through with",
    ):
        assert said in text
    # Shrunk for paper, its shape kept: 1600 x 900 to 700 on the longest side.
    [image] = page.images
    assert image.image.size == (700, 394)
    assert faults_of(pdf) == []
    assert pdf.metadata.author == "Gable Tile"


def test_a_long_list_runs_over_pages_with_its_head_on_each(listed, installer):
    for number in range(40):
        add_punch_item(job=listed, text=f"Tile {number} is chipped at its corner", by=installer)
    pdf = made(print_punch_list(job=listed, by=installer))
    assert len(pdf.pages) > 1
    for page in pdf.pages:
        assert "What is to do" in page.extract_text()
    assert all(f"Tile {number} is" in words(pdf) for number in range(40))


def test_an_empty_list_prints_as_one(floor_phases, office):
    job = floor_phases[0].room.job
    assert "Nothing is on the list." in words(made(print_punch_list(job=job, by=office)))


def test_what_happens_after_it_was_asked_for_is_not_on_it(listed, office):
    printed = print_punch_list(job=listed, by=office)
    before = printed.document.input
    add_punch_item(job=listed, text="Found later", by=office)
    ShopSettings.objects.update_or_create(pk=1, defaults={"name": "Renamed"})
    pdf = made(printed)
    assert printed.document.input == before
    assert "Found later" not in words(pdf)
    assert "Renamed" not in words(pdf)


def test_a_photo_whose_file_is_gone_leaves_the_rest_readable(listed, office):
    photo = listed.photos.get()
    photo.file.storage.delete(photo.file.name)
    assert "its file is missing" in words(made(print_punch_list(job=listed, by=office)))


def test_the_time_on_it_is_the_shops_also_outside_of_a_page(listed):
    """No page has set a time zone here. The two lie 25 hours apart, so never on the same day."""
    ShopSettings.objects.update_or_create(pk=1, defaults={"time_zone": "Pacific/Kiritimati"})
    ahead = punch_list_input(listed)["as_of"]
    ShopSettings.objects.update_or_create(pk=1, defaults={"time_zone": "Pacific/Pago_Pago"})
    assert punch_list_input(listed)["as_of"].split(",")[0] != ahead.split(",")[0]


def test_the_page_asks_for_it_shows_how_far_it_is_and_hands_it_out(as_office, as_installer, listed):
    page = reverse("inspections:punch_list", args=[listed.pk])
    assert as_office.post(reverse("inspections:punch_print", args=[listed.pk]))["Location"] == page
    printed = PunchListPrint.objects.get()
    state, file = (reverse(f"inspections:{name}", args=[printed.pk]) for name in ("punch_state", "punch_file"))
    assert state in as_office.get(page).content.decode()
    assert as_office.get(file).status_code == 404

    made(printed)
    assert file in as_office.get(page).content.decode()
    assert file in as_office.get(state).content.decode()
    for client in (as_office, as_installer):
        response = client.get(file)
        assert response["Content-Type"] == "application/pdf"
        assert b"".join(response.streaming_content).startswith(b"%PDF-")


def test_asking_costs_the_same_however_long_the_list(listed, office):
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            punch_list_input(listed)
        return len(queries)

    few = asked()
    for number in range(5):
        add_punch_item(job=listed, room=listed.rooms.get(), text=f"Item {number}", by=office)
    assert asked() == few == 2
