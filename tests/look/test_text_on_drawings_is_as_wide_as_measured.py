"""The widths that drawings reckon with, against what Chromium draws in the face that pages use."""

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from layout.drawing import surface_svg
from layout.metrics import ADVANCES, advance
from tests.layout.helpers import laid, sample

FACE = Path(__file__).parents[2] / "static/vendor/atkinson-hyperlegible-next"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def drawn(page, tmp_path):
    """`drawn(markup, how)` shows markup in the face and returns what `how` says of each text: its width, in units."""
    css = "".join(
        f"@font-face {{ font-family: 'Atkinson Hyperlegible Next'; src: url(file://{FACE}/{name}-400-normal.woff2);"
        f" unicode-range: {span}; }}"
        for name, span in (("latin", "U+0-FF, U+131, U+152-153, U+2000-22FF"), ("latin-ext", "U+100-130, U+132-151"))
    )

    def show(markup: str, how: str) -> list[float]:
        path = tmp_path / "page.html"
        head = f"<meta charset='utf-8'><style>{css} svg {{ font-variant-numeric: tabular-nums }}</style>"
        path.write_text(head + markup, encoding="utf-8")
        page.goto(f"file://{path}")
        page.evaluate("document.fonts.load('16px \"Atkinson Hyperlegible Next\"', 'A\\u0100')")
        assert page.evaluate("document.fonts.check('16px \"Atkinson Hyperlegible Next\"')")
        return page.evaluate(f"[...document.querySelectorAll('text')].map(each => each.{how})")

    return show


def test_no_text_of_a_drawing_is_wider_than_its_box(drawn):
    room, result, _ = laid(sample("quarry-lane-shower"))
    markup = surface_svg(room, result, "back")
    texts = list(ET.fromstring(markup).iter(f"{SVG}text"))  # noqa: S314  our own
    widths = drawn(markup, "getBBox().width")
    assert len(widths) == len(texts) > 20
    for text, width in zip(texts, widths, strict=True):
        measured = advance(text.text) * float(text.attrib["font-size"])
        assert 0.85 * measured <= width <= measured + 0.3, text.text


def test_each_latin_character_is_as_wide_as_the_table_says(drawn):
    characters = [each for each in ADVANCES if "!" <= each <= "~" or "À" <= each <= "ÿ"]
    texts = "".join(
        f"<text font-size='100' y='{n}'>{'&lt;' if each == '<' else '&amp;' if each == '&' else each}</text>"
        for n, each in enumerate(characters)
    )
    widths = drawn(f"<svg font-family='Atkinson Hyperlegible Next'>{texts}</svg>", "getComputedTextLength()")
    for each, width in zip(characters, widths, strict=True):
        assert ADVANCES[each] / 10 - 4.5 <= width <= ADVANCES[each] / 10 + 0.1, each
