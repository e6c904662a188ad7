"""Bounds on processor time that hold on a slow or busy machine too."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

YARDSTICK = 0.1
"""Seconds that `_yardstick` takes on the machine on which the bounds were measured, idle."""


def _yardstick() -> float:
    """Return the processor seconds that a fixed piece of Python and NumPy takes here and now."""
    start = time.process_time()
    total = 0.0
    for number in range(200_000):
        total += number % 7
    values = np.arange(100_000, dtype=float)
    for _ in range(50):
        values = np.sort(np.cos(values))
    assert total
    assert values.size
    return time.process_time() - start


def within(seconds: float, work: Callable[[], object], tries: int = 3) -> bool:
    """Return whether the work takes less than this many processor seconds of the machine on which the bounds were
    measured, in the best of a few tries. The yardstick, taken before and after each, says how slow this machine is.
    """
    for _ in range(tries):
        before = _yardstick()
        start = time.process_time()
        work()
        taken = time.process_time() - start
        if taken < seconds * max(before, _yardstick(), YARDSTICK) / YARDSTICK:
            return True
    return False
