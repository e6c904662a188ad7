"""Changes to a room that a setter would ask for: an opening moved onto the joints, the joint tuned, the tile turned.

None of them is made unasked: each becomes an option beside the room as it was measured, with what it changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.changes import Changes, changed, tunable
from layout.evaluate import Bench, bench_of
from layout.model import Aim, Floats, Model
from layout.moving import moved
from layout.pins import pins_of
from layout.room import EQUAL, Point, Room, Surface
from layout.scoring import WORTH, better, pinnable, planned, share_of, solved
from layout.search import Searcher, Task

MOST_JOINTS = 9
"""Joints tried in a range."""


@dataclass(frozen=True, slots=True)
class Variant:
    """A change, the room with it, and the best datums for that room.

    `on_joints`: how many sides of moved openings lie on joints; `centered`: in how many ways,
    across and up, round ones stand on the middle of a tile or of a joint.
    """

    changes: Changes
    bench: Bench
    datums: Mapping[str, Point]
    on_joints: int = 0
    centered: int = 0


def variants(bench: Bench, recommended: Mapping[str, Point]) -> Iterator[Variant]:
    """Yield what is worth an option beside the room as it stands, at most one of each kind.

    In a room with sloped edges or other patterns, where a search takes long, openings are moved on the recommended
    datums only, and the joint isn't tuned.
    """
    quick = all(isinstance(model, Model) for model in bench.models.values())
    movable = any(opening.movable for surface in bench.room.surfaces for opening in surface.openings)
    ranged = [surface for surface in bench.room.surfaces if tunable(surface) and quick]
    if movable or ranged:
        bar = planned(bench, recommended)
        if quick:
            held = planned(bench, solved(bench, drift=False))
            bar = held if better(held, bar, 1e-9) else bar
        found = moved(bench, recommended, bar)
        if found:
            yield Variant(found.changes, found.bench, found.datums, found.on_joints, found.centered)
        if ranged and (tuned := _tuned(bench, ranged, bar)):
            yield tuned
    turned = may_turn(bench.room)
    if turned:
        changes = Changes(turned=turned)
        other = bench_of(changed(bench.room, changes), bench.fields)
        if pinnable(other):
            yield Variant(changes, other, solved(other, drift=True))


def _tuned(bench: Bench, ranged: Sequence[Surface], bar: Floats) -> Variant | None:
    """Return the joint of the range under which the score at that joint is highest; None where none is worth it."""
    best: tuple[Floats, Changes, Bench] | None = None
    for joint in joints_within(ranged, bench.room.units):
        changes = Changes(joint=joint)
        room = changed(bench.room, changes)
        if not _keeps_courses(bench.room, room):
            continue
        other = bench_of(room, bench.fields)
        if not pinnable(other):
            continue
        task = Task(Aim(other.room.enough, hidden=False, drift=False), pins_of(other.room, other.models), exact=True)
        score = planned(other, Searcher(other.room, other.models).solve(task))
        if best is None or better(score, best[0], share_of(EQUAL, ranged)):
            best = score, changes, other
    gain = share_of(WORTH, bench.room.surfaces)
    if best is None or not better(best[0], bar, gain):
        return None
    _, changes, other = best
    for drift in (True, False):
        datums = solved(other, drift=drift)
        if better(planned(other, datums), bar, gain):
            return Variant(changes, other, datums)
    return None


def _keeps_courses(before: Room, after: Room) -> bool:
    """Whether surfaces that share courses of one height still do: a joint tuned on one wall only would break them."""
    for group in before.groups:
        for one, other in pairwise(group):
            a, b = before.surface(one), before.surface(other)
            alike = a.tile.height + a.joint - b.tile.height - b.joint
            c, d = after.surface(one), after.surface(other)
            if abs(alike) <= 1e-6 < abs(c.tile.height + c.joint - d.tile.height - d.joint):
                return False
    return True


def joints_within(ranged: Sequence[Surface], units: str) -> list[float]:
    """Return joints to try, mm, rising: marks of 1/32 in or 0.5 mm, as spacers come, above the planned joint."""
    low = min(surface.joint for surface in ranged)
    high = max(surface.joint_high for surface in ranged)
    step = 25.4 / 32 if units == "in" else 0.5
    marks = [step * n for n in range(math.floor(low / step) + 1, math.floor(high / step + 1e-9) + 1)]
    found = [round(mark, 6) for mark in marks if low + 1e-6 < mark <= high + 1e-6]
    if len(found) > MOST_JOINTS:
        found = [found[round(n * (len(found) - 1) / (MOST_JOINTS - 1))] for n in range(MOST_JOINTS)]
    return sorted(set(found))


def may_turn(room: Room) -> tuple[str, ...]:
    """Return the tiles that may hang the other way: by their `turns`, oblong, and set square."""
    found: dict[str, bool] = {}
    for surface in room.surfaces:
        tile = surface.tile
        fits = surface.joint_high < min(tile.width, tile.height)
        may = bool({90, 270} & set(tile.turns)) and abs(tile.width - tile.height) > EQUAL
        found[tile.name] = found.get(tile.name, True) and may and fits and surface.pattern.square
    return tuple(name for name, may in found.items() if may)
