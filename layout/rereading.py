"""A printed layout (`gaugerod-layout/1`) read back, so that what was chosen can be drawn again as it was."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from layout.result import Course, LeastCut, Line, Piece, SurfaceLayout
from layout.room import Room, Surface

SPECK = 1.0
"""mm². Areas that differ by less are the same: outlines are rounded to 0.0001 mm."""


def surfaces_of(option: Mapping[str, Any], room: Room) -> dict[str, SurfaceLayout]:
    """Return the laid surfaces of a printed option by their id. `room`: as the option sets it."""
    return {raw["id"]: _surface(raw, room.surface(raw["id"])) for raw in option["surfaces"]}


def least_of(option: Mapping[str, Any]) -> LeastCut | None:
    """Return the smallest cut of a printed option; None where nothing is cut."""
    raw = option["least_cut"]
    return LeastCut(raw["mm"], raw["text"], raw["piece"]) if raw else None


def is_whole(piece: Mapping[str, Any], surface: Surface) -> bool:
    """Whether a printed piece is a full tile."""
    # A regular hexagon takes three quarters of its box.
    full = surface.tile.width * surface.tile.height * (0.75 if surface.pattern.kind == "hex" else 1.0)
    return not piece["holes"] and area(piece["outline"]) > full - SPECK


def area(outline: Sequence[Sequence[float]]) -> float:
    """Return mm², by the shoelace formula."""
    sides = zip(outline, [*outline[1:], outline[0]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in sides)) / 2


def _surface(raw: Mapping[str, Any], surface: Surface) -> SurfaceLayout:
    x, y = raw["datum"]
    return SurfaceLayout(
        id=raw["id"],
        datum=(x, y),
        lines=tuple(_line(each, (x, y)) for each in raw["lines"]),
        pieces=tuple(_piece(each, surface) for each in raw["pieces"]),
        # Not printed, so not known.
        field_area=math.nan,
        courses=tuple(
            Course(each["course"], each["mm"], each["text"], each.get("fresh_line", False)) for each in raw["courses"]
        ),
        slants=tuple(_line(each, (x, y)) for each in raw.get("slants", ())),
    )


def _line(raw: Mapping[str, Any], datum: tuple[float, float]) -> Line:
    # Lines to snap run through the datum; of a slanted one only its sentence is drawn from here.
    at = datum[0] if raw["axis"] == "x" else datum[1]
    return Line(raw["name"], raw["axis"], raw["from"], raw["mm"], raw["text"], at, raw.get("start"))


def _piece(raw: Mapping[str, Any], surface: Surface) -> Piece:
    low, high = raw["range"]
    return Piece(
        id=raw["id"],
        course=raw["course"],
        column=raw["column"],
        outline=tuple((x, y) for x, y in raw["outline"]),
        holes=tuple(tuple((x, y) for x, y in hole) for hole in raw["holes"]),
        cut_share=raw["cut_share"],
        range_mm=(low, high),
        whole=is_whole(raw, surface),
    )
