"""One surface as a DXF file, in real scale: for whoever draws or cuts by machine.

Millimeters in the surface's own coordinates, so that a point here is the point of the printed layout. Layers: outline,
field, openings, whole tiles, cut tiles, lines, text. Each piece, hole and opening is one closed LWPOLYLINE; a round
opening is a circle.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import StringIO

import ezdxf
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import Modelspace
from shapely import get_parts
from shapely.geometry import Polygon

from layout.changes import changed
from layout.field import gaps_of
from layout.free_field import free_field
from layout.labels import opening_label
from layout.result import Piece, Result
from layout.room import Point, Room
from layout.sheet import shown
from trade.lengths import format_length

LAYERS = {"outline": 7, "field": 8, "openings": 5, "whole tiles": 9, "cut tiles": 3, "lines": 1, "text": 7}
"""Layers and their colors (AutoCAD color index, as the format has it: 1 red, 3 green, 5 blue, 7 black or white)."""

VERSION = "R2010"
MILLIMETERS = 4
"""`$INSUNITS`."""

TEXT = 0.1
"""Height of text, of the tile's shorter side."""


def surface_dxf(room: Room, result: Result, surface_id: str) -> bytes:
    """Return the drawing of a surface in the chosen option as a DXF file. Raises KeyError for an unknown surface."""
    room = changed(room, result.option.changes)
    surface, laid = room.surface(surface_id), result.surface(surface_id)
    before = ezdxf.options.write_fixed_meta_data_for_testing
    # Its name notwithstanding: the one way to a file without the time of making and a random number in it.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        doc = ezdxf.new(VERSION, units=MILLIMETERS)
        for name, color in LAYERS.items():
            doc.layers.add(name, color=color)
        space = doc.modelspace()
        size = min(surface.tile.width, surface.tile.height) * TEXT
        _loops(space, "outline", [surface.outline])
        own, _ = gaps_of(room)[surface_id]
        for polygon in get_parts(free_field(surface, own).shape):
            _loops(space, "field", [polygon.exterior.coords[:-1], *(ring.coords[:-1] for ring in polygon.interiors)])
        for opening in surface.openings:
            if opening.circle is not None:
                x, y, radius = opening.circle
                space.add_circle((x, y), radius, dxfattribs={"layer": "openings"})
            else:
                _loops(space, "openings", [opening.outline])
            _text(space, opening_label(opening), Polygon(opening.outline).representative_point().coords[0], size)
        for piece in laid.pieces:
            _loops(space, "whole tiles" if piece.whole else "cut tiles", [piece.outline, *piece.holes])
            if not piece.whole:
                _text(space, piece.id, _inner(piece), size)
        left, bottom, right, top = surface.bounds
        for line in laid.lines:
            ends = ((left, line.at), (right, line.at)) if line.axis == "y" else ((line.at, bottom), (line.at, top))
            space.add_line(*ends, dxfattribs={"layer": "lines"})
            measure = format_length(line.mm, unit=room.units)
            _text(space, f"{line.name}, {measure} from {line.origin}", ends[1], size)
        stream = StringIO()
        doc.write(stream)
        return doc.encode(stream.getvalue())
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _loops(space: Modelspace, layer: str, loops: Iterable[Sequence[Point]]) -> None:
    for loop in loops:
        space.add_lwpolyline(loop, close=True, dxfattribs={"layer": layer})


def _text(space: Modelspace, text: str, at: Sequence[float], size: float) -> None:
    # In a DXF text %% and ^ begin codes.
    plain = shown(text, 200).replace("%%", "% %").replace("^", "^ ")
    placed = space.add_text(plain, height=size, dxfattribs={"layer": "text"})
    placed.set_placement((at[0], at[1]), align=TextEntityAlignment.MIDDLE_CENTER)


def _inner(piece: Piece) -> Point:
    """Return a point in a piece: the middle of its box where that is in it."""
    xs, ys = [x for x, _ in piece.outline], [y for _, y in piece.outline]
    if len(piece.outline) == 4 and not piece.holes:
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    inner = Polygon(piece.outline, piece.holes).representative_point()
    return inner.x, inner.y
