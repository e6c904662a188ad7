"""The plain way to look for the best datums: every pair of places on a 1/32 in grid, worked out with NumPy.

Two baselines for `benchmarks.layout`, which also keep the tests' searches honest. Both take the field's cross-sections
as given, and return the best score (docs/formats.md, rule 3) at the planned joint, datums only:

- `plain`: the dense search in two dimensions; each pair of datums has all its legs worked out from the cross-sections;
- `factored`: the same grid by somebody who has seen that legs across the courses depend on one datum only, and who
  sorts only the lists of pairs whose least leg is the best. It holds part of what makes our own search fast.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.evaluate import bench_of
from layout.field import Band
from layout.fields import fields_of
from layout.grid import Grid
from layout.model import Model
from layout.room import SOFT, Room, Surface

STEP = 25.4 / 32

NOISE = 1e-9
"""Share. What floats may differ by."""

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def plain(room: Room, step: float = STEP) -> list[float]:
    """Return the best score on a grid of datums `step` mm apart, for level and plumb fields in courses.

    Joined walls have one height; at each height a wall's best list can be taken by itself, since the room's list is
    theirs merged.
    """
    models = bench_of(room, fields_of(room)).models
    score: list[float] = []
    for group in room.groups:
        surfaces = [room.surface(name) for name in group if not models[name].looked.empty]
        if not surfaces:
            continue
        heights = _heights(surfaces, models, step)
        lists = []
        for surface in surfaces:
            worst = _worst_of_all(models[surface.id], heights - surface.level, step, room.enough)
            edges, _, places = worst.shape
            rows = worst.reshape(edges, -1)
            order = np.lexsort((*rows[::-1], np.repeat(np.arange(len(heights)), places)))
            lists.append(rows[:, order[places - 1 :: places]])
        score += _best_merged(lists)
    return sorted(score)


def _worst_of_all(model: Any, heights: Floats, step: float, cap: float) -> Floats:
    """Return (edges, heights, places) the worst legs of every pair of datums, the least first."""
    assert isinstance(model, Model)
    grid, field = model.grid, model.looked
    others = np.arange(0.0, _period(grid, not grid.turned), step)
    vs, us = (others, heights) if grid.turned else (heights, others)
    v, u = (each.ravel() for each in np.meshgrid(vs, us, indexing="ij"))
    worst = np.full((len(field.edges), len(v)), cap)
    for band in field.columns:
        if band.high - band.low > SOFT:
            np.minimum(worst, _by_edge(model, band, v, grid.v.side, grid.v.pitch, cap), out=worst)
    for band in field.rows:
        for shift, met in zip(grid.phases(), _met(band, v, grid), strict=True):
            legs = _by_edge(model, band, u + shift, grid.u.side, grid.u.pitch, cap)
            np.minimum(worst, np.where(met, legs, cap), out=worst)
    worst = np.sort(worst, axis=0).reshape(-1, len(vs), len(us))
    return worst.transpose(0, 2, 1) if grid.turned else worst


def _heights(surfaces: list[Surface], models: Any, step: float) -> Floats:
    """Return the heights of the grid, mm, over one period of the patterns that share them."""
    grids = [models[surface.id].grid for surface in surfaces]
    return np.arange(0.0, max(_period(grid, grid.turned) for grid in grids), step)


def _best_merged(lists: list[Floats]) -> list[float]:
    """Return the best of the lists that walls, each (edges, heights), have together at one height."""
    merged = np.sort(np.vstack(lists), axis=0)
    best: list[float] = merged[:, np.lexsort(merged[::-1])[-1]].tolist()
    return best


def factored(room: Room, step: float = STEP) -> list[float]:
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
        heights = _heights(surfaces, bench.models, step)
        walls = [_Wall.of(bench.models[surface.id], heights - surface.level, step, room.enough) for surface in surfaces]
        tops = [wall.least.max(axis=1) for wall in walls]
        room_least = np.minimum.reduce(tops)
        kept = np.flatnonzero(room_least >= room_least.max() - NOISE)
        lists = [wall.best_lists(kept, top[kept]) for wall, top in zip(walls, tops, strict=True)]
        score += _best_merged(lists)
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


def _period(grid: Any, along: bool) -> float:
    """After how much the pattern repeats, mm; a stair does so after one course when it may slide along it too."""
    if along:
        return float(grid.u.pitch)
    return float(grid.v.pitch) * (2 if grid.surface.pattern.share and grid.surface.pattern.run == "alternate" else 1)


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
