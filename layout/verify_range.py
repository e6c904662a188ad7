"""The judge's part on drift and ranges (rule 5), by samples: the ends of both amounts and an even grid between."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from layout.room import Room
from layout.verify_drift import Laid, Worth, ground, lay, samples, spread_of

SHARE = 2e-5
SLOPED = 1e-4
"""As `verify_free.SHARE`: what a share may be off where chords run slanting."""

MM = 0.11
"""What a printed range may be off: it has one place, and a slanting chord moves by what the datum is rounded."""

ROUND = 2.0
"""mm. As `MM`, where a circle cuts: chords are judged up to where it runs at 45 degrees, which sides only approach."""


def drift_faults(room: Room, option: Mapping[str, Any], dense: int | None = None) -> Iterator[str]:
    """Yield where the least cut share over all drifts, or a piece's range, is better than what samples find.

    `dense`: amounts each way; by default fewer the more pieces there are. On level and plumb fields a leg is a
    straight line in the drift: the ends tell its worst, and the printed figure must be that, or 0 where something is
    swallowed on the way. Elsewhere a lower figure than the samples' is taken.
    """
    least, exact, off = 1.0, True, SHARE
    for each in option["surfaces"]:
        surface = room.surface(each["id"])
        pieces = len(each["pieces"])
        count = dense or (4 if pieces <= 40 else 3 if pieces <= 400 else 2)
        here = ground(room, surface)
        slack = ROUND if any(opening.circle for opening in surface.openings) else MM
        small = min(surface.tile.width, surface.tile.height)
        off = max(off, 0.0 if surface.square else SLOPED if slack == MM else ROUND / small)
        drifted = [lay(here, each["datum"], drift) for drift in samples(surface, count)]
        least = min([least, *(part.share for laid in drifted for parts in laid.values() for part in parts)])
        exact = exact and surface.square and (spread_of(surface) <= 0 or _steady(drifted))
        faults = _range_faults(small, slack, each["pieces"], drifted, ends=surface.square)
        yield from (f"{each['id']}: {fault}" for fault in faults)
    told = option["least_cut_share_drift"]
    if told > least + off:
        yield f"least_cut_share_drift is {told}, a drift makes it {least:.6f}"
    if exact and told < least - SHARE:
        yield f"least_cut_share_drift is {told}, no drift makes it less than {least:.6f}"


def _steady(drifted: Sequence[Laid]) -> bool:
    """Whether every sample has the same tiles, cut in the same number of places: then nothing is swallowed."""
    signs = [{home: sorted(part.legs for part in parts) for home, parts in laid.items()} for laid in drifted]
    return all(sign == signs[0] for sign in signs)


def _range_faults(
    whole: float, slack: float, pieces: Sequence[Mapping[str, Any]], drifted: Sequence[Laid], *, ends: bool
) -> Iterator[str]:
    """Yield tiles whose least leg gets shorter than their pieces' ranges say, or longer.

    Where edges slope, a tile falls into other parts at other drifts, and which of them a piece's best is isn't said: a
    range that ends before the best of the far drifts is a fault with `ends` only.
    """
    tiles: dict[tuple[int, int], list[Mapping[str, Any]]] = {}
    for piece in pieces:
        if piece["range"][0] > piece["range"][1]:
            yield f"{piece['id']}: its range falls"
        tiles.setdefault((piece["course"], piece["column"]), []).append(piece)
    for home, named in tiles.items():
        yield from _range_fault(
            named[0]["id"], named, [laid.get(home, []) for laid in drifted], whole, slack, ends=ends
        )


def _range_fault(
    name: str,
    named: Sequence[Mapping[str, Any]],
    drifted: Sequence[Sequence[Worth]],
    whole: float,
    slack: float,
    *,
    ends: bool,
) -> Iterator[str]:
    """Yield where a tile's range doesn't begin at the worst end of the drifts or before, or doesn't end within what
    samples find.

    Which part of a tile is which at another drift isn't said: ends are judged of tiles in one part. An uncut tile
    counts as its smaller side. The best drift is one of the ends: the last sample, the first, or the
    corners between; what the legs of another direction measure on the way says nothing of the range's end.
    """
    low, high = min(piece["range"][0] for piece in named), max(piece["range"][1] for piece in named)
    if not any(drifted):
        return
    most = [max((max(part.ties, default=whole) for part in parts), default=0.0) for parts in drifted]
    side = math.isqrt(len(drifted))
    far = [drifted[n] for n in sorted({0, side - 1, len(drifted) - side, len(drifted) - 1})]
    for parts in far:
        for part in parts:
            if part.legs and max(part.ties) < low - slack:
                yield f"{name}: its range begins at {low} mm, a drift makes it {part.mm:.2f} mm"
                return
    best = max(max((min(part.ties, default=whole) for part in parts), default=0.0) for parts in far)
    alone = len(named) == 1 and all(len(parts) == 1 for parts in drifted)
    if alone and (high > max(most) + slack or (ends and high < best - slack)):
        yield f"{name}: its range ends at {high} mm, the drifts' best is {best:.2f} mm"
