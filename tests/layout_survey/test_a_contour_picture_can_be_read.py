"""Contour pictures: lines where the floor is, texts that don't collide, marks that need no color, safe for any name."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from random import Random
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from layout.sheet import overlap, text_box
from layout.survey import read_survey, survey
from layout.survey.commands import main_survey
from layout.survey.contours import contour
from layout.survey.picture import contour_svg, pictures
from tests.layout_survey.surveys import substrate

SVG = "{http://www.w3.org/2000/svg}"


def hilly(seed: int = 1, *, lines: int = 7, readings: int = 12, **more: Any) -> dict[str, Any]:
    dice = Random(seed)
    found = [[(12 * n, dice.randint(-8, 8) / 16) for n in range(readings)] for _ in range(lines)]
    return substrate(*found, every=18, kind="floor", **more)


def shower(drain: dict[str, Any] | None = None, outline: list[list[float]] | None = None) -> dict[str, Any]:
    data = substrate(kind="floor")
    bed = {"outline": outline or [[0, 0], [60, 0], [60, 36], [0, 36]], "drain": drain or {"circle": [22, 18, 2]}}
    return {**data, "bed": {**bed, "slope": {"per_foot": "1/4"}, "least_bed": "1 1/4"}}


def drawn(data: dict[str, Any], **more: Any) -> ET.Element:
    read = read_survey(data)
    return ET.fromstring(contour_svg(read, survey(read), **more))  # noqa: S314  # of our own making


def texts(svg: ET.Element) -> list[tuple[str, tuple[float, float, float, float]]]:
    found = []
    for text in svg.iter(f"{SVG}text"):
        upright = "rotate" in text.get("transform", "")
        place = float(text.get("x", "")), float(text.get("y", ""))
        said = text.text or ""
        found.append((said, text_box(text.get("class", ""), said, *place, text.get("text-anchor", ""), upright)))
    return found


MANY = [
    hilly(),
    hilly(2, leveling={"grind": "1/4"}),
    hilly(3, leveling={"to": "least-volume", "grind": "1/8"}),
    hilly(4, leveling={"to": "slope", "fall": {"per_foot": "1/4"}, "toward": "end"}),
    hilly(5, lines=2, readings=3),
    hilly(6, lines=12, readings=20),
    hilly(7, units="mm", tile_longest_edge=600),
    hilly(8, lines=30, readings=3),
    shower(),
    shower({"point": [0, 0]}),
    shower({"line": [[10, 18], [50, 18]]}),
    shower({"point": [5, 5]}, [[0, 0], [30, 0], [30, 8], [8, 12], [8, 90], [0, 90]]),
]


@pytest.mark.parametrize("data", MANY)
def test_no_text_stands_on_another_and_all_are_on_the_paper(data: dict[str, Any]) -> None:
    read = read_survey(data)
    result = survey(read)
    for what in pictures(read, result):
        svg = drawn(data, what=what)
        left, top, wide, tall = (float(each) for each in svg.get("viewBox", "").split())
        found = texts(svg)
        assert len(found) > 5
        for number, (said, box) in enumerate(found):
            assert left <= box[0] <= box[2] <= left + wide, said
            assert top <= box[1] <= box[3] <= top + tall, said
            assert not [other for other, beside in found[:number] if overlap(box, beside)], said


@pytest.mark.parametrize("data", MANY)
def test_on_a_phone_text_is_ten_pixels_high_or_more(data: dict[str, Any]) -> None:
    # A phone 390 px wide with 16 px beside the drawing; the smallest class is 12 units.
    for what in pictures(*(lambda read: (read, survey(read)))(read_survey(data))):
        wide = float(drawn(data, what=what).get("viewBox", "").split()[2])
        assert 12 * (390 - 32) / wide >= 9.5


def test_on_a_leaning_floor_the_lines_stand_where_the_height_is() -> None:
    # 8 mm down over 4 m: a line every millimeter, half a meter apart, straight across.
    data = substrate(kind="floor", units="mm", tile_longest_edge=600)
    reads = [[0, 0], [4000, -8]]
    data["lines"] = [{"id": f"{at}", "at": at, "readings": reads} for at in (0, 3000)]
    svg = drawn(data)
    scale = min(300 / 3000, 420 / 4000)
    lines = [path.get("d", "") for path in svg.iter(f"{SVG}path") if path.get("class") == "contour"]
    heights = {round(float(y)) for d in lines for y in re.findall(r",(-?[\d.]+)", d)}
    # Counted from above; the lowest lies on the floor's own edge, which bounds it.
    steps = [4000 * scale * share / 8 for share in range(1, 8)]
    assert sorted(heights) == pytest.approx(steps, abs=0.6)
    assert len(lines) == 7


def test_a_contour_is_where_a_bilinear_cell_has_that_height_whichever_way_its_saddle_goes() -> None:
    x, y = np.array([0.0, 1.0]), np.array([0.0, 1.0])
    for corners, ends in [
        ([[1, 0], [0, 1]], {((0.6, 0.0), (1.0, 0.4)), ((0.4, 1.0), (0.0, 0.6))}),
        ([[0, 1], [1, 0]], {((0.4, 0.0), (0.0, 0.4)), ((0.6, 1.0), (1.0, 0.6))}),
    ]:
        # The saddle is at 1/2: at 0.4 the two high corners are joined over it, so each low corner is cut off.
        lines = contour(x, y, np.array(corners, dtype=float), 0.4)
        found = {frozenset(tuple(round(each, 9) for each in point) for point in (line[0], line[-1])) for line in lines}
        assert found == {frozenset(pair) for pair in ends}


def test_contours_of_a_cone_are_closed_circles() -> None:
    x = y = np.linspace(-1, 1, 81)
    mesh = np.hypot(*np.meshgrid(x, y))
    (line,) = contour(x, y, mesh, 0.7)
    assert line[0] == line[-1]
    assert np.hypot(*np.array(line).T) == pytest.approx(0.7, abs=2e-3)


def test_what_is_high_is_hatched_and_what_is_low_is_dotted_where_it_is() -> None:
    level = [(12 * n, 0) for n in range(9)]
    proud = [(12 * n, 0.5 if n in (4, 5) else 0) for n in range(9)]
    low = [(12 * n, -0.5 if n in (4, 5) else 0) for n in range(9)]
    svg = drawn(substrate(level, proud, level, low, level, every=24, kind="floor", leveling={"grind": "1/4"}))
    scale = 300 / 96
    for name, at in (("high", 24), ("low", 72)):
        (path,) = [each for each in svg.iter(f"{SVG}path") if each.get("class") == name]
        marks = re.findall(r"[ML](-?[\d.]+),(-?[\d.]+)", path.get("d", ""))
        places = np.array(marks, dtype=float) / scale
        assert np.abs(places[:, 0] - at).max() <= 24
        assert places[:, 0].mean() == pytest.approx(at, abs=2)
        assert (96 - places[:, 1]).mean() == pytest.approx(54, abs=3)


def test_readings_are_dots_with_their_heights_over_the_plane() -> None:
    data = substrate([(0, 0), (48, "-1/4"), (96, 0)], [(0, 0), (48, "3/16"), (96, 0)], every=60, kind="floor")
    svg = drawn({**data, "leveling": {"grind": "1/16"}})
    assert len([each for each in svg.iter(f"{SVG}path") if each.get("class") == "spot"]) == 6
    said = [text for text, _ in texts(svg)]
    assert said.count("-1/8") == 4
    assert {"+1/16", "-3/8"} <= set(said)
    assert 'Grind 1/16": stud 2, 48" along.' in " ".join(said)


@pytest.mark.parametrize("what", ["constant-slope", "level-perimeter"])
def test_a_bed_has_the_height_of_every_corner(what: Any) -> None:
    said = [text for text, _ in texts(drawn(shower(), what=what))]
    far = math.hypot(38, 18) - 2
    heights = [far / 48 * 16] * 4
    if what == "constant-slope":
        heights[:2] = [(math.hypot(22, 18) - 2) / 48 * 16] * 2
    for sixteenths in heights:
        assert f'{round(sixteenths)}/16"' in said
        said.remove(f'{round(sixteenths)}/16"')


@pytest.mark.parametrize("name", ["<script>", 'a"b', "&amp;", "x" * 180, "\u202ekeep", "行"])
def test_any_name_is_drawn_as_text(name: str) -> None:
    data = hilly()
    data["lines"][2]["id"] = name
    svg = drawn(data)
    assert {each.tag for each in svg.iter()} <= {SVG + each for each in ("svg", "title", "desc", "path", "text")}


def test_what_has_no_surface_has_no_picture() -> None:
    for data in (substrate([(0, 0), (96, 0)], [(0, 0), (96, 0)]), substrate([(0, 0), (9, 0)], kind="floor")):
        read = read_survey(data)
        assert contour_svg(read, survey(read)) == ""


def test_the_same_survey_is_the_same_picture_and_one_for_eyes_only_is_hidden() -> None:
    read = read_survey(hilly())
    result = survey(read)
    assert contour_svg(read, result) == contour_svg(read, survey(read))
    assert "<title>" in contour_svg(read, result)
    hidden = contour_svg(read, result, title=False)
    assert 'aria-hidden="true"' in hidden
    assert "<title>" not in hidden


def test_the_command_writes_each_picture_and_prints_what_it_prints_without(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "survey.json"
    file.write_text(json.dumps(shower()), encoding="utf-8")
    assert main_survey([str(file)]) == 0
    bare = capsys.readouterr().out
    assert main_survey([str(file), "--svg", str(tmp_path / "out")]) == 0
    assert capsys.readouterr().out == bare
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == ["constant-slope.svg", "level-perimeter.svg"]
    file.write_text(json.dumps(substrate([(0, 0), (96, 0)])), encoding="utf-8")
    assert main_survey([str(file), "--svg", str(tmp_path / "none")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert main_survey([str(file), "--svg", str(file)]) == 2
