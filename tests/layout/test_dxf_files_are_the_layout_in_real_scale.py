"""DXF: read back by the library's own reader, and held against the printed layout."""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import recover
from ezdxf.document import Drawing
from shapely.geometry import Polygon

import layout
from layout.commands import main_layout
from layout.dxf import LAYERS, surface_dxf
from tests.layout.free_rooms import BAY, free_room
from tests.layout.helpers import NAMES, SAMPLES, laid, plain, sample

DRAIN = {"id": "drain", "kind": "drain", "circle": [12, 12, 3]}
ROOMS = {
    **{name: sample(name) for name in NAMES},
    "sloped": free_room("sloped", "thirds", openings=[BAY]),
    "tiles about a drain": plain(24, 30, tile=(8, 8), surface={"openings": [DRAIN]}),
    "smaller than a tile": plain(4, 4),
    "an outlet inside a tile": plain(
        24,
        24,
        tile=(24, 24),
        surface={"openings": [{"id": "o", "kind": "outlet", "outline": [[9, 9], [12, 9], [12, 14], [9, 14]]}]},
    ),
}


@cache
def room_of(name: str) -> tuple[layout.Room, layout.Result, dict[str, Any]]:
    """One of the rooms laid out, once."""
    return laid(ROOMS[name])


def read(raw: bytes) -> Drawing:
    doc, auditor = recover.read(io.BytesIO(raw))
    assert not auditor.has_errors, [error.message for error in auditor.errors]
    return doc


def loops(doc: Drawing, *layers: str) -> list[Polygon]:
    """The closed polylines on layers, each checked to be closed."""
    found = [each for each in doc.modelspace().query("LWPOLYLINE") if each.dxf.layer in layers]
    assert all(each.closed for each in found)
    return [Polygon([(x, y) for x, y, *_ in each.get_points()]) for each in found]


def said(polygons: Sequence[Polygon]) -> list[tuple[float, ...]]:
    return sorted((round(each.area, 2), *(round(bound, 3) for bound in each.bounds)) for each in polygons)


@pytest.mark.parametrize("name", ROOMS)
def test_every_piece_and_hole_is_a_closed_polyline_where_it_is_printed(name: str) -> None:
    room, result, printed = room_of(name)
    for surface, shown in zip(room.surfaces, printed["options"][0]["surfaces"], strict=True):
        doc = read(surface_dxf(room, result, surface.id))
        rings = [ring for piece in shown["pieces"] for ring in (piece["outline"], *piece["holes"])]
        assert said(loops(doc, "whole tiles", "cut tiles")) == said([Polygon(ring) for ring in rings])
        assert said(loops(doc, "outline")) == said([Polygon(surface.outline)])
        whole = sum(piece.whole for piece in result.surface(surface.id).pieces)
        assert len(loops(doc, "whole tiles")) == whole


@pytest.mark.parametrize("name", ROOMS)
def test_the_field_is_there_with_its_openings_left_out(name: str) -> None:
    room, result, _ = room_of(name)
    for surface in room.surfaces:
        doc = read(surface_dxf(room, result, surface.id))
        rings = sorted(loops(doc, "field"), key=lambda each: -each.area)
        field = rings[0].difference(Polygon())
        for ring in rings[1:]:
            field = field.difference(ring) if field.covers(ring) else field.union(ring)
        assert field.area == pytest.approx(result.surface(surface.id).field_area, rel=1e-6)


def test_it_is_in_millimeters_on_the_layers_promised() -> None:
    room, result, _ = room_of("quarry-lane-shower")
    doc = read(surface_dxf(room, result, "back"))
    assert doc.header["$INSUNITS"] == 4  # millimeters, by the DXF reference's table of $INSUNITS (from memory)
    assert {layer.dxf.name for layer in doc.layers} >= set(LAYERS)
    assert {each.dxf.layer for each in doc.modelspace()} == set(LAYERS)
    (outline,) = loops(doc, "outline")
    assert outline.bounds == pytest.approx((0, 0, 60 * 25.4, 96 * 25.4))
    lines = {(each.dxf.start.x, each.dxf.end.x) for each in doc.modelspace().query("LINE")}
    assert (0.0, 60 * 25.4) in lines


def test_its_texts_are_the_cut_pieces_ids_and_the_lines() -> None:
    room, result, _ = room_of("quarry-lane-shower")
    doc = read(surface_dxf(room, result, "back"))
    texts = {each.dxf.text for each in doc.modelspace().query("TEXT")}
    surface = result.surface("back")
    assert {piece.id for piece in surface.pieces if not piece.whole} <= texts
    assert any(line.name in text and line.text in text for line in surface.lines for text in texts)


def test_a_round_opening_is_a_circle() -> None:
    room, result, _ = room_of("tiles about a drain")
    doc = read(surface_dxf(room, result, "floor"))
    (circle,) = doc.modelspace().query("CIRCLE")
    assert (circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == pytest.approx((304.8, 304.8, 76.2))


@pytest.mark.parametrize(
    "name", ["0\u2028EOF \u2029 0", "%%d %%u ^J", "مرحبا \U0001f9f1", "\\P{\\fArial;x}", "x" * 200, "<&\"'>"]
)
def test_odd_names_do_not_break_the_file(name: str) -> None:
    opening = {"id": name, "kind": "niche", "outline": [[20, 20], [32, 20], [32, 40], [20, 40]]}
    room, result, _ = laid(plain(60, 96, surface={"name": name, "openings": [opening]}))
    doc = read(surface_dxf(room, result, "floor"))
    for text in (each.dxf.text for each in doc.modelspace().query("TEXT")):
        assert "\n" not in text
        assert "%%" not in text
        assert len(text) <= 250


def test_the_same_layout_gives_the_same_bytes_and_tells_no_time() -> None:
    room, result, _ = room_of("station-hall-floor")
    before = ezdxf.options.write_fixed_meta_data_for_testing
    first = surface_dxf(room, result, "floor")
    assert surface_dxf(room, result, "floor") == first
    assert b"2026" not in first
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


def test_the_command_writes_one_a_surface(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "new" / "files"
    arguments = [str(SAMPLES / "quarry-lane-shower.json"), "--dxf", str(folder), "--svg", str(folder)]
    assert main_layout(arguments) == 0
    assert json.loads(capsys.readouterr().out)["format"] == "gaugerod-layout/1"
    names = sorted(path.name for path in folder.iterdir())
    assert names == [f"{name}.{ending}" for name in ("01-left", "02-back", "03-right") for ending in ("dxf", "svg")]
    room, result, _ = room_of("quarry-lane-shower")
    assert (folder / "02-back.dxf").read_bytes() == surface_dxf(room, result, "back")


def test_a_file_in_the_folder_s_place_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "file"
    path.write_text("x", encoding="utf-8")
    assert main_layout([str(SAMPLES / "mill-house-tub.json"), "--dxf", str(path)]) == 2
    out, err = capsys.readouterr()
    assert (out, len(err.splitlines())) == ("", 1)
