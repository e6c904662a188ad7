"""The worst leg along one side of a free field, on many datums at once, without cutting a piece.

A tile stands from T to T + side along the chords and holds a band of levels across them. Within its band a straight
side sweeps a stretch of the tile, so its least chord stands at an end of the stretch; where the side leaves the tile
within the band the piece runs to a point, and counts nothing. Under drift a tile may stand anywhere between two places,
and its band likewise: the leg is worst at one end of both, or 0 where it is swallowed on the way (FORMATS.md, rule 5).
Of the tiles on one line across a side the outermost one that is there at all has the least leg.

What doesn't depend on the datum is worked out once: a side that crosses many bands meets them at places that stand
still against each other, so the worst of them all follows from one look into their sorted places. So the work grows
with the corners of a field, hardly with its tiles.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layout.grid import Axis, Grid
from layout.room import SOFT, TOLERANCE
from layout.runs import Arc, Line, Run

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Whole = NDArray[np.int64]

REACH = SOFT + 1e-6
POINT = 10 * TOLERANCE
"""mm. A chord no longer than this is a point."""

FEW = 8
"""Bands up to which each is worked out by itself."""

CHUNK = 40_000
"""Numbers worked on at once."""


@dataclass(frozen=True, slots=True)
class Tiles:
    """The tiles of a surface as chords along one axis see them.

    Band b holds levels from the datum's + `rise` + b pitches of `across`. Tile i of band b stands along the chords at
    the datum's + shift(b) + i pitches of `along`; only every `every`-th, from `number` on, where bands take turns.
    """

    along: Axis
    across: Axis
    step: float = 0.0
    stair: bool = False
    every: int = 1
    number: int = 0
    rise: float = 0.0
    loose: bool = False
    """The band's own number, and so its drift, isn't known: any may be."""
    turned: bool = False
    """The chords run the other way: places and numbers have changed their sign."""

    def shift(self, bands: Whole) -> Floats:
        """How far bands are shifted along the chords, mm."""
        steps = bands if self.stair else bands % 2
        return np.asarray(self.step * steps, dtype=np.float64)


@lru_cache(maxsize=64)
def _seen(tiles: Tiles, *, turned: bool, drift: bool) -> Tiles:
    """Return the tiles from the other end of the chords where `turned`, and standing still without `drift`."""
    if not drift:
        tiles = replace(tiles, along=replace(tiles.along, spread=0.0), across=replace(tiles.across, spread=0.0))
    return replace(tiles, number=-tiles.number % tiles.every, turned=True) if turned else tiles


def tiles_of(grid: Grid, axis: int) -> list[Tiles]:
    """Return the tiles that chords along an axis meet, in groups that each stand in even steps."""
    pattern = grid.surface.pattern
    stair = pattern.run == "stair"
    if (axis == 0) != grid.turned:
        return [Tiles(grid.u, grid.v, float(pattern.share) * grid.u.pitch, stair)]
    phases = grid.phases()
    loose = stair and len(phases) > 1
    return [Tiles(grid.v, grid.u, 0.0, False, len(phases), n, rise, loose) for n, rise in enumerate(phases)]


def groups_at(run: Run, groups: Sequence[Tiles]) -> Sequence[Tiles]:
    """Return the groups of tiles to look at along a run: all of them as one where each meets it, and all alike."""
    one = groups[0]
    if len(groups) > 1 and run.far is None and _straight(run) and run.high - run.low > 3 * one.across.pitch:
        return [Tiles(one.along, one.across)]
    return groups


def _straight(run: Run) -> bool:
    """Whether a side stands at the same place at every level."""
    return isinstance(run.line, Line) and not run.line.slope


def worst_legs(run: Run, tiles: Tiles, start: Floats, level: Floats, *, drift: bool) -> Floats:
    """Return (datums) the worst leg along a run, mm; inf where it cuts no tile. `start`, `level`: the datums."""
    # Chords that end on the run at their upper end are looked at from there.
    line, far = (run.line, run.far) if run.first else (run.line.mirrored, run.far.mirrored if run.far else None)
    tiles = _seen(tiles, turned=not run.first, drift=drift)
    level = level + tiles.rise
    bands = _Bands(run.low, run.high, tiles.across, tiles.loose)
    first, last = bands.met(level)
    count = int((last - first).max(initial=-1)) + 1
    if count <= 0:
        return np.full(len(start), np.inf)
    if far is None and tiles.step == 0 and _straight(run) and count > 2:
        # All bands that meet it meet it alike.
        first, count = first + 1, 1
    every = first[:, None] + np.arange(count)[None, :]
    if far is not None or count <= FEW or isinstance(line, Arc):
        return _each(bands, line, far, tiles, start, level, every)
    return _many(bands, line, tiles, start, level, (first, last), every)


@dataclass(frozen=True, slots=True)
class _Bands:
    """The bands between two levels."""

    low: float
    high: float
    axis: Axis
    loose: bool

    @property
    def slack(self) -> float:
        return self.axis.most * self.axis.spread

    def met(self, level: Floats) -> tuple[Whole, Whole]:
        """The first and the last band that may meet the levels by more than the soft joint takes up."""
        first = np.floor((self.low + REACH - self.axis.side - self.slack - level) / self.axis.pitch) + 1
        last = np.ceil((self.high - REACH + self.slack - level) / self.axis.pitch) - 1
        return first.astype(np.int64), last.astype(np.int64)

    def within(self, level: Floats) -> tuple[Whole, Whole]:
        """The first and the last band that lies between the levels, wherever it drifts."""
        first = np.ceil((self.low + self.slack - level) / self.axis.pitch)
        last = np.floor((self.high - self.axis.side - self.slack - level) / self.axis.pitch)
        return first.astype(np.int64), last.astype(np.int64)

    def drift(self, bands: Whole) -> tuple[Floats | float, Floats | float]:
        """How far bands may be carried down, and up, mm."""
        if not self.axis.spread:
            return 0.0, 0.0
        if self.loose:
            return -self.slack, self.slack
        most = self.axis.most
        down, up = np.clip(bands, -most, 0).astype(np.float64), np.clip(bands, 0, most).astype(np.float64)
        return self.axis.spread * down, self.axis.spread * up

    def ends(self, level: Floats, bands: Whole) -> tuple[Floats, Floats]:
        """From where to where bands lie between the levels, over all drifts."""
        down, up = self.drift(bands)
        foot = level[:, None] + bands * self.axis.pitch
        return np.maximum(self.low, foot + down), np.minimum(self.high, foot + self.axis.side + up)


def _origin(tiles: Tiles, start: Floats, bands: Whole) -> Floats:
    """Where tile 0 of each band stands."""
    found: Floats = start[:, None] + tiles.shift(bands)
    return -found - tiles.along.side if tiles.turned else found


def _outermost(tiles: Tiles, place: Floats) -> Whole:
    """Return the lowest tile that at some drift stands beyond a place (counted from tile 0)."""
    axis = tiles.along
    index = place / axis.pitch
    if axis.spread:
        wide = np.maximum(place / (axis.pitch + axis.spread), (place - axis.most * axis.spread) / axis.pitch)
        index = np.minimum(index, wide)
    found = np.floor(index).astype(np.int64) + 1
    if tiles.every > 1:
        found += (tiles.number - found) % tiles.every
    return found


def _places(tiles: Tiles, origin: Floats, index: Whole) -> tuple[Floats, Floats]:
    """Where tiles stand at the least and at the most."""
    axis = tiles.along
    place: Floats = origin + index * axis.pitch
    if not axis.spread:
        return place, place
    return (
        place + axis.spread * np.clip(index, -axis.most, 0),
        place + axis.spread * np.clip(index, 0, axis.most),
    )


def _each(
    bands: _Bands,
    line: Line | Arc,
    far: Line | Arc | None,
    tiles: Tiles,
    start: Floats,
    level: Floats,
    every: Whole,
) -> Floats:
    """Work out each band of each datum, (datums, bands) in `every`, by itself."""
    found = np.full(len(start), np.inf)
    chunk = max(1, CHUNK // every.shape[1])
    for begin in range(0, len(start), chunk):
        part = slice(begin, begin + chunk)
        low, high = bands.ends(level[part], every[part])
        origin = _origin(tiles, start[part], every[part])
        if far is None:
            legs = _cut_alone(line, tiles, origin, low, high)
        else:
            legs = _cut_by_both(line, far, tiles, origin, low, high)
        found[part] = legs.min(axis=1)
    return found


def _cut_alone(line: Line | Arc, tiles: Tiles, origin: Floats, low: Floats, high: Floats) -> Floats:
    side = tiles.along.side
    near, beyond = line.span(low, high)
    index = _outermost(tiles, near - origin - side + REACH)
    place, _ = _places(tiles, origin, index)
    leg = place + side - beyond
    cut = (beyond - place > REACH) & (high - low > REACH)
    found: Floats = np.where(cut, np.where(leg > POINT, leg, 0.0), np.inf)
    return found


def _cut_by_both(line: Line | Arc, far: Line | Arc, tiles: Tiles, origin: Floats, low: Floats, high: Floats) -> Floats:
    """As `_cut_alone`, where a tile may reach beyond the field's far side as well."""
    side = tiles.along.side
    near, beyond = line.span(low, high)
    index = _outermost(tiles, near - origin - side + REACH)
    worst = np.full(low.shape, np.inf)
    last = float((beyond - origin - index * tiles.along.pitch).max(initial=0.0)) + tiles.along.most * tiles.along.spread
    for _ in range(max(1, math.ceil(last / (tiles.along.pitch * tiles.every)) + 1)):
        places = _places(tiles, origin, index)
        found = np.full(low.shape, np.inf)
        there = np.zeros(low.shape, dtype=bool)
        for place in places if tiles.along.spread else places[:1]:
            leg, held = _chord(line, far, place, side, low, high)
            np.minimum(found, leg, out=found)
            there |= held
        np.minimum(worst, np.where(there, np.where(found > POINT, found, 0.0), np.inf), out=worst)
        index = index + tiles.every
    return worst


def _chord(
    line: Line | Arc, far: Line | Arc, place: Floats, side: float, low: Floats, high: Floats
) -> tuple[Floats, Flags]:
    """Return the least chord of tiles that the line cuts (inf: none), and where there is a piece at all."""
    # Only where the line stands in the tile, and no chord that ends on a side judged the other way.
    low, high = line.beyond(place, low, high)
    if not far.judged:
        low, high = far.beyond(place + side, low, high)
    held = (high - low > REACH) & (line.span(low, high)[1] - place > REACH)
    shortest = np.full(low.shape, np.inf)
    longest = np.full(low.shape, -np.inf)
    levels = [low, high, line.turn(low, high)]
    if isinstance(far, Arc) and far.judged:
        levels.append(far.turn(low, high))
    for level in levels:
        end = place + side
        if far.judged:
            beyond = far.at(level)
            end = np.where(end - beyond > REACH, beyond, end)
        chord = end - line.at(level)
        np.minimum(shortest, chord, out=shortest)
        np.maximum(longest, chord, out=longest)
    found: Floats = np.where(held, shortest, np.inf)
    return found, held & (longest > REACH)


def _many(
    bands: _Bands,
    line: Line,
    tiles: Tiles,
    start: Floats,
    level: Floats,
    met: tuple[Whole, Whole],
    every: Whole,
) -> Floats:
    """Look the bands that lie whole along the side up; work the ones at its ends out one by one."""
    (first, last), (lowest, highest) = met, bands.within(level)
    most = tiles.across.most if tiles.across.spread and not tiles.loose else 0
    table = _looked_up(bands, line, tiles, start, level, lowest, highest, most)
    if table is None:
        return _each(bands, line, None, tiles, start, level, every)
    ends = [first + step for step in range(int((lowest - first).max(initial=0)))]
    ends += [last - step for step in range(int((last - highest).max(initial=0)))]
    # Bands near the datum drift less than the others.
    ends += [np.full(len(start), band) for band in range(1 - most, most)]
    if ends:
        few = np.clip(np.stack(ends, axis=1), first[:, None], np.maximum(first, last)[:, None])
        np.minimum(table, _each(bands, line, None, tiles, start, level, few), out=table)
    return table


def _looked_up(
    bands: _Bands,
    line: Line,
    tiles: Tiles,
    start: Floats,
    level: Floats,
    lowest: Whole,
    highest: Whole,
    most: int,
) -> Floats | None:
    """Return (datums) the worst leg over the bands that lie whole along the side and drift as far as any.

    None where tiles along it drift each by another amount.
    """
    axis, across = tiles.along, tiles.across
    found = np.full(len(start), np.inf)
    # Where a tile's far side stands before the side by just no piece, less what is the same for all bands.
    moving = line.slope * level + (start if tiles.turned else -start)
    slack = axis.most * axis.spread
    swept = abs(line.slope) * (across.side + (2 if tiles.loose else 1) * across.most * across.spread)
    step = axis.pitch * tiles.every
    for low, high in {*zip(lowest.tolist(), highest.tolist(), strict=True)}:
        every = np.arange(low, high + 1)
        every = every[np.abs(every) >= most]
        if not every.size:
            continue
        rows = np.flatnonzero((lowest == low) & (highest == high))
        down, up = bands.drift(every)
        least = np.minimum(line.slope * down, line.slope * (across.side + up))
        shift = tiles.shift(every)
        fixed = line.start + line.slope * every * across.pitch + least + REACH
        fixed = fixed + shift if tiles.turned else fixed - shift - axis.side
        forth = 0.0
        if axis.spread:
            place = moving[rows]
            if place.min() + fixed.min() > (axis.most + 1) * (axis.pitch + axis.spread):
                forth = slack
            elif place.max() + fixed.max() > -(axis.most + 1) * axis.pitch:
                return None
        offsets = np.unique(np.round((fixed - forth - tiles.number * axis.pitch) % step, 9))
        rest = step - moving[rows] % step
        index = np.searchsorted(offsets, rest) - 1
        # The band whose piece is the least: whose place stands last before a whole step.
        furthest = (moving[rows] % step + offsets[index]) % step
        leg = REACH + step - slack - swept - furthest
        found[rows] = np.where(axis.side - leg > REACH, np.where(leg > POINT, leg, 0.0), np.inf)
    return found
