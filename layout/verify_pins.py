"""The judge's part on what was asked for: pins kept, aims met or told as missed, options that are what they say."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from shapely.geometry.base import BaseGeometry

from layout.room import HUNG, Aim, Room, Surface
from layout.verify_changes import with_changes
from layout.verify_field import gaps_at, offset_field
from layout.verify_figures import SHARE, reads
from layout.verify_tiles import tile_at

KEPT = 0.02
"""mm. How far a line may stand off a pin: the tolerance, and what printing rounds away."""

SOFT = 1.0 + KEPT
"""mm. The same where several surfaces that share courses are pinned: they may differ by a soft joint's give."""

EQUAL = 25.4 / 32
"""mm. Nearer than this is met, to a setter."""

LARGEST, FULL = "Largest smallest cut", re.compile(r"No cut at the (top|bottom) of (.+?),")
HAS_FULL = re.compile(r"It has a full course at the (top|bottom)\.")
CENTERED = re.compile(r"(Tile|Joint) centered on (.+)|A (tile|joint) is centered on (.+?)\.")
TOLD = re.compile(r"^(?P<why>.*) on (?P<surface>.*): the nearest .* is (?P<off>.*) from it\.")

FAR = 60
"""Courses each way in which a tile of another pattern is looked for."""


def asked_faults(room: Room, result_json: Mapping[str, Any]) -> Iterator[str]:
    """Yield, in words, where an option doesn't keep a pin or isn't what it is called, and where a finding on an aim
    is missing, needless or wrong.
    """
    options = result_json.get("options") or []
    for number, option in enumerate(options, 1):
        changed = with_changes(room, option)[0]
        datums = {each["id"]: each["datum"] for each in option["surfaces"]}
        if set(datums) == {surface.id for surface in changed.surfaces}:
            wrong = (*_pin_faults(changed, datums), *_name_faults(changed, option, datums))
            yield from (f"option {number}: {fault}" for fault in wrong)
    yield from _list_faults(room, options)
    chosen = next((option for option in options if option.get("cut_plan")), None)
    if chosen:
        datums = {each["id"]: each["datum"] for each in chosen["surfaces"]}
        yield from _aim_faults(with_changes(room, chosen)[0], datums, result_json["findings"])


def _seen(room: Room, surface: Surface) -> BaseGeometry:
    return offset_field(surface, gaps_at(room, surface)[1])


def _pin_faults(room: Room, datums: Mapping[str, Sequence[float]]) -> Iterator[str]:
    for surface in room.surfaces:
        seen = _seen(room, surface)
        if seen.is_empty:
            continue
        for axis, (name, pin, at) in enumerate(
            (("x", surface.pin.x, surface.pin.at_x), ("y", surface.pin.y, surface.pin.at_y))
        ):
            low, high = seen.bounds[axis], seen.bounds[axis + 2]
            if pin is None or (not at.startswith("surfaces") and not _fits(surface, pin, axis, low, high)):
                continue
            off = (
                _off_named(surface, datums[surface.id], pin, axis, (low, high))
                if isinstance(pin, str)
                else datums[surface.id][axis] - pin
            )
            together = [other for other in room.surfaces if (other.pin.x, other.pin.y)[axis] is not None]
            if abs(off) > (SOFT if len(together) > 1 else KEPT):
                yield f"{surface.id}: its pin of {name}, {pin}, is kept {abs(off):.2f} mm off"


def _fits(surface: Surface, pin: str | float, axis: int, low: float, high: float) -> bool:
    """Whether a surface has room for what the whole room is told."""
    bounds = tile_at(surface, (0.0, 0.0), 0, 0)[0].bounds
    return not (isinstance(pin, str) and pin.startswith("full") and bounds[axis + 2] - bounds[axis] > high - low + SOFT)


def _off_named(surface: Surface, datum: Sequence[float], name: str, axis: int, ends: tuple[float, float]) -> float:
    """Return how far the nearest tile stands, along an axis, from where a pin's name wants one, mm."""
    low, high = ends
    own = tile_at(surface, datum, 0, 0)[0].bounds
    side = own[axis + 2] - own[axis]
    wanted = {
        "full-at-left": low,
        "full-at-bottom": low,
        "full-at-right": high - side,
        "full-at-top": high - side,
        "tile-centered": (low + high - side) / 2,
        "joint-centered": (low + high + surface.joint) / 2,
    }[name]
    if surface.pattern.kind in ("stack", "offset"):
        return math.remainder(own[axis] - wanted, side + surface.joint)
    pair = 2 if surface.pattern.kind == "herringbone" else 1
    over = tile_at(surface, datum, 0, pair)[0].bounds[axis] - own[axis]
    offs = []
    for course in range(-FAR, FAR + 1):
        off = tile_at(surface, datum, course, 0)[0].bounds[axis] - wanted
        offs.append(math.remainder(off, over) if abs(over) > KEPT else off)
    return min(offs, key=abs)


def _name_faults(room: Room, option: Mapping[str, Any], datums: Mapping[str, Sequence[float]]) -> Iterator[str]:
    """Yield where a title or a reason speaks of a full course, or of a middle, that isn't there."""
    wanted = [(surface, f"full-at-{end}", 1) for end, names in FULL.findall(option["why"]) for surface in room.surfaces
              if _is_named(surface, names)]  # fmt: skip
    for match in CENTERED.finditer(f"{option['title']}\n{option['why']}"):
        what, names = match.group(1) or match.group(3), match.group(2) or match.group(4)
        wanted += [(surface, f"{what.lower()}-centered", 0) for surface in room.surfaces if _is_named(surface, names)]
    for surface, name, axis in wanted:
        bounds = _seen(room, surface).bounds
        off = _off_named(surface, datums[surface.id], name, axis, (bounds[axis], bounds[axis + 2]))
        own_title = FULL.match(option["why"]) or CENTERED.match(option["title"])
        if abs(off) > (KEPT if own_title else EQUAL + KEPT):
            yield f"{surface.id}: it is said to be {name}, and is {abs(off):.2f} mm off"
    for end in HAS_FULL.findall(option["why"]):
        walls = [surface for surface in room.surfaces if surface.kind in HUNG]
        offs = [
            _off_named(surface, datums[surface.id], f"full-at-{end}", 1, _seen(room, surface).bounds[1::2])
            for surface in walls
        ]
        if not any(abs(off) <= EQUAL + KEPT for off in offs):
            yield f"it is said to have a full course at the {end}, and no wall has"


def _is_named(surface: Surface, names: str) -> bool:
    return surface.name in re.split(r", | and ", names) or surface.name == names


def _list_faults(room: Room, options: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Yield where another option as measured is better than the one that is said to be the best."""
    plain = [option for option in options if not option.get("changes")]
    most = max((option["least_cut_share"] for option in plain), default=0.0)
    for option in plain:
        if option["title"] == LARGEST and option["least_cut_share"] < most - SHARE:
            yield f"{LARGEST!r} has {option['least_cut_share']}, another option {most}"
    if any(surface.joint_high > surface.joint for surface in room.surfaces) or not plain:
        return
    same = EQUAL / max(max(surface.tile.width, surface.tile.height) for surface in room.surfaces)
    first = plain[0]["score"]
    for option in plain[1:]:
        if first and option["score"][0] > first[0] + same + SHARE:
            yield f"the recommended scores {first[0]}, {option['title']!r} scores {option['score'][0]}"


def _aim_faults(
    room: Room, datums: Mapping[str, Sequence[float]], findings: Sequence[Mapping[str, Any]]
) -> Iterator[str]:
    told = [match for each in findings if each["rule"] == "layout.aim" and (match := TOLD.match(each["text"]))]
    for surface in room.surfaces:
        if surface.pattern.kind not in ("stack", "offset") or _seen(room, surface).is_empty:
            continue
        for aim in surface.aims:
            name = f"the aim {aim.why or 'aim'} on {surface.id}"
            mine = [m["off"] for m in told if (m["why"], m["surface"]) == (aim.why or "aim", surface.name)]
            offs = _missed(surface, datums[surface.id], aim)
            if all(max(abs(x), abs(y)) > EQUAL + KEPT for x, y in offs) and not mine:
                yield f"{name} is missed by {offs[0][0]:.1f}, {offs[0][1]:.1f} mm, and no finding says so"
            if all(max(abs(x), abs(y)) < EQUAL - KEPT for x, y in offs) and mine:
                yield f"{name} is met, a finding says it is missed by {mine[0]}"
            elif mine and not any(_says(off, each) for off in mine for each in offs):
                yield f"{name} is missed by {offs[0][0]:.1f}, {offs[0][1]:.1f} mm, a finding says {mine[0]}"


def _says(text: str, off: tuple[float, float]) -> bool:
    """Whether a text like `1/2" right and 3/8" down` says how far off something stands, mm."""
    left = {"right": max(off[0], 0.0), "left": max(-off[0], 0.0), "up": max(off[1], 0.0), "down": max(-off[1], 0.0)}
    for part in text.split(" and "):
        length, _, way = part.rpartition(" ")
        if way not in left or not reads(length, left.pop(way)):
            return False
    return all(rest <= EQUAL + KEPT for rest in left.values())


def _missed(surface: Surface, datum: Sequence[float], aim: Aim) -> list[tuple[float, float]]:
    """Return how far right and up of the aim's point the nearest of what it wants stands, mm: several where two
    courses are as near."""
    rows = surface.pattern.axis == "rows"
    across, along = (1, 0) if rows else (0, 1)
    start = tile_at(surface, datum, 0, 0)[0].bounds
    sides = (surface.tile.width, surface.tile.height)
    joint = aim.want == "joint-centered"
    middle = [-surface.joint / 2 if joint else side / 2 for side in sides]
    pitch = sides[across] + surface.joint
    place = (aim.at[across] - start[across] - middle[across]) / pitch
    found = []
    for course in range(math.floor(place) - 1, math.floor(place) + 3):
        up = (course - place) * pitch
        best = math.inf
        for line in (course - 1, course) if joint else (course,):
            corner = tile_at(surface, datum, *((line, 0) if rows else (0, line)))[0].bounds[along]
            off = math.remainder(corner + middle[along] - aim.at[along], sides[along] + surface.joint)
            best = min(best, off, key=abs)
        found.append((best, up) if rows else (up, best))
    nearest = min(abs(each[across]) for each in found)
    return [each for each in found if abs(each[across]) <= nearest + 2 * KEPT]
