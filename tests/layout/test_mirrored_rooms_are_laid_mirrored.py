"""What must hold for any room: mirrored it is laid mirrored, order doesn't matter, areas add up, same input same bytes.

Drift isn't mirrored: column 0 is the one just right of the plumb line (FORMATS.md, rule 5), so the sides differ.
"""

from __future__ import annotations

import copy
import hashlib
import os
import random
import subprocess
import sys
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

import layout
from layout.evaluate import bench_of
from layout.fields import fields_of
from layout.model import Aim
from layout.pins import pins_of
from layout.search import Searcher, Task
from layout.variants import planned
from layout.verify_field import ground_of
from tests.layout.helpers import NAMES, laid, sample
from tests.layout.rooms import random_room

ROOT = Path(__file__).parent.parent.parent
OFF = 0.13
"""mm. Taken off before rounding, so that what stands on a half, as much here does, isn't rounded by noise."""

SEEDS = st.integers(min_value=1000, max_value=9999)
few = settings(max_examples=16, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def steady(seed: int) -> dict[str, Any]:
    """Return a random room of few pieces whose joints don't drift."""
    data = random_room(seed, size=0.6)
    data.pop("joint_high", None)
    return data


def mirrored(data: dict[str, Any]) -> dict[str, Any]:
    """Return the room as it stands in a mirror: each surface left for right, a stair of share s now one of 1 − s."""
    data = copy.deepcopy(data)
    for surface in data["surfaces"]:
        far = max(point[0] for point in surface["outline"])
        for shape in (surface["outline"], *(opening["outline"] for opening in surface.get("openings", ()))):
            for point in shape:
                point[0] = far - point[0]
        for key in ("edges", "joins"):
            if key in surface:
                sides = surface[key].items()
                surface[key] = {{"left": "right", "right": "left"}.get(side, side): value for side, value in sides}
    for corner in data.get("corners", ()):
        for which in ("first", "second"):
            name, side = corner[which].rsplit(".", 1)
            corner[which] = f"{name}.{ {'left': 'right', 'right': 'left'}.get(side, side) }"
    pattern = data["pattern"]
    # A course is shifted the other way; a column only climbs the other way.
    if "share" in pattern and (pattern["axis"] == "rows" or pattern["run"] == "stair"):
        pattern["share"] = str(1 - Fraction(str(pattern["share"])))
    return data


def best_score(room: layout.Room) -> list[float]:
    """The best score at the planned joint, exactly."""
    bench = bench_of(room, fields_of(room))
    task = Task(Aim(room.enough, hidden=False, drift=False), pins_of(room, bench.models), exact=True)
    return list(planned(bench, Searcher(room, bench.models).solve(task)))


@few
@given(SEEDS)
def test_the_best_score_of_a_mirrored_room_is_the_same(seed: int) -> None:
    one, other = (layout.read_room(data) for data in (steady(seed), mirrored(steady(seed))))
    assert best_score(other) == pytest.approx(best_score(one), abs=2e-4 / min(_sides(one)))


def _sides(room: layout.Room) -> list[float]:
    return [side for tile in room.tiles.values() for side in (tile.width, tile.height)]


@few
@given(SEEDS, st.floats(min_value=0, max_value=1), st.floats(min_value=0, max_value=1))
def test_on_a_mirrored_datum_the_pieces_are_mirrored(seed: int, across: float, up: float) -> None:
    data = steady(seed)
    data["surfaces"] = data["surfaces"][:1]
    data["surfaces"][0].pop("joins", None)
    data.pop("corners", None)
    room = layout.read_room(data)
    surface = room.surfaces[0]
    x0, y0, x1, y1 = surface.bounds
    x, y = round(x0 + across * (x1 - x0), 2), round(y0 + up * (y1 - y0), 2)
    data["pin"] = {"x": f"{x} mm", "y": f"{y} mm"}
    other = mirrored(data)
    other["pin"] = {"x": f"{x1 - x - surface.tile.width:.6f} mm", "y": f"{y} mm"}
    one, two = (laid(each)[1].option.surfaces[0].pieces for each in (data, other))
    # Rounded, so that what is one place sorts as one.
    assert _boxes(two, x1, -1) == _boxes(one, 0.0, 1)
    assert sorted(piece.cut_share for piece in two) == pytest.approx(sorted(p.cut_share for p in one), abs=1e-5)


def _boxes(pieces: Sequence[layout.Piece], far: float, sense: int) -> list[tuple[float, ...]]:
    """Each piece's bounds and area, mm and mm², to the millimeter, seen straight or in the mirror."""
    shapes = [Polygon([(far + sense * x, y) for x, y in piece.outline], []) for piece in pieces]
    return sorted(tuple(round(value - OFF) for value in (*shape.bounds, shape.area / 100)) for shape in shapes)


@few
@given(SEEDS)
def test_the_order_of_surfaces_changes_nothing(seed: int) -> None:
    data = random_room(seed, walls=3, size=0.6)
    _, one, _ = laid(data)
    random.Random(seed).shuffle(data["surfaces"])
    _, other, _ = laid(data)
    assert [each.score for each in other.options] == [each.score for each in one.options]
    assert other.option.datums == one.option.datums
    assert {s.id: s.pieces for s in other.option.surfaces} == {s.id: s.pieces for s in one.option.surfaces}


@few
@given(SEEDS)
def test_the_pieces_are_what_the_tiles_cover_of_the_field(seed: int) -> None:
    """Their areas add up to that of the field under the tiles, which Shapely measures, give or take rule 1's 1 mm."""
    room, result, _ = laid(steady(seed))
    for surface, found in zip(room.surfaces, result.option.surfaces, strict=True):
        field = ground_of(room, surface).field
        pieces = sum(Polygon(piece.outline, piece.holes).area for piece in found.pieces)
        tiles = unary_union(_tiles(surface, found.datum, field.bounds)) if not field.is_empty else field
        # A strip of 1 mm along each cut edge is the most that rule 1 gives or takes.
        assert pieces == pytest.approx(field.intersection(tiles).area, abs=field.length + 1)


def _tiles(surface: Any, datum: tuple[float, float], bounds: tuple[float, float, float, float]) -> list[Polygon]:
    across, up = surface.tile.width + surface.joint, surface.tile.height + surface.joint
    x0, y0, x1, y1 = bounds
    columns = range(int((x0 - datum[0]) // across) - 2, int((x1 - datum[0]) // across) + 2)
    courses = range(int((y0 - datum[1]) // up) - 2, int((y1 - datum[1]) // up) + 2)
    found = []
    for column in columns:
        for course in courses:
            x, y = datum[0] + column * across, datum[1] + course * up
            # The shift is taken around the corner: only its part of a pitch matters for what is covered.
            if surface.pattern.axis == "rows":
                x += float(surface.pattern.shift(course) % 1) * across
            else:
                y += float(surface.pattern.shift(column) % 1) * up
            found.append(box(x, y, x + surface.tile.width, y + surface.tile.height))
    return found


@few
@given(SEEDS)
def test_the_same_room_gives_the_same_bytes(seed: int) -> None:
    first, second = (layout.dumps(laid(random_room(seed, size=0.6))[1].to_json()) for _ in range(2))
    assert first == second


def test_the_same_bytes_come_out_of_another_process_whatever_its_hashes() -> None:
    text = (
        "import hashlib, json, layout; from tests.layout.helpers import NAMES, sample;"
        "print(hashlib.sha256(''.join(layout.dumps(layout.lay_out(layout.read_room(sample(name))).to_json())"
        " for name in NAMES).encode()).hexdigest())"
    )
    here = "".join(layout.dumps(laid(sample(name))[1].to_json()) for name in NAMES)
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        ran = subprocess.run(
            [sys.executable, "-c", text], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
        )
        assert ran.stdout.strip() == hashlib.sha256(here.encode()).hexdigest()
