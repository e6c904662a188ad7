"""The rough-in sheet as page and paper: every measure on it is the engine's, and no word stands on another."""

import io
import xml.etree.ElementTree as etree
from copy import deepcopy
from itertools import combinations
from pathlib import Path

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader
from weasyprint import HTML
from weasyprint.formatting_structure.boxes import TextBox

import layout as engine
from documents.actions import make_document
from layout.rough_in_drawing import POINTS, rough_in_svg
from layout.sheet import overlap, text_box
from rooms import rough_in_paper
from rooms.actions import change_room, choose_layout, import_room
from rooms.as_built_actions import print_rough_in
from rooms.files import room_to_file
from rooms.laying import lay
from rooms.models import Layout, Room, RoughInPrint, SheetPrint
from rooms.queries import room_with_parts
from shop.models import ShopSettings
from tests.rooms_app.files import one_wall
from tests.rooms_app.rough_ins import shower
from tests.support.pdf_ua import faults_of

pytestmark = pytest.mark.django_db

# Points: 72 to the inch; A4 is 210 mm by 297 mm (ISO 216), letter 8.5 in by 11 in (ANSI/ASME Y14.1, size A).
SIZES = {"letter": (612.0, 792.0), "a4": (595.3, 841.9)}


def page(room):
    return reverse("rooms:rough_in", args=[room.pk])


@pytest.fixture
def chosen(job, owner):
    room = import_room(job=job, data=shower(), place="shower", by=owner)
    return choose_layout(room=room, option=1, why="", by=owner)


def printed(layout, by) -> bytes:
    the_print = print_rough_in(layout=layout, by=by)
    make_document(document_id=the_print.document_id)
    the_print.document.refresh_from_db()
    assert (the_print.document.state, the_print.document.error) == ("ready", "")
    return the_print.document.file.open().read()


def engines(layout):
    laid = lay(layout.input, option=layout.option)
    return engine.rough_in(laid.room, laid.result)


def texts_on(page) -> list[tuple[str, float, float, float, float]]:
    """The runs of text that the renderer laid out on a page: left, top, right and bottom of what their letters take."""
    boxes = [box for box in page._page_box.descendants() if isinstance(box, TextBox) and box.text.strip()]
    return [(box.text, *letters(box)) for box in boxes]


def letters(box) -> tuple[float, float, float, float]:
    """Seven tenths of the size over the line they stand on, a fifth under it."""
    line, size = box.position_y + box.baseline, box.style["font_size"]
    return box.position_x, line - 0.7 * size, box.position_x + box.width, line + 0.2 * size


def sides(box) -> tuple[float, float, float, float]:
    return box.position_x, box.position_y, box.position_x + box.width, box.position_y + box.height


def drawings_on(page) -> list[tuple[float, float, float, float]]:
    boxes = [box for box in page._page_box.descendants() if (box.element_tag or "").endswith("svg")]
    return [sides(box) for box in boxes]


def test_it_is_kept_with_the_layout_as_the_engine_has_it(chosen):
    assert chosen.rough_in == engines(chosen)


@pytest.mark.parametrize("who", ["as_owner", "as_office", "as_installer"])
def test_the_page_says_every_measure_and_what_is_assumed(request, chosen, who):
    text = " ".join(request.getfixturevalue(who).get(page(chosen.room)).text.replace("&quot;", '"').split())
    for item in chosen.rough_in["items"]:
        for measure in item["measures"]:
            assert measure["name"] in text
            assert measure["from"] in text
    for said in ("Niche", "Valve", "Blocking, grab bar", "Board", "licensed plumber", "local code"):
        assert said in text
    assert text.count('<label for="id_m') == 12


@pytest.mark.parametrize("paper", SIZES)
def test_on_paper_it_is_one_page_with_every_measure_of_the_engine(chosen, office, paper):
    ShopSettings.objects.update_or_create(pk=1, defaults={"paper": paper})
    reader = PdfReader(io.BytesIO(printed(chosen, office)))
    [sheet] = reader.pages
    assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == pytest.approx(SIZES[paper], abs=0.1)
    assert faults_of(reader) == []
    text = " ".join(sheet.extract_text().split()).replace(" ", "")
    for item in engines(chosen)["items"]:
        for measure in item["measures"]:
            if measure["name"].endswith("off the joints"):
                continue
            assert f"{measure['name']}{measure['text']}".replace(" ", "") in text, measure
            assert measure["how"].replace(" ", "") in text
    for said in ("As built", "licensed electrician", "goes on over"):
        assert (said.replace(" ", "") in text) == (said != "goes on over")


def test_a_room_that_was_measured_anew_is_told_on_paper(chosen, office):
    assert "measured anew" not in text_of(printed(chosen, office))
    room = room_with_parts(chosen.room)
    change_room(room=room, data={**room_to_file(room), "joint": "4 mm"}, by=office)
    assert "Ask before you frame by it" in text_of(printed(chosen, office))


def text_of(pdf: bytes) -> str:
    return " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


def test_a_room_of_a_long_name_is_printed(as_office, job, owner):
    """A document's title is no longer than a room's name, and has the sheet's before it."""
    room = import_room(job=job, data=shower(name="Bath " * 39), place="shower", by=owner)
    choose_layout(room=room, option=1, why="", by=owner)
    for name, typed in (("rooms:rough_in_print", {}), ("rooms:sheet_print", {"paper": "letter"})):
        assert as_office.post(reverse(name, args=[room.pk]), typed).status_code == 302
    titles = [each.document.title for each in (*RoughInPrint.objects.all(), *SheetPrint.objects.all())]
    assert [(len(title), title.endswith("…")) for title in titles] == [(200, True)] * 2


def test_no_two_texts_on_it_overlap(chosen, office):
    """Words of the page against each other and against the drawings, as laid out. Those in a drawing: next test."""
    the_print = print_rough_in(layout=chosen, by=office)
    html = render_to_string("documents/rough_in.html", the_print.document.input | {"size": 9})
    [page] = HTML(string=html, base_url=f"{Path('static').resolve().as_uri()}/").render().pages
    texts, drawn = texts_on(page), [("drawing", *box) for box in drawings_on(page)]
    assert len(texts) > 60
    assert len(drawn) == 2
    assert overlaps([*texts, *drawn]) == []


def overlaps(boxes) -> list[tuple[str, str]]:
    """What stands on what, by more than half a pixel each way."""
    return [
        (one, other)
        for (one, x0, y0, x1, y1), (other, a0, b0, a1, b1) in combinations(boxes, 2)
        if min(x1, a1) - max(x0, a0) > 0.5 and min(y1, b1) - max(y0, b0) > 0.5
    ]


def test_a_planted_overlap_is_found():
    html = "<p style='margin:0'>one two</p><p style='margin:-14px 0 0'>other</p><p>below</p>"
    [page] = HTML(string=html).render().pages
    assert overlaps(texts_on(page)) == [("one two", "other")]


@pytest.mark.parametrize("surface", ["back", "right"])
def test_no_two_texts_in_a_drawing_overlap(surface):
    laid = lay(shower())
    items = list(enumerate(engine.rough_in(laid.room, laid.result)["items"], 1))
    own = [pair for pair in items if pair[1]["surface"] == surface]
    svg = etree.fromstring(rough_in_svg(laid.room.surface(surface), own, units="in"))  # noqa: S314
    boxes = []
    for text in svg.iter("{http://www.w3.org/2000/svg}text"):
        x, y, upright = float(text.get("x")), float(text.get("y")), text.get("transform") is not None
        assert float(text.get("font-size")) * POINTS >= 11 - 1e-9
        boxes.append((text.text, *text_box(text.get("class"), text.text, x, y, text.get("text-anchor"), upright)))
    assert len(boxes) >= 5
    for one, other in combinations(boxes, 2):
        assert not overlap(one[1:], other[1:]), (one, other)


def test_what_one_page_cannot_hold_goes_on_and_says_so(job, owner, monkeypatch):
    monkeypatch.setattr(rough_in_paper, "TRIES", rough_in_paper.TRIES[-2:])
    data = shower()
    data["surfaces"][2]["aim"] = [
        {"at": [6 + 2 * n, 20 + 5 * n], "want": "joint-centered", "why": f"grab bar {n}"} for n in range(12)
    ]
    room = import_room(job=job, data=data, place="shower", by=owner)
    reader = PdfReader(io.BytesIO(printed(choose_layout(room=room, option=1, why="", by=owner), owner)))
    assert len(reader.pages) > 1
    assert "goes on over the page" in " ".join(reader.pages[0].extract_text().split())


def test_without_a_layout_it_says_who_chooses_one(as_office, as_installer, room):
    assert reverse("rooms:layout", args=[room.pk]) in as_office.get(page(room)).text
    assert "The office chooses it" in as_installer.get(page(room)).text


def test_a_room_with_nothing_to_frame_says_so_on_page_and_paper(as_office, job, owner):
    room = import_room(job=job, data=one_wall(), place="dry_wall", by=owner)
    layout = choose_layout(room=room, option=1, why="", by=owner)
    assert "Nothing to frame or rough in" in as_office.get(page(room)).text
    assert "no niche, bench" in " ".join(PdfReader(io.BytesIO(printed(layout, owner))).pages[0].extract_text().split())


def test_a_layout_from_before_there_were_sheets_is_worked_out(as_office, chosen):
    fields = {
        each.name: getattr(chosen, each.name) for each in Layout._meta.fields if each.name not in ("id", "created_at")
    }
    Layout.objects.create(**{**fields, "rough_in": None})
    assert "rough width" in as_office.get(page(chosen.room)).text


def test_the_page_prints_it_and_hands_it_out_but_to_no_outsider(as_office, as_installer, as_other_installer, chosen):
    for _twice in range(2):
        assert as_office.post(reverse("rooms:rough_in_print", args=[chosen.room.pk]))["Location"] == page(chosen.room)
    # What says the same isn't printed again, as with the wall sheet.
    the_print = RoughInPrint.objects.get()
    make_document(document_id=the_print.document_id)
    file = reverse("rooms:rough_in_file", args=[the_print.pk])
    assert file in as_office.get(page(chosen.room)).text
    for client in (as_office, as_installer):
        assert b"".join(client.get(file).streaming_content).startswith(b"%PDF-")
    assert as_other_installer.get(file).status_code == 404
    assert as_other_installer.get(page(chosen.room)).status_code == 404


def test_its_queries_do_not_grow_with_walls_and_openings(as_office, job, owner):
    def asked(data) -> int:
        room = import_room(job=job, data=data, place="shower", by=owner)
        choose_layout(room=Room.objects.get(pk=room.pk), option=1, why="", by=owner)
        as_office.get(page(room))
        with CaptureQueriesContext(connection) as queries:
            as_office.get(page(room))
        return len(queries)

    more = deepcopy(shower(name="Larger"))
    niche = more["surfaces"][1]["openings"][0]
    more["surfaces"][1]["openings"].append({**niche, "id": "second", "outline": [[4, 60], [12, 60], [12, 70], [4, 70]]})
    more["surfaces"].append({"id": "pan", "kind": "floor", "outline": [[0, 0], [60, 0], [60, 36], [0, 36]]})
    assert asked(shower()) == asked(more)
