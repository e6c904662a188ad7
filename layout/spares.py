"""Tiles to order beyond what the cut plan uses."""

from __future__ import annotations

import math

FRAGILE_PER_SPARE = 10
"""Notched and holed pieces to one spare. Common practice, no source."""

CULLS = 0.03
"""Share of tiles set aside for chips, warp and shade. Common practice, no source."""

ATTIC = 0.02
"""Share left with the owner for repairs, one lot with the rest. Common practice, no source."""


def order_of(needed: int, *, fragile: int, per_box: int | None) -> tuple[int, int | None]:
    """Return the tiles to order for `needed`, `fragile` pieces among them, and full boxes (None: box unknown)."""
    if not needed:
        return 0, None if per_box is None else 0
    order = needed + math.ceil(fragile / FRAGILE_PER_SPARE) + math.ceil(needed * CULLS) + math.ceil(needed * ATTIC)
    return order, None if per_box is None else math.ceil(order / per_box)
