"""The wall sheet's drawings: to a round scale, dimensioned by the engine's own figures, no text on other text."""

import json
import math
import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import layout
from layout.changes import changed
from layout.rereading import least_of, surfaces_of
from layout.sheet import overlap, text_box
from layout.to_scale import RATIOS, draw_to_scale, scale_bar
from tests.layout.nasty import with_a_curb
from trade.lengths import format_length

ROOT = Path(__file__).parents[2]
ROOMS = {path.stem: json.loads(path.read_text()) for path in (ROOT / "config/demo/rooms").glob("*.json")}
ROOMS["nasty"] = with_a_curb()
# Points (1/72 in) of a page less an inch of margins each way, upright and lying: ISO 216 and ANSI/ASME Y14.1 (from
# memory).
SIDES = {"letter": (612, 792), "a4": (595, 842), "tabloid": (792, 1224), "a3": (842, 1191)}
AREAS = {paper: ((w - 72, h - 165), (h - 72, w - 165)) for paper, (w, h) in SIDES.items()}


@cache
def laid(name):
    room = layout.read_room(ROOMS[name])
    return room, layout.lay_out(room)


def printed(name):
    """The room as it will be set, and its printed option."""
    room, result = laid(name)
    return changed(room, result.option.changes), json.loads(layout.dumps(result.to_json()))["options"][0]


def drawn(name, paper):
    room, option = printed(name)
    surfaces = surfaces_of(option, room)
    for surface in room.surfaces:
        found = draw_to_scale(room, surface, surfaces[surface.id], least_of(option), AREAS[paper])
        yield surface, surfaces[surface.id], found


def texts(svg):
    """Each text with its box."""
    pattern = (
        r'<text x="([-\d.]+)" y="([-\d.]+)" class="(\w+)" [^>]*?text-anchor="(\w+)"( transform)?[^>]*>([^<]*)</text>'
    )
    found = []
    for x, y, name, anchor, turn, text in re.findall(pattern, svg):
        plain = text.replace("&quot;", '"').replace("&amp;", "&")
        found.append((plain, text_box(name, plain, float(x), float(y), anchor, bool(turn))))
    assert len(found) == svg.count("<text")
    return found


@pytest.mark.parametrize("name", sorted(ROOMS))
def test_a_printed_layout_reads_back_as_it_was(name):
    room, result = laid(name)
    _room, option = printed(name)
    read = surfaces_of(option, changed(room, result.option.changes))
    assert least_of(option) == result.option.least_cut
    for surface in result.option.surfaces:
        again = read[surface.id]
        assert again.courses == surface.courses
        assert [piece.whole for piece in again.pieces] == [piece.whole for piece in surface.pieces]
        assert [(line.name, line.text) for line in again.lines] == [(line.name, line.text) for line in surface.lines]
        assert [line.at for line in again.lines] == pytest.approx([line.at for line in surface.lines], abs=0.001)


@pytest.mark.parametrize("paper", AREAS)
@pytest.mark.parametrize("name", sorted(ROOMS))
def test_no_text_stands_on_another_and_all_fits_the_paper(name, paper):
    for surface, _laid, found in drawn(name, paper):
        assert found.ratio in RATIOS[layout.read_room(ROOMS[name]).units]
        width, height = AREAS[paper][found.wide]
        assert found.width <= width
        assert found.height <= height
        placed = texts(found.svg)
        clash = [
            (one[0], other[0]) for n, one in enumerate(placed) for other in placed[n + 1 :] if overlap(one[1], other[1])
        ]
        assert clash == [], surface.name


@pytest.mark.parametrize("name", sorted(ROOMS))
def test_each_dimension_is_the_printed_layouts(name):
    """Whatever length stands on a drawing is one that the layout or the room has, worked out here from their points."""
    for surface, here, found in drawn(name, "a3"):
        unit = laid(name)[0].units
        left, bottom, right, top = surface.bounds
        points = [(0.0, 0.0), (right - left, top - bottom)]
        loops = [piece.outline for piece in here.pieces if not piece.whole]
        for opening in surface.openings:
            loops.append([*opening.outline, (left, bottom)])
            loops.append([(x, y) for x, y, _r in [opening.circle or (left, bottom, 0)]] + [(left, bottom)])
        known = {line.text for line in here.lines} | {course.text.removeprefix("-") for course in here.courses}
        for loop in [*loops, points]:
            for axis in (0, 1):
                ends = {point[axis] for point in loop}
                known |= {format_length(abs(a - b), unit=unit) for a in ends for b in ends}
            known |= {format_length(math.dist(a, b), unit=unit) for a, b in pairwise([*loop, loop[0]])}
        for text, _box in texts(found.svg):
            for length in re.findall(r"""(?:\d+' )?[\d/. ]*\d(?:"| mm)|\d+'(?= |$)""", text.split(": ")[-1]):
                assert length.strip() in known, (surface.name, text)


@pytest.mark.parametrize("name", sorted(ROOMS))
def test_every_course_is_on_the_story_pole_or_told_under_it(name):
    for surface, here, found in drawn(name, "letter"):
        said = {text for text, _box in texts(found.svg)} | set(re.findall(r"-?\d+: [^,.]+", " ".join(found.notes)))
        top = surface.bounds[3]
        for course in here.courses:
            if course.course != -1 and here.datum[1] + course.mm <= top:
                assert f"{course.course}: {course.text}" in said, surface.name


def test_the_scale_is_an_architects_three_quarters_of_an_inch_to_the_foot():
    """3/4" = 1'-0" is 1:16 on an architect's rule (from memory): a wall of 8 ft is 6 in high on paper, 432 points.

    At 1:12 it would be 8 in, 576 points, which with 91 points of dimensions passes 627 on Letter.
    """
    surface, _laid, found = next(drawn("quarry-lane-shower", "letter"))
    assert surface.bounds[3] == pytest.approx(96 * 25.4)
    assert found.ratio == 16
    outline = re.search(r'd="M([-\d.]+),([-\d.]+)H([-\d.]+)V([-\d.]+)', found.svg)
    ys = re.findall(r"V([-\d.]+)|,([-\d.]+)", outline[0])
    heights = [float(one or other) for one, other in ys]
    assert max(heights) - min(heights) == pytest.approx(432, abs=0.1)


def test_a_larger_paper_never_makes_a_smaller_drawing():
    for name in ROOMS:
        small, large = ([found.ratio for *_, found in drawn(name, paper)] for paper in ("letter", "tabloid"))
        assert all(one >= other for one, other in zip(small, large, strict=True)), name
        assert small != large


@pytest.mark.parametrize(("units", "points"), [("in", 288.0), ("mm", 283.46)])
def test_the_bar_is_as_long_as_it_says(units, points):
    # 4 in of 72 points; 100 mm are 3.937 in.
    long = re.search(r"M0,3 h([\d.]+) M0,7", scale_bar(units))
    assert float(long[1]) == pytest.approx(points, abs=0.1)
    # A unit of the bar's view is a point on paper: the view, 2 points wider, is as wide as it is printed.
    view, width = re.search(r'viewBox="-1 0 ([\d.]+) 10" width="([\d.]+)pt"', scale_bar(units)).groups()
    assert float(view) == float(width) == pytest.approx(points + 2, abs=0.1)


def test_nothing_is_told_by_color():
    for *_, found in drawn("nasty", "a3"):
        colors = set(re.findall(r"#[0-9a-f]{3,6}", found.svg))
        assert colors <= {"#000", "#fff", "#777"}
