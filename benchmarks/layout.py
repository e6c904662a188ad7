"""How fast the layout engine is, and how good, beside the plain way: every datum on a 1/32 in grid.

    python -m benchmarks.layout

Prints for the sample rooms and some generated ones the time for all options (CPU, the best of three) and the largest
least cut share, each beside the dense search of the tests; then the growth with the number of pieces, with memory.
"""

from __future__ import annotations

import json
import resource
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import layout
from layout.room import Room
from tests.layout.dense import dense_least
from tests.layout.helpers import plain
from tests.layout.rooms import random_room

ROOMS = Path(__file__).parent.parent / "tests" / "rooms"
STEP = 25.4 / 32


def best_of_three(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return the least CPU time in ms of three runs, and what the last one gave."""
    times = []
    for _ in range(3):
        start = time.process_time()
        found = work()
        times.append(time.process_time() - start)
    return min(times) * 1000, found


def compare(name: str, room: Room) -> None:
    ours, result = best_of_three(lambda: layout.lay_out(room))
    dense, share = best_of_three(lambda: dense_least(room, STEP))
    best = max(option.least_cut_share for option in result.options)
    print(f"{name:24} {len(result.options):7} {ours:9.1f} {dense:9.1f} {best:9.4f} {share:9.4f}")


def grow(side: int) -> None:
    room = layout.read_room(plain(side * 12.125, side * 12.125 - 3.3, joint_high="3/16"))
    start = time.process_time()
    result = layout.lay_out(room)
    took = time.process_time() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    pieces = result.option.counts.whole + result.option.counts.cut
    print(f"{pieces:8,} pieces {took:7.2f} s {took / pieces * 1e6:7.0f} µs a piece   peak {memory:5.0f} MB")


def main() -> None:
    print(f"{'room':24} {'options':>7} {'ms':>9} {'dense ms':>9} {'share':>9} {'dense':>9}")
    for path in sorted(ROOMS.glob("*.json")):
        compare(path.stem, layout.read_room(json.loads(path.read_text(encoding="utf-8"))))
    for seed in range(8):
        compare(f"random {seed}", layout.read_room(random_room(seed)))
    print()
    for side in (10, 32, 100, 173, 316):
        grow(side)


if __name__ == "__main__":
    main()
