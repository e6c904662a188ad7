"""What the engine says: frozen, printable as `gaugerod-layout/1` (FORMATS.md), same input same bytes."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from layout.changes import UNCHANGED, Changes
from layout.room import Point, Units

ENGINE_VERSION = "0.3.1"
FORMAT = "gaugerod-layout/1"

Level = Literal["stop", "care", "note"]


@dataclass(frozen=True, slots=True)
class Piece:
    """One tile or part of a tile on the surface, mm. `range_mm`: its least leg at the worst and the best drift."""

    id: str
    course: int
    column: int
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...]
    cut_share: float
    range_mm: tuple[float, float]
    whole: bool

    @property
    def notched(self) -> bool:
        """Not a plain rectangle: fragile in the cutting."""
        return len(self.outline) > 4 or bool(self.holes)

    def to_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "course": self.course,
            "column": self.column,
            "outline": [list(point) for point in self.outline],
            "holes": [[list(point) for point in hole] for hole in self.holes],
            "cut_share": self.cut_share,
            "range": list(self.range_mm),
        }


@dataclass(frozen=True, slots=True)
class Line:
    """A line to snap: `mm` from something that exists on site, named in `origin`. `axis` x: plumb, y: level."""

    name: str
    axis: Literal["x", "y"]
    origin: str
    mm: float
    text: str
    at: float
    """mm, where it stands in the surface's coordinates."""
    start: float | None = None
    """mm, where its measure begins, unless that is the surface's left or lower end."""

    def to_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"name": self.name, "axis": self.axis, "from": self.origin}
        found |= {"mm": self.mm, "text": self.text}
        return found if self.start is None else {**found, "start": round(self.start, 4)}


@dataclass(frozen=True, slots=True)
class Course:
    """A course on the story pole: the top of its full tile, mm from the line under course 0. `fresh`: snap a line."""

    course: int
    mm: float
    text: str
    fresh: bool

    def to_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"course": self.course, "mm": self.mm, "text": self.text}
        return {**found, "fresh_line": True} if self.fresh else found


@dataclass(frozen=True, slots=True)
class SurfaceLayout:
    """One surface laid: `datum` is the lower-left corner, mm, of the tile at course 0, column 0."""

    id: str
    datum: Point
    lines: tuple[Line, ...]
    pieces: tuple[Piece, ...]
    field_area: float
    """mm²"""
    courses: tuple[Course, ...] = ()
    slants: tuple[Line, ...] = ()
    """Lines at 45 degrees, each by a mark on an edge."""

    def to_json(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "datum": list(self.datum),
            "lines": [line.to_json() for line in self.lines],
            **({"slants": [line.to_json() for line in self.slants]} if self.slants else {}),
            "courses": [course.to_json() for course in self.courses],
            "pieces": [piece.to_json() for piece in self.pieces],
        }


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece in its tile: lower-left corner of its bounding box, mm from the tile's, turned counter-clockwise."""

    piece: str
    at: Point
    turn: int


@dataclass(frozen=True, slots=True)
class CutTile:
    """One tile out of the box and what is cut from it."""

    number: int
    name: str
    cuts: tuple[Cut, ...]

    def to_json(self) -> dict[str, Any]:
        cuts = [{"piece": cut.piece, "at": list(cut.at), "turn": cut.turn} for cut in self.cuts]
        return {"tile": self.number, "name": self.name, "cuts": cuts}


@dataclass(frozen=True, slots=True)
class Counts:
    """Pieces on the walls."""

    whole: int
    cut: int

    def to_json(self) -> dict[str, int]:
        return {"whole": self.whole, "cut": self.cut, "pieces": self.whole + self.cut}


@dataclass(frozen=True, slots=True)
class TileNeed:
    """Tiles of one name: by the cut plan, proven least, to order with spares, in full boxes (None: box unknown)."""

    name: str
    needed: int
    at_least: int
    order: int
    boxes: int | None

    def to_json(self) -> dict[str, Any]:
        need: dict[str, Any] = {"needed": self.needed, "at_least": self.at_least, "order": self.order}
        return need if self.boxes is None else {**need, "boxes": self.boxes}


@dataclass(frozen=True, slots=True)
class LeastCut:
    """The smallest cut of an option."""

    mm: float
    text: str
    piece: str

    def to_json(self) -> dict[str, Any]:
        return {"mm": self.mm, "text": self.text, "piece": self.piece}


@dataclass(frozen=True, slots=True)
class Option:
    """One layout a setter could choose. `surfaces` and `cut_plan` are filled for the chosen one only."""

    title: str
    why: str
    score: tuple[float, ...]
    least_cut_share: float
    least_cut_share_drift: float
    least_cut: LeastCut | None
    counts: Counts
    tiles: tuple[TileNeed, ...]
    datums: Mapping[str, Point]
    surfaces: tuple[SurfaceLayout, ...] = ()
    cut_plan: tuple[CutTile, ...] = ()
    changes: Changes = UNCHANGED
    """What differs from the room as it was read; `layout.changes.changed` makes that room."""
    units: Units = "in"

    @property
    def needed(self) -> int:
        """Tiles used by the cut plan, over all tile names."""
        return sum(need.needed for need in self.tiles)

    def to_json(self) -> dict[str, Any]:
        total: dict[str, Any] = {
            "needed": self.needed,
            "at_least": sum(need.at_least for need in self.tiles),
            "order": sum(need.order for need in self.tiles),
        }
        boxes = [need.boxes for need in self.tiles]
        if None not in boxes:
            total["boxes"] = sum(box for box in boxes if box is not None)
        if len(self.tiles) > 1:
            total["by_tile"] = {need.name: need.to_json() for need in self.tiles}
        printed: dict[str, Any] = {
            "title": self.title,
            "why": self.why,
            "score": list(self.score),
            "least_cut_share": self.least_cut_share,
            "least_cut_share_drift": self.least_cut_share_drift,
            "least_cut": self.least_cut.to_json() if self.least_cut else None,
            "counts": self.counts.to_json(),
            "tiles": total,
        }
        if self.changes:
            printed["changes"] = self.changes.to_json(self.units)
        if self.surfaces:
            printed["surfaces"] = [surface.to_json() for surface in self.surfaces]
            printed["cut_plan"] = [tile.to_json() for tile in self.cut_plan]
        else:
            printed["surfaces"] = [{"id": key, "datum": list(datum)} for key, datum in self.datums.items()]
        return printed


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to know before setting, with the rule it comes from."""

    level: Level
    rule: str
    source: str
    text: str

    def to_json(self) -> dict[str, str]:
        return {"level": self.level, "rule": self.rule, "source": self.source, "text": self.text}


@dataclass(frozen=True, slots=True)
class Result:
    """All options, the recommended first; `chosen` (from 1) is the one with pieces and cut plan."""

    room: str
    options: tuple[Option, ...]
    chosen: int
    findings: tuple[Finding, ...]

    @property
    def option(self) -> Option:
        """The chosen option."""
        return self.options[self.chosen - 1]

    def surface(self, surface_id: str) -> SurfaceLayout:
        """A surface of the chosen option. Raises KeyError."""
        for surface in self.option.surfaces:
            if surface.id == surface_id:
                return surface
        raise KeyError(surface_id)

    def to_json(self) -> dict[str, Any]:
        """The result as plain data in `gaugerod-layout/1`."""
        return {
            "format": FORMAT,
            "engine": ENGINE_VERSION,
            "room": self.room,
            "chosen": self.chosen,
            "options": [option.to_json() for option in self.options],
            "findings": [finding.to_json() for finding in self.findings],
        }


def dumps(data: Mapping[str, Any]) -> str:
    """Plain data as JSON text in ASCII: the same data gives the same bytes on every machine and every terminal."""
    return json.dumps(data, indent=1, allow_nan=False)
