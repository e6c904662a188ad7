"""Drawings: well-formed, within the sheet, no text on another, no inline style, and told in words."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from shapely import unary_union
from shapely.geometry import Point, Polygon
from shapely.geometry import box as rectangle

from layout.drawing import surface_svg
from layout.metrics import advance
from tests.layout.free_rooms import PATTERNS, free_room, random_free_room
from tests.layout.helpers import NAMES, laid, plain, sample
from tests.layout.rooms import random_room
from tests.speed import within
from trade.lengths import format_length

SVG = "{http://www.w3.org/2000/svg}"
CLASSES = {"gap", "tile", "fill", "cut", "least", "open", "patch", "line", "dimline", "dim", "lab", "num"}

Box = tuple[float, float, float, float]


def drawings(data: dict[str, Any]) -> list[ET.Element]:
    room, result, _ = laid(data)
    return [ET.fromstring(surface_svg(room, result, surface.id)) for surface in room.surfaces]  # noqa: S314


def text_box(text: ET.Element) -> Box:
    """Where a text is drawn: as wide as the face makes it, as high as its figures and capitals."""
    x, y, size = float(text.attrib["x"]), float(text.attrib["y"]), float(text.attrib["font-size"])
    wide = float(text.attrib.get("textLength", advance(text.text or "") * size)) - 0.2
    before = {"start": 0.0, "middle": wide / 2, "end": wide}[text.attrib["text-anchor"]]
    if "transform" in text.attrib:
        return x - size * 0.7, y - wide + before, x, y + before
    return x - before, y - size * 0.7, x - before + wide, y


def _square(x: float, y: float, side: float) -> list[list[float]]:
    return [[x, y], [x + side, y], [x + side, y + side], [x, y + side]]


NASTY = [
    "</title><script>x</script>&\"'",
    "مرحبا بالعالم",
    "\U0001f9f1\U0001f6bf niche",
    "a\u202eb\u2028c\u200fd",
    "W" * 200,
]
ODD = [
    {"id": name, "kind": "niche", "outline": _square(3 + 19 * (n % 3), 12 + 30 * (n // 3), (14, 9, 12, 1, 16)[n])}
    for n, name in enumerate(NASTY)
]


# Seeds of rooms without a round drain: laying turned tiles about one takes long, drawing them doesn't.
NO_DRAIN = [seed for seed in range(300, 312) if "openings" not in random_free_room(seed)["surfaces"][0]][:2]


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
        plain(60, 96, name="All at once", surface={"openings": ODD, "kind": "wall", "name": NASTY[0] * 5}),
        plain(0.25, 10, name="Nothing fits"),
        plain(60, 96, name="Mosaic", tile=(2, 2)),
        plain(144, 18, name="Backsplash", tile=(6, 3), pattern=PATTERNS["thirds"]),
        plain(480, 360, name="Hall", tile=(12, 24), pattern=PATTERNS["thirds"]),
        *({**free_room(shape, name), "name": f"{shape}, {name}"} for name in PATTERNS for shape in ("sloped",)),
        *(random_room(seed) for seed in range(200, 210)),
        *({**random_free_room(seed), "name": f"Free {seed}"} for seed in NO_DRAIN),
    ]


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
            assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "path", "text", "pattern"}
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
    """The coordinates of a path of M, L, H and V."""
    xs, ys = [], []
    for letter, x, y in re.findall(r"([MLHV])(-?[0-9.]+)(?:,(-?[0-9.]+))?", path):
        if letter != "V":
            xs.append(float(x))
        if letter != "H":
            ys.append(float(y or x))
    return xs, ys


@pytest.mark.parametrize("name", NAMES)
def test_its_names_are_those_of_the_cut_list(name: str) -> None:
    room, result, printed = laid(sample(name))
    cut = {cut["piece"] for tile in printed["options"][0]["cut_plan"] for cut in tile["cuts"]}
    for surface in room.surfaces:
        svg = ET.fromstring(surface_svg(room, result, surface.id))  # noqa: S314
        texts = [text.text or "" for text in svg.iter(f"{SVG}text") if text.attrib["class"] == "num"]
        names = [text for text in texts if re.fullmatch(r"-?[0-9]+:-?[0-9]+(:[0-9]+)?", text)]
        assert len(names) > 5
        assert {f"{surface.id}:{text}" for text in names} <= cut


def test_every_cut_is_sized_where_it_occurs() -> None:
    """Counted by hand from the printed pieces: beside the niche and at both walls, in each kind of course."""
    svg = drawings(sample("quarry-lane-shower"))[1]
    texts = [text.text for text in svg.iter(f"{SVG}text") if text.attrib["class"] == "num"]
    for size in ('2 3/4"', '8 3/4"', '2 15/16"', '6 15/16"', '4 15/16"', '8 15/16"', '8 9/16"', '15 13/16"'):
        assert texts.count(size) == 1, size


@pytest.mark.parametrize("seed", range(200, 212))
def test_the_measures_are_the_pieces_own(seed: int) -> None:
    """Whatever side of a rectangular piece is cut is on the sheet, in the figures of the printed outline."""
    room, result, printed = laid(random_room(seed))
    for surface, shown in zip(room.surfaces, printed["options"][0]["surfaces"], strict=True):
        svg = ET.fromstring(surface_svg(room, result, surface.id))  # noqa: S314
        said = " ".join(text.text or "" for text in svg.iter(f"{SVG}text"))
        if "and more" in said:
            continue
        for piece in shown["pieces"]:
            (x0, y0), (x1, y1) = (
                tuple(pick(axis) for axis in zip(*piece["outline"], strict=True)) for pick in (min, max)
            )
            if len(piece["outline"]) > 4 or piece["holes"]:
                continue
            for side, whole in ((x1 - x0, surface.tile.width), (y1 - y0, surface.tile.height)):
                if side < whole - 1:
                    assert format_length(side, unit=room.units) in said, piece["id"]


def test_the_smallest_cut_is_marked_and_told() -> None:
    room, result, _ = laid(sample("quarry-lane-shower"))
    svg = ET.fromstring(surface_svg(room, result, "back"))  # noqa: S314
    least = result.option.least_cut
    assert least is not None
    piece = next(each for each in result.surface("back").pieces if each.id == least.piece)
    (marked,) = [path.attrib["d"] for path in svg.iter(f"{SVG}path") if path.attrib["class"] == "least"]
    xs, ys = _numbers(marked)
    wide, high = (max(axis) - min(axis) for axis in zip(*piece.outline, strict=True))
    assert (max(xs) - min(xs)) / (max(ys) - min(ys)) == pytest.approx(wide / high, rel=0.02)
    assert f"{least.piece.removeprefix('back:')}, {least.text}" in (svg.find(f"{SVG}desc").text or "")


def test_an_opening_is_dimensioned_from_the_left_edge_and_the_foot() -> None:
    svg = drawings(sample("quarry-lane-shower"))[1]
    texts = [text.text for text in svg.iter(f"{SVG}text")]
    assert {'22"', '40"', '12" x 24"', "niche"} <= set(texts)


def test_what_finds_no_place_is_told_under_the_drawing() -> None:
    """An outlet too small for anything: its letter, its size and both measures stand in one row."""
    outlet = [{"id": "outlet", "kind": "outlet", "outline": _square(0.5, 0.5, 0.75)}]
    (svg,) = drawings(plain(60, 96, surface={"openings": outlet}))
    assert 'A (outlet): 3/4" x 3/4", 1/2" from the left, 1/2" up.' in [text.text for text in svg.iter(f"{SVG}text")]


@pytest.mark.parametrize(
    "pattern", ["thirds", "stair by columns", "diagonal", "herringbone", "straight herringbone", "hex"]
)
def test_a_floor_of_thousands_of_tiles_stays_small(pattern: str) -> None:
    """The full tiles are one period of the pattern: where it is repeated, each full tile has its place."""
    tile = (3, 1.5) if "herringbone" in pattern else (2, 2)
    room, result, _ = laid(plain(110, 110, tile=tile, pattern=PATTERNS[pattern]))
    text = surface_svg(room, result, "floor")
    assert len(result.surface("floor").pieces) > 2_050
    assert len(text) < 120_000
    assert "<pattern" in text
    svg = ET.fromstring(text)  # noqa: S314
    cell = svg.find(f"{SVG}pattern")
    wide, high = float(cell.attrib["width"]), float(cell.attrib["height"])
    covered = unary_union(
        [
            Polygon([tuple(map(float, at.split(","))) for at in loop.split("L")])
            for loop in cell.find(f"{SVG}path").attrib["d"].removeprefix("M").removesuffix("Z").split("ZM")
        ]
    ).intersection(rectangle(0, 0, wide, high))
    moves = re.findall(r"(translate|rotate)\(([^)]*)\)", cell.attrib["patternTransform"])
    left, _, _, top = room.surfaces[0].bounds
    xs, _ = _numbers(next(path.attrib["d"] for path in svg.iter(f"{SVG}path") if path.attrib["class"] == "gap"))
    scale = (max(xs) - min(xs)) / (110 * 25.4)
    whole = [piece for piece in result.surface("floor").pieces if piece.whole]
    for piece in whole[:: len(whole) // 40]:
        x = sum(x for x, _ in piece.outline) / len(piece.outline)
        y = sum(y for _, y in piece.outline) / len(piece.outline)
        for corner_x, corner_y in piece.outline:
            near = ((corner_x * 0.98 + x * 0.02 - left) * scale, (top - corner_y * 0.98 - y * 0.02) * scale)
            off = ((corner_x * 1.04 - x * 0.04 - left) * scale, (top - corner_y * 1.04 + y * 0.04) * scale)
            inside, outside = (_back(spot, moves) for spot in (near, off))
            assert covered.distance(Point(inside[0] % wide, inside[1] % high)) < 0.02, piece.id
            assert not covered.buffer(-0.05).contains(Point(outside[0] % wide, outside[1] % high)) or "hex" in pattern


def _back(at: tuple[float, float], moves: list[tuple[str, str]]) -> tuple[float, float]:
    """A point of the sheet as it lies in the cell of a pattern that is moved so."""
    x, y = at
    for name, numbers in moves:
        if name == "translate":
            dx, dy = map(float, numbers.split())
            x, y = x - dx, y - dy
        else:
            turn = math.radians(-float(numbers))
            x, y = x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
    return x, y


def test_a_floor_of_thirty_thousand_tiles_is_drawn_in_a_second() -> None:
    room, result, _ = laid(plain(690, 700, tile=(4, 4), pattern=PATTERNS["thirds"]))
    assert len(result.surface("floor").pieces) > 27_000
    assert within(1.0, lambda: surface_svg(room, result, "floor"))
    text = surface_svg(room, result, "floor")
    assert len(text) < 100_000


def test_the_same_layout_gives_the_same_bytes() -> None:
    one, other = (laid(sample("mill-house-tub")) for _ in range(2))
    assert surface_svg(one[0], one[1], "long") == surface_svg(other[0], other[1], "long")


def test_courses_are_numbered_from_the_level_line() -> None:
    svg = drawings(sample("quarry-lane-shower"))[1]
    numbers = {
        text.text: float(text.attrib["y"])
        for text in svg.iter(f"{SVG}text")
        if re.fullmatch(r"-?[0-9]+", text.text or "") and text.attrib["text-anchor"] == "start"
    }
    assert list(numbers) == ["-1", "0", "1", "2", "3"]
    assert list(numbers.values()) == sorted(numbers.values(), reverse=True)


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
