"""How fast the layout engine is, and how good, beside the plain way: every datum on a 1/32 in grid, both ways.

    python -m benchmarks.layout

For the sample rooms and some generated ones it prints, in CPU time:

- `one`: our datums and pieces of one option, the recommended: the best at the worst drift, each cut with its range;
- `same`: ours for the question that the grid is asked: the best score at the planned joint, with the pieces;
- `grid`: the baseline, `dense_score`: the best score (FORMATS.md, rule 3) at the planned joint, datums only;
- `least`: the lighter baseline, `dense`, that finds the largest least cut share only;
- `one` beside each of the two; the largest least cut share, ours and the grid's; at the first place where the scores of
  `same` and `grid` differ, by how much ours is higher; and how long all options take.

WORSE stands where a grid wins by more than a millionth. Then the growth with the number of pieces, with memory. Times
are the best of five; all are taken on one machine in one run.

Both baselines take the field's cross-sections as given, work the legs out for a whole grid at once with NumPy, and look
at every pair of datums.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

import layout
from layout.evaluate import Bench, bench_of, pieces_of, sheet_of
from layout.field import Band
from layout.fields import fields_of
from layout.grid import Grid
from layout.model import Aim, Model
from layout.pins import pins_of
from layout.room import SOFT, Point, Room
from layout.search import Searcher, Task
from layout.variants import planned
from tests.layout.helpers import plain
from tests.layout.rooms import random_room

ROOMS = Path(__file__).parent.parent / "config" / "demo" / "rooms"
STEP = 25.4 / 32

NOISE = 1e-9
"""Share. What floats may differ by."""

CLOSE = 1e-6
"""Share. What is printed has six places: less is no difference."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def dense(room: Room, step: float = STEP) -> float:
    """Return the largest least cut share on a grid of datums `step` mm apart, for level and plumb fields in courses."""
    bench = bench_of(room, fields_of(room))
    least = 1.0
    for group in room.groups:
        surfaces = [room.surface(name) for name in group]
        grids = [bench.grid(surface) for surface in surfaces]
        heights = np.arange(0.0, max(_period(grid, grid.turned) for grid in grids), step)
        best = np.ones(len(heights))
        for surface in surfaces:
            model = bench.models[surface.id]
            assert isinstance(model, Model)
            shares = _shares(model, heights - surface.level, step)
            np.minimum(best, shares.max(axis=0 if model.grid.turned else 1), out=best)
        least = min(least, float(best.max()))
    return least


def _period(grid: Any, along: bool) -> float:
    """After how much the pattern repeats, mm; a stair does so after one course when it may slide along it too."""
    if along:
        return float(grid.u.pitch)
    return float(grid.v.pitch) * (2 if grid.surface.pattern.share and grid.surface.pattern.run == "alternate" else 1)


def _shares(model: Model, ys: Floats, step: float) -> Floats:
    """Return (v, u) the least cut share of every pair of datums across and along the courses."""
    grid, field = model.grid, model.looked
    others = np.arange(0.0, _period(grid, not grid.turned), step)
    vs, us = (others, ys) if grid.turned else (ys, others)
    found = np.ones((len(vs), len(us)))
    for band in field.columns:
        np.minimum(found, _legs(band, vs, grid.v.side, grid.v.pitch)[:, None], out=found)
    phases = grid.phases()
    for band in field.rows:
        for phase, met in enumerate(_met(band, vs, grid)):
            if met.any():
                legs = _legs(band, us + phases[phase], grid.u.side, grid.u.pitch)
                np.minimum(found, np.where(met[:, None], legs[None, :], 1.0), out=found)
    return found


def _legs(band: Band, starts: Floats, side: float, pitch: float) -> Floats:
    """Return for each datum the least share of the legs at the ends of a cross-section's stretches, 1 for none."""
    least = np.full(len(starts), side)
    for low, high, *_ in band.spans:
        if high - low <= SOFT:
            continue
        for end in (low, high):
            np.minimum(least, _legs_at(end, low, high, starts, side, pitch), out=least)
    return least / side


def _met(band: Band, vs: Floats, grid: Grid) -> Flags:
    """Return (phases, datums) whether courses of each shift meet a cross-section."""
    cycle = len(grid.phases())
    met = np.zeros((cycle, len(vs)), dtype=bool)
    if band.high - band.low <= SOFT:
        return met
    first = np.floor((band.low - vs) / grid.v.pitch).astype(int) - 1
    for more in range(int((band.high - band.low) / grid.v.pitch) + 4):
        low = vs + (first + more) * grid.v.pitch
        meets = (low + grid.v.side - band.low > SOFT) & (band.high - low > SOFT)
        for phase in range(cycle):
            met[phase] |= meets & ((first + more) % cycle == phase)
    return met


def dense_score(room: Room, step: float = STEP) -> list[float]:
    """Return the best score on a grid of datums `step` mm apart, for level and plumb fields in courses.

    The least capped leg is looked at first, for every pair of datums at once. Only heights at which the room's least is
    the best go on, and on each wall only the places whose least is the wall's best there; of these the lists of worst
    legs by edge are made and sorted, again at once. Joined walls have one height; at each height a wall's best list
    can be taken by itself, since the room's list is theirs merged.
    """
    bench = bench_of(room, fields_of(room))
    score: list[float] = []
    for group in room.groups:
        surfaces = [room.surface(name) for name in group if not bench.models[name].looked.empty]
        if not surfaces:
            continue
        period = max(_period(bench.grid(surface), bench.grid(surface).turned) for surface in surfaces)
        heights = np.arange(0.0, period, step)
        walls = [_Wall.of(bench.models[surface.id], heights - surface.level, step, room.enough) for surface in surfaces]
        tops = [wall.least.max(axis=1) for wall in walls]
        room_least = np.minimum.reduce(tops)
        kept = np.flatnonzero(room_least >= room_least.max() - NOISE)
        lists = [wall.best_lists(kept, top[kept]) for wall, top in zip(walls, tops, strict=True)]
        merged = np.sort(np.vstack(lists), axis=0)
        score += merged[:, np.lexsort(merged[::-1])[-1]].tolist()
    return sorted(score)


@dataclass(frozen=True)
class _Wall:
    """A surface on the grid. `least`: (heights, places) the least capped leg."""

    across: Floats
    """(edges, datums) worst legs across the courses."""
    along: list[tuple[Flags, Floats]]
    """For each cross-section and shift: (datums across) whether they meet, and (edges, datums) worst legs."""
    least: Floats
    turned: bool

    @staticmethod
    def of(model: Any, heights: Floats, step: float, cap: float) -> _Wall:
        assert isinstance(model, Model)
        grid, field = model.grid, model.looked
        others = np.arange(0.0, _period(grid, not grid.turned), step)
        vs, us = (others, heights) if grid.turned else (heights, others)
        across = np.full((len(field.edges), len(vs)), cap)
        for band in field.columns:
            if band.high - band.low > SOFT:
                np.minimum(across, _by_edge(model, band, vs, grid.v.side, grid.v.pitch, cap), out=across)
        least = np.repeat(across.min(axis=0)[:, None], len(us), axis=1)
        along = []
        for band in field.rows:
            for shift, met in zip(grid.phases(), _met(band, vs, grid), strict=True):
                if met.any():
                    legs = _by_edge(model, band, us + shift, grid.u.side, grid.u.pitch, cap)
                    along.append((met, legs))
                    np.minimum(least, np.where(met[:, None], legs.min(axis=0)[None, :], cap), out=least)
        return _Wall(across, along, least.T if grid.turned else least, grid.turned)

    def best_lists(self, heights: NDArray[np.intp], tops: Floats) -> Floats:
        """Return (edges, heights) the best list of worst legs at each of the heights, the least first."""
        at, places = np.nonzero(self.least[heights] >= tops[:, None] - NOISE)
        v, u = (places, heights[at]) if self.turned else (heights[at], places)
        legs = self.across[:, v]
        for met, table in self.along:
            np.minimum(legs, np.where(met[v], table[:, u], legs), out=legs)
        lists = np.sort(legs, axis=0)
        order = np.lexsort((*lists[::-1], at))
        return lists[:, order[np.flatnonzero(np.diff(at[order], append=-1))]]


def _by_edge(model: Model, band: Band, starts: Floats, side: float, pitch: float, cap: float) -> Floats:
    """Return (edges, datums) the worst leg at each edge that a cross-section's stretches end on, at most `cap`."""
    found = np.full((len(model.looked.edges), len(starts)), cap)
    for low, high, low_edge, high_edge in band.spans:
        if high - low > SOFT:
            for end, edge in ((low, low_edge), (high, high_edge)):
                if not model.looked.edges[edge].hidden:
                    legs = _legs_at(end, low, high, starts, side, pitch) / side
                    np.minimum(found[edge], legs, out=found[edge])
    return found


def _legs_at(end: float, low: float, high: float, starts: Floats, side: float, pitch: float) -> Floats:
    """Return for each datum the leg of the tile at one end of a stretch, mm; the tile's side where it isn't cut."""
    left = starts + np.floor((end - starts) / pitch) * pitch
    right = left + side
    a, b = np.where(low - left > SOFT, low, left), np.where(right - high > SOFT, high, right)
    cut = (right - low > SOFT) & (high - left > SOFT) & ((a > left) | (b < right))
    return np.where(cut, b - a, side)


def one_option(room: Room) -> int:
    """Find the recommended datums and cut the pieces; return how many."""
    return _cut(room, drift=True, exact=False)[0]


def same_question(room: Room) -> Floats:
    """Find the best datums at the planned joint and cut the pieces; return the score."""
    _, bench, datums = _cut(room, drift=False, exact=True)
    return planned(bench, datums)


def _cut(room: Room, *, drift: bool, exact: bool) -> tuple[int, Bench, Mapping[str, Point]]:
    bench = bench_of(room, fields_of(room))
    task = Task(Aim(room.enough, hidden=False, drift=drift), pins_of(room, bench.models), exact)
    datums = Searcher(room, bench.models).solve(task)
    count = 0
    for surface in room.surfaces:
        datum = datums[surface.id]
        count += len(pieces_of(bench, sheet_of(bench, surface, datum), datum))
    return count, bench, datums


def best_of_five(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the least CPU time in ms of five runs, and what the last one gave."""
    times = []
    for _ in range(5):
        start = time.process_time()
        found = work()
        times.append(time.process_time() - start)
    return min(times) * 1000, found


def higher(ours: Sequence[float], other: Sequence[float]) -> float:
    """Return by how much our score is higher at the first place where they differ by more than noise; 0: nowhere."""
    return next((a - b for a, b in zip(ours, other, strict=True) if abs(a - b) > CLOSE), 0.0)


def compare(name: str, room: Room) -> None:
    """Print a line for a room."""
    one, _ = best_of_five(lambda: one_option(room))
    same, score = best_of_five(lambda: same_question(room))
    grid, grid_score = best_of_five(lambda: dense_score(room))
    least, share = best_of_five(lambda: dense(room))
    every, result = best_of_five(lambda: layout.lay_out(room))
    best = max(option.least_cut_share for option in result.options if not option.changes)
    gain = higher(score.tolist(), grid_score)
    worse = "  WORSE" if best < share - CLOSE or gain < 0 else ""
    print(
        f"{name:20} {one:7.1f} {same:7.1f} {grid:7.1f} {least:7.1f} {grid / one:6.1f}x {least / one:6.1f}x"
        f" {best:8.4f} {share:8.4f} {gain:+8.4f} {len(result.options):8} {every:7.1f}{worse}",
        flush=True,
    )


def grow(side: int) -> None:
    """Print a line for a square floor of `side` tiles each way: one option, its pieces, and the process's memory."""
    room = layout.read_room(plain(side * 12.125, side * 12.125 - 3.3, joint_high="3/16"))
    start = time.process_time()
    pieces = one_option(room)
    took = time.process_time() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{pieces:8,} {took:8.2f} {took / pieces * 1e6:10.0f} {memory:8.0f}", flush=True)


def main() -> None:
    print(
        f"{'':20} {'one':>7} {'same':>7} {'grid':>7} {'least':>7} {'grid':>7} {'least':>7}"
        f" {'least cut share':^17} {'score':>8} {'':8} {'all':>7}"
    )
    print(
        f"{'room':20} {'ms':>7} {'ms':>7} {'ms':>7} {'ms':>7} {'/ one':>7} {'/ one':>7}"
        f" {'ours':>8} {'grid':>8} {'higher':>8} {'options':>8} {'ms':>7}"
    )
    for path in sorted(ROOMS.glob("*.json")):
        compare(path.stem, layout.read_room(json.loads(path.read_text(encoding="utf-8"))))
    for seed in range(8):
        compare(f"generated {seed}", layout.read_room(random_room(seed)))
    print(f"\n{'pieces':>8} {'s':>8} {'µs a piece':>10} {'MB':>8}", flush=True)
    for side in (10, 32, 100, 173, 316):
        # Each in a process of its own: memory is the most that a process ever held.
        subprocess.run([sys.executable, "-m", "benchmarks.layout", str(side)], check=True)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        grow(int(sys.argv[1]))
    else:
        main()
