"""Drawings: well-formed, within the sheet, no text on another, no inline style, and told in words."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from layout.drawing import surface_svg
from tests.layout.helpers import NAMES, laid, plain, sample
from tests.layout.rooms import random_room

SVG = "{http://www.w3.org/2000/svg}"
CLASSES = {"gap", "tile", "cut", "open", "line", "dimline", "dim", "lab"}

Box = tuple[float, float, float, float]


def drawings(data: dict[str, Any]) -> list[ET.Element]:
    room, result, _ = laid(data)
    return [ET.fromstring(surface_svg(room, result, surface.id)) for surface in room.surfaces]  # noqa: S314


def text_box(text: ET.Element) -> Box:
    """Where a text is drawn, at half its size a character: a little less than a usual face takes."""
    x, y, size = float(text.attrib["x"]), float(text.attrib["y"]), float(text.attrib["font-size"])
    wide = len(text.text or "") * size * 0.5
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[text.attrib["text-anchor"]]
    if "transform" in text.attrib:
        return x - size * 0.7, y - wide + before, x, y + before
    return x - before, y - size * 0.7, x - before + wide, y


def everything() -> list[dict[str, Any]]:
    tiny = [{"id": f"hole {n}", "kind": "fixture", "outline": _square(4 + 7 * n, 40, 1)} for n in range(8)]
    long = [{"id": "a very long name for a niche", "kind": "niche", "outline": _square(20, 40, 12)}]
    return [
        *(sample(name) for name in NAMES),
        plain(600, 10, name="Strip"),
        plain(6, 120, name="Jamb"),
        plain(4, 4, name="Smaller than a tile"),
        plain(60, 96, name="Holes", surface={"openings": tiny}),
        plain(60, 96, name="Long name", surface={"openings": long, "kind": "wall"}),
        plain(60, 96, name="Pinned at the rim", pin={"x": 0.125, "y": 0.125}),
        plain(60, 96, name="Pinned near the rim", pin={"x": 1, "y": 1}),
        *(random_room(seed) for seed in range(200, 208)),
    ]


def _square(x: float, y: float, side: float) -> list[list[float]]:
    return [[x, y], [x + side, y], [x + side, y + side], [x, y + side]]


@pytest.mark.parametrize("data", everything(), ids=lambda data: data["name"])
def test_all_text_is_on_the_sheet_and_none_on_another(data: dict[str, Any]) -> None:
    for svg in drawings(data):
        left, top, wide, high = (float(part) for part in svg.attrib["viewBox"].split())
        boxes = [(text.text, text_box(text)) for text in svg.iter(f"{SVG}text")]
        for text, (x0, y0, x1, y1) in boxes:
            assert left <= x0, text
            assert x1 <= left + wide, text
            assert top <= y0, text
            assert y1 <= top + high, text
        for n, (text, one) in enumerate(boxes):
            for other_text, other in boxes[:n]:
                apart = one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]
                assert apart, (text, other_text)


@pytest.mark.parametrize("name", NAMES)
def test_it_keeps_to_the_agreed_classes_and_has_no_inline_style_or_script(name: str) -> None:
    for svg in drawings(sample(name)):
        for element in svg.iter():
            assert "style" not in element.attrib
            assert not any(key.lower().startswith("on") for key in element.attrib)
            assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "path", "text"}
            assert element.attrib.get("class", "tile") in CLASSES


def test_it_is_to_scale() -> None:
    """60 by 96 in: the outline's sides are as 60 to 96, and a full tile is 12 in of it."""
    (svg,) = drawings(plain(60, 96))
    paths = {path.attrib["class"]: path.attrib["d"] for path in svg.iter(f"{SVG}path")}
    xs, ys = _numbers(paths["gap"])
    scale = (max(xs) - min(xs)) / 60
    assert (max(ys) - min(ys)) / 96 == pytest.approx(scale, rel=1e-3)
    tile_xs, _ = _numbers(paths["tile"].split("Z")[0])
    assert max(tile_xs) - min(tile_xs) == pytest.approx(12 * scale, abs=0.15)


def _numbers(path: str) -> tuple[list[float], list[float]]:
    pairs = re.findall(r"(-?[0-9.]+),(-?[0-9.]+)", path)
    return [float(x) for x, _ in pairs], [float(y) for _, y in pairs]


def test_it_says_in_words_what_it_shows() -> None:
    svg = drawings(sample("quarry-lane-shower"))[1]
    assert svg.attrib["role"] == "img"
    assert svg.find(f"{SVG}title").text == "back"
    told = svg.find(f"{SVG}desc").text
    assert 'Wall, 60" wide, 96" high.' in told
    assert "Level line" in told
    assert "Openings: niche." in told


def test_without_a_title_it_is_hidden_from_those_who_hear_the_page() -> None:
    room, result, _ = laid(sample("station-hall-floor"))
    svg = ET.fromstring(surface_svg(room, result, "floor", title=False))  # noqa: S314
    assert svg.attrib["aria-hidden"] == "true"
    assert svg.find(f"{SVG}title") is None


def test_lengths_are_in_the_rooms_units_and_fractions_are_plain() -> None:
    shower = [text.text for svg in drawings(sample("quarry-lane-shower")) for text in svg.iter(f"{SVG}text")]
    assert '16 1/16"' in shower
    assert not any("⁄" in text or "½" in text for text in shower)
    hall = [text.text for svg in drawings(sample("station-hall-floor")) for text in svg.iter(f"{SVG}text")]
    assert "4210 mm" in hall


def test_names_cannot_break_out_of_the_drawing() -> None:
    evil = "</title><script>alert(1)</script>&\"'"
    data = plain(60, 96, surface={"name": evil})
    data["surfaces"][0]["openings"] = [{"id": evil, "kind": "niche", "outline": _square(20, 40, 20)}]
    (svg,) = drawings(data)
    assert svg.find(f"{SVG}title").text == evil
    assert not [element for element in svg.iter() if "script" in element.tag]


def test_the_lines_are_where_the_tiles_are() -> None:
    room, result, _ = laid(sample("quarry-lane-shower"))
    for surface in result.option.surfaces:
        first = next((p for p in surface.pieces if (p.course, p.column) == (0, 0)), None)
        lines = {line.axis: line for line in surface.lines}
        assert lines["x"].at == surface.datum[0]
        assert lines["y"].mm == pytest.approx(surface.datum[1] - room.surface(surface.id).bounds[1])
        if first is not None and first.whole:
            assert first.outline[0] == pytest.approx(surface.datum)
