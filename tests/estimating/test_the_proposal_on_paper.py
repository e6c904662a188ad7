"""The PDF of a long proposal read back: what it says, how it breaks, what a screen reader finds."""

import io
import re
from decimal import Decimal

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from benchmarks.letters import letter
from documents.rendering import render_pdf
from tests.estimating.offered_options import printed_with_options

TITLE = "Proposal 0147-1, 14 Quarry Lane"
# ANSI/ASME Y14.1 size A and ISO 216, in points; from memory.
SIZES = {"letter": (612, 792), "a4": (595, 842)}
HEADINGS = {
    *("Price", "Payment", "What the price rests on", "Allowances", "Not included", "What we need from you", "Warranty"),
    *("Your right to think it over", "For everybody’s safety", "Accepted", "What we do", "As drawn", "Watch for"),
    *("Unit prices", "With kind regards"),
}


@pytest.fixture(scope="module", params=["letter", "a4"])
def printed(request):
    """(the input, its PDF, the text of its pages) on either paper: three rooms with a drawing each, a price list over
    several pages."""
    context = letter(rooms=3, drawn=3, lines=20, paper=request.param)
    reader = PdfReader(io.BytesIO(render_pdf(kind="proposal", title=TITLE, language="en-us", context=context)))
    return context, reader, [page.extract_text() for page in reader.pages]


def lines_of(texts):
    """Each page's lines, its foot left out."""
    return [
        [line.strip() for line in text.splitlines() if line.strip() and "Proposal 0147-1" not in line] for text in texts
    ]


def lonely(pages, headings):
    """The headings that stand last on a page."""
    last = [[line for line in page if not re.fullmatch(r"\d+ / \d+", line)][-1] for page in pages]
    return [line for line in last if line in headings or re.fullmatch(r"Room \d+", line)]


def test_its_amounts_are_those_that_were_offered(printed):
    context, _reader, texts = printed
    text = "\n".join(texts)
    content = context["letter"]
    shown = re.findall(r"\$[\d,]+\.\d\d", text)
    for amount in {line["shown"] for line in content["lines"]}:
        assert shown.count(amount) >= sum(line["shown"] == amount for line in content["lines"])
    price = text[text.rindex("\nPrice\n") : text.rindex("\nPayment\n")]
    *lines, total = (Decimal(found.replace(",", "")) for found in re.findall(r"\$([\d,]+\.\d\d)", price))
    assert sum(lines) == total == Decimal("8000.00")
    payment = text[text.rindex("\nPayment\n") :]
    first, second, rest, whole = (
        Decimal(found.replace(",", "")) for found in re.findall(r"\$([\d,]+\.\d\d)", payment)[:4]
    )
    assert first + second + rest == whole == total


def test_it_is_tagged_with_language_and_title(printed):
    _context, reader, _texts = printed
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].lower() == "en-us"
    assert reader.metadata.title == TITLE
    # ISO 14289-1, 7.1: the window's title is the document's; part 5: the metadata name the standard.
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"pdfuaid" in root["/Metadata"].get_data()


def _tags(element):
    if isinstance(element, DictionaryObject):
        if "/S" in element:
            yield element
        kids = element.get("/K", [])
        for kid in kids if isinstance(kids, list) else [kids]:
            yield from _tags(kid.get_object())


def test_every_drawing_is_told_to_who_cant_see_it(printed):
    context, reader, _texts = printed
    tags = list(_tags(reader.trailer["/Root"]["/StructTreeRoot"].get_object()))
    told = [tag.get("/Alt", "") for tag in tags if tag["/S"] == "/Figure"]
    names = {drawing["name"] for room in context["letter"]["rooms"] for drawing in room["drawings"]}
    assert len(told) >= 3
    assert all(told)
    assert names <= set(told)
    assert {"/H1", "/H2", "/H3", "/Table", "/TH", "/L"} <= {tag["/S"] for tag in tags}


def test_pages_are_numbered_and_say_whose_they_are(printed):
    context, reader, texts = printed
    wide, high = SIZES[context["paper"]]
    for number, (page, text) in enumerate(zip(reader.pages, texts, strict=True), start=1):
        assert f"{number} / {len(reader.pages)}" in text
        assert "Odalys Brandt · Proposal 0147-1" in text
        assert (round(page.mediabox.width), round(page.mediabox.height)) == (wide, high)


def test_no_heading_stands_last_on_a_page(printed):
    assert lonely(lines_of(printed[2]), HEADINGS) == []


def test_a_heading_that_does_is_found():
    assert lonely([["Dear Odalys", "Price", "3 / 4"], ["Room 12"], ["a line"]], HEADINGS) == ["Price", "Room 12"]


def test_the_head_of_a_table_stands_on_each_of_its_pages(printed):
    pages = [page for page in lines_of(printed[2]) if any("Item" in line for line in page)]
    assert len(pages) > 1
    for page in pages:
        first = next(at for at, line in enumerate(page) if "Item" in line)
        assert "Amount" in " ".join(page[:first])


def test_a_drawing_says_its_scale_and_keeps_it(printed):
    context, _reader, texts = printed
    text = " ".join(" ".join(texts).split())
    drawn = context["letter"]["rooms"][0]["drawings"][0]["on_paper"]
    # The shower's end wall, 30 1/2 in wide, at 1/2 in to the foot (12 in: 1 to 24).
    assert drawn["scale"] == "1:24 (1/2 in to the foot)"
    assert "Scale 1:24 (1/2 in to the foot)" in text
    # A unit of the drawing is a point, and nothing scales it: it is no wider than the text, 168 mm on A4.
    wide = float(re.search(r'width="([\d.]+)pt"', drawn["svg"])[1])
    assert wide <= 168 / 25.4 * 72


@pytest.mark.parametrize(("paper", "extras"), [("letter", 1), ("a4", 3)])
def test_options_have_boxes_their_drawings_and_what_they_come_to(paper, extras):
    """Two and six, and so four and sixteen choices: only the four are told one by one."""
    context = letter(rooms=1, drawn=1, lines=4, paper=paper)
    context["letter"] = printed_with_options(context["letter"], extras=extras)
    reader = PdfReader(io.BytesIO(render_pdf(kind="proposal", title=TITLE, language="en-us", context=context)))
    texts = [page.extract_text() for page in reader.pages]
    text = "\n".join(texts)
    assert text.count("Option: ") == 1 + extras  # the white tile is in the price and stands among the rooms
    assert text.count("$250.00") == 1
    assert text.count("$180.00") == extras
    assert "Total with what you tick:" in text
    if extras == 1:
        told = text[text.index("What each choice comes to") :]
        assert re.findall(r"\$8,\d{3}\.00", told)[:4] == ["$8,000.00", "$8,180.00", "$8,250.00", "$8,430.00"]
    else:
        assert "What each choice comes to" not in text
        assert "rounding may move the sum" in text
    headings = HEADINGS | {"Your choice", "Shower tile (tick one)", "Extras (tick any, or none)"}
    assert lonely(lines_of(texts), headings) == []
