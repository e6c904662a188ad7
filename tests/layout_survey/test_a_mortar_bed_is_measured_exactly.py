"""A shower's bed: volumes against closed forms and many random places, heights and slopes against the code."""

from __future__ import annotations

import math
from random import Random
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

import layout
from layout.survey import read_survey, survey
from layout.survey.bed import slopes_of
from tests.layout_survey.surveys import said
from trade import sources

Floats = NDArray[np.float64]
Outline = list[tuple[float, float]]


def shower(outline: Outline, drain: dict[str, Any], units: str = "mm", **bed: Any) -> dict[str, Any]:
    lines = bed.pop("lines", [])
    wanted = {"outline": outline, "drain": drain, "slope": {"percent": 2}, "least_bed": 30, **bed}
    edge = 300 if units == "mm" else 12
    head = {"format": "gaugerod-survey/1", "units": units, "kind": "floor", "tile_longest_edge": edge}
    return {**head, "bed": wanted, "lines": lines}


def ways(data: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {way["way"]: way for way in said(data)["bed"]["ways"]}


def rectangle(wide: float, long: float) -> Outline:
    return [(0, 0), (wide, 0), (wide, long), (0, long)]


def ring(radius: float, count: int = 1000) -> Outline:
    turns = [2 * math.pi * n / count for n in range(count)]
    return [(radius * math.cos(turn), radius * math.sin(turn)) for turn in turns]


def test_a_cone_in_a_circle() -> None:
    # π r² (t + 2/3 s r); a polygon of 1,000 corners lacks 7 parts in a million.
    both = ways(shower(ring(900), {"point": [0, 0]}))
    liters = math.pi * 0.9**2 * (30 + 2 / 3 * 0.02 * 900)
    assert both["constant-slope"]["volume_l"] == pytest.approx(liters, rel=1e-5)
    assert both["level-perimeter"]["volume_l"] == pytest.approx(liters, rel=1e-5)


def test_around_a_round_drain_the_floor_starts_at_its_rim() -> None:
    # 2π ∫ s (ρ − r) ρ dρ from r to R = 2π s (R³/3 − r R²/2 + r³/6): by hand.
    both = ways(shower(ring(900), {"circle": [0, 0, 60]}))
    raised = 2 * math.pi * 0.02 * (900**3 / 3 - 60 * 900**2 / 2 + 60**3 / 6)
    liters = (raised + math.pi * (900**2 - 60**2) * 30) / 1e6
    assert both["constant-slope"]["volume_l"] == pytest.approx(liters, rel=1e-5)
    assert both["level-perimeter"]["volume_l"] == pytest.approx(liters, rel=1e-5)
    assert both["constant-slope"]["perimeter"][0]["height_mm"] == pytest.approx(0.02 * 840)


def test_a_square_with_a_central_drain() -> None:
    # The mean distance to a square's center is its side times (√2 + ln(1 + √2)) / 6; a pyramid's mean height 1/3 of
    # its own from the top, so 2/3 from a drain at its tip.
    both = ways(shower(rectangle(1000, 1000), {"point": [500, 500]}))
    mean = 1000 * (math.sqrt(2) + math.log(1 + math.sqrt(2))) / 6
    assert both["constant-slope"]["volume_l"] == pytest.approx(30 + 0.02 * mean, abs=1e-6)
    assert both["level-perimeter"]["volume_l"] == pytest.approx(30 + 2 / 3 * 0.02 * 500 * math.sqrt(2), abs=1e-6)
    assert both["level-perimeter"]["figures"] == {"least_percent": 2.0, "greatest_percent": 2.82}


def test_a_linear_drain_along_a_wall_makes_a_wedge_and_no_level_perimeter() -> None:
    printed = said(shower(rectangle(1500, 900), {"line": [[0, 0], [0, 900]]}))
    (way,) = printed["bed"]["ways"]
    assert way["volume_l"] == pytest.approx(1.5 * 0.9 * (30 + 15), abs=1e-6)
    assert {mark["height_mm"] for mark in way["perimeter"] if mark["kind"] == "corner"} == {0.0, 30.0}
    assert any("at a wall" in finding["text"] for finding in printed["findings"])


def test_a_linear_drain_amid_a_stadium() -> None:
    # Beside it planes, about its ends two halves of a cone: s (w l²/2 · 2) / … by hand: 2·L·R²/2 + 2/3·π·R³, times s.
    right = [(400 + 500 * math.cos(t), 500 * math.sin(t)) for t in np.linspace(-math.pi / 2, math.pi / 2, 400)]
    left = [(-400 + 500 * math.cos(t), 500 * math.sin(t)) for t in np.linspace(math.pi / 2, 3 * math.pi / 2, 400)]
    both = ways(shower([*right, *left], {"line": [[-400, 0], [400, 0]]}, least_bed=0))
    liters = 0.02 * (800 * 500**2 + 2 / 3 * math.pi * 500**3) / 1e6
    assert both["constant-slope"]["volume_l"] == pytest.approx(liters, rel=2e-5)
    # Half the height on average beside the drain, two thirds about its ends: by hand.
    level = 10 * (800 * 1000 / 2 + 2 / 3 * math.pi * 500**2) / 1e6
    assert both["level-perimeter"]["volume_l"] == pytest.approx(level, rel=2e-5)


def random_floor(seed: int) -> tuple[Outline, dict[str, Any]]:
    """Return a floor that a drain near its middle sees whole: corners in turn around it."""
    dice = Random(seed)
    kind = ("point", "circle", "line")[seed % 3]
    count = dice.randint(4, 9)
    turns = sorted(2 * math.pi * (n + dice.uniform(0.1, 0.9)) / count for n in range(count))
    around = [(t, dice.uniform(400, 1400)) for t in turns]
    if kind != "line":
        outline = [(500 + r * math.cos(t), 300 + r * math.sin(t)) for t, r in around]
        return outline, {"point": [500, 300]} if kind == "point" else {"circle": [500, 300, 40]}
    # Beside a linear drain each run meets the rim once where the corners go steadily on along it.
    upper = [(x, dice.uniform(300, 900)) for x in (1100, 800, 500, 200, -100)]
    lower = [(x, -dice.uniform(300, 900)) for x in (-150, 300, 700, 1150)]
    lean = dice.uniform(0, 2 * math.pi)
    points = [(x, y) for x, y in [*upper, *lower, (0, 0), (900, 0)]]
    turned = [(x * math.cos(lean) - y * math.sin(lean), x * math.sin(lean) + y * math.cos(lean)) for x, y in points]
    return turned[:-2], {"line": turned[-2:]}


def by_chance(outline: Outline, drain: dict[str, Any], slope: float, *, level: bool) -> tuple[float, float]:
    """Return the mean height of a floor over its drain by 40,000 random places, and how far chance may take it.

    Another way to the heights: shapely's distances and crossings."""
    floor = Polygon(outline)
    dice = np.random.default_rng(7)
    left, bottom, right, top = floor.bounds
    points = dice.uniform((left, bottom), (right, top), (80_000, 2))
    points = points[shapely.contains_xy(floor, *points.T)]
    radius = drain["circle"][2] if "circle" in drain else 0.0
    line = LineString(drain["line"]) if "line" in drain else shapely.Point((drain.get("point") or drain["circle"])[:2])
    distance = shapely.distance(shapely.points(points), line)
    points, distance = points[distance > radius], distance[distance > radius] - radius
    if not level:
        heights = distance * slope
    else:
        points, distance = points[:8_000], distance[:8_000]
        corners = shapely.distance(shapely.points(outline), line) - radius
        along = shapely.line_locate_point(line, shapely.points(points)) if "line" in drain else np.zeros(len(points))
        start = shapely.get_coordinates(shapely.line_interpolate_point(line, along)) if "line" in drain else None
        start = start if start is not None else np.broadcast_to(shapely.get_coordinates(line), points.shape)
        ends = start + (points - start) / np.hypot(*(points - start).T)[:, None] * 10_000
        crossed = shapely.intersection(shapely.linestrings(np.stack((start, ends), axis=1)), floor.exterior)
        whole = shapely.distance(shapely.points(start), crossed) - radius
        heights = corners.max() * slope * distance / whole
    return float(heights.mean()), 4 * float(heights.std()) / math.sqrt(len(heights))


@pytest.mark.parametrize("seed", range(24))
def test_floors_of_any_shape_hold_what_random_places_say(seed: int) -> None:
    outline, drain = random_floor(seed)
    printed = said(shower(outline, drain, least_bed=0))["bed"]
    area = Polygon(outline).area - (math.pi * drain["circle"][2] ** 2 if "circle" in drain else 0.0)
    assert printed["area_m2"] == pytest.approx(area / 1e6, abs=1e-6)
    assert len(printed["ways"]) == 2
    for way in printed["ways"]:
        mean, chance = by_chance(outline, drain, 0.02, level=way["way"] == "level-perimeter")
        assert way["volume_l"] / printed["area_m2"] == pytest.approx(mean, abs=chance)


@pytest.mark.parametrize("seed", range(12))
def test_the_steepest_fall_of_a_level_perimeter_is_the_steepest_step_on_a_fine_grid(seed: int) -> None:
    outline, drain = random_floor(seed)
    read = read_survey(shower(outline, drain))
    assert read.bed is not None
    slope = slopes_of(read.bed)["level-perimeter"]
    floor = Polygon(outline).buffer(-0.02)
    rim = np.array([floor.exterior.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, 4001)])
    left, bottom, right, top = floor.bounds
    mesh = np.meshgrid(np.linspace(left, right, 150), np.linspace(bottom, top, 150))
    points = np.concatenate((rim, np.column_stack([each.ravel() for each in mesh])))
    points = points[shapely.contains_xy(floor, *points.T) & (slope.runs.run(points) > 1)]
    step = 1e-3
    falls = [(slope.heights(points + d) - slope.heights(points - d)) / (2 * step) for d in step * np.eye(2)]
    steepest = np.hypot(*falls)
    # Where a step straddles two facets it is less steep than either.
    assert slope.steepest == pytest.approx(float(steepest.max()), rel=2e-2)
    assert float(steepest.max()) <= slope.steepest * (1 + 1e-4)


def test_four_feet_from_the_drain_a_quarter_inch_in_a_foot_is_an_inch() -> None:
    # fcimag.com/articles/93759: 48 in to the farthest corner, 1 in of fall.
    slope = {"per_foot": "1/4"}
    both = ways(shower([(0, 0), (48, 0), (48, 20), (0, 20)], {"point": [0, 0]}, "in", slope=slope, least_bed="1 1/4"))
    marks = both["constant-slope"]["perimeter"]
    corner = next(mark for mark in marks if mark["at"] == [1219.2, 0.0])
    assert (corner["run_text"], corner["height_text"]) == ('48"', '1"')
    assert both["constant-slope"]["verdict"] == "holds"


@pytest.mark.parametrize(
    ("slope", "verdict", "word"),
    [
        ({"per_foot": "1/4"}, "holds", ""),
        ({"percent": 2}, "holds", ""),
        ({"per_foot": "1/2"}, "holds", ""),
        ({"per_foot": "3/16"}, "fails", "Flatter"),
        ({"percent": 1.99}, "fails", "Flatter"),
        ({"percent": 4.2}, "fails", "Steeper"),
    ],
)
def test_one_slope_is_judged_by_the_code(slope: dict[str, Any], verdict: str, word: str) -> None:
    # IRC P2709.1: 1/4 to 1/2 in per ft.
    way = ways(shower(rectangle(40, 40), {"point": [20, 20]}, "in", slope=slope, least_bed=1))["constant-slope"]
    assert (way["verdict"], way["rule"]) == (verdict, sources.SHOWER_SLOPE.id)
    assert word in way["text"]


def test_a_level_perimeter_is_too_steep_where_the_drain_is_near_one_wall() -> None:
    both = ways(shower(rectangle(1500, 900), {"point": [1300, 450]}))
    assert both["constant-slope"]["verdict"] == "holds"
    level = both["level-perimeter"]
    assert level["verdict"] == "fails"
    # From the near wall, 200 mm off, as high as from the far corner: by hand.
    assert level["figures"]["greatest_percent"] == math.floor(2 * math.hypot(1300, 450) / 200 * 100) / 100
    assert {mark["height_mm"] for mark in level["perimeter"]} == {round(0.02 * math.hypot(1300, 450), 6)}


def test_heights_stand_at_corners_every_foot_and_where_a_wall_is_nearest() -> None:
    way = ways(shower(rectangle(1500, 900), {"point": [400, 450]}))["constant-slope"]
    first = [(mark["kind"], mark["from_corner_mm"]) for mark in way["perimeter"] if mark["wall"] == 0]
    along = [("along", 600.0), ("along", 900.0), ("along", 1200.0)]
    assert first == [("corner", 0.0), ("along", 300.0), ("nearest", 400.0), *along]
    for mark in way["perimeter"]:
        run = math.dist(mark["at"], (400, 450))
        assert (mark["run_mm"], mark["height_mm"]) == pytest.approx((run, 0.02 * run), abs=1e-5)
        assert mark["thickness_mm"] == pytest.approx(30 + 0.02 * run, abs=1e-5)


def test_a_pre_slope_carries_the_slope_and_the_bed_over_it_is_even() -> None:
    data = shower(rectangle(1000, 1000), {"point": [500, 500]}, pre_slope=12, bag_liters=10)
    pre, bed = ways(data)["level-perimeter"]["layers"]
    assert (pre["layer"], pre["least_mm"]) == ("pre-slope", 12.0)
    assert pre["greatest_mm"] == pytest.approx(12 + 10 * math.sqrt(2), abs=1e-5)
    assert pre["volume_l"] == pytest.approx(12 + 20 / 3 * math.sqrt(2), abs=1e-5)
    assert (bed["layer"], bed["least_mm"], bed["greatest_mm"], bed["volume_l"]) == ("bed", 30.0, 30.0, 30.0)
    assert (pre["bags"], bed["bags"]) == (3, 3)
    # 130 lb per cu ft is 2.08 kg/L: from memory, as the result says.
    assert bed["weight_kg"] == pytest.approx(30 * 130 * 0.45359237 / 28.316846592, rel=2e-3)
    assert "bags" not in ways(shower(rectangle(9e2, 9e2), {"point": [1, 1]}))["constant-slope"]["layers"][0]


SHADED = [(0, 0), (2000, 0), (2000, 500), (1000, 500), (1000, 2000), (0, 2000)]


@pytest.mark.parametrize(
    "drain", [{"point": [1500, 250]}, {"circle": [1500, 250, 50]}, {"line": [[1200, 250], [1900, 250]]}]
)
def test_a_wall_between_floor_and_drain_is_refused_and_named(drain: dict[str, Any]) -> None:
    with pytest.raises(layout.RoomError) as caught:
        survey(read_survey(shower(SHADED, drain)))
    assert caught.value.place == "bed.outline"
    assert "wall 3" in caught.value.reason
    assert "hides" in caught.value.reason


def test_a_bay_that_turns_off_beside_a_linear_drain_is_refused() -> None:
    bay = [(2000, 600), (1200, 600), (1200, 800), (1600, 800), (1600, 1000), (800, 1000), (800, 600), (0, 600)]
    data = shower([(0, 0), (2000, 0), *bay], {"line": [[0, 300], [2000, 300]]})
    with pytest.raises(layout.RoomError, match="wall 4, from corner"):
        survey(read_survey(data))


def test_a_corner_floor_that_its_drain_sees_whole_is_measured() -> None:
    way = ways(shower(SHADED, {"point": [700, 300]}, least_bed=0))["constant-slope"]
    mean, chance = by_chance(SHADED, {"point": [700, 300]}, 0.02, level=False)
    assert way["volume_l"] / 2.5 == pytest.approx(mean, abs=chance)


def test_the_outline_may_run_either_way_round_and_start_anywhere() -> None:
    outline, drain = random_floor(4)
    one = ways(shower(outline, drain))
    for other in (outline[::-1], [*outline[2:], *outline[:2]]):
        for name, way in ways(shower(other, drain)).items():
            assert way["volume_l"] == pytest.approx(one[name]["volume_l"], abs=2e-6)
            assert way["figures"] == one[name]["figures"]


LEVEL = [[0, 7], [500, 7], [1000, 7]]


def lines(*reads: Any) -> list[dict[str, Any]]:
    places = np.linspace(-50, 1050, len(reads)).tolist()
    return [{"id": f"{n}", "at": at, "readings": read} for n, (at, read) in enumerate(zip(places, reads, strict=True))]


@pytest.mark.parametrize("drain", [{"point": [500, 500]}, {"circle": [400, 600, 50]}])
def test_over_a_level_subfloor_readings_change_nothing(drain: dict[str, Any]) -> None:
    bare = ways(shower(rectangle(1000, 1000), drain))
    read = ways(shower(rectangle(1000, 1000), drain, lines=lines(LEVEL, LEVEL, LEVEL)))
    for name, way in bare.items():
        assert read[name]["volume_l"] == pytest.approx(way["volume_l"], abs=1e-5)
        assert [mark["thickness_mm"] for mark in read[name]["perimeter"]] == pytest.approx(
            [mark["thickness_mm"] for mark in way["perimeter"]], abs=1e-5
        )


@pytest.mark.parametrize("seed", range(5))
def test_over_a_rough_subfloor_the_bed_is_nowhere_thinner_and_its_volume_is_what_lies_between(seed: int) -> None:
    dice = Random(seed)
    reads = [[[y, dice.uniform(-6, 6)] for y in (-10, 300 + 50 * seed, 700, 1010)] for _ in range(4)]
    drain = {"circle": [450, 520, 40]}
    data = shower(rectangle(1000, 1000), drain, lines=lines(*reads))
    for name, way in ways(data).items():
        x, y = (each.ravel() for each in np.meshgrid(*[(np.arange(900) + 0.5) / 0.9] * 2))
        profiles = np.array([np.interp(y, *np.array(read).T) for read in reads])
        place = np.clip((x + 50) / (1100 / 3), 0, 2.999999)
        number = place.astype(int)
        share = place - number
        row = np.arange(len(x))
        under = profiles[number, row] * (1 - share) + profiles[number + 1, row] * share
        away = np.hypot(x - 450, y - 520)
        if name == "constant-slope":
            top = 0.02 * (away - 40)
        else:
            with np.errstate(divide="ignore"):
                reach = np.minimum(
                    np.where(x > 450, 550 / (x - 450), 450 / (450 - x)),
                    np.where(y > 520, 480 / (y - 520), 520 / (520 - y)),
                )
            top = 0.02 * (math.hypot(550, 520) - 40) * (away - 40) / (away * reach - 40)
        thick = (top - under)[away > 40]
        raised = 30 - thick.min()
        # The grid misses the thinnest place by half a step: some hundredths of a millimeter over a square meter.
        assert way["volume_l"] == pytest.approx((thick.mean() + raised) * (1 - math.pi * 0.04**2), abs=0.05)
        assert way["layers"][0]["greatest_mm"] == pytest.approx(thick.max() + raised, abs=0.1)
        assert min(spot["thickness_mm"] for spot in way["grid"]) >= 30 - 0.1


def test_readings_that_leave_part_of_the_bed_out_are_refused() -> None:
    with pytest.raises(layout.RoomError) as caught:
        survey(read_survey(shower(rectangle(1000, 2000), {"point": [500, 500]}, lines=lines(LEVEL, LEVEL))))
    assert caught.value.place == "lines"
    assert "50 percent" in caught.value.reason


def test_a_bed_without_readings_says_nothing_of_flatness_and_carries_its_cautions() -> None:
    printed = said(shower(rectangle(1000, 1000), {"point": [500, 500]}))
    assert printed["verdict"] == "can't tell"
    assert (printed["lines"], printed["across"], printed["plane"]["corrections"]) == ([], [], [])
    assert {each["rule"] for each in printed["findings"]} == {
        sources.PLUMBING.id,
        sources.DEFLECTION.id,
        sources.SILICA.id,
    }
