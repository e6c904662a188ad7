"""Every nasty file gets one error that names the place, and never an answer."""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import layout
from layout.survey import read_survey, survey
from layout.survey.picture import contour_svg, pictures
from tests.layout.helpers import places_in
from tests.layout_survey.surveys import random_survey, said, substrate

Change = Callable[[dict[str, Any]], object]

STUD = [(0, 0), (24, "1/16"), (48, "-1/8"), (96, 0)]


def sample() -> dict[str, Any]:
    return copy.deepcopy(substrate(STUD, STUD, STUD))


def put(name: str, value: object) -> Change:
    return lambda data: data.__setitem__(name, value)


def put_line(name: str, value: object) -> Change:
    return lambda data: data["lines"][1].__setitem__(name, value)


def put_reading(index: int, value: object) -> Change:
    return lambda data: data["lines"][1]["readings"].__setitem__(index, value)


CASES: list[tuple[str, Change, str, str]] = [
    ("another format", put("format", "survey/1"), "format", "gaugerod-survey/1"),
    ("no format", lambda data: data.pop("format"), "format", "nothing"),
    ("no units", lambda data: data.pop("units"), "units", "in, mm"),
    ("unknown units", put("units", "cm"), "units", '"cm"'),
    ("an unknown kind", put("kind", "roof"), "kind", "studs, wall, floor"),
    ("no kind", lambda data: data.pop("kind"), "kind", "nothing"),
    ("an unknown aim", put("aim", "cheapest"), "aim", "shims-only"),
    ("a list for an aim", put("aim", ["least-total"]), "aim", "a list"),
    ("no tile", lambda data: data.pop("tile_longest_edge"), "tile_longest_edge", "missing"),
    ("a tile of nothing", put("tile_longest_edge", 0), "tile_longest_edge", "nothing"),
    ("a negative tile", put("tile_longest_edge", -24), "tile_longest_edge", "negative"),
    ("a tile of 1e308", put("tile_longest_edge", 1e308), "tile_longest_edge", "1 km"),
    ("no lines", lambda data: data.pop("lines"), "lines", "missing"),
    ("an empty list of lines", put("lines", []), "lines", "at least one"),
    ("lines as an object", put("lines", {}), "lines", "a list"),
    ("a line that is a number", lambda data: data["lines"].append(3), "lines[3]", "object"),
    ("no id", lambda data: data["lines"][1].pop("id"), "lines[1].id", "missing"),
    ("a number for an id", put_line("id", 2), "lines[1].id", "text"),
    ("a line break in an id", put_line("id", "a\nb"), "lines[1].id", "control"),
    ("two of one id", put_line("id", "stud 1"), "lines[1].id", "twice"),
    ("no place", lambda data: data["lines"][1].pop("at"), "lines[1].at", "missing"),
    ("a place that isn't a number", put_line("at", math.nan), "lines[1].at", "not a number"),
    ("an endless place", put_line("at", math.inf), "lines[1].at", "not a number"),
    ("two lines at one place", put_line("at", 0), "lines[1].at", '"stud 1" stands there already'),
    ("two lines a hair apart", put_line("at", 32.01), "lines[2].at", '"stud 2" stands less than 1 mm beside it'),
    ("no readings", lambda data: data["lines"][1].pop("readings"), "lines[1].readings", "missing"),
    ("an empty list of readings", put_line("readings", []), "lines[1].readings", "at least one"),
    ("readings as a number", put_line("readings", 7), "lines[1].readings", "a list"),
    ("a reading of three", put_reading(2, [48, 0, 0]), "lines[1].readings[2]", "entries"),
    ("a reading of one", put_reading(2, [48]), "lines[1].readings[2]", "two lengths"),
    ("a reading of nothing", put_reading(2, None), "lines[1].readings[2]", "a list"),
    ("a reading without its distance", put_reading(2, [None, 0]), "lines[1].readings[2][0]", "a length"),
    ("a reading of a word", put_reading(2, [48, "out"]), "lines[1].readings[2][1]", "out"),
    ("a reading of true", put_reading(2, [48, True]), "lines[1].readings[2][1]", "true"),
    ("a reading that isn't a number", put_reading(2, [48, math.nan]), "lines[1].readings[2][1]", "not a number"),
    ("a reading of 1e308", put_reading(2, [48, 1e308]), "lines[1].readings[2][1]", "1 km"),
    ("a reading of 10**400", put_reading(2, [48, 10**400]), "lines[1].readings[2][1]", "huge"),
    ("a reading 40 ft out", put_reading(2, [48, "-40'"]), "lines[1].readings[2][1]", "too far"),
    ("a fraction by zero", put_reading(2, [48, "1/0"]), "lines[1].readings[2][1]", "zero"),
    ("readings that fall", put_reading(2, [12, 0]), "lines[1].readings[2][0]", "behind"),
    ("a place read twice", put_reading(2, [24, 0]), "lines[1].readings[2][0]", "already"),
    ("a place read twice in mm", put_reading(2, ["609.6 mm", 0]), "lines[1].readings[2][0]", "already"),
    ("two places a hair apart", put_reading(2, [24.02, 0]), "lines[1].readings[2][0]", "less than 1 mm"),
    (
        "100,000 readings",
        put_line("readings", [[n, 0] for n in range(100_000)]),
        "lines[1].readings",
        "100,000 entries are too many",
    ),
    (
        "thousands of lines",
        put("lines", [{"id": str(n), "at": n, "readings": [[0, 0]]} for n in range(2_000)]),
        "lines",
        "2,000 entries are too many",
    ),
    (
        "more readings in all than anybody takes",
        put("lines", [{"id": str(n), "at": n, "readings": [[k, 0] for k in range(4_000)]} for n in range(6)]),
        "lines[5].readings",
        "20,000",
    ),
]


def floor() -> dict[str, Any]:
    return {**sample(), "kind": "floor", "leveling": {"to": "slope", "fall": {"percent": 2}, "toward": "end"}}


def shower() -> dict[str, Any]:
    outline = [[0, 0], [40, 0], [40, 40], [0, 40]]
    bed = {"outline": outline, "drain": {"circle": [20, 20, 2]}, "slope": {"per_foot": "1/4"}, "least_bed": 1}
    return {**floor(), "lines": [], "bed": bed}


def level(name: str, value: object) -> Change:
    return lambda data: data["leveling"].__setitem__(name, value)


def bed(name: str, value: object) -> Change:
    return lambda data: data["bed"].__setitem__(name, value)


FLOORS: list[tuple[str, Change, str, str]] = [
    ("a level wall", put("kind", "wall"), "leveling", '"kind" is "wall"'),
    ("leveling by a word", put("leveling", "level"), "leveling", "an object"),
    ("an unknown plane", level("to", "flat"), "leveling.to", "least-volume"),
    ("a fall of a level floor", level("to", "level"), "leveling.fall", "slope"),
    ("no fall", level("fall", None), "leveling.fall", "missing"),
    ("no direction", level("toward", None), "leveling.toward", "missing"),
    ("a fall without its unit", level("fall", 2), "leveling.fall", "an object"),
    ("a fall in degrees", level("fall", {"degrees": 2}), "leveling.fall", "per_foot"),
    ("two falls", level("fall", {"percent": 2, "per_foot": "1/4"}), "leveling.fall", "per_foot"),
    ("no fall at all", level("fall", {"percent": 0}), "leveling.fall.percent", "out of range"),
    ("a fall like a roof's", level("fall", {"per_foot": 12}), "leveling.fall.per_foot", "too much"),
    ("a fall that isn't a number", level("fall", {"percent": math.nan}), "leveling.fall.percent", "out of range"),
    ("an unknown side", level("toward", "door"), "leveling.toward", "start"),
    ("toward the middle", level("toward", [16, 48]), "leveling.toward", "middle"),
    ("half a point", level("toward", [16]), "leveling.toward", "two lengths"),
    ("grinding upward", level("grind", "-1/8"), "leveling.grind", "negative"),
    ("grinding through", level("grind", 12), "leveling.grind", "too much"),
]

BEDS: list[tuple[str, Change, str, str]] = [
    ("a bed on a wall", put("kind", "wall"), "leveling", "floor"),
    ("a bed by a word", put("bed", "bed"), "bed", "an object"),
    ("no outline", lambda data: data["bed"].pop("outline"), "bed.outline", "missing"),
    ("no drain", lambda data: data["bed"].pop("drain"), "bed.drain", "missing"),
    ("no slope", lambda data: data["bed"].pop("slope"), "bed.slope", "missing"),
    ("no thickness", lambda data: data["bed"].pop("least_bed"), "bed.least_bed", "missing"),
    ("an outline that crosses", bed("outline", [[0, 0], [40, 40], [40, 0], [0, 40]]), "bed.outline", "cross"),
    ("two corners", bed("outline", [[0, 0], [40, 40]]), "bed.outline", "three points"),
    ("a drain outside", bed("drain", {"point": [50, 20]}), "bed.drain.point", "doesn't lie in the outline"),
    ("a drain partly outside", bed("drain", {"circle": [1, 20, 2]}), "bed.drain.circle", "doesn't lie in the outline"),
    (
        "a line partly outside",
        bed("drain", {"line": [[1, 2], [41, 2]]}),
        "bed.drain.line",
        "doesn't lie in the outline",
    ),
    ("a drain as a floor", bed("drain", {"circle": [20, 20, 900]}), "bed.drain.circle", "doesn't lie in the outline"),
    ("a drain of nothing", bed("drain", {"circle": [20, 20, 0]}), "bed.drain.circle[2]", "nothing"),
    ("a line of nothing", bed("drain", {"line": [[2, 2], [2, 2]]}), "bed.drain.line", "same place"),
    ("a line of one point", bed("drain", {"line": [[2, 2]]}), "bed.drain.line", "two points"),
    ("two drains", bed("drain", {"point": [9, 9], "circle": [9, 9, 1]}), "bed.drain", "a drain is"),
    ("a point of one length", bed("drain", {"point": [9]}), "bed.drain.point", "two lengths"),
    ("a circle without radius", bed("drain", {"circle": [9, 9]}), "bed.drain.circle", "three lengths"),
    ("a bed as thick as a wall", bed("least_bed", 40), "bed.least_bed", "too much"),
    ("a bed of less than nothing", bed("least_bed", -1), "bed.least_bed", "negative"),
    ("a pre-slope of a word", bed("pre_slope", "thin"), "bed.pre_slope", "thin"),
    ("bags of nothing", bed("bag_liters", 0), "bed.bag_liters", "out of range"),
    (
        "readings of one line",
        put("lines", [{"id": "a", "at": 0, "readings": [[0, 0], [40, 0]]}]),
        "lines",
        "100 percent",
    ),
    ("no lines and no bed", put("bed", None), "lines", "at least one"),
]


@pytest.mark.parametrize(
    ("start", "change", "place", "reason"),
    [*[(floor, *case[1:]) for case in FLOORS], *[(shower, *case[1:]) for case in BEDS]],
    ids=[case[0] for case in (*FLOORS, *BEDS)],
)
def test_a_floor_or_bed_is_refused_with_its_place(
    start: Callable[[], dict[str, Any]], change: Change, place: str, reason: str
) -> None:
    data = start()
    survey(read_survey(data))
    change(data)
    with pytest.raises(layout.RoomError) as caught:
        survey(read_survey(data))
    assert caught.value.place == place
    assert reason in caught.value.reason
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("change", "place", "reason"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_it_is_refused_with_its_place(change: Change, place: str, reason: str) -> None:
    data = sample()
    change(data)
    with pytest.raises(layout.RoomError) as caught:
        survey(read_survey(data))
    assert caught.value.place == place
    assert str(caught.value).startswith(f"{place}: ")
    assert reason in caught.value.reason
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("data", [None, [], "survey", 3, math.nan])
def test_what_is_no_object_is_no_survey(data: Any) -> None:
    with pytest.raises(layout.RoomError) as caught:
        read_survey(data)
    assert caught.value.place == "survey"


def test_inches_feet_and_mm_may_stand_in_one_file() -> None:
    mixed = sample()
    mixed["lines"][1]["readings"] = [["0 mm", 0], ["2'", "1.5875 mm"], ["1219.2 mm", "-1/8"], ["2.4384 m", 0.0]]
    mixed["lines"][2]["at"] = "2' 8\""
    assert said(mixed) == said(sample())


def test_a_datum_may_lie_anywhere() -> None:
    moved = sample()
    for line in moved["lines"]:
        line["at"] -= 16
        line["readings"] = [[along - 48, out] for along, out in line["readings"]]
    assert said(moved)["plane"]["work_mm"] == pytest.approx(said(sample())["plane"]["work_mm"], abs=1e-6)


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.integers(min_value=-100, max_value=100),
    st.floats(),
    st.floats(min_value=-100, max_value=100),
    st.text(max_size=8),
    st.sampled_from(["-1/8", "1/16", "3' 2\"", "25 mm"]),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)


@settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(
    data=st.data(),
    seed=st.integers(0, 20),
    aim=st.sampled_from(["least-total", "fewest-lines", "shims-only"]),
    junk=st.lists(JUNK, min_size=1, max_size=3),
)
def test_junk_anywhere_is_surveyed_or_refused_and_nothing_else(
    data: st.DataObject, seed: int, aim: str, junk: list[object]
) -> None:
    broken = json.loads(json.dumps(random_survey(seed, lines=1 + seed % 4, readings=1 + seed % 5, aim=aim)))
    for each in junk:
        path = data.draw(st.sampled_from(places_in(broken)))
        within: Any = broken
        for key in path[:-1]:
            within = within[key]
        within[path[-1]] = each
    error, printed = _outcome(broken)
    if error is None:
        assert json.loads(printed)["format"] == "gaugerod-survey-result/1"
    else:
        assert error.place
        assert "\n" not in str(error)


@settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data(), start=st.sampled_from([floor, shower]), junk=st.lists(JUNK, min_size=1, max_size=3))
def test_junk_anywhere_in_a_floor_or_bed_is_worked_out_and_drawn_or_refused(
    data: st.DataObject, start: Callable[[], dict[str, Any]], junk: list[object]
) -> None:
    broken = json.loads(json.dumps(start()))
    for each in junk:
        path = data.draw(st.sampled_from(places_in(broken)))
        within: Any = broken
        for key in path[:-1]:
            within = within[key]
        within[path[-1]] = each
    error, printed = _outcome(broken)
    if error is None:
        assert json.loads(printed)["format"] == "gaugerod-survey-result/1"
    else:
        assert error.place
        assert "\n" not in str(error)


def _outcome(data: dict[str, Any]) -> tuple[layout.RoomError | None, str]:
    try:
        read = read_survey(data)
        result = survey(read)
        for what in pictures(read, result):
            assert contour_svg(read, result, what=what).startswith("<svg")
        return None, layout.dumps(result.to_json())
    except layout.RoomError as error:
        return error, ""
