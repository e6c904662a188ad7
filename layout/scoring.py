"""How options that change the room are weighed against the room as it stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from layout.errors import RoomError
from layout.evaluate import Bench
from layout.free_search import AnyModel, legs_at
from layout.model import Aim, Floats
from layout.pins import pins_of
from layout.room import EQUAL, Point, Surface
from layout.search import Searcher, Task

WORTH = 4 * EQUAL
"""mm. What a change must gain in some cut, 1/8 in, to be worth an option. Gaugerod's own figure."""


def planned(bench: Bench, datums: Mapping[str, Point], *, drift: bool = False) -> Floats:
    """Return the score (FORMATS.md, rule 3) of datums at the planned joint, or at the worst drift, rising."""
    aim = Aim(bench.room.enough, hidden=False, drift=drift)
    found = []
    for surface in bench.room.surfaces:
        model = bench.models[surface.id]
        if not model.looked.empty:
            worst = np.minimum(_worst(model, datums[surface.id], aim), aim.cap)
            found.append(np.where(model.counts(aim), worst, aim.cap))
    return np.sort(np.concatenate(found)) if found else np.zeros(0)


def _worst(model: AnyModel, datum: Point, aim: Aim) -> Floats:
    """Return each edge's worst leg on a datum, inf where it cuts nothing."""
    found: Floats = legs_at(model, np.array([datum]), aim)[0]
    return found


def better(one: Floats, other: Floats, same: float) -> bool:
    """Whether a score is higher from the first place where they differ by more than `same`."""
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        if abs(a - b) > same:
            return bool(a > b)
    return False


def solved(bench: Bench, *, drift: bool) -> dict[str, Point]:
    """Return the best datums for a room, at the worst drift or at the planned joint. Raises RoomError (`pins_of`)."""
    task = Task(Aim(bench.room.enough, hidden=False, drift=drift), pins_of(bench.room, bench.models))
    return Searcher(bench.room, bench.models).solve(task)


def share_of(mm: float, surfaces: Iterable[Surface]) -> float:
    """Return a cut in mm as a share of the largest tile side."""
    return mm / max(max(surface.tile.width, surface.tile.height) for surface in surfaces)


def pinnable(bench: Bench) -> bool:
    """Whether what the room pins can be kept with the change."""
    try:
        pins_of(bench.room, bench.models)
    except RoomError:
        return False
    return True
