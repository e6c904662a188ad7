"""Lists of worst legs, and which of them is better (rule 3), many at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layout.model import Floats

Flags = NDArray[np.bool_]

LEVELS, COLUMNS = 4095, 5
"""Shares are told apart by this many steps, and lists by this many of their least, where the bounds are ranked."""


def packed_of(lists: Floats) -> NDArray[np.int64]:
    """Return for lists (…, edges), rising, a number that is greater for a better one, to 1/4095 of a tile."""
    found = np.zeros(lists.shape[:-1], dtype=np.int64)
    for column in range(COLUMNS):
        found *= LEVELS + 1
        if column < lists.shape[-1]:
            found += np.clip(lists[..., column] * LEVELS, 0, LEVELS).astype(np.int64)
    return found


def lists_of(legs: Floats, cap: float, counts: Flags | None = None) -> Floats:
    """Return each row's worst legs, capped, rising; without `counts` those at hidden edges too."""
    capped = np.minimum(legs, cap)
    if counts is not None:
        capped = np.where(counts, capped, cap)
    found: Floats = np.sort(capped, axis=-1)
    return found


def ranked(lists: Floats) -> NDArray[np.intp]:
    """Return (rows, places) the places by their lists (rows, places, edges), the best first."""
    keys = [-np.round(lists[..., column], 9) for column in range(lists.shape[-1])]
    found: NDArray[np.intp] = np.lexsort(keys[::-1], axis=-1)
    return found


def best_rows(lists: Floats, count: int) -> NDArray[np.intp]:
    """Return the rows with the best lists, the best first."""
    return ranked(lists[None])[0, :count]
