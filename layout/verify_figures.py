"""The judge's part on what a setter reads: figures that must fit one another, texts, lines, courses, findings."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from layout.room import Room, Surface
from layout.verify_field import CLOSE
from trade.lengths import LengthError, parse_length

SHARE = 2e-5
"""What a printed share may be off: it has six places, from coordinates that have four."""

LEVELS = ("stop", "care", "note")


def reads(text: str, mm: float) -> bool:
    """Whether a text says a length, to 1/16 in or to 0.1 mm."""
    try:
        return abs(float(parse_length(text)) - mm) <= (0.06 if "mm" in text else 25.4 / 32 + 0.06)
    except LengthError:
        return False


def result_faults(room: Room, printed: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is wrong with a result around its options."""
    if printed.get("format") != "gaugerod-layout/1":
        yield "the format isn't gaugerod-layout/1"
    if printed.get("room") != room.name:
        yield f"the result is of {printed.get('room')!r}, the room is {room.name!r}"
    options = printed.get("options") or []
    if options and options[0].get("changes"):
        yield "the recommended option changes the room"
    titles = [option["title"] for option in options]
    if len(set(titles)) < len(titles):
        yield "two options have one title"
    for finding in printed["findings"]:
        if finding["level"] not in LEVELS:
            yield f"a finding's level is {finding['level']!r}"
        if not all(finding.get(key) for key in ("rule", "source", "text")):
            yield "a finding lacks its rule, source or text"
    chosen = [option for option in options if option.get("cut_plan")]
    pointed = any(piece["cut_share"] == 0 for option in chosen for s in option["surfaces"] for piece in s["pieces"])
    if pointed and not printed["findings"]:
        yield "a piece runs to a point, and no finding says so"


def option_faults(room: Room, option: Mapping[str, Any]) -> Iterator[str]:
    """Yield where the figures of an option, printed in full or not, don't fit one another."""
    counts = option["counts"]
    if not option["title"] or not option["why"]:
        yield "it lacks its title or its reason"
    if counts["whole"] + counts["cut"] != counts["pieces"]:
        yield "whole and cut don't add up to pieces"
    yield from _tile_faults(option["tiles"], {surface.tile.per_box for surface in room.surfaces})
    if option["score"] != sorted(option["score"]):
        yield "the score isn't rising"
    if any(not 0 <= leg <= room.enough + SHARE for leg in option["score"]):
        yield "a leg of the score is below 0 or above enough"
    if option["least_cut_share_drift"] > option["least_cut_share"] + SHARE:
        yield "the least cut share over all drifts is above the planned one"
    if not any(surface.joint_high > surface.joint for surface in room.surfaces) and (
        abs(option["least_cut_share_drift"] - option["least_cut_share"]) > SHARE
    ):
        yield "no joint can drift, and yet the least cut share over all drifts is another"
    least = option["least_cut"]
    if (least is None) != (option["least_cut_share"] >= 1):
        yield "least_cut is missing" if least is None else "least_cut is there, though nothing is cut"
    if least is not None and not reads(least["text"], least["mm"]):
        yield f"least_cut.text {least['text']!r} isn't {least['mm']} mm"
    yield from _level_faults(room, option)


def _tile_faults(tiles: Mapping[str, Any], per_box: set[int | None]) -> Iterator[str]:
    if not 0 <= tiles["at_least"] <= tiles["needed"] <= tiles["order"]:
        yield "tiles: at_least, needed and order aren't in rising order"
    named: Mapping[str, Any] = tiles.get("by_tile") or {}
    for key in ("needed", "at_least", "order"):
        if named and sum(each[key] for each in named.values()) != tiles[key]:
            yield f"tiles.{key} isn't the sum over the tiles"
    size = next(iter(per_box)) if len(per_box) == 1 else None
    if len(per_box) == 1 and (size is None) != (tiles.get("boxes") is None):
        yield "tiles.boxes is there without a box, or isn't with one"
    elif size and not named and tiles["boxes"] != math.ceil(tiles["order"] / size):
        yield f"the boxes don't hold the order: {tiles['boxes']} of {size} for {tiles['order']}"


def _level_faults(room: Room, option: Mapping[str, Any]) -> Iterator[str]:
    """Yield walls that meet and don't share one datum height."""
    heights = {each["id"]: each["datum"][1] + room.surface(each["id"]).level for each in option["surfaces"]}
    for group in room.groups:
        shared = [heights[name] for name in group if name in heights]
        if shared and max(shared) - min(shared) > CLOSE:
            yield f"{', '.join(group)} don't share their course heights"


def line_faults(surface: Surface, laid: Mapping[str, Any]) -> Iterator[str]:
    """Yield where the lines aren't one level and one plumb through the datum, from the bare surface's edges."""
    xs, ys = [x for x, _ in surface.outline], [y for _, y in surface.outline]
    wanted = {"x": laid["datum"][0] - min(xs), "y": laid["datum"][1] - min(ys)}
    if sorted(line["axis"] for line in laid["lines"]) != ["x", "y"]:
        yield "the lines aren't one plumb and one level"
        return
    for line in laid["lines"]:
        if not line["name"] or not line["from"]:
            yield "a line has no name, or nothing to measure it from"
        if "start" in line:
            # Measured from elsewhere than the left or lower end: from where some edge of the outline or an opening is.
            axis = "xy".index(line["axis"])
            loops = [surface.outline, *(opening.outline for opening in surface.openings)]
            sides = [(loop[n - 1][axis], loop[n][axis]) for loop in loops for n in range(len(loop))]
            if not any(min(side) - CLOSE <= line["start"] <= max(side) + CLOSE for side in sides):
                yield f"{line['name']} is measured from {line['start']} mm, where no edge is"
            wanted[line["axis"]] = abs(laid["datum"][axis] - line["start"])
        if abs(line["mm"] - wanted[line["axis"]]) > CLOSE:
            yield f"{line['name']} stands at {line['mm']} mm, the datum at {wanted[line['axis']]:.3f}"
        if not reads(line["text"], line["mm"]):
            yield f"{line['name']}: {line['text']!r} isn't {line['mm']} mm"


def course_faults(room: Room, surface: Surface, laid: Mapping[str, Any]) -> Iterator[str]:
    """Yield where the story pole isn't that of the pieces: a height, a course, a fresh line, a text."""
    numbers = [piece["course"] for piece in laid["pieces"]]
    straight = surface.pattern.kind in ("stack", "offset")
    wanted = list(range(min(numbers), max(numbers) + 1)) if numbers and straight else []
    if [course["course"] for course in laid["courses"]] != wanted:
        yield "the courses aren't those of the pieces, each once from the bottom up"
        return
    high, pitch = surface.tile.height, surface.tile.height + surface.joint
    most = max(1, math.floor(room.regrid / pitch))
    for course in laid["courses"]:
        number = course["course"]
        if abs(course["mm"] - number * pitch - high) > CLOSE:
            yield f"course {number} is at {course['mm']} mm, its tile's top at {number * pitch + high:.3f}"
        if not reads(course["text"], course["mm"]):
            yield f"course {number}: {course['text']!r} isn't {course['mm']} mm"
        if bool(course.get("fresh_line")) != (number != 0 and number % most == 0):
            yield f"course {number} has a fresh line where none is snapped, or none where one is"


def id_faults(surface: Surface, pieces: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Yield ids that don't say surface, course and column, and the number where a tile falls into several pieces."""
    tiles: dict[str, list[str]] = {}
    for piece in pieces:
        tiles.setdefault(f"{surface.id}:{piece['course']}:{piece['column']}", []).append(piece["id"])
    for tile, names in tiles.items():
        wanted = {tile} if len(set(names)) == 1 else {f"{tile}:{n}" for n in range(1, len(names) + 1)}
        for name in names:
            if name not in wanted:
                yield f"{name}: the id doesn't say its surface, course and column"


def move_reads(text: str, x: float, y: float) -> bool:
    """Whether a text like `3/8" right, 1" up` says how far something is moved, mm."""
    told = {"right": 0.0, "up": 0.0}
    for part in text.split(", "):
        match = re.fullmatch(r"(.+) (right|left|up|down)", part)
        if match is None:
            return False
        try:
            mm = float(parse_length(match[1]))
        except LengthError:
            return False
        told[{"left": "right", "down": "up"}.get(match[2], match[2])] = -mm if match[2] in ("left", "down") else mm
    return all(abs(told[way] - by) <= 25.4 / 32 + 0.06 for way, by in (("right", x), ("up", y)))
