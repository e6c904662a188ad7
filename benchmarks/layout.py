"""How fast the layout engine is, and how good, beside the plain way: every pair of datums on a 1/32 in grid.

    python -m benchmarks.layout

For the sample rooms and some generated ones it prints, in CPU time:

- `one`: our datums and pieces of one option, the recommended: the best at the worst drift, each cut with its range;
- `same`: ours for the question that the grids are asked: the best score at the planned joint, with the pieces;
- `plain`: the baseline, the dense search of `benchmarks.grids.plain`: the best score at the planned joint, datums only;
- `factored`: a grid that knows part of what our search knows (`benchmarks.grids.factored`), the harder one to beat;
- each of the two beside `one`; the least cut share of our best option, and the grid's least leg, capped at `enough`;
  at the first place where the scores of `same` and `plain` differ, by how much ours is higher; and how long all
  options take.

WORSE stands where the grid wins by more than a millionth. Then the growth with the number of pieces, with memory. Times
are the best of five, of three for `plain`; all are taken on one machine in one run.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import layout
from benchmarks.grids import Floats, factored, plain
from layout.evaluate import Bench, bench_of, pieces_of, sheet_of
from layout.fields import fields_of
from layout.model import Aim
from layout.pins import pins_of
from layout.room import Point, Room
from layout.search import Searcher, Task
from layout.variants import planned
from tests.layout import helpers
from tests.layout.rooms import random_room

ROOMS = Path(__file__).parent.parent / "config" / "demo" / "rooms"

CLOSE = 1e-6
"""Share. What is printed has six places: less is no difference."""


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


def best_of(times: int, work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the least CPU time in ms of so many runs, and what the last one gave."""
    took = []
    for _ in range(times):
        start = time.process_time()
        found = work()
        took.append(time.process_time() - start)
    return min(took) * 1000, found


def higher(ours: Sequence[float], other: Sequence[float]) -> float:
    """Return by how much our score is higher at the first place where they differ by more than noise; 0: nowhere."""
    return next((a - b for a, b in zip(ours, other, strict=True) if abs(a - b) > CLOSE), 0.0)


def compare(name: str, room: Room) -> None:
    """Print a line for a room."""
    one, _ = best_of(5, lambda: one_option(room))
    same, score = best_of(5, lambda: same_question(room))
    grid, grid_score = best_of(3, lambda: plain(room))
    harder, _ = best_of(5, lambda: factored(room))
    every, result = best_of(5, lambda: layout.lay_out(room))
    best = max(option.least_cut_share for option in result.options if not option.changes)
    share = grid_score[0] if grid_score else 1.0
    gain = higher(score.tolist(), grid_score)
    worse = "  WORSE" if min(best, room.enough) < share - CLOSE or gain < 0 else ""
    print(
        f"{name:20} {one:7.1f} {same:7.1f} {grid:8.1f} {harder:8.1f} {grid / one:6.1f}x {harder / one:6.1f}x"
        f" {best:8.4f} {share:8.4f} {gain:+8.4f} {len(result.options):8} {every:7.1f}{worse}",
        flush=True,
    )


def grow(side: int) -> None:
    """Print a line for a square floor of `side` tiles each way: one option, its pieces, and the process's memory."""
    room = layout.read_room(helpers.plain(side * 12.125, side * 12.125 - 3.3, joint_high="3/16"))
    start = time.process_time()
    pieces = one_option(room)
    took = time.process_time() - start
    memory = _most_memory()
    print(f"{pieces:8,} {took:8.2f} {took / pieces * 1e6:10.0f} {memory:8.0f}", flush=True)


def _most_memory() -> float:
    """Return the most memory that this process has held, MB. `getrusage` would count the one that started it too."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def main() -> None:
    print(
        f"{'':20} {'one':>7} {'same':>7} {'plain':>8} {'factored':>8} {'plain':>7} {'fact.':>7}"
        f" {'least cut share':^17} {'score':>8} {'':8} {'all':>7}"
    )
    print(
        f"{'room':20} {'ms':>7} {'ms':>7} {'ms':>8} {'ms':>8} {'/ one':>7} {'/ one':>7}"
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
