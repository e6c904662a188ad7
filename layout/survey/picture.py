"""A floor or a shower's bed seen from above: lines of equal height, what is high and low, what was read.

In the style of the other drawings: classes carry the look, attributes beside them say the same. High is hatched and low
is dotted, so that it can be read without color.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.room import Point
from layout.sheet import Sheet, num, outlines, shown, svg, text_box
from layout.survey.bed import slopes_of
from layout.survey.bed_result import Way
from layout.survey.contours import contour
from layout.survey.gaps import Floats
from layout.survey.reading import Survey
from layout.survey.result import Leveling, SurveyResult
from layout.survey.surface import heights_at, ruled
from layout.survey.words import NOTHING
from trade.lengths import inches
from trade.words import Say, english, gettext_noop

_OVER_THE_PLANE = gettext_noop(
    "Heights in %s over the plane that the floor is brought to: + stands proud, - is to be filled."
)
_INCHES = gettext_noop("inches")
_EVERY = gettext_noop("A line every %s; heavy: the plane itself.")
_HATCHED = gettext_noop("Hatched: to grind.")
_DOTTED = gettext_noop("Dotted: deeper than %s.")
_UNNUMBERED = gettext_noop("Readings without a number for want of room: %s. The list has them all.")
_HIGH = gettext_noop("%(what)s: %(line)s, %(along)s along.")

What = Literal["floor", "constant-slope", "level-perimeter"]

WIDE, TALL = 300.0, 420.0
"""Units, as in `layout.drawing`: a sheet so wide has text of 10 px or more on a phone."""

STEPS = {
    "in": [float(inches(each)) for each in ("1/16", "1/8", "1/4", "1/2", 1, 2, 4, 8, 16, 32, 64, 128, 256)],
    "mm": [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0],
}
MOST_LINES = 8
MESH = 3.0
"""Units between the places at which heights are taken, beside those of the readings themselves."""
MOST_ACROSS = 400
HATCH, DOTS = 7.0, 9.0
MOST_NUMBERS = 150
"""Readings with their numbers; on a floor with more, only the dots are drawn."""
SCALES = {
    "in": [float(inches(each)) for each in (3, 6, 12, 24, 60, 120, 240, 600, 1200, 6000, 12000)],
    "mm": [100.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0, 50000.0, 200000.0],
}


@dataclass(frozen=True, slots=True)
class _Scene:
    """What is drawn: its corners as loops in mm, and its heights over what they are counted from, NaN off it."""

    name: str
    loops: Sequence[Sequence[Point]]
    heights: Callable[[Floats], Floats]
    across: Floats
    along: Floats


def pictures(read: Survey, result: SurveyResult) -> tuple[What, ...]:
    """Return what `contour_svg` can draw of a survey: the floor that was read, the bed by each way to slope it."""
    found: list[What] = ["floor"] if result.leveling is not None else []
    return (*found, *(() if result.bed is None else (way.name for way in result.bed.ways)))


def contour_svg(
    read: Survey, result: SurveyResult, *, title: bool = True, what: What | None = None, say: Say = english
) -> str:
    """Return a contour picture as an `svg` element; empty where there is nothing to draw.

    `what`: see `pictures`; without it the bed at constant slope if there is one, else the floor. A floor's heights
    count from the plane it is brought to, a bed's from its drain. With `title`, a title and a description for those who
    hear the page; without, it is hidden from them. `say` tells what is written in a reader's language.
    """
    can = pictures(read, result)
    if what is None:
        what = "constant-slope" if result.bed is not None else "floor"
    if what not in can:
        return ""
    if what == "floor":
        assert result.leveling is not None
        return _floor(read, result.leveling, title=title, say=say)
    assert result.bed is not None
    return _bed(read, next(way for way in result.bed.ways if way.name == what), title=title, say=say)


def _floor(read: Survey, leveling: Leveling, *, title: bool, say: Say) -> str:
    surface = ruled(read.lines)
    assert surface is not None
    _, lean_x, lean_y = leveling.plane

    def heights(points: Floats) -> Floats:
        plane = leveling.plane[0] + points @ np.array([lean_x, lean_y])
        return np.asarray(heights_at(read.lines, points) - plane)

    corners = surface.nodes[surface.cells][:, [0, 3]]
    near = shapely.box(corners[:, 0, 0], corners[:, 0, 1], corners[:, 1, 0], corners[:, 1, 1])
    scene = _Scene(
        gettext_noop("Floor from above"),
        _loops(near),
        heights,
        np.unique(surface.nodes[:, 0]),
        np.unique(surface.nodes[:, 1]),
    )
    sheet, x, y, mesh = _paper(read, scene)
    step, lines = _draw_lines(sheet, x, y, mesh)
    deep = max(step, math.ceil(-float(np.nanmin(mesh)) / 2 / step) * step)
    _hatch(sheet, heights)
    _dot(sheet, heights, deep)
    sheet.path("gap", outlines(sheet, scene.loops))
    # Under everything else: the marks before it are the hatch, the dots and the lines.
    sheet.marks.insert(0, sheet.marks.pop())
    _size(sheet)
    left = _readings(sheet, read, leveling)
    _label(sheet, lines, signed=True)
    _names(sheet, read)
    notes = [
        say(_OVER_THE_PLANE) % {"in": say(_INCHES), "mm": "mm"}[read.units],
        say(_EVERY) % sheet.length(step),
    ]
    if leveling.high:
        notes.append(say(_HATCHED))
    if deep <= leveling.deepest_mm:
        notes.append(say(_DOTTED) % sheet.length(deep))
    if left:
        notes.append(say(_UNNUMBERED) % left)
    notes += [
        say(_HIGH) % {"what": say(each["text"]).capitalize(), "line": say(each["line"]), "along": each["along_text"]}
        for each in _high(leveling)
    ]
    return svg(sheet, notes, name=say(scene.name) if title else "", told=" ".join(notes))


def _high(leveling: Leveling) -> list[dict[str, str]]:
    return [{**spot.to_json(), "line": shown(spot.line, 24)} for spot in leveling.high[:6]]


def _bed(read: Survey, way: Way, *, title: bool, say: Say) -> str:
    bed = read.bed
    assert bed is not None
    slope = slopes_of(bed)[way.name]
    floor = Polygon(bed.outline)

    def heights(points: Floats) -> Floats:
        return np.where(shapely.intersects_xy(floor, *points.T), slope.heights(points), np.nan)

    places = np.array([*bed.outline, bed.start, bed.end])
    name = gettext_noop("Shower floor from above")
    scene = _Scene(name, [bed.outline], heights, np.unique(places[:, 0]), np.unique(places[:, 1]))
    sheet, x, y, mesh = _paper(read, scene)
    sheet.path("gap", outlines(sheet, scene.loops))
    step, lines = _draw_lines(sheet, x, y, mesh)
    _size(sheet)
    if bed.radius:
        ring = [
            (bed.start[0] + bed.radius * math.cos(turn), bed.start[1] + bed.radius * math.sin(turn))
            for turn in np.linspace(0, 2 * math.pi, 48, endpoint=False).tolist()
        ]
        sheet.path("open", outlines(sheet, [ring]))
    else:
        ends = [(sheet.x(px), sheet.y(py)) for px, py in (bed.start, bed.end)]
        sheet.path("spot", f"M{num(ends[0][0])},{num(ends[0][1])} L{num(ends[1][0])},{num(ends[1][1])}h0.01")
    middle = ((bed.start[0] + bed.end[0]) / 2, (bed.start[1] + bed.end[1]) / 2)
    below = bed.radius * sheet.scale + 14
    _place(sheet, "num", say(gettext_noop("drain")), sheet.x(middle[0]), sheet.y(middle[1]), (0, below), patch=True)
    for mark in way.perimeter:
        if mark.kind == "corner":
            _mark(sheet, mark.at, sheet.length(mark.height))
    for mark in way.perimeter:
        if mark.kind == "nearest" and way.name == "constant-slope":
            _mark(sheet, mark.at, sheet.length(mark.height))
    _label(sheet, lines, signed=False)
    thick = way.layers[0]
    notes = [
        say(gettext_noop("Heights over the rim of the drain; a line every %s.")) % sheet.length(step),
        say(way.text),
        say(gettext_noop("%(name)s: %(least)s to %(most)s thick."))
        % {
            "name": say(thick.name).capitalize(),
            "least": sheet.length(thick.least),
            "most": sheet.length(thick.greatest),
        },
    ]
    return svg(sheet, notes, name=say(scene.name) if title else "", told=" ".join(notes))


def _loops(boxes: NDArray[np.object_]) -> list[list[Point]]:
    joined = shapely.unary_union(boxes)
    parts = shapely.get_parts(joined)
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    return [[(x, y) for x, y in ring.coords[:-1]] for ring in rings]


def _paper(read: Survey, scene: _Scene) -> tuple[Sheet, Floats, Floats, Floats]:
    """Return the sheet and the mesh: its places across and along, mm, and the heights there."""
    points = np.array([point for loop in scene.loops for point in loop])
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    scale = min(WIDE / (right - left), TALL / (top - bottom))
    sheet = Sheet(scale, float(left), float(top), (right - left) * scale, (top - bottom) * scale, read.units)
    x, y = _mesh(scene.across, left, right, scale), _mesh(scene.along, bottom, top, scale)
    mesh = np.meshgrid(x, y)
    heights = scene.heights(np.column_stack([each.ravel() for each in mesh])).reshape(len(y), len(x))
    return sheet, x, y, heights


def _mesh(places: Floats, low: float, high: float, scale: float) -> Floats:
    """Return the readings' places with more between them; where they stand too close to be drawn, even ones."""
    if len(places) > MOST_ACROSS:
        places = np.array([low, high])
    count = max(1, math.ceil((high - low) * scale / MESH))
    every = np.unique(np.concatenate((places[(places >= low) & (places <= high)], np.linspace(low, high, count + 1))))
    # A sliver between two places is no cell of its own: of the pair the reading's place stays.
    keep = [every[0]]
    own = set(places.tolist())
    for place in every[1:].tolist():
        if (place - keep[-1]) * scale >= 0.5:
            keep.append(place)
        elif place in own and keep[-1] not in own:
            keep[-1] = place
    keep[0], keep[-1] = low, high
    return np.array(keep)


def _draw_lines(sheet: Sheet, x: Floats, y: Floats, heights: Floats) -> tuple[float, list[tuple[float, list[Point]]]]:
    """Draw the lines of equal height; return their step in mm and each line in units with its height."""
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    step = next((each for each in STEPS[sheet.units] if (high - low) / each <= MOST_LINES), STEPS[sheet.units][-1])
    lines = []
    for number in range(math.ceil((low - 1e-6) / step), math.floor((high + 1e-6) / step) + 1):
        # A hair lower, so that a flat top is bounded by a line, and not lost in it.
        found = contour(x, y, heights, number * step - 1e-4)
        drawn = [[(sheet.x(px), sheet.y(py)) for px, py in line] for line in found]
        if drawn:
            data = "".join(f"M{' L'.join(f'{num(px)},{num(py)}' for px, py in _thinned(line))}" for line in drawn)
            sheet.path("contour-zero" if number == 0 else "contour", data)
        lines += [(number * step, line) for line in drawn]
    return step, lines


def _thinned(line: list[Point]) -> list[Point]:
    """Return a line without the places that make no difference of a quarter unit."""
    return [(x, y) for x, y in shapely.simplify(shapely.LineString(line), 0.15).coords]


def _hatch(sheet: Sheet, heights: Callable[[Floats], Floats]) -> None:
    """Hatch what stands proud by more than rounds to nothing."""
    far = np.arange(0.0, sheet.height + sheet.width, HATCH)
    data = []
    for start in far.tolist():
        t = np.arange(max(0.0, start - sheet.height), min(start, sheet.width) + 0.5, 1.0)
        if len(t) < 2:
            continue
        up = _at(sheet, heights, np.column_stack((t, start - t))) > NOTHING
        ends = np.flatnonzero(np.diff(np.concatenate(([False], up, [False])).astype(int)))
        for a, b in zip(ends[::2].tolist(), (ends[1::2] - 1).tolist(), strict=True):
            data.append(f"M{num(t[a])},{num(start - t[a])} L{num(t[b] + 0.1)},{num(start - t[b] - 0.1)}")
    if data:
        sheet.path("high", "".join(data))


def _dot(sheet: Sheet, heights: Callable[[Floats], Floats], deep: float) -> None:
    """Dot what lies deeper than `deep` under the plane."""
    mesh = np.meshgrid(np.arange(DOTS / 2, sheet.width, DOTS), np.arange(DOTS / 2, sheet.height, DOTS))
    points = np.column_stack([each.ravel() for each in mesh])
    points = points[_at(sheet, heights, points) < -deep]
    if len(points):
        sheet.path("low", "".join(f"M{num(x)},{num(y)}h0.1" for x, y in points.tolist()))


def _at(sheet: Sheet, heights: Callable[[Floats], Floats], units: Floats) -> Floats:
    """Return heights at places of the sheet, NaN off the floor: neither over nor under anything."""
    return heights(np.column_stack((units[:, 0] / sheet.scale + sheet.left, sheet.top - units[:, 1] / sheet.scale)))


def _readings(sheet: Sheet, read: Survey, leveling: Leveling) -> int:
    """Draw each reading as a dot, with its height over the plane where there is room; return how many lack it."""
    places = [(line.at, along, out) for line in read.lines for along, out in line.readings]
    inside = [(sheet.x(at), sheet.y(along), out - leveling.height(at, along)) for at, along, out in places]
    inside = [each for each in inside if -0.5 <= each[0] <= sheet.width + 0.5 and -0.5 <= each[1] <= sheet.height + 0.5]
    for x, y, _ in inside:
        sheet.stroke("spot", x, y, x + 0.01, y, ticks=False)
    if len(inside) > MOST_NUMBERS:
        return len(inside)
    # The farthest from the plane first: where room is short, those matter.
    left = 0
    for x, y, height in sorted(inside, key=lambda each: (-abs(each[2]), each[0], each[1])):
        text = _signed(sheet, height).removesuffix('"').removesuffix(" mm")
        left += not _place(sheet, "num", text, x, y, *_beside(sheet, x, y), patch=True)
    return left


def _beside(sheet: Sheet, x: float, y: float) -> list[tuple[float, float]]:
    """Return where a number may stand by a dot: over it, under it, at its sides; within a rim that it lies on."""
    tries = [(0.0, -6.0), (0.0, 16.0), (6.0, 4.0), (-6.0, 4.0), (6.0, -5.0), (-6.0, -5.0), (6.0, 14.0), (-6.0, 14.0)]
    if x < 8:
        tries = [each for each in tries if each[0] > 0]
    elif x > sheet.width - 8:
        tries = [each for each in tries if each[0] < 0]
    if y < 8:
        tries = [each for each in tries if each[1] > 10]
    elif y > sheet.height - 8:
        tries = [each for each in tries if each[1] < 0]
    return tries


def _place(sheet: Sheet, name: str, text: str, x: float, y: float, *tries: tuple[float, float], patch: bool) -> bool:
    """Write a text beside a place where nothing else stands; say whether there was room."""
    for dx, dy in tries:
        anchor = "start" if dx > 0 else "end" if dx < 0 else "middle"
        box = text_box(name, text, x + dx, y + dy, anchor, False)
        if sheet.clear(box):
            if patch:
                sheet.patch(box)
            sheet.text(name, text, x + dx, y + dy, anchor=anchor)
            return True
    return False


def _mark(sheet: Sheet, at: Point, text: str) -> None:
    """Write a height outside the rim, or inside where something stands there."""
    x, y = sheet.x(at[0]), sheet.y(at[1])
    side = -6.0 if x < sheet.width / 2 else 6.0
    up, down = (-6.0, 16.0) if y < sheet.height / 2 else (16.0, -6.0)
    tries = [(0.0, up), (side, up), (side, 4.0), (-side, down), (0.0, down), (side, down), (-side, up)]
    if min(x, sheet.width - x) < 1:
        corner = min(y, sheet.height - y) < 1
        tries = [(side, up if corner else 4.0), *tries]
    sheet.stroke("spot", x, y, x + 0.01, y, ticks=False)
    _place(sheet, "num", text, x, y, *tries, patch=True)


def _label(sheet: Sheet, lines: Sequence[tuple[float, list[Point]]], *, signed: bool) -> None:
    """Write its height on each line that is long enough, once, where nothing else stands."""
    for height, line in lines:
        places = list(_spread(line))
        text = (_signed(sheet, height) if signed else sheet.length(height)) if places else ""
        for x, y in places:
            box = text_box("lab", text, x, y + 4.5, "middle", False)
            inside = box[0] > 1 and box[2] < sheet.width - 1 and box[1] > 1 and box[3] < sheet.height - 1
            if inside and sheet.clear(box):
                sheet.patch(box)
                sheet.text("lab", text, x, y + 4.5)
                break


def _spread(line: list[Point]) -> Iterator[Point]:
    """Yield places along a line, its middle first; none on one too short to carry a number."""
    string = shapely.LineString(line)
    if string.length >= 30:
        for share in (0.5, 0.35, 0.65, 0.2, 0.8, 0.42, 0.58, 0.28, 0.72, 0.1, 0.9):
            at = string.interpolate(share, normalized=True)
            yield at.x, at.y


def _signed(sheet: Sheet, height: float) -> str:
    text = sheet.length(height)
    return text if text.startswith(("0", "-")) else f"+{text}"


def _size(sheet: Sheet) -> None:
    """Draw width and length, and a scale between them."""
    width, height = sheet.width, sheet.height
    sheet.stroke("dimline", 0, height + 40, width, height + 40)
    sheet.text("dim", sheet.length(width / sheet.scale), width / 2, height + 55)
    sheet.stroke("dimline", -40, height, -40, 0)
    sheet.text("dim", sheet.length(height / sheet.scale), -45, height / 2, upright=True)
    most = max((each for each in SCALES[sheet.units] if each * sheet.scale <= 120), default=0.0)
    if most:
        sheet.stroke("dimline", 0, height + 68, most * sheet.scale, height + 68)
        sheet.text("num", sheet.length(most), most * sheet.scale + 8, height + 72, anchor="start")


def _names(sheet: Sheet, read: Survey) -> None:
    """Name the lines of readings at the foot, where there is room."""
    for line in sorted(read.lines, key=lambda each: each.at):
        if -0.5 <= sheet.x(line.at) <= sheet.width + 0.5:
            _place(sheet, "num", shown(line.id, 14), sheet.x(line.at), sheet.height, (0, 17), (0, 30), patch=False)
