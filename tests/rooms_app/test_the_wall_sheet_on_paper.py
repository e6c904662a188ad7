"""The wall sheet's PDF, read back: every dimension is the engine's, and nothing covers anything."""

import io
import re
from html import unescape

import pytest
from django.urls import reverse
from pypdf import PdfReader

from documents.actions import make_document
from documents.models import Document
from rooms.actions import change_room, choose_layout, import_room, print_sheet
from rooms.files import layout_input, room_to_file
from rooms.laying import lay
from rooms.models import SheetPrint
from rooms.printing import sheet_input
from rooms.queries import room_with_parts, sheet_prints
from rooms.sheet import sheet_of
from tests.layout.nasty import with_a_curb
from tests.rooms_app.files import PLACES, changeable, one_wall, option_that, sample
from tests.support.pdf_ua import faults_of
from tests.support.printed import Word, overlapping, pages_of

pytestmark = pytest.mark.django_db

# Points (1/72 in): ISO 216, 210 x 297 and 297 x 420 mm; ANSI/ASME Y14.1, 8.5 x 11 and 11 x 17 in (from memory).
PAPERS = {"letter": (612, 792), "a4": (595.28, 841.89), "tabloid": (792, 1224), "a3": (841.89, 1190.55)}


@pytest.fixture
def laid(job, owner):
    """Makes a room with a chosen layout."""

    def make(data, place="shower", option=1):
        room = import_room(job=job, data=data, place=place, by=owner)
        return choose_layout(room=room, option=option, why="", by=owner)

    return make


def said(page: list[Word]) -> str:
    return " ".join(word.text for word in page)


@pytest.mark.parametrize(
    ("name", "paper"),
    [("nasty", "letter"), ("quarry-lane-shower", "tabloid"), ("station-hall-floor", "a4"), ("format-example", "a3")],
)
def test_the_pdf_says_what_the_engine_says_and_nothing_covers_anything(laid, owner, name, paper):
    data = with_a_curb() if name == "nasty" else sample(name)
    layout = laid(data, PLACES.get(name, "shower"))
    printed = print_sheet(room=layout.room, paper=paper, by=owner)
    make_document(document_id=printed.document_id)
    printed.document.refresh_from_db()
    assert (printed.document.state, printed.document.error) == ("ready", "")
    with printed.document.file.open("rb") as file:
        data = file.read()
    pages = pages_of(data)

    assert faults_of(PdfReader(io.BytesIO(data))) == []
    assert {clash for page in pages for clash in overlapping(page)} == set()
    # The smallest letters that a setter at arm's length is asked to read; Gaugerod's own figure.
    assert min(word.size for page in pages for word in page) >= 10.99
    for page in PdfReader(printed.document.file.open("rb")).pages:
        sides = float(page.mediabox.width), float(page.mediabox.height)
        assert sorted(sides) == pytest.approx(PAPERS[paper], abs=0.1)
    for number, page in enumerate(pages, 1):
        assert said(page).endswith(f"{number} / {len(pages)}")

    option = layout.result["options"][layout.option - 1]
    sheet, everything = sheet_of(layout), " ".join(said(page) for page in pages)
    assert f"{option['tiles']['order']} tiles, {option['tiles']['boxes']} boxes of one lot" in everything
    for finding in layout.result["findings"]:
        assert finding["text"] in everything
    rows = everything[everything.index("Cut list, in the order of setting") :]
    for frozen, surface in zip(printed.document.input["surfaces"], option["surfaces"], strict=True):
        page = next(page for page in pages if said(page).startswith(f"{frozen['name']} Scale 1:{frozen['ratio']},"))
        told = said(page)
        for text in re.findall(r"<text [^>]*>([^<]*)</text>", frozen["svg"]):
            assert unescape(text) in told
        for line in surface["lines"]:
            assert line["text"] in told
            assert everything.count(line["text"]) >= 3, "on page one, on the drawing and under it"
        assert_to_scale(page, surface, ratio=frozen["ratio"])
        listed = [label for size in frozen["sizes"] for label in size["pieces"]]
        cuts = [cut for tile in sheet.tiles for cut in tile.cuts if cut.surface_id == surface["id"]]
        assert sorted(listed) == sorted(cut.label for cut in cuts)
        for cut in cuts:
            assert f"{cut.width} × {cut.height}" in everything
        assert frozen["name"] in rows


def assert_to_scale(page, surface, *, ratio):
    """The courses' tops on the story pole stand as far apart as a ruler would have them: 25.4 mm are 72 points."""
    marks = {}
    for word, height in zip(page, page[1:] + page[-1:], strict=True):
        course = next((each for each in surface["courses"] if word.text == f"{each['course']}:"), None)
        if course and abs(height.bottom - word.bottom) < 0.1 and course["text"].startswith(height.text):
            marks.setdefault(course["course"], (course["mm"], word.bottom))
    if len(surface["courses"]) < 4:
        return
    (low, first), *_, (high, last) = sorted(marks.values())
    assert (last - first) / 72 * 25.4 * ratio == pytest.approx(high - low, abs=0.15 * ratio)


def test_words_that_cover_each_other_are_found():
    one = Word("one", 10, 10, 30, 17, 11)
    assert overlapping([one, Word("below", 10, 0, 30, 7, 11), Word("right", 31, 10, 40, 17, 11)]) == []
    assert overlapping([one, Word("over", 28, 15, 40, 22, 11)]) == [("one", "over")]


def test_the_cut_list_names_each_piece_once_and_what_each_rest_is_saved_for(laid):
    layout = laid(sample("station-hall-floor"), place="dry_floor")
    given = sheet_input(room_with_parts(layout.room), layout, paper="letter")
    tiles = sheet_of(layout).tiles
    assert sum(row["count"] for row in given["cuts"]) == sum(len(tile.cuts) for tile in tiles)
    saved = {tile.number: len(tile.cuts) - 1 for tile in tiles if len(tile.cuts) > 1}
    assert saved
    assert {row["tile"]: len(row["save"]) for row in given["cuts"] if row["save"]} == saved
    seen = set()
    for row in given["cuts"]:
        assert not row["rest"] or row["tile"] in seen, "a rest is there before it is used"
        seen.add(row["tile"])
    # Counted on the drawing: along the foot of the hall stand six pieces between its corners that are cut alike.
    rows = [(row["piece"], row["last"], row["count"]) for row in given["cuts"]]
    assert rows[:3] == [("-3:-4", "", 1), ("-3:-3", "-3:2", 6), ("-3:3", "", 1)]


def test_what_to_watch_for_comes_the_gravest_first_and_once(laid):
    layout = laid(sample("quarry-lane-shower"))
    watch = sheet_input(room_with_parts(layout.room), layout, paper="letter")["watch"]
    order = [("stop", "care", "note").index(each["level"]) for each in watch]
    assert order == sorted(order)
    assert len({each["text"] for each in watch}) == len(watch)
    assert {each["text"] for each in layout.result["findings"]} <= {each["text"] for each in watch}


def test_it_draws_the_room_as_it_will_be_set(job, owner):
    room = import_room(job=job, data=changeable(), place="shower", by=owner)
    result = lay(layout_input(room_with_parts(room), units="in")).result
    layout = choose_layout(room=room, option=option_that(result, "openings"), why="", by=owner)
    given = sheet_input(room_with_parts(room), layout, paper="a4")
    # By hand: the niche stood 42 in up and is moved 2 13/16 in up.
    assert given["changes"] == [
        'Niche on Back wall moved 2 13/16" up: now 18" from the left, 44 13/16" from the bottom.'
    ]
    back = given["surfaces"][0]
    assert "44 13/16&quot;" in back["svg"].replace('"<', "&quot;<") or any(
        '44 13/16"' in note for note in back["notes"]
    )


@pytest.mark.parametrize("who", ["as_owner", "as_office", "as_installer"])
def test_whoever_is_on_the_job_asks_for_it_and_sees_it_coming(request, laid, owner, who):
    layout, browser = laid(one_wall()), request.getfixturevalue(who)
    address = reverse("rooms:sheet", args=[layout.room_id])
    assert "No PDF of this layout yet" in browser.get(address).text
    browser.post(reverse("rooms:sheet_print", args=[layout.room_id]), {"paper": "a3"})
    printed = SheetPrint.objects.get()
    assert (printed.layout, printed.paper, printed.document.kind) == (layout, "a3", "wall_sheet")
    text = browser.get(address).text
    assert "waits for its turn" in text
    assert reverse("rooms:sheet_state", args=[printed.pk]) in text
    assert browser.get(reverse("rooms:sheet_file", args=[printed.pk])).status_code == 404


def test_an_outsider_is_told_nothing(laid, owner, as_other_installer):
    layout = laid(one_wall())
    printed = print_sheet(room=layout.room, paper="a4", by=owner)
    assert as_other_installer.post(reverse("rooms:sheet_print", args=[layout.room_id])).status_code == 404
    for name in ("rooms:sheet_state", "rooms:sheet_file"):
        assert as_other_installer.get(reverse(name, args=[printed.pk])).status_code == 404
    assert SheetPrint.objects.count() == 1


def test_a_paper_that_is_not_on_the_list_is_refused(laid, as_office):
    layout = laid(one_wall())
    answer = as_office.post(reverse("rooms:sheet_print", args=[layout.room_id]), {"paper": "napkin"}, follow=True)
    assert "Choose a paper size from the list." in answer.text
    assert not Document.objects.exists()


def test_without_a_layout_it_says_what_to_do(room, as_installer):
    answer = as_installer.post(reverse("rooms:sheet_print", args=[room.pk]), {"paper": "a4"}, follow=True)
    assert "there is nothing to print. The office chooses it." in answer.text
    assert "Make the PDF" not in answer.text


def test_the_same_sheet_asked_for_twice_is_made_once(laid, owner):
    layout = laid(one_wall())
    first = print_sheet(room=layout.room, paper="letter", by=owner)
    assert print_sheet(room=layout.room, paper="letter", by=owner) == first
    assert print_sheet(room=layout.room, paper="a4", by=owner) != first
    Document.objects.filter(pk=first.document_id).update(state="failed")
    assert print_sheet(room=layout.room, paper="letter", by=owner) != first


def test_a_room_measured_anew_says_so_and_a_new_layout_replaces_the_old_sheet(laid, owner, as_office):
    layout = laid(one_wall())
    old = print_sheet(room=layout.room, paper="letter", by=owner)
    assert old.document.input["stale"] is False
    data = room_to_file(room_with_parts(layout.room))
    data["surfaces"][0]["outline"] = [[0, 0], [1200, 0], [1200, 510], [0, 510]]
    change_room(room=layout.room, data=data, by=owner)
    stale = print_sheet(room=layout.room, paper="letter", by=owner)
    assert stale != old
    assert stale.document.input["stale"] is True
    address = reverse("rooms:sheet", args=[layout.room_id])
    assert "replaced" not in as_office.get(address).text
    choose_layout(room=layout.room, option=1, why="", by=owner)
    text = as_office.get(address).text
    assert "2 older sheets, replaced" in text
    assert "Don’t set by these:" in text
    assert "No PDF of this layout yet" in text


def test_a_page_asks_once_however_many_sheets_there_are(laid, owner, django_assert_num_queries):
    layout = laid(one_wall())
    for paper in ("letter", "a4", "a3"):
        print_sheet(room=layout.room, paper=paper, by=owner)
    with django_assert_num_queries(1):
        assert [(each.layout.created_at, each.document.state) for each in sheet_prints(layout.room)]
