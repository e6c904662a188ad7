"""The frame of documents under WeasyPrint: paper, pages, tags, the whole face, drawings in color."""

import io
import re
from functools import cache

import pytest
from pypdf import PdfReader
from weasyprint import HTML

from shop.templatetags.look import on_paper
from tests.look.pages import DRAWING, render
from tests.look.sheets import ROOT


@cache
def _pdf(paper: str) -> bytes:
    html = HTML(string=render("document", paper=paper), base_url=f"{ROOT / 'static'}/")
    return html.write_pdf(pdf_variant="pdf/ua-1")


# ISO 216 for A4 (210 x 297 mm), ANSI/ASME Y14.1 for Letter (8.5 x 11 in); points are 1/72 in.
@pytest.mark.parametrize(("paper", "width", "height"), [("letter", 612, 792), ("a4", 595.28, 841.89)])
def test_it_is_of_the_shops_paper(paper: str, width: float, height: float) -> None:
    for page in PdfReader(io.BytesIO(_pdf(paper))).pages:
        assert [float(page.mediabox.width), float(page.mediabox.height)] == pytest.approx([width, height], abs=0.1)


def test_each_page_names_the_shop_and_its_number() -> None:
    pages = PdfReader(io.BytesIO(_pdf("letter"))).pages
    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert "Brightwater Tile" in text
        assert f"{number} / {len(pages)}" in text


def test_the_head_of_a_table_stands_again_on_its_next_page_and_the_total_is_not_alone() -> None:
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(_pdf("letter"))).pages]
    with_lines = [text for text in pages if "Line 5" in text or "Line 1" in text]
    assert all("Price" in text for text in with_lines)
    total = next(text for text in pages if "Total" in text)
    assert "Line 59" in total


def test_it_is_tagged_and_titled() -> None:
    reader = PdfReader(io.BytesIO(_pdf("letter")))
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert reader.metadata.title == "Proposal 0147-1"
    assert b"pdfuaid" in reader.trailer["/Root"]["/Metadata"].get_object().get_data()


def test_letters_beyond_latin_1_come_from_a_part_of_the_face_with_a_name_of_its_own() -> None:
    # Two files under one name: WeasyPrint takes the glyphs of one by the numbers of the other ("Qucja" for "Łucja").
    fonts = {
        str(font.get_object()["/BaseFont"])
        for page in PdfReader(io.BytesIO(_pdf("letter"))).pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert any("Hyperlegible-Next-Ext" in name for name in fonts)
    assert all("Atkinson" in name for name in fonts)


def test_a_drawing_has_its_colors_on_paper() -> None:
    # What a cut piece is tinted with, #1d5c63, as a fill in the page's own words.
    wanted = [round(value / 255, 2) for value in (0x1D, 0x5C, 0x63)]
    content = " ".join(
        stream.get_object().get_data().decode("latin-1")
        for page in PdfReader(io.BytesIO(_pdf("letter"))).pages
        for stream in [page["/Contents"], *page["/Resources"].get("/XObject", {}).values()]
    )
    fills = [
        [round(float(v), 2) for v in found] for found in re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|scn)\b", content)
    ]
    assert wanted in fills


def test_the_same_input_gives_the_same_bytes() -> None:
    html = render("document", paper="letter")
    once, again = (
        HTML(string=html, base_url=f"{ROOT / 'static'}/").write_pdf(pdf_variant="pdf/ua-1") for _time in range(2)
    )
    assert once == again


def test_a_drawing_carries_its_style_with_no_token_left_open() -> None:
    svg = on_paper(DRAWING)
    assert svg.count("<style>") == 1
    assert "var(" not in svg
    assert ".cut { fill: #1d5c63; fill-opacity: .3" in svg


def test_only_a_drawing_is_taken() -> None:
    with pytest.raises(ValueError, match="takes an SVG drawing"):
        on_paper("<p>no drawing</p>")
